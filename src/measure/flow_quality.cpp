#include "measure/flow_quality.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"
#include "measure/along_duct.hpp"
#include "measure/bend_chain.hpp"
#include "measure/path_measures.hpp"

namespace baywright::measure {
namespace {

using duct::Duct;
using duct::Layout;
using duct::PlacedFitting;

/// Trade's rule for swirl (common practice, no source; the reason is in ISO 5167-2, which asks for more straight after
/// two bends in different planes).
constexpr double kPairWithin_D = 5, kRunsOut_D = 4;

double bore_at(const Layout& layout, double station_mm) { return layout.tube_at(station_mm).bore_mm(); }

/// Stations on both sides of which the bore may differ, within a run.
std::vector<double> bore_places(const Layout& layout, double from_mm, double to_mm) {
  std::vector<double> places{from_mm + kBeside_mm, to_mm - kBeside_mm};
  for (const PlacedFitting& fitting : layout.fittings) {
    for (const double station : {fitting.station_from_mm, fitting.station_to_mm}) {
      for (const double beside : {station - kBeside_mm, station + kBeside_mm}) {
        if (beside > from_mm && beside < to_mm) places.push_back(beside);
      }
    }
  }
  return places;
}

/// A contribution in bores.
Band over(const Band& band, double bore_mm) {
  Band scaled;
  for (Contribution c : band.contributions()) {
    c.low /= bore_mm;
    c.high /= bore_mm;
    scaled.add(std::move(c));
  }
  return scaled;
}

}  // namespace

Outcome sensor_bore_departure(const Duct& duct) {
  const Layout& layout = duct.layout;
  const PlacedFitting* fitting = sensor_fitting(layout);
  if (!fitting) return lacking(duct, "sensor tube", "sensor");
  const auto& sensor = std::get<duct::SensorTube>(fitting->kind);
  if (!sensor.measured_bore_mm) {
    return NotAssessed{"nobody measured the bore of the sensor tube (least and greatest diameter)",
                       {"ducts/" + duct.spec.id.value + "/fittings/" + fitting->id.value + "/measured_bore_mm"}};
  }
  const double calibrated = sensor.tube.bore_mm();
  const auto [least, greatest] = *sensor.measured_bore_mm;
  const double station = sensor_station(*fitting);
  const DisplayUnits& units = layout.units;
  double worst = std::max(std::abs(least - calibrated), std::abs(greatest - calibrated));
  std::string note = "measured " + length_text(least, units) + " to " + length_text(greatest, units) + ", calibrated " +
                     length_text(calibrated, units);
  double where = station;
  const StraightRun run = straight_run(duct, station);
  for (const double place : bore_places(layout, run.from_mm, run.to_mm)) {
    const double bore = bore_at(layout, place);
    if (std::abs(bore - calibrated) <= worst + kBeside_mm) continue;
    worst = std::abs(bore - calibrated);
    where = place;
    note = "bore of " + length_text(bore, units) + " at station " + length_text(place, units) + ", calibrated " +
           length_text(calibrated, units);
  }
  Measured measured = at_station(duct, 100 * worst / calibrated, Unit::percent, where);
  measured.note = std::move(note);
  return measured;
}

namespace {

bool straightener_between(const Layout& layout, double from_mm, double to_mm) {
  return std::any_of(layout.fittings.begin(), layout.fittings.end(), [&](const PlacedFitting& fitting) {
    return std::holds_alternative<duct::FlowStraightener>(fitting.kind) && fitting.station_from_mm >= from_mm &&
           fitting.station_to_mm <= to_mm;
  });
}

/// Bends that end ahead of a station, in order.
std::vector<CountedBend> bends_ahead(const Layout& layout, double station_mm) {
  std::vector<CountedBend> ahead;
  for (const CountedBend& bend : counted_bends(layout)) {
    if (bend.last->station_to_mm <= station_mm + kBeside_mm) ahead.push_back(bend);
  }
  return ahead;
}

/// Folded to 0 to 90 degrees.
double between_planes_deg(const duct::Bend& a, const duct::Bend& b) {
  return to_degrees(radians(std::acos(std::min(1.0, std::abs(a.normal.dot(b.normal))))));
}

/// Along the duct between a bend's end and the sensor.
Measured to_sensor(const Duct& duct, double from_mm, const std::string& from, double sensor_mm) {
  Measured m = at_station(duct, sensor_mm - from_mm, Unit::mm, sensor_mm);
  m.band = along_band(duct, from_mm, from, sensor_mm, "sensor");
  return m;
}

}  // namespace

std::optional<double> swirling_pair_deg(const Duct& duct, double station_mm, double bore_mm) {
  const std::vector<CountedBend> ahead = bends_ahead(duct.layout, station_mm);
  if (ahead.size() < 2) return std::nullopt;
  const duct::Bend& first = *ahead[ahead.size() - 2].last;
  if (straightener_between(duct.layout, ahead.back().last->station_to_mm, station_mm) ||
      station_mm - first.station_to_mm > kPairWithin_D * bore_mm ||
      station_mm - straight_run(duct, station_mm).from_mm >= kRunsOut_D * bore_mm) {
    return std::nullopt;
  }
  return between_planes_deg(first, *ahead.back().first);
}

Outcome planes_ahead_of_sensor(const Duct& duct) {
  const Layout& layout = duct.layout;
  const PlacedFitting* fitting = sensor_fitting(layout);
  if (!fitting) return lacking(duct, "sensor tube", "sensor");
  const double sensor = sensor_station(*fitting);
  const std::vector<CountedBend> ahead = bends_ahead(layout, sensor);
  if (ahead.size() < 2) return NotAssessed{"fewer than two bends lie ahead of the sensor", {}};
  const duct::Bend& first = *ahead[ahead.size() - 2].last;
  const duct::Bend& second = *ahead.back().first;
  const double bore = std::get<duct::SensorTube>(fitting->kind).tube.bore_mm();
  if (straightener_between(layout, ahead.back().last->station_to_mm, sensor)) {
    return NotAssessed{"a flow straightener stands between the last bend and the sensor", {}};
  }
  const Measured away = to_sensor(duct, first.station_to_mm, "bend at " + first.at.value, sensor);
  const StraightRun run = straight_run(duct, sensor);
  const Measured straight = to_sensor(duct, run.from_mm, run.ends_at_upstream, sensor);
  if (away.lowest() > kPairWithin_D * bore) {
    return NotAssessed{"no two bends end within 5 bores ahead of the sensor", {}};
  }
  if (straight.lowest() >= kRunsOut_D * bore) {
    return NotAssessed{"at least 4 bores of straight run lie ahead of the sensor", {}};
  }
  const double angle = between_planes_deg(first, second);
  Measured measured = at_station(duct, angle, Unit::degree, 0.5 * (first.station_to_mm + second.station_from_mm));
  measured.note = "bends at " + first.at.value + " and " + second.at.value + ", " +
                  length_text(straight.lo, layout.units) + " of straight run ahead of the sensor";
  measured.band.add(rotation_tolerance(duct.spec, "bend at " + second.at.value));
  const bool surely = away.highest() <= kPairWithin_D * bore && straight.highest() < kRunsOut_D * bore;
  if (!surely) {
    measured.lo = 0;
    measured.note += "; as made perhaps far enough from it";
  }
  return measured;
}

Outcome straight_before_end(const Duct& duct) {
  const Layout& layout = duct.layout;
  double from = 0;
  std::string at = layout.holds.empty() ? "start of the duct" : layout.holds.front().by;
  const auto ends = [&](double station, const std::string& name) {
    if (station <= from) return;
    from = station;
    at = name;
  };
  for (const duct::Bend* bend : real_bends(layout)) ends(bend->station_to_mm, "bend at " + bend->at.value);
  for (const PlacedFitting& fitting : layout.fittings) {
    const auto* hose = std::get_if<duct::Coupler>(&fitting.kind);
    const auto* branch = std::get_if<duct::BranchPort>(&fitting.kind);
    if (std::holds_alternative<duct::Reducer>(fitting.kind)) {
      ends(fitting.station_to_mm, named("cone", fitting.id.value));
    } else if (hose && hose->to) {
      ends(fitting.station_to_mm, named("reducing hose", fitting.id.value));
    } else if (branch && branch->bore_mm > kSidePortRatio * bore_at(layout, fitting.station_from_mm)) {
      ends(fitting.station_from_mm, named("branch port", fitting.id.value));
    }
  }
  const double bore = bore_at(layout, layout.length_mm - kBeside_mm);
  Measured measured = at_station(duct, (layout.length_mm - from) / bore, Unit::ratio, layout.length_mm);
  measured.band = over(along_band(duct, from, at, layout.length_mm, "end of the duct"), bore);
  measured.note = length_text(layout.length_mm - from, layout.units) + ", starts at " + at;
  for (const PlacedFitting& fitting : layout.fittings) {
    const auto* hose = std::get_if<duct::Coupler>(&fitting.kind);
    if (hose && !hose->to && fitting.station_to_mm > from)
      measured.note += "; passes " + named("coupler", fitting.id.value);
  }
  return measured;
}

std::vector<TapStraight> straights_at_taps(const Duct& duct) {
  std::vector<TapStraight> out;
  for (const PlacedFitting& fitting : duct.layout.fittings) {
    if (!std::holds_alternative<duct::RestrictionTap>(fitting.kind)) continue;
    const double station = fitting.station_from_mm, bore = bore_at(duct.layout, station);
    const StraightRun run = straight_run(duct, station);
    const std::string name = named("tap", fitting.id.value);
    Measured ahead = at_station(duct, (station - run.from_mm) / bore, Unit::ratio, station);
    ahead.band = over(along_band(duct, run.from_mm, run.ends_at_upstream, station, name), bore);
    ahead.note = length_text(station - run.from_mm, duct.layout.units) + " behind " + run.ends_at_upstream;
    Measured behind = at_station(duct, (run.to_mm - station) / bore, Unit::ratio, station);
    behind.band = over(along_band(duct, station, name, run.to_mm, run.ends_at_downstream), bore);
    behind.note = length_text(run.to_mm - station, duct.layout.units) + " ahead of " + run.ends_at_downstream;
    out.push_back({fitting.id, ahead.lowest() <= behind.lowest() ? ahead : behind});
  }
  return out;
}

}  // namespace baywright::measure
