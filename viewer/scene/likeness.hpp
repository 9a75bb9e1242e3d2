#pragma once

#include "geometry/point_cloud.hpp"
#include "geometry/tri_mesh.hpp"

namespace baywright::viewer {

// Coarse stand-ins to be drawn while the camera moves; nothing is measured on them.

/// Mesh of at most about `budget` triangles: corners that share a cell of a grid become their mean, triangles that fall
/// together are dropped. No vertex moves farther than a cell's diagonal. Meshes within the budget come back as they
/// are. Linear time, a few passes.
TriMesh likeness(const TriMesh& mesh, std::size_t budget);
/// Every n-th point.
PointCloud likeness(const PointCloud& cloud, std::size_t budget);

}  // namespace baywright::viewer
