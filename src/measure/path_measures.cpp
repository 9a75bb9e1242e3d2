#include "measure/path_measures.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"
#include "measure/along_duct.hpp"
#include "measure/tolerances.hpp"

namespace baywright::measure {
namespace {

using duct::Bend;
using duct::Duct;
using duct::Layout;
using duct::PlacedFitting;

/// Far enough behind a hose's gap to be on the tube there.
constexpr double kBehind_mm = 1e-6;

double outer_diameter(const Layout& layout, double station_mm) { return layout.tube_at(station_mm).outer_diameter_mm; }

Outcome straight_at_sensor(const Duct& duct, bool before) {
  const PlacedFitting* fitting = sensor_fitting(duct.layout);
  if (!fitting) return lacking(duct, "sensor tube", "sensor");
  const double sensor = sensor_station(*fitting);
  const StraightRun run = straight_run(duct, sensor);
  Measured measured = at_station(duct, before ? sensor - run.from_mm : run.to_mm - sensor, Unit::mm, sensor);
  measured.note = before ? "starts at " + run.ends_at_upstream : "ends at " + run.ends_at_downstream;
  measured.band = before ? along_band(duct, run.from_mm, run.ends_at_upstream, sensor, "sensor")
                         : along_band(duct, sensor, "sensor", run.to_mm, run.ends_at_downstream);
  for (const StraightRun::Passed& passed : run.inside) {
    if ((passed.station_mm < sensor) == before) measured.note += "; passes " + passed.name;
  }
  const double boss = std::get<duct::SensorTube>(fitting->kind).boss_radius_mm;
  if (boss > 0) measured.asides.push_back({"to the edge of the boss", measured.lo - boss, Unit::mm});
  return measured;
}

/// Cut by a coupler's gap anywhere, ends included (an elbow's gap starts beside its bend).
bool cut_by_coupler(const Layout& layout, const duct::Straight& straight) {
  return std::any_of(layout.fittings.begin(), layout.fittings.end(), [&](const PlacedFitting& fitting) {
    return std::holds_alternative<duct::Coupler>(fitting.kind) &&
           fitting.station_to_mm >= straight.station_from_mm - kRounding_mm &&
           fitting.station_from_mm <= straight.station_to_mm + kRounding_mm;
  });
}

}  // namespace

Outcome bend_count(const Duct& duct) {
  const std::vector<CountedBend> bends = counted_bends(duct.layout);
  std::string merged;
  for (const CountedBend& bend : bends) {
    for (std::size_t i = 1; i < bend.arcs.size(); ++i) {
      merged +=
          (merged.empty() ? "counted as one: " : "; ") + bend.arcs[i - 1]->at.value + " with " + bend.arcs[i]->at.value;
    }
  }
  Measured measured = Measured::exact(static_cast<double>(bends.size()), Unit::count);
  measured.note = merged;
  return measured;
}

Outcome total_turning(const Duct& duct) {
  double sum = 0;
  for (const Bend* bend : real_bends(duct.layout)) sum += to_degrees(bend->angle);
  return Measured::exact(sum, Unit::degree);
}

Outcome smallest_radius_ratio(const Duct& duct) {
  const auto bends = real_bends(duct.layout);
  if (bends.empty()) return NotAssessed{"the duct has no bend", {}};
  // The two pieces of a mitre meet in a corner; of more pieces the arc that they touch counts.
  const auto ratio = [&](const Bend* bend) {
    return bend->pieces == 2 ? 0 : bend->radius_mm / outer_diameter(duct.layout, middle_mm(*bend));
  };
  const Bend* tightest =
      *std::min_element(bends.begin(), bends.end(), [&](const Bend* a, const Bend* b) { return ratio(a) < ratio(b); });
  Measured measured = at_station(duct, ratio(tightest), Unit::ratio, middle_mm(*tightest));
  measured.note = "bend at " + tightest->at.value;
  if (tightest->pieces == 2) measured.note += ", a mitre: a corner without a radius";
  if (tightest->pieces > 2) measured.note += ", welded of " + std::to_string(tightest->pieces) + " pieces";
  return measured;
}

Outcome straight_before_sensor(const Duct& duct) { return straight_at_sensor(duct, true); }
Outcome straight_after_sensor(const Duct& duct) { return straight_at_sensor(duct, false); }

Outcome sensor_clock(const Duct& duct, const bay::Bay& bay) {
  const PlacedFitting* fitting = sensor_fitting(duct.layout);
  if (!fitting) return lacking(duct, "sensor tube", "sensor");
  const double station = sensor_station(*fitting);
  const Vec3 tangent = duct.layout.at(station).tangent;
  const Vec3 outward = duct::outward_direction(tangent, std::get<duct::SensorTube>(fitting->kind).clock);
  std::vector<bay::Attitude> attitudes = bay.attitudes;
  if (attitudes.empty()) attitudes.push_back({"level", Angle(), Angle()});
  double worst = -1;
  std::string worst_name, upright;
  for (const bay::Attitude& attitude : attitudes) {
    const auto clock = duct::clock_of(tangent, attitude.up(), outward);
    if (!clock) {
      upright += (upright.empty() ? "" : ", ") + attitude.name;
      continue;
    }
    const double angle = std::abs(to_degrees(*clock));
    if (angle <= worst) continue;
    worst = angle;
    worst_name = attitude.name;
  }
  if (worst_name.empty()) {
    return NotAssessed{"the sensor tube is within 15 degrees of vertical (attitude " + upright +
                           "): it has no clock angle, judge the direction of flow instead",
                       {}};
  }
  Measured measured = at_station(duct, worst, Unit::degree, station);
  measured.note = "worst attitude: " + worst_name;
  if (!upright.empty()) measured.note += "; no clock angle, within 15 degrees of vertical: " + upright;
  Contribution around = fitting_tolerance(duct.spec, "sensor, around the tube", duct.layout.units);
  around.low = around.high = to_degrees(radians(around.high / (0.5 * outer_diameter(duct.layout, station))));
  measured.band.add(around);
  return measured;
}

Outcome sensor_to_breather(const Duct& duct) {
  const PlacedFitting* sensor = sensor_fitting(duct.layout);
  if (!sensor) return lacking(duct, "sensor tube", "sensor");
  const auto ports = branch_ports(duct.layout);
  if (ports.empty()) return lacking(duct, "branch port", "breather");
  const double station = ports.front()->station_from_mm;
  Measured measured = at_station(duct, station - sensor_station(*sensor), Unit::mm, station);
  measured.note = named("branch port", ports.front()->id.value);
  const double sensor_mm = sensor_station(*sensor);
  measured.band = along_band(duct, std::min(sensor_mm, station), "sensor", std::max(sensor_mm, station), measured.note);
  return measured;
}

Outcome breather_to_compressor(const Duct& duct) {
  const auto ports = branch_ports(duct.layout);
  if (ports.empty()) return lacking(duct, "branch port", "breather");
  const double station = ports.back()->station_from_mm;
  Measured measured = at_station(duct, duct.layout.length_mm - station, Unit::mm, station);
  measured.note = named("branch port", ports.back()->id.value);
  measured.band = along_band(duct, station, measured.note, duct.layout.length_mm, "end of the duct");
  return measured;
}

std::vector<Outcome> grip_lengths(const Duct& duct) {
  const Layout& layout = duct.layout;
  std::vector<Outcome> grips;
  const auto straights = layout.straights();
  const auto bends = real_bends(layout);
  for (std::size_t i = 1; i + 1 < straights.size(); ++i) {
    if (cut_by_coupler(layout, straights[i])) continue;
    const double station = 0.5 * (straights[i].station_from_mm + straights[i].station_to_mm);
    Measured measured =
        at_station(duct, straights[i].length_mm() / outer_diameter(layout, station), Unit::ratio, station);
    measured.note = "straight " + bends[i - 1]->at.value + " - " + bends[i]->at.value + ", " +
                    length_text(straights[i].length_mm(), layout.units);
    for (const Bend* bend : {bends[i - 1], bends[i]}) {
      Contribution c = bend_tolerance(duct.spec, "bend at " + bend->at.value, duct.layout.units);
      c.low = c.high = c.high / outer_diameter(layout, station);
      measured.band.add(c);
    }
    grips.emplace_back(measured);
  }
  return grips;
}

namespace {

double half_angle_deg(double bore_from_mm, double bore_to_mm, double length_mm) {
  return to_degrees(radians(std::atan2(bore_from_mm - bore_to_mm, 2 * length_mm)));
}

/// A cone that comes out shorter is steeper. The angle is not linear in the length, so both ends are worked out with
/// twice the standard uncertainty.
Contribution cone_length_band(const Duct& duct, const duct::PlacedFitting& cone, double bore_from_mm,
                              double bore_to_mm) {
  Contribution c = fitting_tolerance(duct.spec, "length of " + named("cone", cone.id.value), duct.layout.units);
  const double length = cone.station_to_mm - cone.station_from_mm;
  const auto angle = [&](double by_mm) {
    return half_angle_deg(bore_from_mm, bore_to_mm, std::max(length + by_mm, 0.0));
  };
  const double as_drawn = angle(0), shorter = angle(-2 * c.high), longer = angle(2 * c.high);
  c.kind = Contribution::Kind::expanded;
  c.low = as_drawn - std::min(shorter, longer);
  c.high = std::max(shorter, longer) - as_drawn;
  return c;
}

}  // namespace

std::vector<Outcome> cone_half_angles(const Duct& duct) {
  const Layout& layout = duct.layout;
  std::vector<Outcome> angles;
  for (const PlacedFitting& fitting : layout.fittings) {
    const auto* reducer = std::get_if<duct::Reducer>(&fitting.kind);
    const auto* hose = std::get_if<duct::Coupler>(&fitting.kind);
    const bool reduces = hose && hose->shape == duct::CouplerShape::reducer;
    if (!reducer && !reduces) continue;
    const double ahead = reducer ? 0 : kBehind_mm;  // a gap of no length is downstream of itself
    const double from = layout.tube_at(fitting.station_from_mm - ahead).bore_mm();
    const double to = reducer ? reducer->to.bore_mm() : layout.tube_at(fitting.station_to_mm + kBehind_mm).bore_mm();
    const double length = fitting.station_to_mm - fitting.station_from_mm;
    Measured measured = at_station(duct, half_angle_deg(from, to, length), Unit::degree,
                                   0.5 * (fitting.station_from_mm + fitting.station_to_mm));
    measured.band.add(cone_length_band(duct, fitting, from, to));
    measured.note = named(reducer ? "cone" : "reducing hose", fitting.id.value);
    angles.emplace_back(measured);
  }
  return angles;
}

namespace {

void add_unstated(const Duct& duct, const PlacedFitting& fitting, std::vector<std::string>& unstated) {
  const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
  if (!coupler) return;
  const std::string path = "ducts/" + duct.spec.id.value + "/fittings/" + fitting.id.value + "/";
  if (!(coupler->axial_mm > 0)) unstated.push_back(path + "axial_mm");
  if (!(coupler->lateral_mm > 0)) unstated.push_back(path + "lateral_mm");
  if (!(coupler->angle.si() > 0)) unstated.push_back(path + "angle_deg");
}

}  // namespace

std::vector<GroupCrossing> group_crossings(const Duct& duct, const bay::Bay& bay) {
  (void)bay;
  const Layout& layout = duct.layout;
  std::vector<GroupCrossing> crossings;
  for (std::size_t h = 0; h + 1 < layout.holds.size(); ++h) {
    const duct::Hold &a = layout.holds[h], &b = layout.holds[h + 1];
    if (a.carriage == b.carriage) continue;
    GroupCrossing crossing;
    crossing.station_mm = 0.5 * (a.station_mm + b.station_mm);
    if (!a.bodies.empty()) crossing.from = a.bodies.back();
    if (!b.bodies.empty()) crossing.to = b.bodies.front();
    std::vector<std::string> joints;
    for (const PlacedFitting& fitting : layout.fittings) {
      if (!fitting.separates || fitting.station_to_mm < a.station_mm || fitting.station_from_mm > b.station_mm)
        continue;
      if (joints.empty()) crossing.station_mm = 0.5 * (fitting.station_from_mm + fitting.station_to_mm);
      joints.push_back(fitting.id.value);
      add_unstated(duct, fitting, crossing.unstated);
    }
    crossing.has_soft_joint = !joints.empty();
    crossing.joint = joined(joints);
    crossing.from_hold = a.by;
    crossing.to_hold = b.by;
    crossings.push_back(crossing);
  }
  return crossings;
}

}  // namespace baywright::measure
