#include "measure/map_isolines.hpp"

#include <array>
#include <cmath>

namespace baywright::measure {
namespace {

struct Corner {
  Vec3 p;
  double value = 0;
};

/// Where the level lies between two corners on different sides of it.
Vec3 crossing(const Corner& a, const Corner& b, double level) {
  return a.p + (level - a.value) / (b.value - a.value) * (b.p - a.p);
}

/// Corners in order around the cell.
void cut(const std::array<Corner, 4>& c, double level, std::vector<std::pair<Vec3, Vec3>>& out) {
  std::array<bool, 4> above{};
  for (std::size_t i = 0; i < 4; ++i) above[i] = c[i].value >= level;
  std::vector<Vec3> at;  // crossings of the sides in order
  for (std::size_t i = 0; i < 4; ++i) {
    const std::size_t k = (i + 1) % 4;
    if (above[i] != above[k]) at.push_back(crossing(c[i], c[k], level));
  }
  if (at.size() == 2) out.emplace_back(at[0], at[1]);
  if (at.size() != 4) return;
  const double middle = 0.25 * (c[0].value + c[1].value + c[2].value + c[3].value);
  // A saddle: corners 0 and 2 are joined through the middle when it lies on their side.
  const bool joined = (middle >= level) == above[0];
  out.emplace_back(at[0], joined ? at[1] : at[3]);
  out.emplace_back(at[2], joined ? at[3] : at[1]);
}

}  // namespace

std::vector<Isoline> isolines(const SurfaceMap& map, std::span<const double> levels_mm, double beyond_mm) {
  std::vector<Isoline> out;
  for (const double level : levels_mm) out.push_back({level, {}});
  for (const SurfacePatch& patch : map.patches) {
    const auto corner = [&](int row, int column) -> Corner {
      const SurfacePoint& p =
          map.points[patch.first + static_cast<std::size_t>(row * patch.columns + column % patch.columns)];
      return {p.p_mm, std::isfinite(p.clearance_mm) ? p.clearance_mm : beyond_mm};
    };
    for (int r = 0; r + 1 < patch.rows; ++r) {
      for (int c = 0; c < patch.columns; ++c) {
        const std::array<Corner, 4> cell = {corner(r, c), corner(r, c + 1), corner(r + 1, c + 1), corner(r + 1, c)};
        for (Isoline& line : out) cut(cell, line.clearance_mm, line.segments);
      }
    }
  }
  return out;
}

}  // namespace baywright::measure
