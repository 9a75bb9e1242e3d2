#pragma once

#include <vector>

#include <vtkSmartPointer.h>

#include "geometry/point_cloud.hpp"
#include "geometry/tri_mesh.hpp"

class vtkPolyData;

namespace baywright::viewer {

/// Triangles with corner normals: smooth over edges whose facets turn by less than `crease_deg`, split at sharper
/// ones. Corners closer than 1e-3 mm are one. Linear in the number of triangles.
vtkSmartPointer<vtkPolyData> shaded_surface(const TriMesh& mesh, double crease_deg);

/// Lines along edges at which facets turn by more than `angle_deg`, and along open borders. For drawn solids; a scan
/// has an edge everywhere.
vtkSmartPointer<vtkPolyData> sharp_edges(const TriMesh& mesh, double angle_deg);

/// One line per pair of neighbours in each polyline.
vtkSmartPointer<vtkPolyData> polylines(const std::vector<std::vector<Vec3>>& lines);

/// One vertex per point, with normals when the cloud has them.
vtkSmartPointer<vtkPolyData> dots(const PointCloud& cloud);

}  // namespace baywright::viewer
