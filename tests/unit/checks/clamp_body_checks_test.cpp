#include "tests/support/box_mesh.hpp"
#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

/// The example intake with one clamp on hump 1, its body at 3 o'clock (the flow is along -y there, so at -x). Hose of
/// 43.1 about x = 300: the body takes x 243.9..256.9, y 15 about -377.75, z -15..15. Nothing is uncertain.
struct Body : Case {
  Body() {
    remove("hump-2");
    engine_moves();
    bay.ports[1].body = 0;
    hump().clamps = {clamp(duct::HoseEnd::upstream)};
  }
  static duct::HoseClamp clamp(duct::HoseEnd end) {
    return {end, catalog::ClampTypeId("worm-12"), degrees(90), duct::ScrewSide::counter_clockwise};
  }
  duct::Coupler& hump() { return std::get<duct::Coupler>(kind("hump-1")); }
  bay::Part& add(const std::string& id, const Vec3& lo, const Vec3& hi, BodyIndex body = 0) {
    bay::Part part;
    part.id = bay::PartId(id);
    part.name = id;
    part.body = body;
    part.modelled = part.encloses = true;
    part.uncertainty_mm = 0;
    part.mesh = std::make_shared<TriMesh>(box_mesh(lo, hi));
    part.tree = TriTree::over(*part.mesh);
    bay.parts.push_back(part);
    return bay.parts.back();
  }
  /// Upright, `away` beyond the body.
  bay::Part& wall(double away, BodyIndex body = 0) {
    return add("wall", {200, -500, -100}, {243.9 - away, -200, 100}, body);
  }
};

void lies_at(const Finding& f, double expected_mm) {
  INFO(f.subject);
  const auto& m = std::get<Measured>(f.outcome);
  CHECK(m.lo <= expected_mm + 1e-6);
  CHECK(m.hi >= expected_mm - 1e-4);
  CHECK(m.hi - m.lo <= 0.35 + 1e-6);
}

}  // namespace

TEST_CASE("cl.body: a wall beside the body, both on the vehicle", "[checks][box]") {
  for (const double away : {10.0, 6.5, 5.5}) {
    Body c;
    c.wall(away);
    const Finding f = c.one("cl.body");  // 6 on one body
    lies_at(f, away);
    CHECK(f.verdict == (away > 6 ? Verdict::met : Verdict::not_met));
    CHECK(f.subject == "body of the clamp on hump-1, upstream end - wall, at rest");
    CHECK(f.limit->value == 6);
    const auto& note = std::get<Measured>(f.outcome).note;
    CHECK(note == "body at 3 o'clock (90\u00B0), head facing counter-clockwise, as the job states");
  }
}

TEST_CASE("cl.body: the clamp's own values stand before those of tube", "[checks][box]") {
  Body c;
  c.wall(10);
  c.sheet.clearance[0].clamp = ClearanceNeed{12, 15, 6, {Origin::Kind::shop_rule, "test"}};
  CHECK(c.one("cl.body").verdict == Verdict::not_met);
  CHECK(c.one("cl.body").limit->value == 12);
}

TEST_CASE("cl.body: over the motion each clamp rides on its own end", "[checks][box]") {
  Body c;
  c.bay.ports[1].body = 1;  // the engine, which sinks by 6
  c.hump().clamps.push_back(Body::clamp(duct::HoseEnd::downstream));
  c.add("floor", {100, -600, -60}, {280, -300, -15 - 13});  // 13 under both bodies, on the vehicle
  std::map<std::string, Finding> found;
  for (Finding& f : c.of("cl.body")) found.emplace(f.subject, f);
  REQUIRE(found.size() == 3);
  const Finding& upstream = found.at("body of the clamp on hump-1, upstream end - floor, at rest");
  lies_at(upstream, 13);
  CHECK(upstream.limit->value == 6);
  const Finding& rest = found.at("body of the clamp on hump-1, downstream end - floor, at rest");
  lies_at(rest, 13);
  CHECK(rest.limit->value == 20);
  CHECK(rest.verdict == Verdict::not_met);
  CHECK(rest.hint.find("turn the clamp so that its body lies away from floor") == 0);
  const Finding& motion = found.at("body of the clamp on hump-1, downstream end - floor, over the motion");
  lies_at(motion, 13 - 6);
  CHECK(motion.limit->value == 8);
  CHECK(motion.verdict == Verdict::not_met);
}

TEST_CASE("cl.body: reaching in, and wholly inside", "[checks][box]") {
  Body c;
  c.wall(-3);
  const Finding in = c.one("cl.body");
  CHECK(in.verdict == Verdict::not_met);
  CHECK(std::get<Measured>(in.outcome).hi < 0);
  CHECK(std::get<Measured>(in.outcome).note.ends_with("how deep it reaches in is not known"));
  c.bay.parts.clear();
  c.add("tank", {200, -420, -50}, {280, -340, 50});
  CHECK(c.one("cl.body").verdict == Verdict::not_met);
}

TEST_CASE("cl.body: the port's own part is left out within its contact length", "[checks][box]") {
  Body c;
  c.wall(2);
  c.bay.ports[0].part = bay::PartId("wall");
  c.bay.ports[0].contact_length_mm = 800;
  CHECK(c.one("cl.body").verdict == Verdict::not_applicable);
  c.bay.ports[0].contact_length_mm = 100;
  CHECK(c.one("cl.body").verdict == Verdict::not_met);
}

TEST_CASE("cl.body: what is missing", "[checks][box]") {
  Body c;
  CHECK(missing_of(c.one("cl.body")) == std::vector<std::string>{"parts"});
  c.wall(10);
  c.hump().clamps[0].screw_clock.reset();
  c.hump().clamps[0].screw_side.reset();
  // Without tools no position is found either.
  CHECK(missing_of(c.one("cl.body")) ==
        std::vector<std::string>{"ducts/intake/fittings/hump-1/clamps: screw_clock_deg"});
  c.hump().clamps = {Body::clamp(duct::HoseEnd::upstream)};
  c.bay.parts[0].doubt = "a hundred times as large as the bay";
  CHECK(missing_of(c.one("cl.body")) == std::vector<std::string>{"parts/wall/size_confirmed"});
  c.bay.parts[0].doubt = "";
  c.bay.parts[0].body = 1;
  c.bay.bodies[1].motion = MotionSet();
  const auto unstated = c.of("cl.body");
  REQUIRE(unstated.size() == 2);  // at rest it is measured
  CHECK(std::any_of(unstated.begin(), unstated.end(), [](const Finding& f) {
    return f.verdict == Verdict::not_checked && missing_of(f) == std::vector<std::string>{"bodies/engine/motion"};
  }));
  c.bay.parts[0].body = 0;
  c.sheet.clearance.clear();
  CHECK(c.one("cl.body").verdict == Verdict::not_checked);
  c.hump().clamps.clear();
  CHECK(missing_of(c.one("cl.body")) == std::vector<std::string>{"ducts/intake/fittings/hump-1/clamps"});
  c.remove("hump-1");
  CHECK(c.one("cl.body").verdict == Verdict::not_applicable);
}
