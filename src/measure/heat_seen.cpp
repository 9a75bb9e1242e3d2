#include "measure/heat_seen.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace baywright::measure {
namespace {

constexpr int kRays = 256;

/// Evenly over the sphere, always the same: points of a golden spiral.
std::vector<Vec3> all_round() {
  std::vector<Vec3> directions;
  constexpr double kGoldenAngle = std::numbers::pi * (3 - 2.2360679774997896964);  // root of 5
  for (int i = 0; i < kRays; ++i) {
    const double z = 1 - (2 * i + 1.0) / kRays;
    const double r = std::sqrt(1 - z * z);
    directions.emplace_back(r * std::cos(i * kGoldenAngle), r * std::sin(i * kGoldenAngle), z);
  }
  return directions;
}

}  // namespace

double share_seen(const bay::Bay& bay, const duct::StationFrame& from, const bay::Part& part) {
  if (part.doubted() || part.tree.empty()) return 0;
  static const std::vector<Vec3> kDirections = all_round();
  double seen = 0, all = 0;
  for (const Vec3& direction : kDirections) {
    const double weight = direction.cross(from.tangent).norm();  // what a cylinder shows that way
    all += weight;
    const auto hit = part.tree.first_hit(from.p_mm, direction);
    if (!hit) continue;
    const bool hidden = std::any_of(bay.parts.begin(), bay.parts.end(), [&](const bay::Part& other) {
      const bool is_space =
          other.part_class == bay::PartClass::reserved || other.part_class == bay::PartClass::rotating;
      return &other != &part && !is_space && !other.doubted() && !other.tree.empty() &&
             other.tree.first_hit(from.p_mm, direction, hit->distance_mm).has_value();
    });
    if (!hidden) seen += weight;
  }
  return seen / all;
}

}  // namespace baywright::measure
