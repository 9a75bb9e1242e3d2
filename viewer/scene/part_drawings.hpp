#pragma once

#include <map>
#include <memory>

#include <vtkSmartPointer.h>

#include "bay/bay.hpp"
#include "geometry/base/progress.hpp"

class vtkPolyData;

namespace baywright::viewer {

/// What is drawn for one mesh or cloud.
struct PartDrawing {
  std::shared_ptr<const void> keep;       ///< the geometry it was made of: its address is the key below
  vtkSmartPointer<vtkPolyData> surface;   ///< triangles or dots
  vtkSmartPointer<vtkPolyData> edges;     ///< null for scans
  vtkSmartPointer<vtkPolyData> likeness;  ///< coarse surface to turn with; null where the surface itself is small
};

/// Drawings of the parts of a bay by their mesh or cloud. Values once made are never changed: they may be made in one
/// thread and shown in another.
struct PartDrawings {
  std::map<const void*, PartDrawing> by_geometry;
};

/// Bays with more triangles (or points of clouds) than this are turned as a likeness.
inline constexpr std::size_t kMostTurned = 1'000'000;

PartDrawing draw_part(const bay::Part& part);
/// All parts that have geometry, with likenesses where the bay needs them. Seconds for millions of triangles.
/// Cancelled: what was made so far.
PartDrawings draw_parts(const bay::Bay& bay, const Progress& progress = {});

}  // namespace baywright::viewer
