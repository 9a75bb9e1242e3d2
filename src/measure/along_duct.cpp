#include "measure/along_duct.hpp"

#include <algorithm>
#include <cmath>

#include "measure/tolerances.hpp"

namespace baywright::measure {

using duct::Bend;
using duct::Duct;
using duct::Layout;
using duct::PlacedFitting;

namespace {

// The trade's rule for counting bends (common practice, no source).
const Angle kSmallestBend = degrees(10);
const Angle kSamePlane = degrees(10);
constexpr double kOneBendStraight_OD = 0.25;
/// Rounding of an angle that was meant to be exactly at a limit.
constexpr double kRounding_rad = 1e-9;

/// Arcs that follow one another and count as one bend.
bool one_bend(const Layout& layout, const Bend& first, const Bend& second) {
  const double straight = second.station_from_mm - first.station_to_mm;
  const double limit = kOneBendStraight_OD * layout.tube_at(second.station_from_mm - 0.5 * straight).outer_diameter_mm;
  return straight < limit && std::abs(second.rotation.si()) <= kSamePlane.si() + kRounding_rad;
}

}  // namespace

Measured at_station(const Duct& duct, double value, Unit unit, double station_mm) {
  Measured measured = Measured::exact(value, unit);
  measured.station_mm = station_mm;
  measured.at_mm = duct.layout.at(station_mm).p_mm;
  return measured;
}

std::vector<const Bend*> real_bends(const Layout& layout) {
  std::vector<const Bend*> bends;
  for (const Bend& bend : layout.bends) {
    if (bend.bends()) bends.push_back(&bend);
  }
  return bends;
}

std::vector<CountedBend> counted_bends(const Layout& layout) {
  std::vector<CountedBend> counted;
  bool follows = false;  // the arc just before counted, or was counted with one before it
  for (const Bend* bend : real_bends(layout)) {
    if (bend->angle.si() < kSmallestBend.si() - kRounding_rad) {
      follows = false;
      continue;
    }
    if (follows && one_bend(layout, *counted.back().last, *bend)) {
      counted.back().last = bend;
      counted.back().arcs.push_back(bend);
    } else {
      counted.push_back({bend, bend, {bend}});
    }
    follows = true;
  }
  return counted;
}

const PlacedFitting* sensor_fitting(const Layout& layout) {
  const auto found = std::find_if(layout.fittings.begin(), layout.fittings.end(), [](const PlacedFitting& fitting) {
    return std::holds_alternative<duct::SensorTube>(fitting.kind);
  });
  return found == layout.fittings.end() ? nullptr : &*found;
}

double sensor_station(const PlacedFitting& fitting) {
  return fitting.station_from_mm + std::get<duct::SensorTube>(fitting.kind).sensor_offset_mm;
}

std::vector<const PlacedFitting*> branch_ports(const Layout& layout) {
  std::vector<const PlacedFitting*> ports;
  for (const PlacedFitting& fitting : layout.fittings) {
    if (std::holds_alternative<duct::BranchPort>(fitting.kind)) ports.push_back(&fitting);
  }
  return ports;
}

Band along_band(const Duct& duct, double from_mm, const std::string& from, double to_mm, const std::string& to) {
  Band band;
  bool from_at_bend = false, to_at_bend = false;
  for (const Bend* bend : real_bends(duct.layout)) {
    if (bend->station_to_mm < from_mm - kRounding_mm || bend->station_from_mm > to_mm + kRounding_mm) continue;
    from_at_bend = from_at_bend || bend->station_from_mm <= from_mm + kRounding_mm;
    to_at_bend = to_at_bend || bend->station_to_mm >= to_mm - kRounding_mm;
    band.add(bend_tolerance(duct.spec, "bend at " + bend->at.value, duct.layout.units));
  }
  if (!from_at_bend) band.add(fitting_tolerance(duct.spec, from, duct.layout.units));
  if (!to_at_bend) band.add(fitting_tolerance(duct.spec, to, duct.layout.units));
  return band;
}

NotAssessed no_attitude() {
  return {"nobody said how the vehicle may stand; one attitude, be it level, has to be stated", {"attitudes"}};
}

NotAssessed lacking(const Duct& duct, const std::string& fitting, const char* key) {
  return {"the duct has no " + fitting + " (if there is to be none, say \"" + key + "\": \"none\")",
          {"ducts/" + duct.spec.id.value + "/fittings: " + fitting}};
}

}  // namespace baywright::measure
