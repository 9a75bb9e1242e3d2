#include "duct/self_crossing.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/triangle_kernels.hpp"

namespace baywright::duct {
namespace {

/// A straight stretch of the centerline, or a chord of a bend.
struct Passage {
  Vec3 a, b;
  double station_from_mm = 0, station_to_mm = 0;
  double rise_mm = 0;    ///< greatest distance of the centerline from the chord
  double radius_mm = 0;  ///< least outer radius of the tube over it
};

void add(const Layout& layout, const Vec3& a, const Vec3& b, double from_mm, double to_mm, double rise_mm,
         std::vector<Passage>& out) {
  if (to_mm - from_mm <= 0) return;
  double radius = layout.tube_at(from_mm).outer_diameter_mm;
  radius = std::min(radius, layout.tube_at(to_mm).outer_diameter_mm);
  out.push_back({a, b, from_mm, to_mm, rise_mm, 0.5 * radius});
}

std::vector<Passage> stretches(const Layout& layout) {
  constexpr double kChord_rad = 4 * M_PI / 180;
  constexpr double kLongest_mm = 50;  // so that a change of tube within a leg is not smeared over all of it
  std::vector<Passage> out;
  // A ball around the centerline fills the tube only where the flat ends are a radius away.
  const double first = 0.5 * layout.tube_at(0).outer_diameter_mm;
  const double last = layout.length_mm - 0.5 * layout.tube_at(layout.length_mm).outer_diameter_mm;
  const auto cut = [&](double from_mm, double to_mm, int count, double rise_mm) {
    from_mm = std::max(from_mm, first);
    to_mm = std::min(to_mm, last);
    const double step = (to_mm - from_mm) / count;
    for (int i = 0; i < count; ++i) {
      const double s = from_mm + i * step;
      add(layout, layout.at(s).p_mm, layout.at(s + step).p_mm, s, s + step, rise_mm, out);
    }
  };
  for (std::size_t i = 0; i < layout.legs.size(); ++i) {
    const Leg& leg = layout.legs[i];
    const double length = leg.station_to_mm - leg.station_from_mm;
    cut(leg.station_from_mm, leg.station_to_mm, std::max(1, static_cast<int>(std::ceil(length / kLongest_mm))), 0);
    if (i >= layout.bends.size() || !layout.bends[i].bends()) continue;
    const Bend& bend = layout.bends[i];
    const int count = std::max(1, static_cast<int>(std::ceil(bend.angle.si() / kChord_rad)));
    const double half = 0.5 * bend.angle.si() / count;
    cut(bend.station_from_mm, bend.station_to_mm, count, bend.radius_mm * (1 - std::cos(half)));
  }
  return out;
}

}  // namespace

std::optional<SelfCrossing> self_crossing(const Layout& layout) {
  const std::vector<Passage> all = stretches(layout);
  std::optional<SelfCrossing> deepest;
  for (std::size_t i = 0; i < all.size(); ++i) {
    for (std::size_t k = i + 1; k < all.size(); ++k) {
      const double needed = all[i].radius_mm + all[k].radius_mm;
      // Around a bend as tight as a tube allows (half its diameter) the two sides touch after half a turn.
      if (all[k].station_from_mm - all[i].station_to_mm < 0.5 * M_PI * needed) continue;
      const PointPair pair = nearest_segments(all[i].a, all[i].b, all[k].a, all[k].b);
      const double distance = (pair.first - pair.second).norm();
      if (distance + all[i].rise_mm + all[k].rise_mm >= needed) continue;
      if (deepest && distance - needed >= deepest->distance_mm - deepest->needed_mm) continue;
      deepest = SelfCrossing{all[i].station_from_mm, all[k].station_from_mm, distance, needed};
    }
  }
  return deepest;
}

}  // namespace baywright::duct
