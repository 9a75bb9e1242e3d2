#include "duct/piece_shapes.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "duct/fitting_layout.hpp"

namespace baywright::duct {
namespace {

constexpr double kNothing_mm = 1e-9;
/// Diameters that differ by less are stated in other units or rounded: one hose fits both. The larger one counts.
constexpr double kSameSize_mm = 0.1;
/// Arc covered by one of the short cylinders that stand for a bend near a flat end.
const double kShortArc_rad = degrees(2).si();
/// Hose beyond a band: at least 1/4 inch in clamp makers' instructions; axial size of band and screw: common practice.
constexpr double kHoseBeyondBand_mm = 6.4;
constexpr double kBandWidth_mm = 20;

/// Collects shapes of a run with flat ends at stations from and to: round ends keep their radius away from them.
struct ShapeRun {
  double from_mm, to_mm;
  std::vector<Primitive>& out;

  void add(Shape shape, double a, double b) { out.push_back({std::move(shape), 0, a, b}); }

  /// Stations between which a round end of this radius cannot reach past the run's ends, within [a, b].
  std::pair<double, double> round_zone(double a, double b, double radius) const {
    const double first = std::clamp(from_mm + radius, a, b);
    return {first, std::max(first, std::clamp(to_mm - radius, a, b))};
  }

  /// Straight from station a to b; `p` is the point at station a.
  void straight(const Vec3& p, const Vec3& direction, double a, double b, double radius, bool flat) {
    const auto at = [&](double s) -> Vec3 { return p + (s - a) * direction; };
    const auto [c, d] = round_zone(a, b, radius);
    if (flat || d - c <= kNothing_mm) {
      add(Collar{at(a), at(b), radius}, a, b);
      return;
    }
    if (c - a > kNothing_mm) add(Collar{at(a), at(c), radius}, a, c);
    add(Cylinder{at(c), at(d), radius}, c, d);
    if (b - d > kNothing_mm) add(Collar{at(d), at(b), radius}, d, b);
  }

  /// Part a..b of an arc that starts at station `start`.
  void arc(const TorusSegment& whole, double start, double a, double b) {
    const auto [c, d] = round_zone(a, b, whole.radius_mm);
    if (d - c <= kNothing_mm) {
      short_cylinders(whole, start, a, b);
      return;
    }
    if (c - a > kNothing_mm) short_cylinders(whole, start, a, c);
    add(part(whole, (c - start) / whole.bend_radius_mm, (d - start) / whole.bend_radius_mm), c, d);
    if (b - d > kNothing_mm) short_cylinders(whole, start, d, b);
  }

  /// Stretch a..b of a bend welded of straight pieces: those it meets, from corner to corner. Flat ends long enough to
  /// close the outside of each corner; beyond a or b a piece goes on to its own corner, which is no less than there is.
  void pieces(const TorusSegment& arc, int count, double start, double a, double b) {
    const double turn = arc.angle_rad / (count - 1);
    const double corner = arc.bend_radius_mm / std::cos(0.5 * turn), wedge = arc.radius_mm * std::tan(0.5 * turn);
    const auto corner_at = [&](int i) -> Vec3 {
      const double t = (i + 0.5) * turn;
      return arc.center + corner * (std::cos(t) * arc.e0 + std::sin(t) * arc.e1);
    };
    const auto station = [&](double t) { return start + arc.bend_radius_mm * t; };
    for (int i = 0; i < count; ++i) {
      const bool first = i == 0, last = i + 1 == count;
      const double s0 = first ? start : station((i - 0.5) * turn);
      const double s1 = last ? station(arc.angle_rad) : station((i + 0.5) * turn);
      if (std::min(s1, b) - std::max(s0, a) <= kNothing_mm) continue;
      const Vec3 p = first ? arc.axis_point(0) : corner_at(i - 1),
                 q = last ? arc.axis_point(arc.angle_rad) : corner_at(i);
      const Vec3 along = (q - p).normalized();
      add(Collar{first ? p : Vec3(p - wedge * along), last ? q : Vec3(q + wedge * along), arc.radius_mm},
          std::max(s0, a), std::min(s1, b));
    }
  }

  static TorusSegment part(const TorusSegment& whole, double t0, double t1) {
    TorusSegment segment = whole;
    segment.e0 = std::cos(t0) * whole.e0 + std::sin(t0) * whole.e1;
    segment.e1 = -std::sin(t0) * whole.e0 + std::cos(t0) * whole.e1;
    segment.angle_rad = t1 - t0;
    return segment;
  }

  /// Flat-ended cylinders along chords, wide by the arc's rise over the chord and long enough to close the wedges on
  /// the outside: they contain the arc's tube.
  void short_cylinders(const TorusSegment& whole, double start, double a, double b) {
    const double radius = whole.bend_radius_mm;
    const int count = std::max(1, static_cast<int>(std::ceil((b - a) / radius / kShortArc_rad)));
    const double step = (b - a) / count, half = 0.5 * step / radius;
    const double rise = radius * (1 - std::cos(half)), wedge = whole.radius_mm * std::tan(half);
    for (int i = 0; i < count; ++i) {
      const double s = a + i * step;
      const Vec3 p = whole.axis_point((s - start) / radius), q = whole.axis_point((s + step - start) / radius);
      const Vec3 along = (q - p).normalized();
      add(Collar{p - wedge * along, q + wedge * along, whole.radius_mm + rise}, s, s + step);
    }
  }
};

TorusSegment torus_of(const Bend& bend, double radius_mm) {
  return {bend.center, bend.e0, bend.e1, bend.radius_mm, bend.angle.si(), radius_mm};
}

/// Tube or hose of constant radius along the centerline; past the duct's ends it goes straight on.
void add_run(const Layout& layout, double from_mm, double to_mm, double radius_mm, bool flat,
             std::vector<Primitive>& out) {
  ShapeRun run{from_mm, to_mm, out};
  for (std::size_t i = 0; i < layout.legs.size(); ++i) {
    const Leg& leg = layout.legs[i];
    const bool last = i + 1 == layout.legs.size();
    const double a = i == 0 ? from_mm : std::max(from_mm, leg.station_from_mm);
    const double b = last ? to_mm : std::min(to_mm, leg.station_to_mm);
    if (b - a > kNothing_mm) {
      const Vec3 p = leg.start_mm + (a - leg.station_from_mm) * leg.direction;
      run.straight(p, leg.direction, a, b, radius_mm, flat);
    }
    if (last) break;
    const Bend& bend = layout.bends[i];
    const double c = std::max(from_mm, bend.station_from_mm), d = std::min(to_mm, bend.station_to_mm);
    if (d - c <= kNothing_mm) continue;
    if (bend.pieces > 0) {
      run.pieces(torus_of(bend, radius_mm), bend.pieces, bend.station_from_mm, c, d);
    } else {
      run.arc(torus_of(bend, radius_mm), bend.station_from_mm, c, d);
    }
  }
}

/// Round boss or nipple standing on the tube, its foot sunk in far enough to leave no gap.
Primitive standing(const Layout& layout, double station_mm, Angle clock, double radius_mm, double height_mm,
                   double tube_radius_mm) {
  const StationFrame frame = layout.at(station_mm);
  const Vec3 outward = outward_direction(frame.tangent, clock);
  const double foot = std::sqrt(std::max(0.0, tube_radius_mm * tube_radius_mm - radius_mm * radius_mm));
  const Collar collar{frame.p_mm + foot * outward, frame.p_mm + (tube_radius_mm + height_mm) * outward, radius_mm};
  return {collar, 0, station_mm, station_mm};
}

/// A nipple that leans: from the axis of the tube on, so that no wedge stays open beside its foot.
Primitive leaning(const Layout& layout, double station_mm, const BranchPort& branch) {
  const StationFrame frame = layout.at(station_mm);
  const Vec3 axis = nipple_axis(frame.tangent, branch);
  const double surface = 0.5 * layout.tube_at(station_mm).outer_diameter_mm / std::sin(branch.angle->si());
  return {Collar{frame.p_mm, frame.p_mm + (surface + branch.height_mm) * axis, 0.5 * branch.outer_diameter_mm}, 0,
          station_mm, station_mm};
}

void add_standing(const Layout& layout, double from_mm, double to_mm, std::vector<Primitive>& out) {
  for (const PlacedFitting& fitting : layout.fittings) {
    if (fitting.station_from_mm < from_mm || fitting.station_to_mm > to_mm) continue;
    if (const auto* sensor = std::get_if<SensorTube>(&fitting.kind)) {
      if (sensor->boss_height_mm <= 0 || sensor->boss_radius_mm <= 0) continue;
      out.push_back(standing(layout, fitting.station_from_mm + sensor->sensor_offset_mm, sensor->clock,
                             sensor->boss_radius_mm, sensor->boss_height_mm, 0.5 * sensor->tube.outer_diameter_mm));
    } else if (const auto* branch = std::get_if<BranchPort>(&fitting.kind)) {
      if (branch->height_mm <= 0) continue;
      if (branch->angle && *branch->angle != degrees(90)) {
        out.push_back(leaning(layout, fitting.station_from_mm, *branch));
        continue;
      }
      out.push_back(standing(layout, fitting.station_from_mm, branch->clock, 0.5 * branch->outer_diameter_mm,
                             branch->height_mm, 0.5 * layout.tube_at(fitting.station_from_mm).outer_diameter_mm));
    }
  }
}

void cut_along(const Shape& shape, double s0, double s1, double a, double b, ShapeRun& run) {
  const auto between = [&](const Vec3& p, const Vec3& q, double s) -> Vec3 {
    return p + (s - s0) / (s1 - s0) * (q - p);
  };
  if (const auto* cylinder = std::get_if<Cylinder>(&shape)) {
    run.straight(between(cylinder->a, cylinder->b, a), (cylinder->b - cylinder->a).normalized(), a, b,
                 cylinder->radius_mm, false);
  } else if (const auto* torus = std::get_if<TorusSegment>(&shape)) {
    run.arc(*torus, s0, a, b);
  } else if (const auto* collar = std::get_if<Collar>(&shape)) {
    run.add(Collar{between(collar->a, collar->b, a), between(collar->a, collar->b, b), collar->radius_mm}, a, b);
  } else {
    const auto& cone = std::get<Cone>(shape);
    const double slope = (cone.radius_b_mm - cone.radius_a_mm) / (s1 - s0);
    run.add(Cone{between(cone.a, cone.b, a), between(cone.a, cone.b, b), cone.radius_a_mm + (a - s0) * slope,
                 cone.radius_a_mm + (b - s0) * slope},
            a, b);
  }
}

/// Outer radius of a hose upstream and downstream of its gap.
std::pair<double, double> hose_radii(const Layout& layout, const PlacedFitting& fitting, double upstream_spigot_mm,
                                     double downstream_spigot_mm) {
  const auto radius = [&](double spigot, double station) {
    return 0.5 * (spigot > 0 ? spigot : layout.tube_at(station).outer_diameter_mm) +
           std::get<Coupler>(fitting.kind).wall_mm;
  };
  // Just upstream of the gap: a sensor tube that ends at the gap still counts.
  return {radius(upstream_spigot_mm, fitting.station_from_mm - 1e-6),
          radius(downstream_spigot_mm, fitting.station_to_mm)};
}

}  // namespace

std::vector<Primitive> tube_shapes(const Layout& layout, double from_mm, double to_mm) {
  std::vector<Primitive> out;
  double done = from_mm;
  const auto plain_until = [&](double station) {
    if (station - done <= kNothing_mm) return;
    add_run(layout, done, station, 0.5 * layout.tube_at(0.5 * (done + station)).outer_diameter_mm, false, out);
  };
  for (const PlacedFitting& fitting : layout.fittings) {
    const double a = fitting.station_from_mm, b = fitting.station_to_mm;
    if (a < from_mm || b > to_mm) continue;
    if (const auto* sensor = std::get_if<SensorTube>(&fitting.kind)) {
      plain_until(a);
      add_run(layout, a, b, 0.5 * sensor->tube.outer_diameter_mm, false, out);
      done = b;
    } else if (const auto* reducer = std::get_if<Reducer>(&fitting.kind)) {
      plain_until(a);
      out.push_back({Cone{layout.at(a).p_mm, layout.at(b).p_mm, 0.5 * layout.tube_at(a).outer_diameter_mm,
                          0.5 * reducer->to.outer_diameter_mm},
                     0, a, b});
      done = b;
    }
  }
  plain_until(to_mm);
  add_standing(layout, from_mm, to_mm, out);
  return out;
}

std::vector<Primitive> coupler_shapes(const Layout& layout, const PlacedFitting& fitting, double upstream_spigot_mm,
                                      double downstream_spigot_mm, bool flexible) {
  const auto& coupler = std::get<Coupler>(fitting.kind);
  const auto [from, to] = hose_stations(fitting, coupler);
  const auto [before, behind] = hose_radii(layout, fitting, upstream_spigot_mm, downstream_spigot_mm);
  const double largest = std::max(before, behind);
  std::vector<Primitive> out;
  if (flexible) {
    const double gap_from = fitting.station_from_mm, gap_to = fitting.station_to_mm;
    add_run(layout, from, gap_from, before, true, out);
    out.push_back({Cylinder{layout.at(gap_from).p_mm, layout.at(gap_to).p_mm, largest}, 0, gap_from, gap_to});
    add_run(layout, gap_to, to, behind, true, out);
  } else if (before == behind) {
    add_run(layout, from, to, largest, true, out);
  } else {
    const double step = before > behind ? fitting.station_to_mm : fitting.station_from_mm;  // the larger one: the gap
    add_run(layout, from, step, before, true, out);
    add_run(layout, step, to, behind, true, out);
  }
  if (coupler.hump_height_mm > 0) {
    const double third = coupler.length_mm / 3;
    add_run(layout, from + third, to - third, largest + coupler.hump_height_mm, true, out);
  }
  return out;
}

bool one_size(const Layout& layout, const PlacedFitting& fitting, double upstream_spigot_mm,
              double downstream_spigot_mm) {
  const auto [before, behind] = hose_radii(layout, fitting, upstream_spigot_mm, downstream_spigot_mm);
  return std::abs(before - behind) <= kSameSize_mm;
}

std::vector<Primitive> clamp_shapes(const Layout& layout, const PlacedFitting& fitting, double upstream_spigot_mm,
                                    double downstream_spigot_mm) {
  const auto& coupler = std::get<Coupler>(fitting.kind);
  std::vector<Primitive> out;
  if (!(coupler.clamp_height_mm > 0)) return out;
  const auto [from, to] = hose_stations(fitting, coupler);
  const auto [before, behind] = hose_radii(layout, fitting, upstream_spigot_mm, downstream_spigot_mm);
  const double gap_from = fitting.station_from_mm, gap_to = fitting.station_to_mm;
  // Where a band begins, from its end of the hose, with this much hose from there to the gap: where that is not stated,
  // it gives way to the gap. Nothing: there is no clamp on that end.
  const auto begins = [&](HoseEnd end, double to_gap) -> std::optional<double> {
    const auto on_end = [end](const HoseClamp& clamp) { return clamp.end == end; };
    const auto clamp = std::find_if(coupler.clamps.begin(), coupler.clamps.end(), on_end);
    if (clamp == coupler.clamps.end() && !coupler.clamps.empty()) return std::nullopt;
    const bool stated = clamp != coupler.clamps.end() && clamp->from_hose_end_mm;
    if (stated) return clamp->from_hose_end_mm;
    return std::max(0.0, std::min(kHoseBeyondBand_mm, to_gap - kBandWidth_mm));
  };
  // A band that is stated to lie over the gap is drawn as far as the tube carries it.
  if (const auto in = begins(HoseEnd::upstream, gap_from - from)) {
    const double a = from + *in, b = std::min(a + kBandWidth_mm, gap_from);
    if (b > a) add_run(layout, a, b, before + coupler.clamp_height_mm, true, out);
  }
  if (const auto in = begins(HoseEnd::downstream, to - gap_to)) {
    const double b = to - *in, a = std::max(b - kBandWidth_mm, gap_to);
    if (b > a) add_run(layout, a, b, behind + coupler.clamp_height_mm, true, out);
  }
  return out;
}

std::vector<Primitive> cut_to(const std::vector<Primitive>& shapes, double from_mm, double to_mm) {
  std::vector<Primitive> out;
  for (const Primitive& primitive : shapes) {
    const double s0 = primitive.station_from_mm, s1 = primitive.station_to_mm;
    const std::size_t first = out.size();
    if (s0 == s1) {
      if (s0 >= from_mm && s0 <= to_mm) out.push_back(primitive);
      continue;
    }
    const double a = std::max(s0, from_mm), b = std::min(s1, to_mm);
    if (b - a <= kNothing_mm) continue;
    ShapeRun run{from_mm, to_mm, out};
    cut_along(primitive.shape, s0, s1, a, b, run);
    for (std::size_t i = first; i < out.size(); ++i) out[i].owner = primitive.owner;
  }
  return out;
}

}  // namespace baywright::duct
