#pragma once

#include <stdexcept>
#include <string>
#include <vector>

#include "duct/layout.hpp"
#include "tests/support/ends.hpp"

namespace baywright::test {

/// The duct of most test jobs.
inline const duct::DuctId kIntake("intake");

/// Points P0, P1, ... with one bend radius at every inner one.
inline duct::Route route(const std::vector<Vec3>& points, double radius_mm) {
  duct::Route made;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const bool inner = i > 0 && i + 1 < points.size();
    std::string id = "P";
    id += std::to_string(i);
    made.points.push_back({duct::PointId(id), points[i], inner ? radius_mm : 0.0});
  }
  return made;
}

/// Fitting at a station: found on the leg it belongs to. `end` anchors it by the leg's downstream point instead.
inline duct::Fitting fitting_at(const duct::Route& route, const std::string& id, double station_mm,
                                duct::FittingKind kind, bool from_end = false) {
  const duct::Layout layout = *duct::lay_out_route(route);
  std::size_t i = 0;
  while (i + 1 < layout.legs.size() && station_mm > layout.legs[i].station_to_mm) ++i;
  const double set_back = i > 0 ? layout.bends[i - 1].set_back_mm : 0;
  const double along = station_mm - layout.legs[i].station_from_mm + set_back;
  const double whole = (route.points[i + 1].p_mm - route.points[i].p_mm).norm();
  return {duct::FittingId(id), {layout.legs[i].from, from_end ? whole - along : along, from_end}, std::move(kind)};
}

inline duct::Coupler coupler(duct::CouplerShape shape, double gap_mm, double length_mm) {
  duct::Coupler made;
  made.shape = shape;
  made.gap_mm = gap_mm;
  made.length_mm = length_mm;
  if (shape == duct::CouplerShape::hump) made.hump_height_mm = 10;
  made.axial_mm = made.lateral_mm = shape == duct::CouplerShape::hump ? 10 : 3;
  made.angle = degrees(shape == duct::CouplerShape::hump ? 6 : 3);
  return made;
}

inline duct::SensorTube sensor_tube(double length_mm, double offset_mm, Angle clock, duct::TubeSize tube) {
  duct::SensorTube made;
  made.length_mm = length_mm;
  made.sensor_offset_mm = offset_mm;
  made.clock = clock;
  made.tube = tube;
  return made;
}

inline duct::BranchPort branch_port(double bore_mm, Angle clock) {
  duct::BranchPort made;
  made.bore_mm = bore_mm;
  made.outer_diameter_mm = bore_mm + 4;
  made.clock = clock;
  made.height_mm = 30;
  return made;
}

/// Two bodies and a duct between a port of each (a straight tube along x unless changed).
struct Installation {
  bay::Bay bay;
  duct::DuctSpec spec;

  duct::Duct laid_out() const {
    auto layout = duct::lay_out(spec, bay);
    if (!layout) throw std::runtime_error(to_line(layout.error().front()));
    return {spec, *layout};
  }
};

inline Installation between(duct::Route route, double outer_from_mm = 76.2, double outer_to_mm = 76.2) {
  Installation made;
  made.bay.bodies = {body("vehicle"), body("engine")};
  const auto& points = route.points;
  const std::size_t n = points.size();
  made.bay.ports = {port("filter-out", points[0].p_mm, points[1].p_mm - points[0].p_mm, outer_from_mm, 0),
                    port("compressor-in", points[n - 1].p_mm, points[n - 2].p_mm - points[n - 1].p_mm, outer_to_mm, 1)};
  made.bay.attitudes = {{"level", Angle(), Angle()}};
  made.spec.id = kIntake;
  made.spec.from.port = bay::PortId("filter-out");
  made.spec.to.port = bay::PortId("compressor-in");
  made.spec.tube = {76.2, 1.65};
  made.spec.route = std::move(route);
  return made;
}

/// The good duct of the demonstration vehicle.
inline Installation fitted_job() {
  Installation made =
      between(route({{-190, 415, 370}, {65, 415, 440}, {65, -250, 410}, {-250, -250, 410}}, 115), 76.2, 63.5);
  const auto at = [&](const std::string& id, double station, duct::FittingKind kind) {
    made.spec.fittings.push_back(fitting_at(made.spec.route, id, station, std::move(kind)));
  };
  at("C1", 435, coupler(duct::CouplerShape::straight, 5, 76));
  at("S1", 440, sensor_tube(155, 65, degrees(0), {76.2, 1.65}));
  at("C2", 595, coupler(duct::CouplerShape::hump, 20, 90));
  at("B1", 740, branch_port(25, degrees(0)));
  at("R1", 1000, duct::Reducer{60, {63.5, 1.65}});
  at("C3", 1120, coupler(duct::CouplerShape::hump, 25, 95));
  return made;
}

/// The poor one: four bends of one diameter, all rigid.
inline Installation first_try_job() {
  Installation made = between(
      route(
          {{-190, 415, 370}, {-60, 415, 405.7}, {-60, 170, 530}, {-60, -120, 530}, {-60, -250, 410}, {-250, -250, 410}},
          76.2),
      76.2, 63.5);
  const auto at = [&](const std::string& id, double station, duct::FittingKind kind) {
    made.spec.fittings.push_back(fitting_at(made.spec.route, id, station, std::move(kind)));
  };
  at("S1", 190, sensor_tube(130, 65, degrees(70), {76.2, 1.65}));
  at("B1", 910, branch_port(25, degrees(0)));
  at("R1", 980, duct::Reducer{20, {63.5, 1.65}});
  return made;
}

}  // namespace baywright::test
