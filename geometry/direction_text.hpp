#pragma once

#include <algorithm>
#include <array>
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

/// "right and up": the ways of the vehicle (x forward, y left, z up) that a unit vector follows, strongest first; those
/// that it follows by less than a quarter are left out.
inline std::string vehicle_words(const Vec3& unit) {
  static constexpr std::array<const char*, 3> kPositive = {"forward", "left", "up"};
  static constexpr std::array<const char*, 3> kNegative = {"back", "right", "down"};
  constexpr double kLeastShare = 0.25;
  std::array<int, 3> axes = {0, 1, 2};
  std::stable_sort(axes.begin(), axes.end(), [&](int a, int b) { return std::abs(unit[a]) > std::abs(unit[b]); });
  std::string text;
  for (const int axis : axes) {
    if (!text.empty() && std::abs(unit[axis]) < kLeastShare) continue;
    if (!text.empty()) text += " and ";
    text += (unit[axis] >= 0 ? kPositive : kNegative)[static_cast<std::size_t>(axis)];
  }
  return text;
}

}  // namespace baywright
