#include <algorithm>
#include <cmath>

#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

TEST_CASE("fx.every wants a soft joint between vehicle and engine", "[checks]") {
  Case c;
  CHECK(value_of(c.one("fx.every")) == 1);
  CHECK(c.one("fx.every").verdict == Verdict::met);
  CHECK(c.one("fx.every").subject == "vehicle to engine");
  c.remove("hump-1");
  c.remove("hump-2");
  CHECK(value_of(c.one("fx.every")) == 0);
  CHECK(c.one("fx.every").verdict == Verdict::not_met);
  CHECK(c.one("fx.every").hint == "put a hump coupler between port filter-out and port compressor-in");
  c.bay.ports[1].body = 0;
  CHECK(c.one("fx.every").verdict == Verdict::not_applicable);
}

TEST_CASE("fx.every: a joint that takes no stated movement is not checked", "[checks]") {
  Case c;
  auto& hump = std::get<duct::Coupler>(c.kind("hump-1"));
  hump.lateral_mm = 0;
  CHECK(missing_of(c.one("fx.every")) == std::vector<std::string>{"ducts/intake/fittings/hump-1/lateral_mm"});
  CHECK(c.one("fx.every").hint == "give ducts/intake/fittings/hump-1/lateral_mm");
  hump.axial_mm = 0;
  hump.angle = Angle();
  std::get<duct::Coupler>(c.kind("hump-2")).axial_mm = 0;
  const std::string fittings = "ducts/intake/fittings/";
  CHECK(missing_of(c.one("fx.every")) ==
        std::vector<std::string>{fittings + "hump-1/axial_mm", fittings + "hump-1/lateral_mm",
                                 fittings + "hump-1/angle_deg", fittings + "hump-2/axial_mm"});
}

namespace {

/// Engine that shifts by (1, 4, 3) mm and turns by nothing.
void let_engine_shift(Case& c) {
  MotionMember m;
  m.name = "shift";
  for (int k = 0; k < 3; ++k) m.joints.push_back({Joint::Kind::translation, Vec3::Unit(k), Vec3::Zero()});
  m.to = {1, 4, 3};
  c.bay.bodies[1].motion = MotionSet({m});
}

const Finding& of_joint(const std::vector<Finding>& findings, const std::string& subject) {
  for (const Finding& f : findings) {
    if (f.subject == subject) return f;
  }
  FAIL("no finding of " << subject);
  return findings.front();
}

}  // namespace

TEST_CASE("fx.motion, fx.gap: shares of what the coupler takes, by hand", "[checks]") {
  Case c;
  // One hump between vehicle and engine, on the first leg: what lies behind it rides on the engine.
  c.remove("hump-2");
  auto& hump = std::get<duct::Coupler>(c.kind("hump-1"));
  hump.axial_mm = 10;
  hump.lateral_mm = 8;
  hump.angle = degrees(6);
  let_engine_shift(c);
  const duct::Duct duct = laid_out(c.spec, c.bay);
  const duct::PlacedFitting& placed = *duct.layout.find(duct::FittingId("hump-1"));
  const Vec3 along = duct.layout.at(placed.station_from_mm).tangent, shift(1, 4, 3);
  const double axial = shift.dot(along), lateral = (shift - axial * along).norm();
  REQUIRE(lateral > 2);
  const auto found = c.of("fx.motion");
  REQUIRE(found.size() == 3);
  CHECK(value_of(of_joint(found, "hump-1, along its axis")) == Approx(std::abs(axial) / 10).margin(0.003));
  CHECK(value_of(of_joint(found, "hump-1, sideways")) == Approx(lateral / 8).margin(0.003));
  CHECK(value_of(of_joint(found, "hump-1, in angle")) == Approx(0).margin(0.003));
  for (const Finding& f : found) CHECK(f.verdict == Verdict::met);
  CHECK(value_of(c.one("fx.gap")) == Approx(hump.gap_mm + std::min(axial, 0.0)).margin(0.03));
  CHECK(c.one("fx.gap").verdict == Verdict::met);
  // Too little for the offset.
  hump.lateral_mm = 0.9 * lateral;
  const auto& sideways = of_joint(c.of("fx.motion"), "hump-1, sideways");
  CHECK(sideways.verdict == Verdict::not_met);
  CHECK(sideways.hint.find(" sideways and takes ") != std::string::npos);
  // Nobody says what it takes.
  hump.lateral_mm = 0;
  CHECK(of_joint(c.of("fx.motion"), "hump-1, sideways").verdict == Verdict::not_checked);
  CHECK(missing_of(of_joint(c.of("fx.motion"), "hump-1, sideways")) ==
        std::vector<std::string>{"ducts/intake/fittings/hump-1/lateral_mm"});
  // Nobody says how the engine moves.
  hump.lateral_mm = 8;
  c.bay.bodies[1].motion = MotionSet();
  c.bay.bodies[1].spec = {};
  CHECK(missing_of(of_joint(c.of("fx.motion"), "hump-1, sideways")) ==
        std::vector<std::string>{"bodies/engine/motion"});
  CHECK(c.one("fx.gap").verdict == Verdict::not_checked);
}

TEST_CASE("fx.gap: ends that come together", "[checks]") {
  Case c;
  c.remove("hump-2");
  auto& hump = std::get<duct::Coupler>(c.kind("hump-1"));
  const duct::Duct duct = laid_out(c.spec, c.bay);
  const Vec3 along = duct.layout.at(duct.layout.find(duct::FittingId("hump-1"))->station_from_mm).tangent;
  MotionMember m;
  m.name = "back";
  m.joints = {{Joint::Kind::translation, along, Vec3::Zero()}};
  m.to = {-(hump.gap_mm - 1)};
  c.bay.bodies[1].motion = MotionSet({m});
  CHECK(value_of(c.one("fx.gap")) == Approx(1).margin(0.03));
  CHECK(c.one("fx.gap").verdict != Verdict::met);
  CHECK(c.one("fx.gap").hint.starts_with("open the gap by at least "));
}

TEST_CASE("fx.align: what the bender leaves open against a third of what the coupler takes", "[checks]") {
  Case c;
  c.spec.bending.reset();
  CHECK(c.one("fx.align").verdict == Verdict::not_checked);
  CHECK(missing_of(c.one("fx.align")) == std::vector<std::string>{"ducts/intake/bending"});
  c.spec.bending = duct::BendingTolerance{degrees(0.0), degrees(0.0), 0.0};
  c.spec.fitting_tolerance_mm = 0.5;
  const auto exact = c.of("fx.align");
  REQUIRE(exact.size() == 6);
  // Cutting alone: 2 x 0.5 mm of what the hump takes.
  auto& hump = std::get<duct::Coupler>(c.kind("hump-1"));
  const auto& along = std::get<Measured>(of_joint(exact, "hump-1, along its axis").outcome);
  CHECK(along.lowest() == Approx(1.0 / hump.axial_mm));
  CHECK(along.highest() == Approx(1.0 / hump.axial_mm));
  CHECK(std::get<Measured>(of_joint(exact, "hump-1, in angle").outcome).highest() == 0);
  for (const Finding& f : exact) CHECK(f.verdict == Verdict::met);
  // It is a sum of tolerances, so it is decided: 1 of 3 is a third, 1 of 2.9 is more.
  hump.axial_mm = 3;
  CHECK(of_joint(c.of("fx.align"), "hump-1, along its axis").verdict == Verdict::met);
  hump.axial_mm = 2.9;
  const Finding over = of_joint(c.of("fx.align"), "hump-1, along its axis");
  CHECK(over.verdict == Verdict::not_met);
  CHECK(over.hint.starts_with("it is asked for up to 1.0 mm along its axis and takes 2.9 mm"));
  // What nobody states stays open.
  c.spec.fitting_tolerance_mm.reset();
  const Finding open = of_joint(c.of("fx.align"), "hump-1, along its axis");
  CHECK(open.verdict == Verdict::undecided);
  const auto along_of = [&] {
    return std::get<Measured>(of_joint(c.of("fx.align"), "hump-1, along its axis").outcome);
  };
  const double stand_in = along_of().highest();
  CHECK(along_of().note.starts_with("up to "));
  CHECK(along_of().lowest() == 0);
  CHECK(stand_in > 1.0 / 3);
  // Together they are the root of their squares, of which what is stated is known.
  c.spec.bending = duct::BendingTolerance{degrees(3), degrees(3), 3};
  const Measured both = along_of();
  c.spec.fitting_tolerance_mm = 0;
  CHECK(along_of().lowest() == Approx(both.lowest()));
  CHECK(along_of().highest() == Approx(both.lowest()));
  CHECK(both.highest() == Approx(std::hypot(both.lowest(), stand_in)));
  c.spec.fitting_tolerance_mm = 0.5;
  const auto loose = c.of("fx.align");
  CHECK(std::any_of(loose.begin(), loose.end(), [](const Finding& f) { return f.verdict != Verdict::met; }));
}
