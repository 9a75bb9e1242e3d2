#include <cmath>

#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

TEST_CASE("in.bends, in.turn and in.radius", "[checks]") {
  Case c;
  CHECK(value_of(c.one("in.bends")) == 2);
  CHECK(c.one("in.bends").verdict == Verdict::met);
  CHECK(c.one("in.bends").hint.empty());
  CHECK(value_of(c.one("in.turn")) == Approx(180));
  CHECK(c.one("in.turn").verdict == Verdict::met);
  CHECK(value_of(c.one("in.radius")) == Approx(114.3 / 76.2));
  CHECK(c.one("in.radius").verdict == Verdict::met);  // exactly 1.5

  c.sheet.limits["in.bends"].value = 1;
  c.sheet.limits["in.turn"].value = 179;
  c.spec.route.points[2].bend_radius_mm = 76.2;
  CHECK(c.one("in.bends").verdict == Verdict::not_met);
  CHECK_FALSE(c.one("in.bends").hint.empty());
  CHECK(c.one("in.turn").verdict == Verdict::not_met);
  CHECK(c.one("in.radius").verdict == Verdict::not_met);
  CHECK(value_of(c.one("in.radius")) == Approx(1.0));
  CHECK(c.one("in.radius").subject == "bend at P2");

  // No bend at all: nothing to hold against a radius.
  c.spec.route.points = {{duct::PointId("P0"), {0, 0, 0}, 0}, {duct::PointId("P3"), {900, 0, 0}, 0}};
  c.spec.fittings.clear();
  c.bay.ports[1].center_mm = {900, 0, 0};
  c.bay.ports[1].axis = -Vec3::UnitX();
  c.bay.ports[1].outer_diameter_mm = 76.2;
  CHECK(value_of(c.one("in.bends")) == 0);
  CHECK(c.one("in.radius").verdict == Verdict::not_applicable);
}

TEST_CASE("in.taper narrows and widens against two limits", "[checks]") {
  Case c;
  const double half = std::atan((72.9 - 60.0) / (2 * 60)) * 180 / M_PI;  // 6.1 degrees
  CHECK(value_of(c.one("in.taper")) == Approx(half));
  CHECK(c.one("in.taper").verdict == Verdict::met);
  std::get<duct::Reducer>(c.kind("cone")).length_mm = 20;
  CHECK(c.one("in.taper").verdict == Verdict::not_met);  // 17.9 degrees

  Case wide;
  wide.spec.tube = {63.5, 1.75};
  wide.bay.ports[0].outer_diameter_mm = 63.5;
  wide.bay.ports[1].outer_diameter_mm = 76.2;
  std::get<duct::SensorTube>(wide.kind("sensor")).tube = {63.5, 1.75};
  std::get<duct::Reducer>(wide.kind("cone")).to = {76.2, 1.65};
  CHECK(value_of(wide.one("in.taper")) == Approx(half));
  CHECK(wide.one("in.taper").limit->value == 7);
  CHECK(wide.one("in.taper").verdict == Verdict::met);
  std::get<duct::Reducer>(wide.kind("cone")).length_mm = 40;  // 9.2 degrees: fine for a contraction, not for this
  CHECK(wide.one("in.taper").verdict == Verdict::not_met);
  wide.sheet.limits.erase("in.taper.expansion");
  CHECK(missing_of(wide.one("in.taper")) == std::vector<std::string>{"sheet/limits/in.taper.expansion"});

  // A hose that reduces over its gap instead of the cone: 20 mm, 17.9 degrees; over no gap it is a step.
  Case hose;
  hose.remove("cone");
  auto& reducing = std::get<duct::Coupler>(hose.kind("hump-2"));
  reducing.shape = duct::CouplerShape::reducer;
  reducing.to = duct::TubeSize{63.5, 1.75};
  CHECK(hose.one("in.taper").subject == "reducing hose hump-2");
  CHECK(value_of(hose.one("in.taper")) == Approx(std::atan((72.9 - 60.0) / (2 * 20)) * 180 / M_PI));
  CHECK(hose.one("in.taper").verdict == Verdict::not_met);
  reducing.gap_mm = 30;
  CHECK(hose.one("in.taper").verdict == Verdict::met);
  reducing.gap_mm = 0;
  CHECK(value_of(hose.one("in.taper")) == Approx(90));

  c.remove("cone");
  c.bay.ports[1].outer_diameter_mm = 76.2;
  CHECK(c.one("in.taper").verdict == Verdict::not_applicable);
}
