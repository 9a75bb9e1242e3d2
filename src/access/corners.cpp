#include "access/corners.hpp"

#include <algorithm>

#include <tbb/parallel_for.h>

#include "access/arm.hpp"

namespace baywright::access {
namespace {

/// Corners lie on a grid about the clamp: how far apart, and how many each way.
constexpr double kCornersApart_mm = 100;
constexpr int kEachWay = 6;
/// A leg shorter than this hardly leaves the place.
constexpr double kLeastLeg_mm = 40;
/// Directions kept of a corner: tools try them all.
constexpr std::size_t kMostWays = 4;

std::vector<Vec3> ways_from(const Around& around, const Vec3& p, const OpeningView& opening, double core_mm) {
  std::vector<Vec3> out;
  const StandingShape ball = Cylinder{p, p, core_mm};
  if (!around.has_room({&ball, 1}, Asking::tool)) return out;
  for (const Vec3& direction : ways_to(opening, p, Vec3::Zero())) {
    const auto length = opening.way_out({&ball, 1}, direction);
    if (!length) continue;
    const StandingShape path = Cylinder{p, p + *length * direction, core_mm};
    if (around.has_room({&path, 1}, Asking::tool)) out.push_back(direction);
    if (out.size() == kMostWays) break;
  }
  return out;
}

}  // namespace

Corners::Corners(const Around& around, const Vec3& clamp, std::span<const OpeningView> openings, double core_mm) {
  std::vector<Vec3> grid;
  for (int x = -kEachWay; x <= kEachWay; ++x) {
    for (int y = -kEachWay; y <= kEachWay; ++y) {
      for (int z = -kEachWay; z <= kEachWay; ++z) grid.emplace_back(clamp + kCornersApart_mm * Vec3(x, y, z));
    }
  }
  for (const OpeningView& opening : openings) {
    std::vector<Corner> found(grid.size());
    tbb::parallel_for(std::size_t{0}, grid.size(), [&](std::size_t i) {
      if (opening.outside_mm(grid[i]) < 0) found[i] = {grid[i], ways_from(around, grid[i], opening, core_mm)};
    });
    std::erase_if(found, [](const Corner& c) { return c.out.empty(); });
    by_opening_.push_back(std::move(found));
  }
}

std::vector<const Corners::Corner*> Corners::near(const Vec3& p, std::size_t opening) const {
  std::vector<std::pair<double, const Corner*>> order;
  for (const Corner& c : by_opening_[opening]) {
    const double away = (c.p - p).norm();
    if (away >= kLeastLeg_mm) order.emplace_back(away, &c);
  }
  const std::size_t count = std::min(order.size(), kMostCorners);
  const auto nearer = [](const auto& a, const auto& b) { return a.first < b.first; };
  std::stable_sort(order.begin(), order.end(), nearer);
  std::vector<const Corner*> out;
  for (std::size_t i = 0; i < count; ++i) out.push_back(order[i].second);
  return out;
}

}  // namespace baywright::access
