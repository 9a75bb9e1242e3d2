#include "measure/water_measures.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "geometry/base/unit.hpp"
#include "measure/along_duct.hpp"
#include "measure/bend_chain.hpp"

namespace baywright::measure {
namespace {

using duct::Duct;
using duct::Layout;
using duct::PlacedFitting;

/// A floor as steep as this carries water away (common practice, no source).
constexpr double kCarriesAway_deg = 1;
/// Within this of vertical a section has no top (see duct::clock_of).
const double kVertical = std::cos(degrees(15).si());

/// How far a station lies from a low point.
double away(const LowPoint& low, double station_mm) {
  return std::max({0.0, low.station_from_mm - station_mm, station_mm - low.station_to_mm});
}

struct Nearest {
  double distance_mm = std::numeric_limits<double>::infinity();
  double station_mm = 0;  ///< of the low point's near end
  std::string attitude;
};

Nearest nearest_low_point(const Duct& duct, const bay::Bay& bay, double station_mm) {
  Nearest nearest;
  const std::vector<double> drains = drain_stations(duct.layout);
  for (const bay::Attitude& attitude : bay.attitudes) {
    const Floor floor(duct.layout, attitude.up());
    for (const Pool& pool : pools(floor, drains)) {
      for (const LowPoint& low : pool.low_points) {
        const double distance = away(low, station_mm);
        if (distance >= nearest.distance_mm) continue;
        nearest = {distance, std::clamp(station_mm, low.station_from_mm, low.station_to_mm), attitude.name};
      }
    }
  }
  return nearest;
}

struct LeastSlope {
  double slope_deg = 90;
  Band band;
  std::string attitude;
};

LeastSlope least_slope(const Duct& duct, const bay::Bay& bay, double station_mm) {
  LeastSlope least;
  const Vec3 tangent = duct.layout.at(station_mm).tangent;
  for (const bay::Attitude& attitude : bay.attitudes) {
    const double slope = to_degrees(radians(std::asin(std::clamp(std::abs(attitude.up().dot(tangent)), 0.0, 1.0))));
    if (slope >= least.slope_deg) continue;
    least = {slope, Band(slope_tolerance(duct, station_mm, attitude.up())), attitude.name};
  }
  return least;
}

}  // namespace

std::vector<double> drain_stations(const Layout& layout) {
  std::vector<double> stations;
  for (const PlacedFitting& fitting : layout.fittings) {
    if (std::holds_alternative<duct::Drain>(fitting.kind)) stations.push_back(fitting.station_from_mm);
  }
  return stations;
}

Outcome sensor_to_low_point(const Duct& duct, const bay::Bay& bay) {
  const PlacedFitting* fitting = sensor_fitting(duct.layout);
  if (!fitting) return lacking(duct, "sensor tube", "sensor");
  if (!bay.attitudes_stated) return no_attitude();
  const double sensor = sensor_station(*fitting);
  const Nearest nearest = nearest_low_point(duct, bay, sensor);
  const LeastSlope slope = least_slope(duct, bay, sensor);
  const bool surely_level = slope.slope_deg + slope.band.high() < kCarriesAway_deg;
  const bool surely_sloping = slope.slope_deg - slope.band.low() >= kCarriesAway_deg;
  Measured measured = at_station(duct, nearest.distance_mm, Unit::mm, sensor);
  if (std::isfinite(nearest.distance_mm)) {
    measured.note = "low point at station " + length_text(nearest.station_mm, duct.layout.units) +
                    ", worst attitude: " + nearest.attitude;
    measured.band = along_band(duct, std::min(sensor, nearest.station_mm), "sensor",
                               std::max(sensor, nearest.station_mm), "low point");
  } else {
    measured.lo = duct.layout.length_mm;
    measured.note = "water can stand nowhere in the duct, in no attitude";
  }
  const std::string slopes = "the tube at the sensor slopes by " +
                             format(slope.slope_deg, Unit::degree, duct.layout.units) + " (attitude " + slope.attitude +
                             ")";
  if (surely_level) {
    measured.lo = measured.hi = 0;
    measured.band = Band();
    measured.note = slopes + ": water stays there";
  } else if (!surely_sloping) {
    measured.lo = 0;
    measured.band = Band();
    measured.note = slopes + ", as made perhaps less than " +
                    format(kCarriesAway_deg, Unit::degree, duct.layout.units) + ", and then water stays there; " +
                    measured.note;
  }
  return measured;
}

Outcome flow_rises_past_sensor(const Duct& duct, const bay::Bay& bay) {
  const PlacedFitting* fitting = sensor_fitting(duct.layout);
  if (!fitting) return lacking(duct, "sensor tube", "sensor");
  if (!bay.attitudes_stated) return no_attitude();
  const double sensor = sensor_station(*fitting);
  const Vec3 tangent = duct.layout.at(sensor).tangent;
  std::string falls, rises;
  for (const bay::Attitude& attitude : bay.attitudes) {
    const double along = attitude.up().dot(tangent);
    if (std::abs(along) <= kVertical) continue;
    std::string& where = along > 0 ? rises : falls;
    if (where.empty()) where = attitude.name;
  }
  if (falls.empty() && rises.empty()) return NotAssessed{"the sensor tube is never within 15 degrees of vertical", {}};
  Measured measured = at_station(duct, falls.empty() ? 1 : 0, Unit::none, sensor);
  measured.note = falls.empty() ? "the air rises (attitude " + rises + ")"
                                : "the air falls, and water runs onto the sensor (attitude " + falls + ")";
  return measured;
}

namespace {

/// A pool and the attitude in which it stands.
struct TiltedPool {
  const bay::Attitude* attitude = nullptr;
  Pool pool;
};

/// Pools of all attitudes by place along the duct: a low point moves as the vehicle leans, and pools whose stretches
/// under water overlap stand at one place. Each place begins with the pools of the first attitude, which is level.
std::vector<std::vector<TiltedPool>> pools_by_place(const Duct& duct, const bay::Bay& bay,
                                                    const std::vector<double>& outlets) {
  std::vector<TiltedPool> all;
  for (const bay::Attitude& attitude : bay.attitudes) {
    for (Pool& pool : pools(Floor(duct.layout, attitude.up()), outlets)) all.push_back({&attitude, std::move(pool)});
  }
  std::stable_sort(all.begin(), all.end(), [](const TiltedPool& a, const TiltedPool& b) {
    return a.pool.station_from_mm < b.pool.station_from_mm;
  });
  std::vector<std::vector<TiltedPool>> places;
  double end = -kInfinity;
  for (TiltedPool& tilted : all) {
    if (tilted.pool.station_from_mm >= end) places.emplace_back();
    end = std::max(end, tilted.pool.station_to_mm);
    places.back().push_back(std::move(tilted));
  }
  for (std::vector<TiltedPool>& place : places) {
    std::stable_sort(place.begin(), place.end(),
                     [](const TiltedPool& a, const TiltedPool& b) { return a.attitude < b.attitude; });
  }
  return places;
}

/// Of the pools of one place the most that can stand there; the proven bounds are those over all of them.
Measured most_water(const Duct& duct, const std::vector<TiltedPool>& place) {
  const TiltedPool* fullest = nullptr;
  Volume most;
  for (const TiltedPool& tilted : place) {
    const Volume volume = volume_of(Floor(duct.layout, tilted.attitude->up()), tilted.pool);
    if (!fullest || volume.hi_ml > most.hi_ml) fullest = &tilted;
    most = {std::max(most.lo_ml, volume.lo_ml), std::max(most.hi_ml, volume.hi_ml)};
  }
  const Pool& pool = fullest->pool;
  const LowPoint& lowest = pool.lowest();
  Measured measured =
      at_station(duct, most.lo_ml, Unit::millilitre, 0.5 * (lowest.station_from_mm + lowest.station_to_mm));
  measured.hi = most.hi_ml;
  const DisplayUnits& units = duct.layout.units;
  measured.note = length_text(pool.depth_mm, units) + " deep, from station " +
                  length_text(pool.station_from_mm, units) + " to " + length_text(pool.station_to_mm, units) +
                  ", worst attitude: " + fullest->attitude->name;
  return measured;
}

bool overlap(const Pool& a, const Pool& b) {
  return a.station_from_mm < b.station_to_mm && b.station_from_mm < a.station_to_mm;
}

/// Depth of what stays of a pool when these drains are open.
double left_of(const Floor& floor, const Pool& pool, const std::vector<double>& drains) {
  double left = 0;
  for (const Pool& rest : pools(floor, drains)) {
    if (overlap(rest, pool)) left = std::max(left, rest.depth_mm);
  }
  return left;
}

DrainedPool drained(const Duct& duct, const TiltedPool& tilted) {
  const Pool& pool = tilted.pool;
  std::vector<const PlacedFitting*> in_it;
  for (const PlacedFitting& fitting : duct.layout.fittings) {
    if (std::holds_alternative<duct::Drain>(fitting.kind) && fitting.station_from_mm >= pool.station_from_mm &&
        fitting.station_from_mm <= pool.station_to_mm) {
      in_it.push_back(&fitting);
    }
  }
  std::stable_sort(in_it.begin(), in_it.end(), [](const PlacedFitting* a, const PlacedFitting* b) {
    return std::get<duct::Drain>(a->kind).bore_mm > std::get<duct::Drain>(b->kind).bore_mm;
  });
  const Floor floor(duct.layout, tilted.attitude->up());
  DrainedPool out{tilted.attitude->name, pool, {}, pool.depth_mm};
  std::vector<double> open;
  for (const PlacedFitting* drain : in_it) {
    if (out.left_mm == 0) break;
    open.push_back(drain->station_from_mm);
    out.left_mm = left_of(floor, pool, open);
    out.drains.push_back(drain);
  }
  return out;
}

}  // namespace

std::vector<Measured> standing_water(const Duct& duct, const bay::Bay& bay) {
  std::vector<Measured> out;
  for (const std::vector<TiltedPool>& place : pools_by_place(duct, bay, drain_stations(duct.layout))) {
    out.push_back(most_water(duct, place));
  }
  return out;
}

std::vector<std::vector<DrainedPool>> drained_pools(const Duct& duct, const bay::Bay& bay) {
  std::vector<std::vector<DrainedPool>> out;
  for (const std::vector<TiltedPool>& place : pools_by_place(duct, bay, {})) {
    std::vector<DrainedPool>& of_place = out.emplace_back();
    for (const TiltedPool& tilted : place) of_place.push_back(drained(duct, tilted));
  }
  return out;
}

Outcome inlet_over_water(const Duct& duct, const bay::Bay& bay) {
  std::vector<std::string> missing;
  if (!bay.ground.height_mm) missing.emplace_back("ground/height_mm");
  if (!bay.ground.bump_mm) missing.emplace_back("ground/bump_mm");
  if (!bay.ground.wading_mm) missing.emplace_back("ground/wading_mm");
  if (!missing.empty()) return NotAssessed{"nobody said how the vehicle stands over ground and water", missing};
  const bay::Port* port = duct.spec.from.port.empty() ? nullptr : bay.find_port(duct.spec.from.port);
  double inlet = Floor(duct.layout, Vec3::UnitZ()).height_mm(0);
  const bool by_hood = port && port->hood && port->hood->lowest_mm && port->hood->lowest_mm->z() < inlet;
  if (by_hood) inlet = port->hood->lowest_mm->z();
  const double over_ground = inlet - *bay.ground.height_mm - *bay.ground.bump_mm;
  Measured measured = at_station(duct, over_ground - *bay.ground.wading_mm, Unit::mm, 0);
  measured.note = (by_hood ? "opening of the hood " : "") + length_text(over_ground, duct.layout.units) +
                  " over the ground, " + length_text(*bay.ground.wading_mm, duct.layout.units) + " of water";
  return measured;
}

double rise_behind_inlet_mm(const Layout& layout) {
  const Floor floor(layout, Vec3::UnitZ());
  double highest = floor.height_mm(0);
  for (const FloorStretch& stretch : floor.stretches()) {
    highest = std::max({highest, stretch.height_from_mm, stretch.height_to_mm});
  }
  return highest - floor.height_mm(0);
}

}  // namespace baywright::measure
