#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

TEST_CASE("sn.bore: measured and drawn bores against the calibrated one", "[checks]") {
  Case c;
  CHECK(missing_of(c.one("sn.bore")) == std::vector<std::string>{"ducts/intake/fittings/sensor/measured_bore_mm"});
  auto& sensor = std::get<duct::SensorTube>(c.kind("sensor"));
  sensor.measured_bore_mm = {72.6, 73.3};  // 0.4 of 72.9
  CHECK(c.one("sn.bore").verdict == Verdict::met);
  CHECK(value_of(c.one("sn.bore")) == Approx(100 * 0.4 / 72.9));
  sensor.measured_bore_mm = {72.1, 72.9};  // 1.1 %
  CHECK(c.one("sn.bore").verdict == Verdict::not_met);
  c.spec.no_sensor = true;
  c.remove("sensor");
  CHECK(c.one("sn.bore").verdict == Verdict::not_applicable);
}

TEST_CASE("in.swirl: nothing to check behind one bend, not met behind two in two planes", "[checks]") {
  CHECK(Case().one("in.swirl").verdict == Verdict::not_applicable);
  Case c;
  c.remove("sensor");
  CHECK(missing_of(c.one("in.swirl")) == std::vector<std::string>{"ducts/intake/fittings: sensor tube"});
  // The middle leg 320 long, the last one up: bends end at 365.2 and 636.3, the sensor 90 behind the second.
  Case two;
  two.spec.fittings.clear();
  two.spec.route.points[2].p_mm = {300, -320, 0};
  two.spec.route.points[3].p_mm = {300, -320, 700};
  two.bay.ports[1].center_mm = {300, -320, 700};
  two.bay.ports[1].axis = -Vec3::UnitZ();
  two.bay.ports[1].outer_diameter_mm = 76.2;
  duct::SensorTube sensor;
  sensor.length_mm = 60;
  sensor.tube = {76.2, 1.65};
  two.spec.fittings = {fitting("sensor", "P2", 114.3 + 90, sensor)};
  CHECK(two.one("in.swirl").verdict == Verdict::not_met);
  CHECK(value_of(two.one("in.swirl")) == Approx(90));
  // The last leg in the plane of the first two: met.
  two.spec.route.points[3].p_mm = {1000, -320, 0};
  two.bay.ports[1].center_mm = {1000, -320, 0};
  two.bay.ports[1].axis = -Vec3::UnitX();
  CHECK(two.one("in.swirl").verdict == Verdict::met);
}

TEST_CASE("in.compr_straight: from the cone's end to the compressor face", "[checks]") {
  // 400 - 260 = 140 behind the cone, bore 60: the hump in it is passed.
  Case c;
  CHECK(value_of(c.one("in.compr_straight")) == Approx(140.0 / 60));
  CHECK(c.one("in.compr_straight").verdict == Verdict::met);
  c.spec.fittings[4].anchor.offset_mm = 230;  // the cone against the hose of the last hump
  std::get<duct::Reducer>(c.kind("cone")).length_mm = 70;
  CHECK(value_of(c.one("in.compr_straight")) == Approx(100.0 / 60));
  c.sheet.limits["in.compr_straight"].value = 2;
  CHECK(c.one("in.compr_straight").verdict == Verdict::not_met);
}

TEST_CASE("in.tap: each tap, and none at all", "[checks]") {
  // Tap 150 behind P2, 35.7 behind the bend, 50 ahead of the cone.
  Case c;
  CHECK(c.one("in.tap").verdict == Verdict::not_met);
  CHECK(value_of(c.one("in.tap")) == Approx(35.7 / 72.9));
  c.spec.fittings[3].anchor = {duct::PointId("P1"), 200, false};  // 85.7 behind bend P1, 100 ahead of the breather
  CHECK(c.one("in.tap").verdict == Verdict::met);
  CHECK(value_of(c.one("in.tap")) == Approx(85.7 / 72.9));
  c.remove("tap");
  CHECK(missing_of(c.one("in.tap")) == std::vector<std::string>{"ducts/intake/fittings: restriction tap"});
}
