#include "measure/duct_clearance.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "usual_tube.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

/// Vehicle and engine; the engine sinks by 6.
bay::Bay two_bodies() {
  bay::Bay bay;
  bay.bodies = {body("vehicle"), body("engine")};
  bay.attitudes = {{"level", Angle(), Angle()}};
  MotionMember bump;
  bump.name = "bump";
  bump.joints = {{Joint::Kind::translation, Vec3::UnitZ(), Vec3::Zero()}};
  bump.to = {-6};
  bay.bodies[1].motion = MotionSet({bump});
  return bay;
}

/// A duct between two ports of one body or of two, made for it.
DuctSpec duct_on(bay::Bay& bay, const std::string& id, Route route, BodyIndex from, BodyIndex to, double outer = 76.2) {
  const auto& points = route.points;
  const std::size_t n = points.size();
  bay.ports.push_back(port(id + "-from", points[0].p_mm, points[1].p_mm - points[0].p_mm, outer, from));
  bay.ports.push_back(port(id + "-to", points[n - 1].p_mm, points[n - 2].p_mm - points[n - 1].p_mm, outer, to));
  DuctSpec spec;
  spec.id = DuctId(id);
  spec.from.port = bay::PortId(id + "-from");
  spec.to.port = bay::PortId(id + "-to");
  spec.tube = {outer, 1.65};
  spec.bend_tolerance_mm = 1.0;
  spec.route = std::move(route);
  return spec;
}

Duct made(const DuctSpec& spec, const bay::Bay& bay, std::span<const Duct> others = {}) {
  auto layout = lay_out(spec, bay, others);
  if (!layout) throw std::runtime_error(to_line(layout.error().front()));
  return {spec, *layout};
}

void is(const Measured& m, double expected_mm) {
  CAPTURE(m.lo, m.hi, expected_mm);
  CHECK(m.lo <= expected_mm + 1e-9);
  CHECK(m.hi >= expected_mm - 1e-5);
  CHECK(m.hi - m.lo <= 0.1);
}

const DuctPairClearance& pair_of(const std::vector<DuctPairClearance>& pairs, const Duct& a, const std::string& one,
                                 const Duct& b, const std::string& other) {
  const auto found = std::find_if(pairs.begin(), pairs.end(), [&](const DuctPairClearance& p) {
    return a.layout.pieces[static_cast<std::size_t>(p.piece)].name == one &&
           b.layout.pieces[static_cast<std::size_t>(p.other_piece)].name == other;
  });
  REQUIRE(found != pairs.end());
  return *found;
}

}  // namespace

TEST_CASE("two ducts that cross, on the vehicle and on the engine", "[ducts]") {
  bay::Bay bay = two_bodies();
  const Duct lower = made(duct_on(bay, "lower", route({{0, 0, 0}, {600, 0, 0}}, 0), 0, 0), bay);
  const Duct upper = made(duct_on(bay, "upper", route({{250, -300, 120}, {250, 300, 120}}, 0), 1, 1), bay);
  const DuctPairReport report = measure_between(bay, lower, upper, kOptions);
  REQUIRE(report.other == DuctId("upper"));
  REQUIRE(report.at_rest.size() == 1);
  is(report.at_rest[0].value, 120 - 2 * kRadius);
  is(report.over_motion[0].value, 120 - 6 - 2 * kRadius);
  CHECK(report.over_motion[0].value.pose_name == "engine: bump at 100 %");
  CHECK(*report.over_motion[0].value.station_mm == Approx(250).margin(0.01));
  CHECK(*report.over_motion[0].other_station_mm == Approx(300).margin(0.01));
  CHECK_FALSE(report.over_motion[0].same_carrier);
  // Both are made to a standard uncertainty of 1: U = 2 sqrt(2).
  CHECK(report.at_rest[0].value.band.low() == Approx(2 * std::sqrt(2.0)));
  // The other way round it is the same distance.
  is(measure_between(bay, upper, lower, kOptions).over_motion[0].value, 120 - 6 - 2 * kRadius);
}

TEST_CASE("a duct beside itself, what is joined left out", "[ducts]") {
  bay::Bay bay = two_bodies();
  // A hairpin whose legs lie 130 apart, cut by two hoses at x = 200.
  DuctSpec spec = duct_on(bay, "hairpin", route({{0, 0, 0}, {400, 0, 0}, {400, 130, 0}, {0, 130, 0}}, 60), 0, 0);
  const double arcs = 2 * 60 * M_PI / 2, tops = 130 - 120, leg = 400 - 60;
  const double back = leg + arcs + tops + leg - 200;  // station of x = 200 on the way back
  spec.fittings = {fitting_at(spec.route, "one", 195, coupler(CouplerShape::straight, 10, 80)),
                   fitting_at(spec.route, "two", back - 5, coupler(CouplerShape::straight, 10, 80))};
  const Duct duct = made(spec, bay);
  const DuctPairReport report = measure_against_itself(bay, duct, kOptions);
  is(pair_of(report.at_rest, duct, "tube 1", duct, "tube 3").value, 130 - 2 * kRadius);
  is(pair_of(report.at_rest, duct, "coupler one", duct, "coupler two").value, 130 - 2 * (kRadius + 5));
  // Everything rides on the vehicle: over the motion the same.
  for (std::size_t i = 0; i < report.at_rest.size(); ++i) {
    CHECK(report.over_motion[i].value.lo == report.at_rest[i].value.lo);
    CHECK(report.at_rest[i].value.lo >= 130 - 2 * (kRadius + 5) - 0.11);
  }
  // A tube and the hose on its end are joined all along the hose.
  DuctSpec straight = duct_on(bay, "straight", route({{0, 900, 0}, {200, 900, 0}}, 0), 0, 0);
  straight.fittings = {fitting_at(straight.route, "joint", 95, coupler(CouplerShape::straight, 10, 80))};
  const Duct short_one = made(straight, bay);
  const DuctPairReport none = measure_against_itself(bay, short_one, kOptions);
  CHECK(none.at_rest.empty());
  CHECK(none.exceptions.size() == 3);
}

TEST_CASE("a branch beside the tube it sits on is left out where it sits", "[ducts]") {
  bay::Bay bay = two_bodies();
  DuctSpec main = duct_on(bay, "main", route({{0, 0, 0}, {600, 0, 0}}, 0), 0, 0);
  main.fittings = {fitting_at(main.route, "nipple", 250, branch_port(25, degrees(0)))};
  const Duct carrier = made(main, bay);
  DuctSpec spec = duct_on(bay, "branch", route({{250, 0, 400}, {250, 0, kRadius + 30}}, 0), 0, 0, 29);
  bay.ports.pop_back();
  spec.to = {};
  spec.to.duct = DuctId("main");
  spec.to.fitting = FittingId("nipple");
  const Duct branch = made(spec, bay, {&carrier, 1});
  const DuctPairReport report = measure_between(bay, carrier, branch, kOptions);
  REQUIRE(report.at_rest.size() == 1);
  // What is left begins one outer diameter of the carrier up the branch: 30 + 76.2 from its surface.
  CHECK(report.at_rest[0].beyond_range);
  ClearanceOptions far = kOptions;
  far.range_mm = 200;
  is(measure_between(bay, carrier, branch, far).at_rest[0].value, 76.2);  // to the nipple's top
  CHECK(report.exceptions.size() == 1);
}
