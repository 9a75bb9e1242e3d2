#pragma once

#include <span>
#include <vector>

#include "measure/surface_map.hpp"

namespace baywright::measure {

/// Short lines on a duct's surface along which the clearance has one value.
struct Isoline {
  double clearance_mm = 0;
  std::vector<std::pair<Vec3, Vec3>> segments;
};

/// Lines of equal clearance of a map, one entry for each level, linear between the points of its grid (marching
/// squares; a saddle is resolved by the mean of its corners). What is beyond the range counts as `beyond_mm`.
std::vector<Isoline> isolines(const SurfaceMap& map, std::span<const double> levels_mm, double beyond_mm);

}  // namespace baywright::measure
