#include "measure/breather_measures.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"
#include "measure/along_duct.hpp"
#include "measure/bend_chain.hpp"
#include "measure/floor.hpp"
#include "measure/water_measures.hpp"

namespace baywright::measure {
namespace {

using duct::Duct;
using duct::Layout;
using duct::PlacedFitting;

Measured fall_in(const Duct& duct, const bay::Attitude& attitude) {
  const LeastFall least = least_fall(duct.layout, attitude.up());
  Measured measured = at_station(duct, to_degrees(least.fall), Unit::degree, least.station_mm);
  measured.band = Band(slope_tolerance(duct, least.station_mm, attitude.up()));
  return measured;
}

}  // namespace

Outcome least_fall_level(const Duct& breather) {
  Measured measured = fall_in(breather, {"level", Angle(), Angle()});
  measured.note = "least at station " + length_text(*measured.station_mm, breather.layout.units);
  return measured;
}

Outcome least_fall_in_attitudes(const Duct& breather, const bay::Bay& bay) {
  if (!bay.attitudes_stated) return no_attitude();
  std::optional<Measured> worst;
  for (const bay::Attitude& attitude : bay.attitudes) {
    Measured measured = fall_in(breather, attitude);
    if (worst && measured.lowest() >= worst->lowest()) continue;
    measured.note =
        "worst attitude: " + attitude.name + ", at station " + length_text(*measured.station_mm, breather.layout.units);
    worst = std::move(measured);
  }
  if (!worst) return no_attitude();
  return *worst;
}

std::string sag(const Duct& breather, const bay::Bay& bay) {
  const std::vector<double> drains = drain_stations(breather.layout);
  for (const bay::Attitude& attitude : bay.attitudes) {
    for (const Pool& pool : pools(Floor(breather.layout, attitude.up()), drains)) {
      return "water stands " + length_text(pool.depth_mm, breather.layout.units) + " deep at station " +
             length_text(pool.lowest().station_from_mm, breather.layout.units) + " (attitude " + attitude.name + ")";
    }
  }
  return "";
}

Outcome narrowest_bore_ratio(const Duct& breather) {
  const Layout& layout = breather.layout;
  const double outlet = layout.bore_ahead_mm.value_or(layout.tube_at(0).bore_mm());
  double narrowest = outlet, where = 0;
  std::string what = "outlet it starts from";
  const auto see = [&](double bore, double station, const std::string& name) {
    if (bore >= narrowest - kBeside_mm) return;
    narrowest = bore;
    where = station;
    what = name;
  };
  std::vector<double> stations{0, layout.length_mm};
  for (const PlacedFitting& fitting : layout.fittings) {
    stations.insert(stations.end(), {fitting.station_from_mm, fitting.station_to_mm});
  }
  std::sort(stations.begin(), stations.end());
  for (const double station : stations) {
    for (const double beside : {station - kBeside_mm, station + kBeside_mm}) {
      if (beside < 0 || beside > layout.length_mm) continue;
      see(layout.tube_at(beside).bore_mm(), station, "tube at station " + length_text(station, layout.units));
    }
  }
  if (layout.bore_behind_mm) see(*layout.bore_behind_mm, layout.length_mm, "nipple it ends on");
  Measured measured = at_station(breather, narrowest / outlet, Unit::ratio, where);
  measured.note = "narrowest: " + what + ", " + length_text(narrowest, layout.units);
  return measured;
}

Outcome whole_length(const Duct& duct) {
  Measured measured = at_station(duct, duct.layout.length_mm, Unit::mm, duct.layout.length_mm);
  measured.band = along_band(duct, 0, "start of the duct", duct.layout.length_mm, "end of the duct");
  return measured;
}

Entry entry_of(const Duct& duct, const bay::Bay& bay, const PlacedFitting& port) {
  const auto& branch = std::get<duct::BranchPort>(port.kind);
  const std::string path = "ducts/" + duct.spec.id.value + "/fittings/" + port.id.value + "/";
  Entry entry;
  entry.angle = branch.angle.value_or(degrees(90));
  if (!branch.angle) entry.missing.push_back(path + "angle_deg");
  if (!branch.intrusion_mm) entry.missing.push_back(path + "intrusion_mm");
  if (!bay.attitudes_stated) entry.missing.emplace_back("attitudes");
  const Vec3 tangent = duct.layout.at(port.station_from_mm).tangent;
  const Vec3 outward = duct::outward_direction(tangent, branch.clock);
  for (const bay::Attitude& attitude : bay.attitudes) {
    const auto clock = duct::clock_of(tangent, attitude.up(), outward);
    if (!bay.attitudes_stated || !clock) continue;
    const double angle = std::abs(to_degrees(*clock));
    if (!entry.attitude.empty() && angle <= entry.clock_deg) continue;
    entry.clock_deg = angle;
    entry.attitude = attitude.name;
  }
  Measured measured = at_station(duct, branch.intrusion_mm.value_or(0), Unit::mm, port.station_from_mm);
  if (!branch.intrusion_mm) measured.note = "how far it reaches in is not stated; ";
  measured.note +=
      branch.angle ? "enters at " + format(to_degrees(entry.angle), Unit::degree, duct.layout.units) + " to the flow"
                   : std::string("its angle is not stated");
  if (!entry.attitude.empty()) {
    measured.note += ", " + format(entry.clock_deg, Unit::degree, duct.layout.units) + " from up at most (attitude " +
                     entry.attitude + ")";
  }
  entry.intrusion = std::move(measured);
  return entry;
}

}  // namespace baywright::measure
