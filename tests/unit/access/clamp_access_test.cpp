#include "access/clamp_access.hpp"

#include <catch2/catch.hpp>

#include "tests/support/box_mesh.hpp"
#include "tests/support/example_intake.hpp"

namespace baywright::access {
namespace {

/// The example intake, its hump 1 (leg along -y at x = 300, hose from station 718.1 on) with clamps, and an opening
/// 300 above all of it.
struct Clamped {
  bay::Bay bay = test::example_bay();
  duct::DuctSpec spec = test::example_spec();
  catalog::Workshop workshop = catalog::usual_workshop();

  explicit Clamped(std::vector<duct::HoseClamp> clamps) {
    std::get<duct::Coupler>(spec.fittings[2].kind).clamps = std::move(clamps);
    bay.openings = {
        {bay::OpeningId("top"), "top", {{-800, -1400, 300}, {1100, -1400, 300}, {1100, 800, 300}, {-800, 800, 300}}}};
  }
  void add(const std::string& id, const Vec3& lo, const Vec3& hi, bool removed_first = false) {
    bay::Part part;
    part.id = bay::PartId(id);
    part.mesh = std::make_shared<TriMesh>(test::box_mesh(lo, hi));
    part.tree = TriTree::over(*part.mesh);
    part.removed_first = removed_first;
    bay.parts.push_back(part);
  }
  std::vector<ClampAccess> all() const {
    const duct::Duct duct = test::laid_out(spec, bay);
    return clamp_access({bay, {&duct, 1}, workshop}, duct);
  }
};

const duct::HoseClamp kUndecided{duct::HoseEnd::upstream, catalog::ClampTypeId("worm-12"), {}, {}};
/// The flow is along -y: seen with it, up is 12 and +x is... t x up = -y x z = -x, so 3 o'clock is at -x.
duct::HoseClamp declared(double clock_deg, Side side) {
  return {duct::HoseEnd::upstream, catalog::ClampTypeId("worm-12"), degrees(clock_deg), side};
}

TEST_CASE("where a clamp sits on its hose") {
  const Clamped c({kUndecided, {duct::HoseEnd::downstream, catalog::ClampTypeId("t-bolt"), {}, {}}});
  const auto all = c.all();
  REQUIRE(all.size() == 2);
  // Gap of 20 from y = -400 on, hose of 90: from y = -365 to -455. Band 12.7 wide, 6.4 from the end: 12.75 in.
  CHECK((all[0].site.center - Vec3(300, -365 - 12.75, 0)).norm() < 1e-9);
  CHECK((all[0].site.along - Vec3(0, -1, 0)).norm() < 1e-9);
  CHECK(all[0].site.hose_radius_mm == Approx(38.1 + 5));
  CHECK(all[0].site.name == "hump-1, upstream end");
  // T-bolt: 19 wide.
  CHECK((all[1].site.center - Vec3(300, -455 + 6.4 + 9.5, 0)).norm() < 1e-9);
}

TEST_CASE("a duct in an empty bay under an opening: reached and seen, with a torque tool") {
  const auto all = Clamped({kUndecided}).all();
  REQUIRE(all.size() == 1);
  CHECK(all[0].best.reach == Reach::seen);
  CHECK(all[0].best.torque);
  REQUIRE(all[0].best.position >= 0);
  const PositionAt& at = all[0].chart.positions[static_cast<std::size_t>(all[0].best.position)];
  CHECK(at.usable());
  CHECK(at.seen);
  CHECK(all[0].chart.tools[static_cast<std::size_t>(all[0].best.tool)].torque);
}

TEST_CASE("a declared position is the one that counts; the others are there to be recommended") {
  // The head of a clamp at 6 o'clock that faces clockwise points to +x... a plate 20 beside it leaves no tool room.
  Clamped c({declared(180, Side::clockwise)});
  const auto open = c.all();
  REQUIRE(open[0].declared_from == 144);
  CHECK(open[0].chart.positions.size() == 145);
  const Screw screw = screw_at(open[0].site, open[0].chart.positions[144].position);
  const Vec3 plate = screw.head + 9 * screw.axis;
  c.add("plate", plate - Vec3(2, 60, 60), plate + Vec3(2, 60, 60));
  const auto blocked = c.all();
  CHECK(blocked[0].best.reach == Reach::unreachable);
  CHECK(blocked[0].best.position == -1);
  CHECK(blocked[0].anywhere.reach == Reach::seen);
  CHECK(hindrances(blocked[0], 144, 145) == "tool in place (part plate) at 1 of 1 positions");
  CHECK_FALSE(blocked[0].when_removed);

  c.bay.parts[0].removed_first = true;
  const auto freed = c.all();
  CHECK(freed[0].best.reach == Reach::unreachable);
  REQUIRE(freed[0].when_removed);
  CHECK((freed[0].when_removed->reach == Reach::seen || freed[0].when_removed->reach == Reach::by_feel ||
         freed[0].when_removed->reach == open[0].best.reach));
  CHECK(freed[0].removed == std::vector<bay::PartId>{bay::PartId("plate")});
}

TEST_CASE("without an opening nobody knows the way; under a lid none is found, which is no proof that there is none") {
  Clamped c({kUndecided});
  c.bay.openings.clear();
  CHECK(c.all()[0].best.reach == Reach::ways_unknown);
  Clamped lid({kUndecided});
  lid.add("lid", {-900, -1500, 250}, {1200, 900, 260});
  CHECK(lid.all()[0].best.reach == Reach::not_found);
}

TEST_CASE("the clamp on the other end of the hose is in the way, its own is not") {
  // At 12 o'clock both bodies lie on top of the hose, 90 - 2 * 12.75 = 64.5 apart: what swings a handle of 115 beside
  // the one meets the other.
  const auto end = [](duct::HoseEnd at, std::optional<double> clock_deg) {
    duct::HoseClamp clamp{at, catalog::ClampTypeId("worm-12"), {}, {}};
    if (clock_deg) clamp.screw_clock = degrees(*clock_deg);
    clamp.screw_side = Side::clockwise;
    return clamp;
  };
  const auto names = [](const ClampAccess& clamp) {
    std::vector<std::string> out;
    for (const std::string& name : clamp.obstacles) {
      if (name.find("clamp on") != std::string::npos) out.push_back(name);
    }
    return out;
  };
  const auto both = Clamped({end(duct::HoseEnd::upstream, 0), end(duct::HoseEnd::downstream, 0)}).all();
  REQUIRE(both.size() == 2);
  const std::vector<std::string> expected = {"duct intake, clamp on hump-1, upstream end",
                                             "duct intake, clamp on hump-1, downstream end"};
  CHECK(names(both[0]) == expected);
  const auto alone = Clamped({end(duct::HoseEnd::upstream, 0)}).all();
  CHECK(names(alone[0]) == std::vector<std::string>{expected[0]});
  const auto undecided = Clamped({end(duct::HoseEnd::upstream, 0), end(duct::HoseEnd::downstream, {})}).all();
  CHECK(names(undecided[0]) == std::vector<std::string>{expected[0]});
  const auto arc = [](const ClampAccess& clamp, const char* id) {
    const ClampChart& chart = clamp.chart;
    for (std::size_t i = 0; i < chart.tools.size(); ++i) {
      if (chart.tools[i].id.value == id) return to_degrees(chart.positions[clamp.declared_from].tools[i].arc.width());
    }
    return -1.0;
  };
  // Its own body does not stop the ring spanner; the other one does, at part of the turn.
  CHECK(arc(alone[0], "ratchet-ring") > arc(both[0], "ratchet-ring") + 5);
  CHECK(arc(undecided[0], "ratchet-ring") == arc(alone[0], "ratchet-ring"));
  CHECK(both[0].best.reach == Reach::seen);
}

TEST_CASE("cancelled: nothing") {
  const Clamped c({kUndecided});
  const duct::Duct duct = test::laid_out(c.spec, c.bay);
  Progress stop;
  stop.cancel();
  CHECK(clamp_access({c.bay, {&duct, 1}, c.workshop}, duct, stop).empty());
}

TEST_CASE("the recommended position is in the middle of the widest run") {
  ClampChart chart;
  chart.tools.resize(1);
  chart.with_openings = true;
  for (const ScrewPosition& p : all_positions()) {
    PositionAt at;
    at.position = p;
    const double deg = to_degrees(p.clock);
    // 340 to 20 degrees on the first side (9 of them, over the top), 100 to 130 on the other (7).
    const bool good = p.side == Side::clockwise ? deg >= 340 || deg <= 20 : deg >= 100 && deg <= 130;
    at.tools.resize(1);
    at.tools[0].hindrance = good ? Hindrance::none : Hindrance::seated;
    chart.positions.push_back(at);
  }
  const Choice any = choose(chart, 0, 144, {});
  CHECK(any.position == 0);
  CHECK(any.reach == Reach::by_feel);
  // One that is seen comes before a wider run that is not.
  chart.positions[72 + 21].seen = true;
  CHECK(choose(chart, 0, 144, {}).position == 72 + 21);
  CHECK(choose(chart, 0, 144, {}).reach == Reach::seen);
  for (PositionAt& at : chart.positions) at.tools[0].hindrance = Hindrance::seated;
  CHECK(choose(chart, 0, 144, {}).reach == Reach::unreachable);
  chart.positions[5].tools[0].hindrance = Hindrance::arm;
  CHECK(choose(chart, 0, 144, {}).reach == Reach::not_found);
}

TEST_CASE("strokes of a handle for so many turns, and the position with its widest arc") {
  CHECK(strokes(1, degrees(60)) == 6);
  CHECK(strokes(1, degrees(59.9)) == 7);
  CHECK(strokes(2.5, degrees(90)) == 10);
  CHECK(strokes(1, degrees(360)) == 1);
  ClampChart chart;
  catalog::Tool swung, rolled;
  swung.swing.emplace();
  chart.tools = {swung, rolled};
  const auto at = [&](Hindrance hindrance, double arc_deg) {
    ToolAt tool;
    tool.hindrance = hindrance;
    tool.arc = {degrees(10), degrees(10 + arc_deg)};
    PositionAt position;
    position.tools = {tool, tool};
    chart.positions.push_back(position);
  };
  CHECK_FALSE(widest_arc(chart, 0));
  at(Hindrance::way_in, 300);  // free there, but it does not get there
  CHECK_FALSE(widest_arc(chart, 0));
  at(Hindrance::none, 50);
  at(Hindrance::none, 80);
  at(Hindrance::none, 80);
  CHECK(widest_arc(chart, 0) == 2);
  CHECK_FALSE(widest_arc(chart, 1));
}

TEST_CASE("hours of the clock") {
  CHECK(clock_hour(Angle()) == "12 o'clock");
  CHECK(clock_hour(degrees(120)) == "4 o'clock");
  CHECK(clock_hour(degrees(135)) == "half past 4");
  CHECK(clock_hour(degrees(-30)) == "11 o'clock");
  CHECK(clock_hour(degrees(355)) == "12 o'clock");
  CHECK(clock_hour(degrees(15)) == "half past 12");
  CHECK(position_words({degrees(-80), Side::clockwise}) == "half past 9 (280\u00B0), head facing clockwise");
}

}  // namespace
}  // namespace baywright::access
