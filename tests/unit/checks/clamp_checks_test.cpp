#include "tests/support/box_mesh.hpp"
#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

/// The example intake with one clamp on hump 1, declared at 3 o'clock (the flow is along -y there, so at -x), head
/// facing counter-clockwise (up); hump 2 without a word of clamps would be not checked, so it goes. An opening lies 300
/// above.
struct Clamped : Case {
  Clamped() {
    remove("hump-2");
    add("far away", {3000, 3000, 0}, {3010, 3010, 10});
    bay.ports[1].body = 0;
    hump().clamps = {
        {duct::HoseEnd::upstream, catalog::ClampTypeId("worm-12"), degrees(90), duct::ScrewSide::counter_clockwise}};
    bay.openings = {
        {bay::OpeningId("top"), "top", {{-800, -1400, 300}, {1100, -1400, 300}, {1100, 800, 300}, {-800, 800, 300}}}};
  }
  duct::Coupler& hump() { return std::get<duct::Coupler>(kind("hump-1")); }
  void add(const std::string& id, const Vec3& lo, const Vec3& hi) {
    bay::Part part;
    part.id = bay::PartId(id);
    part.mesh = std::make_shared<TriMesh>(box_mesh(lo, hi));
    part.tree = TriTree::over(*part.mesh);
    bay.parts.push_back(part);
  }
};

}  // namespace

TEST_CASE("cl.pair counts the clamps on each end; nothing said is not checked", "[checks]") {
  Clamped c;
  auto found = c.of("cl.pair");
  REQUIRE(found.size() == 2);
  for (const Finding& f : found) {
    const bool upstream = f.subject == "hump-1, upstream end";
    CHECK(value_of(f) == (upstream ? 1 : 0));
    CHECK(f.verdict == (upstream ? Verdict::met : Verdict::not_met));
    if (!upstream) CHECK(f.hint == "add the clamp");
  }
  c.hump().clamps.clear();
  for (const char* id : {"cl.pair", "cl.reach", "cl.torque", "cl.sight"}) {
    CHECK(missing_of(c.one(id)) == std::vector<std::string>{"ducts/intake/fittings/hump-1/clamps"});
  }
  c.remove("hump-1");
  CHECK(c.one("cl.pair").verdict == Verdict::not_applicable);
}

TEST_CASE("cl.pair: a band past the tube's end holds nothing, and two bands in one place are not believed",
          "[checks]") {
  Clamped c;
  const auto upstream = [&] {
    for (const Finding& f : c.of("cl.pair")) {
      if (f.subject == "hump-1, upstream end") return f;
    }
    FAIL("no finding");
    return Finding();
  };
  // A hose of 20 + 2 x 18: the band of 12.7 begins 6.4 from its end and stops 1.1 past the tube.
  c.hump().length_mm = c.hump().gap_mm + 2 * 18;
  CHECK(upstream().verdict == Verdict::not_met);
  CHECK(value_of(upstream()) == 0);
  CHECK(upstream().hint.starts_with("let the hose lie on this tube for at least 1.1 mm more"));
  c.hump().length_mm = c.hump().gap_mm + 2 * 19.2;
  CHECK(upstream().verdict == Verdict::met);
  c.hump().clamps.push_back(c.hump().clamps.front());
  CHECK(upstream().verdict == Verdict::not_checked);
}

TEST_CASE("cl.reach, cl.torque, cl.sight: a screw that faces an opening in an empty bay", "[checks]") {
  Clamped c;
  for (const char* id : {"cl.reach", "cl.torque", "cl.sight"}) {
    INFO(id);
    CHECK(c.one(id).verdict == Verdict::met);
    CHECK(value_of(c.one(id)) == 1);
    CHECK(c.one(id).subject == "hump-1, upstream end");
  }
  // Head: 3 o'clock, 38.1 + 5 + 6.5 from the axis at x = 300, half a body of 30 above it; band middle 12.75 from y =
  // -365.
  const Finding reach = c.one("cl.reach");
  const auto& m = std::get<Measured>(reach.outcome);
  CHECK((*m.at_mm - Vec3(300 - 49.6, -365 - 12.75, 15)).norm() < 1e-9);
}

TEST_CASE("cl.reach: a plate over the screw, and where else it would do", "[checks]") {
  Clamped c;
  c.add("plate", {200, -440, 22}, {262, -320, 26});  // 7 above the head: no tool is that short
  const Finding reach = c.one("cl.reach");
  CHECK(reach.verdict == Verdict::not_met);
  CHECK(value_of(reach) == 0);
  CHECK(reach.severity == Severity::blocker);
  CHECK(reach.hint.find("turn the screw to ") == 0);
  CHECK(std::get<Measured>(reach.outcome).note == "tool in place (part plate) at 1 of 1 positions");
  const Finding torque = c.one("cl.torque");
  CHECK(torque.verdict == Verdict::not_met);
  CHECK(std::get<Measured>(torque.outcome).note == "the clamp is not reached: see cl.reach");
  CHECK(c.one("cl.sight").verdict == Verdict::not_applicable);
  c.bay.parts[1].removed_first = true;
  const Finding removed = c.one("cl.reach");
  CHECK(removed.verdict == Verdict::not_met);
  CHECK(removed.severity == Severity::major);
  CHECK(removed.hint.find("take out plate first (1 part)") != std::string::npos);
  // With it out there is room for the tool that tells the torque, and the screw is seen.
  CHECK(c.one("cl.torque").verdict == Verdict::met);
  CHECK(std::get<Measured>(c.one("cl.torque").outcome).note.starts_with("with plate out, screw at "));
  CHECK(c.one("cl.sight").verdict == Verdict::met);
  CHECK(std::get<Measured>(c.one("cl.sight").outcome).note == "with plate out");
}

TEST_CASE("cl.reach: where no position serves with any tool, the joint has to move", "[checks]") {
  Clamped c;
  // The whole joint lies inside a block.
  c.add("box", {-60, -470, -60}, {460, -290, 60});
  const Finding reach = c.one("cl.reach");
  CHECK(reach.verdict == Verdict::not_met);
  CHECK(reach.hint.starts_with("move the joint"));
  CHECK(reach.hint.find("turn") == std::string::npos);
}

TEST_CASE("cl.torque, cl.sight: where a tool fits with parts out and no way in was found, nobody knows", "[checks]") {
  Clamped c;
  c.add("plate", {200, -440, 22}, {262, -320, 26});
  c.bay.parts[1].removed_first = true;
  c.add("lid", {-900, -1500, 250}, {1200, 900, 260});
  CHECK(c.one("cl.reach").verdict != Verdict::met);
  for (const char* id : {"cl.torque", "cl.sight"}) {
    const Finding f = c.one(id);
    CAPTURE(id);
    CHECK(f.verdict == Verdict::not_checked);
    CHECK(missing_of(f) == std::vector<std::string>{"openings"});
  }
}

TEST_CASE("cl.torque: room for tools, but not for the one that tells the torque", "[checks]") {
  Clamped c;
  std::erase_if(c.workshop.tools, [](const catalog::Tool& t) { return t.id.value == "torque-wrench"; });
  for (catalog::Tool& t : c.workshop.tools) {
    if (t.torque) t.lengths[1].length_mm = 700;  // 20 + 700 + 120, and a plate 600 above the head
  }
  c.add("plate", {250.4 - 8, -377.75 - 8, 615}, {250.4 + 8, -377.75 + 8, 616});
  const Finding torque = c.one("cl.torque");
  CHECK(torque.verdict == Verdict::not_met);
  REQUIRE(std::holds_alternative<Measured>(torque.outcome));
  CHECK(std::get<Measured>(torque.outcome).note == "by calibrated feel");
  CHECK(c.one("cl.reach").verdict == Verdict::met);
}

TEST_CASE("a spring band is opened with pliers along the radius and has no torque", "[checks]") {
  const auto with = [] {
    Clamped c;
    c.hump().clamps = {{duct::HoseEnd::upstream, catalog::ClampTypeId("spring-band-12"), Angle(), {}}};
    return c;
  };
  // Tangs on top, 38.1 + 5 + 9 above the axis: the pliers come from the opening, in sight.
  Clamped c = with();
  const Finding reach = c.one("cl.reach");
  CHECK(reach.verdict == Verdict::met);
  CHECK((*std::get<Measured>(reach.outcome).at_mm - Vec3(300, -365 - 6.4 - 6, 52.1)).norm() < 1e-9);
  CHECK(std::get<Measured>(reach.outcome).note == "tangs at 12 o'clock (0\u00b0): spring-clamp pliers");
  CHECK(c.one("cl.sight").verdict == Verdict::met);
  CHECK(c.one("cl.torque").verdict == Verdict::not_applicable);
  // A plate 100 above the axis leaves no room for pliers of 240; elsewhere there is.
  c.add("plate", {240, -440, 100}, {360, -320, 104});
  const Finding blocked = c.one("cl.reach");
  CHECK(blocked.verdict == Verdict::not_met);
  CHECK(std::get<Measured>(blocked.outcome).note == "tool in place (part plate) at 1 of 1 positions");
  CHECK(blocked.hint.starts_with("turn the tangs to "));
  CHECK(c.one("cl.torque").verdict == Verdict::not_applicable);
  // What is missing: pliers, an opening.
  Clamped none = with();
  std::erase_if(none.workshop.tools, [](const catalog::Tool& t) { return t.pliers.has_value(); });
  CHECK(missing_of(none.one("cl.reach")) == std::vector<std::string>{"tools"});
  Clamped shut = with();
  shut.bay.openings.clear();
  CHECK(missing_of(shut.one("cl.reach")) == std::vector<std::string>{"openings"});
  CHECK(shut.one("cl.torque").verdict == Verdict::not_applicable);
}

TEST_CASE("what is missing for the clamps: an opening, a tool, a way in", "[checks]") {
  Clamped c;
  c.bay.openings.clear();
  CHECK(missing_of(c.one("cl.reach")) == std::vector<std::string>{"openings"});
  CHECK(missing_of(c.one("cl.sight")) == std::vector<std::string>{"openings"});
  Clamped tools;
  std::erase_if(tools.workshop.tools, [](const catalog::Tool& t) { return !t.torque; });
  CHECK(tools.one("cl.reach").verdict == Verdict::met);
  Clamped none;
  none.workshop.tools.clear();
  CHECK(missing_of(none.one("cl.reach")) == std::vector<std::string>{"tools"});
  Clamped no_torque;
  std::erase_if(no_torque.workshop.tools, [](const catalog::Tool& t) { return t.torque; });
  CHECK(no_torque.one("cl.reach").verdict == Verdict::met);
  CHECK(missing_of(no_torque.one("cl.torque")) == std::vector<std::string>{"tools"});
  Clamped empty;
  empty.bay.parts.clear();
  CHECK(missing_of(empty.one("cl.reach")) == std::vector<std::string>{"parts"});
  Clamped doubted;
  doubted.bay.parts[0].doubt = "100 times too large";
  CHECK(missing_of(doubted.one("cl.sight")) == std::vector<std::string>{"parts/far away"});
  Clamped lid;
  lid.add("lid", {-900, -1500, 250}, {1200, 900, 260});
  const Finding shut = lid.one("cl.reach");
  CHECK(shut.verdict == Verdict::not_checked);
  CHECK(std::get<NotAssessed>(shut.outcome).reason.find("other ways were not searched") != std::string::npos);
  // The reason stands once for each clamp; what asks for more points to it and keeps what is missing.
  for (const Clamped* open : {&c, &none, &empty, &doubted, &lid}) {
    for (const char* id : {"cl.torque", "cl.sight"}) {
      const Finding f = open->one(id);
      CHECK(std::get<NotAssessed>(f.outcome).reason == "hangs on cl.reach of this clamp, which is not checked");
      CHECK(missing_of(f) == missing_of(open->one("cl.reach")));
    }
  }
}
