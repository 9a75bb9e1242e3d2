#pragma once

#include <string>
#include <vector>

#include "duct/layout.hpp"

namespace baywright::duct::test {

/// Points P0, P1, ... with one bend radius at every inner one.
inline Route route(const std::vector<Vec3>& points, double radius_mm) {
  Route made;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const bool inner = i > 0 && i + 1 < points.size();
    std::string id = "P";
    id += std::to_string(i);
    made.points.push_back({PointId(id), points[i], inner ? radius_mm : 0.0});
  }
  return made;
}

/// The worked example of the trade page's section 4.3.
inline std::vector<Vec3> worked_points() {
  return {{0, 0, 0}, {300, 0, 0}, {300, 320, 80}, {620, 420, 80}, {620, 420, -180}};
}

}  // namespace baywright::duct::test
