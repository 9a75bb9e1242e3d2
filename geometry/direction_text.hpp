#pragma once

#include <cmath>
#include <cstdio>
#include <string>

#include "geometry/vec.hpp"

namespace baywright {

/// "(0.26, 0.00, -0.96)", without a minus before zero.
inline std::string coordinates_text(const Vec3& v) {
  const Vec3 shown = (100 * v).array().round() / 100 + 0.0;  // + 0 turns -0 into 0
  char text[96];
  std::snprintf(text, sizeof text, "(%.2f, %.2f, %.2f)", shown.x(), shown.y(), shown.z());
  return text;
}

/// A unit vector: "-z" where it lies on an axis, else its coordinates.
inline std::string direction_text(const Vec3& unit) {
  for (int k = 0; k < 3; ++k) {
    if (std::abs(std::abs(unit[k]) - 1) < 1e-9) return std::string(unit[k] < 0 ? "-" : "+") + "xyz"[k];
  }
  return coordinates_text(unit);
}

}  // namespace baywright
