#pragma once

#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "bay/bay.hpp"
#include "duct/layout.hpp"
#include "geometry/base/progress.hpp"

namespace baywright::measure {

struct SurfaceMapOptions {
  double spacing_mm = 5;           ///< of the grid, along and around, at most; > 0
  double range_mm = 60;            ///< clearance above it is 'beyond range'
  std::optional<PosedState> pose;  ///< none: at rest
  /// Shapes to map as (piece, shape of that piece); none: all of the duct.
  std::optional<std::vector<std::pair<int, int>>> shapes;
  /// The previous map is of this very bay in this very pose: what it tells of inside and outside is believed.
  bool previous_of_same_bay = false;
};

/// A point of a duct's outer surface and what is nearest to it.
struct SurfacePoint {
  Vec3 p_mm = Vec3::Zero();  ///< vehicle frame, where the pose puts it
  /// Distance to the nearest part; negative inside a closed one, by how far its surface is away; infinite beyond the
  /// range.
  double clearance_mm = std::numeric_limits<double>::infinity();
  int part = -1;               ///< -1: beyond the range
  std::uint32_t triangle = 0;  ///< of the part's tree
};

/// The grid over one shape's side: rows along the axis from its start to its end, columns around it. The last column
/// borders on the first.
struct SurfacePatch {
  int piece = 0, shape = 0;
  int rows = 0, columns = 0;
  std::size_t first = 0;  ///< its points follow one another, row after row
};

struct SurfaceMap {
  std::vector<SurfacePatch> patches;  ///< in order of piece and shape
  std::vector<SurfacePoint> points;
};

/// Clearance at every point of a grid over a duct's outer surface: its sides, up to the rims of flat ends. Points that
/// lie under another piece (tube inside a hose) are mapped like the others. Against the part of a port what lies within
/// the port's contact length is left out, as in measure_clearance. A surface that is open has no inside: where such a
/// one cuts the duct the map shows the line of the cut only. Exact for the triangles at the points, nothing is said of
/// between. The hose of a flexible joint is bent as measure_clearance takes it, and so is its hump, which that takes
/// straight between its two ends; where a soft thing's shape is not known it is posed with one mixture, as pictures
/// show it.
///
/// `previous`, a map of nearly the same, tells each point where to look first: the same answer sooner.
/// Cost: 1 to 3 microseconds a point and thread among millions of triangles, a third of it with a good `previous`; and
/// a winding number (up to half a millisecond for each closed part of some 10,000 triangles) wherever neighbouring
/// points, or those of a `previous` of the same bay, do not show that a point is outside.
/// The same for any number of threads. Cancelled: comes back empty.
SurfaceMap surface_map(const bay::Bay& bay, const duct::Duct& duct, const SurfaceMapOptions& options,
                       const SurfaceMap* previous = nullptr, const Progress& progress = {});

}  // namespace baywright::measure
