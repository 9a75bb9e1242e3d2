#pragma once

#include <stdexcept>
#include <string>

#include "duct/layout.hpp"
#include "flow/flow_model.hpp"
#include "tests/support/ends.hpp"

namespace baywright::test {

// An intake of three legs from a filter on the vehicle to a compressor on the engine, with everything on it; every
// length can be worked out by hand from the points. Legs along +y, -x... see the numbers.

/// Vehicle and engine, a filter outlet at the origin pointing forward and a compressor inlet looking forward.
inline bay::Bay example_bay() {
  bay::Bay bay;
  bay.bodies = {body("vehicle"), body("engine")};
  bay.attitudes = {{"level", {}, {}}};
  bay.ports = {port("filter-out", {0, 0, 0}, Vec3::UnitX(), 76.2, 0),
               port("compressor-in", {-100, -600, 0}, Vec3::UnitX(), 63.5, 1)};
  bay.ports[1].bore_mm = 60;  // that of the tube behind the cone
  return bay;
}

inline duct::Fitting fitting(const std::string& id, const std::string& leg, double offset_mm, duct::FittingKind kind) {
  return {duct::FittingId(id), {duct::PointId(leg), offset_mm, false}, std::move(kind)};
}

/// Legs of 300, 600 and 400 mm with two bends of 90 degrees and 114.3 mm radius, all in one plane.
/// Stations: leg 0 0-185.7, bend 179.54, leg 1 371.4 long, bend 179.54, leg 2 285.7 long.
inline duct::DuctSpec example_spec() {
  duct::DuctSpec spec;
  spec.id = duct::DuctId("intake");
  spec.name = "Intake";
  spec.service = duct::Service::intake;
  spec.from.port = bay::PortId("filter-out");
  spec.to.port = bay::PortId("compressor-in");
  spec.tube = {76.2, 1.65};
  spec.bend_tolerance_mm = 0;
  spec.fitting_tolerance_mm = 0;
  spec.route.points = {{duct::PointId("P0"), {0, 0, 0}, 0},
                       {duct::PointId("P1"), {300, 0, 0}, 114.3},
                       {duct::PointId("P2"), {300, -600, 0}, 114.3},
                       {duct::PointId("P3"), {-100, -600, 0}, 0}};
  duct::SensorTube sensor;
  sensor.length_mm = 120;
  sensor.sensor_offset_mm = 70;
  sensor.tube = {76.2, 1.65};
  sensor.loss_coefficient = 0.3;
  duct::Coupler hump;
  hump.shape = duct::CouplerShape::hump;
  hump.gap_mm = 20;
  hump.length_mm = 90;
  hump.axial_mm = hump.lateral_mm = 10;
  hump.angle = degrees(6);
  duct::BranchPort breather;
  breather.bore_mm = 19;
  breather.outer_diameter_mm = 22;
  breather.height_mm = 30;
  spec.fittings = {fitting("sensor", "P0", 30, sensor),
                   fitting("breather", "P1", 300, breather),
                   fitting("hump-1", "P1", 400, hump),
                   fitting("tap", "P2", 150, duct::RestrictionTap{}),
                   fitting("cone", "P2", 200, duct::Reducer{60, {63.5, 1.75}}),
                   fitting("hump-2", "P2", 340, hump)};
  return spec;
}

inline duct::Duct laid_out(const duct::DuctSpec& spec, const bay::Bay& bay) {
  auto layout = duct::lay_out(spec, bay);
  if (!layout) throw std::runtime_error(to_line(layout.error().front()));
  return {spec, std::move(*layout)};
}

/// 0.15 kg/s at 25 degC and 99 kPa, a filter of 5000 Q + 60000 Q^2 Pa clean and 15000 Q + 60000 Q^2 dirty at 1.2 kg/m3.
inline flow::FlowInputs example_flow() {
  flow::FlowInputs inputs;
  inputs.rated = kilograms_per_second(0.15);
  inputs.ambient = flow::Ambient{kilopascals(99), celsius(25), 0};
  flow::FilterCurve clean;
  flow::FilterCurve dirty;
  for (const double q : {0.05, 0.10, 0.15}) {
    clean.points.push_back({cubic_metres_per_second(q), pascals(5000 * q + 60000 * q * q)});
    dirty.points.push_back({cubic_metres_per_second(q), pascals(15000 * q + 60000 * q * q)});
  }
  inputs.components = {
      {flow::ComponentId("air-cleaner"), "Air cleaner", std::nullopt, bay::PortId("filter-out"), clean, dirty}};
  inputs.raw_air_loss = pascals(350);
  inputs.wall_roughness_mm = 0.01;
  return inputs;
}

}  // namespace baywright::test
