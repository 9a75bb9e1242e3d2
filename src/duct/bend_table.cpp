#include "duct/bend_table.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/expects.hpp"
#include "geometry/pose.hpp"

namespace baywright::duct {
namespace {

/// The route without the points at which it goes straight on, laid out again: they are no rows of the table.
Layout without_straight_points(const Layout& layout) {
  Route route;
  const auto next_id = [&route] { return PointId(std::to_string(route.points.size())); };
  route.points.push_back({next_id(), layout.legs.front().start_mm, 0});
  for (std::size_t i = 0; i < layout.bends.size(); ++i) {
    const Bend& bend = layout.bends[i];
    if (!bend.bends()) continue;
    route.points.push_back({next_id(), layout.legs[i].end_mm + bend.set_back_mm * layout.legs[i].direction,
                            bend.radius_mm, bend.pieces > 0 ? std::optional(bend.pieces) : std::nullopt});
  }
  route.points.push_back({next_id(), layout.legs.back().end_mm, 0});
  auto reduced = lay_out_route(route);
  // Dropping a point turns its legs by less than 0.05 degrees, which can make a leg used up by its set-backs too short
  // by a hair: the table then keeps the exact lengths of the route as it is.
  return reduced ? *reduced : layout;
}

}  // namespace

BendTable bend_table(const Layout& layout) { return bend_table(layout, 0, layout.length_mm); }

BendTable bend_table(const Layout& full, double from_mm, double to_mm) {
  EXPECTS(!full.legs.empty());
  EXPECTS(from_mm <= to_mm);
  const bool straight_points =
      std::any_of(full.bends.begin(), full.bends.end(), [](const Bend& bend) { return !bend.bends(); });
  const Layout layout = straight_points ? without_straight_points(full) : full;
  const double end = to_mm >= full.length_mm ? layout.length_mm : to_mm;
  BendTable table;
  double from = std::max(0.0, from_mm);
  table.developed_mm = end - from;
  for (const Bend& bend : layout.bends) {
    const double middle = 0.5 * (bend.station_from_mm + bend.station_to_mm);
    if (!bend.bends() || middle < from_mm || middle > end) continue;
    table.rows.push_back({bend.station_from_mm - from, table.rows.empty() ? Angle() : bend.rotation, bend.angle,
                          bend.radius_mm, bend.arc_mm(), bend.pieces});
    from = bend.station_to_mm;
  }
  table.last_length_mm = end - from;
  return table;
}

BendTable reversed(const BendTable& table) {
  BendTable back = table;
  std::reverse(back.rows.begin(), back.rows.end());
  double length = table.last_length_mm;
  const std::size_t count = table.rows.size();
  for (std::size_t i = 0; i < count; ++i) {
    // Row i of the new table is old row count-1-i; the straight before it lay behind it, and so did the rotation.
    back.rows[i].length_before_mm = length;
    back.rows[i].rotation = i == 0 ? Angle() : table.rows[count - i].rotation;
    length = table.rows[count - 1 - i].length_before_mm;
  }
  back.last_length_mm = length;
  return back;
}

std::vector<Vec3> intersection_points(const BendTable& table, const Vec3& p0, const Vec3& u0, const Vec3& n0) {
  EXPECTS(std::abs(u0.norm() - 1) < 1e-9);
  EXPECTS(std::abs(n0.norm() - 1) < 1e-9);
  EXPECTS(std::abs(u0.dot(n0)) < 1e-9);
  std::vector<Vec3> points = {p0};
  Vec3 p = p0, u = u0, n = n0;
  for (const BendRow& row : table.rows) {
    n = Pose::rotation(u, Vec3::Zero(), row.rotation.si()) * n;
    const double set_back = row.radius_mm * std::tan(0.5 * row.angle.si());
    points.emplace_back(p + (row.length_before_mm + set_back) * u);
    u = (Pose::rotation(n, Vec3::Zero(), row.angle.si()) * u).normalized();
    p = points.back() + set_back * u;
  }
  points.emplace_back(p + table.last_length_mm * u);
  return points;
}

}  // namespace baywright::duct
