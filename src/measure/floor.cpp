#include "measure/floor.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <tuple>

#include "geometry/base/expects.hpp"

namespace baywright::measure {
namespace {

using duct::Bend;
using duct::Layout;

/// Rounding of stations and heights.
constexpr double kFloorRounding_mm = 1e-9;
/// An arc whose plane is this near to horizontal has neither top nor bottom.
constexpr double kFlat = 1e-12;

/// Stations at which an arc is highest, lowest or steepest against `up`, inside it, ascending. With up = a e0 + b e1 +
/// ..., the axis lies at R m cos(t - t0) over the arc's centre, m = |(a, b)|, and falls by m sin(t - t0): extremes and
/// steepest places are a quarter turn apart. The floor has its extremes where the axis has them: its slope is that of
/// the axis times 1 - f r / R with |f| at most 1, and the bore's radius r is below the bend radius R.
std::vector<double> turning_stations(const Bend& bend, const Vec3& up) {
  const double a = up.dot(bend.e0), b = up.dot(bend.e1);
  std::vector<double> stations;
  if (!bend.bends() || std::hypot(a, b) < kFlat) return stations;
  constexpr double kQuarter = std::numbers::pi / 2;
  const double top = std::atan2(b, a);
  for (double t = top - 4 * kQuarter; t < bend.angle.si(); t += kQuarter) {
    const double station = bend.station_from_mm + bend.radius_mm * t;
    if (station > bend.station_from_mm + kFloorRounding_mm && station < bend.station_to_mm - kFloorRounding_mm) {
      stations.push_back(station);
    }
  }
  return stations;
}

/// Stations at which the bore starts or stops changing.
std::vector<double> bore_stations(const Layout& layout) {
  std::vector<double> stations;
  for (const duct::PlacedFitting& fitting : layout.fittings) {
    const auto* hose = std::get_if<duct::Coupler>(&fitting.kind);
    if (std::holds_alternative<duct::SensorTube>(fitting.kind) || std::holds_alternative<duct::Reducer>(fitting.kind) ||
        (hose && hose->to)) {
      stations.push_back(fitting.station_from_mm);
      stations.push_back(fitting.station_to_mm);
    }
  }
  return stations;
}

/// Radius of the bore at both ends of a stretch in which it changes linearly.
std::pair<double, double> bore_radii(const Layout& layout, double from_mm, double to_mm) {
  const double middle = 0.5 * (from_mm + to_mm);
  for (const duct::PlacedFitting& fitting : layout.fittings) {
    const auto* hose = std::get_if<duct::Coupler>(&fitting.kind);
    if (!hose || !hose->to || middle <= fitting.station_from_mm || middle >= fitting.station_to_mm) continue;
    const double r0 = 0.5 * layout.tube_at(middle).bore_mm(), r1 = 0.5 * hose->to->bore_mm();
    const double length = fitting.station_to_mm - fitting.station_from_mm;
    const auto at = [&](double s) { return r0 + (s - fitting.station_from_mm) / length * (r1 - r0); };
    return {at(from_mm), at(to_mm)};
  }
  // Ends may belong to the neighbour: a linear course is known from two places inside.
  const double a = 0.5 * layout.tube_at(0.75 * from_mm + 0.25 * to_mm).bore_mm();
  const double b = 0.5 * layout.tube_at(0.25 * from_mm + 0.75 * to_mm).bore_mm();
  return {1.5 * a - 0.5 * b, 1.5 * b - 0.5 * a};
}

/// Cosine of the section's lean: how far its floor lies below the axis, for a radius of 1.
double lean(double up_along_axis) { return std::sqrt(std::max(0.0, 1 - up_along_axis * up_along_axis)); }

}  // namespace

Floor::Floor(const Layout& layout, const Vec3& up) : layout_(layout), up_(up) {
  EXPECTS(std::abs(up.norm() - 1) < 1e-9);
  for (std::size_t i = 0; i < layout.legs.size(); ++i) {
    add(layout.legs[i].station_from_mm, layout.legs[i].station_to_mm, static_cast<int>(i), -1);
    if (i >= layout.bends.size()) break;
    const Bend& bend = layout.bends[i];
    double from = bend.station_from_mm;
    std::vector<double> ends = turning_stations(bend, up);
    ends.push_back(bend.station_to_mm);
    for (const double to : ends) {
      add(from, to, -1, static_cast<int>(i));
      from = to;
    }
  }
}

void Floor::add(double from_mm, double to_mm, int leg, int bend) {
  std::vector<double> cuts;
  for (const double station : bore_stations(layout_)) {
    if (station > from_mm + kFloorRounding_mm && station < to_mm - kFloorRounding_mm) cuts.push_back(station);
  }
  std::sort(cuts.begin(), cuts.end());
  cuts.push_back(to_mm);
  for (const double to : cuts) {
    if (to - from_mm <= kFloorRounding_mm) continue;
    FloorStretch stretch{from_mm, to, 0, 0, 0, 0, leg, bend};
    std::tie(stretch.radius_from_mm, stretch.radius_to_mm) = bore_radii(layout_, from_mm, to);
    stretch.height_from_mm = height_mm(stretch, from_mm);
    stretch.height_to_mm = height_mm(stretch, to);
    stretches_.push_back(stretch);
    from_mm = to;
  }
}

namespace {

/// Axis of a stretch at a station: the point, the direction and the radius of the bore.
struct Section {
  Vec3 p_mm, tangent;
  double radius_mm;
};

Section section_at(const Layout& layout, const FloorStretch& stretch, double station_mm) {
  const double length = stretch.station_to_mm - stretch.station_from_mm;
  const double radius = stretch.radius_from_mm + (station_mm - stretch.station_from_mm) / length *
                                                     (stretch.radius_to_mm - stretch.radius_from_mm);
  if (stretch.bend < 0) {
    const duct::Leg& leg = layout.legs[static_cast<std::size_t>(stretch.leg)];
    return {leg.start_mm + (station_mm - leg.station_from_mm) * leg.direction, leg.direction, radius};
  }
  const Bend& bend = layout.bends[static_cast<std::size_t>(stretch.bend)];
  const double t = (station_mm - bend.station_from_mm) / bend.radius_mm;
  const Vec3 outward = std::cos(t) * bend.e0 + std::sin(t) * bend.e1;
  return {bend.center + bend.radius_mm * outward, -std::sin(t) * bend.e0 + std::cos(t) * bend.e1, radius};
}

}  // namespace

double Floor::height_mm(const FloorStretch& stretch, double station_mm) const {
  const Section section = section_at(layout_, stretch, station_mm);
  return up_.dot(section.p_mm) - section.radius_mm * lean(up_.dot(section.tangent));
}

double Floor::height_mm(double station_mm) const {
  std::optional<double> lowest;
  for (const FloorStretch& stretch : stretches_) {
    if (station_mm < stretch.station_from_mm - kFloorRounding_mm ||
        station_mm > stretch.station_to_mm + kFloorRounding_mm)
      continue;
    const double height = height_mm(stretch, station_mm);
    lowest = lowest ? std::min(*lowest, height) : height;
  }
  EXPECTS(lowest.has_value());
  return *lowest;
}

const LowPoint& Pool::lowest() const {
  return *std::min_element(low_points.begin(), low_points.end(),
                           [](const LowPoint& a, const LowPoint& b) { return a.height_mm < b.height_mm; });
}

namespace {

/// The floor as a chain of points between which it only rises or falls; stretch i lies between point i and i + 1, none
/// at a step.
struct Chain {
  struct Point {
    double station_mm, height_mm, level_mm = 0;
    bool wet() const { return level_mm - height_mm > kFloorRounding_mm; }
  };
  std::vector<Point> points;
  std::vector<const FloorStretch*> stretch;
};

/// The part between two outlets.
Chain chain_of(const Floor& floor, double from_mm, double to_mm) {
  Chain chain;
  for (const FloorStretch& s : floor.stretches()) {
    const double a = std::max(from_mm, s.station_from_mm), b = std::min(to_mm, s.station_to_mm);
    if (b - a <= kFloorRounding_mm) continue;
    const double start = a == s.station_from_mm ? s.height_from_mm : floor.height_mm(s, a);
    const double end = b == s.station_to_mm ? s.height_to_mm : floor.height_mm(s, b);
    if (chain.points.empty() || std::abs(chain.points.back().height_mm - start) > kFloorRounding_mm) {
      if (!chain.points.empty()) chain.stretch.push_back(nullptr);
      chain.points.push_back({a, start});
    }
    chain.points.push_back({b, end});
    chain.stretch.push_back(&s);
  }
  return chain;
}

/// Water stands up to the lower one of the highest floors on both sides.
void fill(Chain& chain) {
  double highest = -std::numeric_limits<double>::infinity();
  for (Chain::Point& p : chain.points) p.level_mm = highest = std::max(highest, p.height_mm);
  highest = -std::numeric_limits<double>::infinity();
  for (auto p = chain.points.rbegin(); p != chain.points.rend(); ++p) {
    highest = std::max(highest, p->height_mm);
    p->level_mm = std::min(p->level_mm, highest);
  }
}

/// Where the floor comes to a height between two points; the station of the dry one at a step.
double waterline(const Floor& floor, const Chain& chain, std::size_t i, double level_mm) {
  const Chain::Point &a = chain.points[i], &b = chain.points[i + 1];
  const FloorStretch* stretch = chain.stretch[i];
  if (!stretch) return a.station_mm;
  double lo = a.station_mm, hi = b.station_mm;
  const bool rises = b.height_mm > a.height_mm;
  if ((rises ? b : a).height_mm - level_mm <= kFloorRounding_mm) return rises ? hi : lo;
  for (int step = 0; step < 100 && hi - lo > kFloorRounding_mm; ++step) {
    const double middle = 0.5 * (lo + hi);
    ((floor.height_mm(*stretch, middle) < level_mm) == rises ? lo : hi) = middle;
  }
  return 0.5 * (lo + hi);
}

std::vector<LowPoint> low_points(const Chain& chain, std::size_t first, std::size_t last) {
  std::vector<LowPoint> found;
  const auto height = [&](std::size_t i) { return chain.points[i].height_mm; };
  for (std::size_t i = first; i <= last; ++i) {
    std::size_t end = i;
    while (end < last && std::abs(height(end + 1) - height(i)) <= kFloorRounding_mm) ++end;
    if (height(i - 1) > height(i) + kFloorRounding_mm && height(end + 1) > height(i) + kFloorRounding_mm) {
      found.push_back({chain.points[i].station_mm, chain.points[end].station_mm, height(i)});
    }
    i = end;
  }
  return found;
}

void add_pools(const Floor& floor, double from_mm, double to_mm, std::vector<Pool>& out) {
  Chain chain = chain_of(floor, from_mm, to_mm);
  fill(chain);
  // The first and the last point are never under water: there it runs out.
  for (std::size_t i = 1; i + 1 < chain.points.size(); ++i) {
    if (!chain.points[i].wet()) continue;
    std::size_t last = i;
    while (chain.points[last + 1].wet()) ++last;
    Pool pool;
    pool.level_mm = chain.points[i].level_mm;
    pool.station_from_mm = waterline(floor, chain, i - 1, pool.level_mm);
    pool.station_to_mm = waterline(floor, chain, last, pool.level_mm);
    pool.low_points = low_points(chain, i, last);
    i = last;
    if (pool.low_points.empty()) continue;
    pool.depth_mm = pool.level_mm - pool.lowest().height_mm;
    if (pool.depth_mm > kFilm_mm) out.push_back(std::move(pool));
  }
}

}  // namespace

std::vector<Pool> pools(const Floor& floor, std::span<const double> outlets) {
  std::vector<double> ends(outlets.begin(), outlets.end());
  std::sort(ends.begin(), ends.end());
  ends.push_back(floor.layout().length_mm);
  std::vector<Pool> found;
  double from = 0;
  for (const double to : ends) {
    if (to - from > kFloorRounding_mm) add_pools(floor, from, to, found);
    from = std::max(from, to);
  }
  return found;
}

namespace {

struct Interval {
  double lo, hi;
};
Interval between(double a, double b) { return {std::min(a, b), std::max(a, b)}; }
Interval times(Interval a, Interval b) {
  const auto [lo, hi] = std::minmax({a.lo * b.lo, a.lo * b.hi, a.hi * b.lo, a.hi * b.hi});
  return {lo, hi};
}

/// Area of a disc below a line that lies `d` over its middle. Grows with both.
double area_below(double radius, double d) {
  if (d >= radius) return std::numbers::pi * radius * radius;
  if (d <= -radius) return 0;
  return radius * radius * (std::numbers::pi / 2 + std::asin(d / radius)) + d * std::sqrt(radius * radius - d * d);
}

/// Minus the first moment of that area about the middle, times 3/2: (r^2 - d^2)^(3/2). Falls with |d|.
double moment_below(double radius, double d) {
  const double rest = radius * radius - d * d;
  return rest > 0 ? rest * std::sqrt(rest) : 0;
}

/// What is needed of a station: each course is monotone over a stretch, so that the values at two stations enclose
/// those between them.
struct Filling {
  double under_mm;  ///< of the axis below the water
  double lean;      ///< see lean()
  double radius_mm;
  double outward;  ///< cosine between the section's way up and the outside of the bend, over the bend radius
};

Filling filling_at(const Floor& floor, const FloorStretch& stretch, double level_mm, double station_mm) {
  const Section section = section_at(floor.layout(), stretch, station_mm);
  const Vec3& up = floor.up();
  Filling f{level_mm - up.dot(section.p_mm), lean(up.dot(section.tangent)), section.radius_mm, 0};
  if (stretch.bend >= 0 && f.lean > 0) {
    const Bend& bend = floor.layout().bends[static_cast<std::size_t>(stretch.bend)];
    f.outward = std::clamp(up.dot(section.p_mm - bend.center) / bend.radius_mm / f.lean, -1.0, 1.0) / bend.radius_mm;
  }
  return f;
}

/// Height of the water over the middle of the section, along the section; a vertical tube is full or empty.
Interval water_in_section(const Filling& a, const Filling& b) {
  const Interval under = between(a.under_mm, b.under_mm), lean = between(a.lean, b.lean);
  constexpr double kFull = 1e9;
  const auto over = [&](double u, double c) { return c > kFlat ? u / c : std::copysign(kFull, u); };
  return {over(under.lo, under.lo < 0 ? lean.lo : lean.hi), over(under.hi, under.hi < 0 ? lean.hi : lean.lo)};
}

/// Least and greatest volume between two stations of one stretch, mm3.
Interval slice(const Filling& a, const Filling& b, double length_mm) {
  const Interval water = water_in_section(a, b), radius = between(a.radius_mm, b.radius_mm);
  Interval area{area_below(radius.lo, water.lo), area_below(radius.hi, water.hi)};
  const Interval outward = between(a.outward, b.outward);
  if (outward.lo != 0 || outward.hi != 0) {
    const bool middle = water.lo <= 0 && water.hi >= 0;
    const Interval away = between(std::abs(water.lo), std::abs(water.hi));
    const Interval moment{moment_below(radius.lo, away.hi), moment_below(radius.hi, middle ? 0 : away.lo)};
    const Interval shift = times(outward, moment);
    area.lo -= 2.0 / 3 * shift.hi;
    area.hi -= 2.0 / 3 * shift.lo;
  }
  return {std::max(0.0, area.lo) * length_mm, area.hi * length_mm};
}

Interval volume_between(const Floor& floor, const FloorStretch& stretch, double level_mm, double a, double b,
                        int count) {
  Interval sum{0, 0};
  Filling before = filling_at(floor, stretch, level_mm, a);
  for (int i = 1; i <= count; ++i) {
    const Filling next = filling_at(floor, stretch, level_mm, a + (b - a) * i / count);
    const Interval part = slice(before, next, (b - a) / count);
    sum.lo += part.lo;
    sum.hi += part.hi;
    before = next;
  }
  return sum;
}

constexpr double kMillilitre_mm3 = 1000;

}  // namespace

Volume volume_of(const Floor& floor, const Pool& pool) {
  constexpr int kFirst = 64, kMost = 1 << 18;
  constexpr double kShare = 1e-3, kLeast_mm3 = 0.02 * kMillilitre_mm3;
  for (int count = kFirst;; count *= 2) {
    Interval sum{0, 0};
    for (const FloorStretch& stretch : floor.stretches()) {
      const double a = std::max(pool.station_from_mm, stretch.station_from_mm);
      const double b = std::min(pool.station_to_mm, stretch.station_to_mm);
      if (b - a <= kFloorRounding_mm) continue;
      const Interval part = volume_between(floor, stretch, pool.level_mm, a, b, count);
      sum.lo += part.lo;
      sum.hi += part.hi;
    }
    if (sum.hi - sum.lo <= std::max(kLeast_mm3, kShare * sum.hi) || count >= kMost) {
      return {sum.lo / kMillilitre_mm3, sum.hi / kMillilitre_mm3};
    }
  }
}

LeastFall least_fall(const Layout& layout, const Vec3& up) {
  LeastFall least{radians(std::numbers::pi), 0};
  const Floor floor(layout, up);
  for (const FloorStretch& stretch : floor.stretches()) {
    for (const double station : {stretch.station_from_mm, stretch.station_to_mm}) {
      const double falls = -up.dot(section_at(layout, stretch, station).tangent);
      const Angle fall = radians(std::asin(std::clamp(falls, -1.0, 1.0)));
      if (fall.si() < least.fall.si() - 1e-12) least = {fall, station};
    }
  }
  return least;
}

}  // namespace baywright::measure
