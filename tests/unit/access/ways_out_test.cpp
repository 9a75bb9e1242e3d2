#include "access/ways_out.hpp"

#include <random>

#include "bay/motion_spec.hpp"
#include "tests/support/case_count.hpp"
#include "tests/unit/access/between.hpp"

namespace baywright::access {
namespace {

TEST_CASE("a straight tube whose hoses slide onto it is lifted out, and the hoses on it") {
  Between b;
  const WaysOut ways = b.ways();
  REQUIRE(ways.pieces.size() == 3);
  const PieceWay& tube = of(ways, "tube 1");
  INFO(tube.open);
  REQUIRE(tube.found);
  CHECK(tube.order == 1);
  CHECK(tube.opening == "top");
  CHECK(carried(tube) == 1);
  // 30 on the spigot, 1 of room, 1 to be apart, and the spigot's chords.
  CHECK(tube.released.find("coupler C1 is slid onto tube 1 by 32") != std::string::npos);
  CHECK(of(ways, "coupler C1").with == "tube 1");
  CHECK(of(ways, "coupler C2").found);
  replay(ways, b.job.bay, b.duct());
}

TEST_CASE("under a plate wider than the opening no way is found, and that is all that is said") {
  Between b;
  b.box("plate", {-900, -900, 100}, {1500, 900, 110});
  const WaysOut ways = b.ways();
  const PieceWay& tube = of(ways, "tube 1");
  CHECK_FALSE(tube.found);
  CHECK(tube.open.find("no proof") != std::string::npos);
  CHECK(tube.open.find("part plate") != std::string::npos);
  CHECK(tube.missing.empty());
  CHECK_FALSE(of(ways, "coupler C1").found);
}

TEST_CASE("a tube longer than the opening is turned, where there is height for that") {
  Between b;
  b.opening("top", {80, -200, 600}, {520, 200, 600});  // 440 for a tube of 560
  const WaysOut ways = b.ways();
  const PieceWay& tube = of(ways, "tube 1");
  INFO(tube.open);
  REQUIRE(tube.found);
  CHECK(std::any_of(tube.steps.begin(), tube.steps.end(), [](const WayStep& step) { return step.move.turns; }));
  replay(ways, b.job.bay, b.duct());

  b.opening("top", {200, -60, 120}, {400, 60, 120});  // no height to turn in
  CHECK_FALSE(of(b.ways(), "tube 1").found);
}

TEST_CASE("a boss beside both hoses holds a straight tube between two short spigots") {
  Between b;
  for (const double station : {100.0, 500.0}) {
    duct::BranchPort boss = test::branch_port(19, degrees(0));
    b.job.spec.fittings.push_back(
        test::fitting_at(b.job.spec.route, std::to_string(static_cast<int>(station)), station, boss));
  }
  // Tube from 20 on, hose to 50; the boss takes 88.5 to 111.5: 30 + 32.2 + 5 fit into 68.5, but not a hose of 100.
  CHECK(of(b.ways(), "tube 1").found);
  Between longer({{0, 0, 0}, {600, 0, 0}}, 100);
  longer.job.spec.fittings.insert(longer.job.spec.fittings.end(), b.job.spec.fittings.begin() + 2,
                                  b.job.spec.fittings.end());
  const WaysOut ways = longer.ways();
  CHECK_FALSE(of(ways, "tube 1").found);
  CHECK_FALSE(of(ways, "coupler C1").found);
  CHECK(of(ways, "coupler C1").open.find("sits on") != std::string::npos);
  // On longer spigots the hoses go back: 40 + 42 and no bead in the way. The blocks then stand 100 behind.
}

TEST_CASE("without the length of the spigots nobody knows, and the keys are named") {
  Between b;
  b.spigot_mm.reset();
  const WaysOut ways = b.ways();
  const PieceWay& tube = of(ways, "tube 1");
  CHECK_FALSE(tube.found);
  CHECK(tube.missing ==
        std::vector<std::string>{"ports/filter-out/spigot_length_mm", "ports/compressor-in/spigot_length_mm"});
}

TEST_CASE("what reaches beyond an opening's plane as drawn has to lie over its outline") {
  Between b;
  b.opening("top", {-400, -500, 30}, {1000, 500, 30});  // through the tube, whose top is at 38
  const WaysOut over = b.ways();
  REQUIRE(of(over, "tube 1").found);
  replay(over, b.job.bay, b.duct());
  b.opening("top", {100, -500, 30}, {500, 500, 30});  // both ends stand out beside it
  CHECK_FALSE(of(b.ways(), "tube 1").found);
  CHECK(of(b.ways(), "tube 1").open.find("beyond the plane of every opening") != std::string::npos);
}

TEST_CASE("a plane drawn too far in is no way out into what lies behind it") {
  const auto low = [] {
    Between b;
    b.opening("top", {-400, -500, 60}, {1000, 500, 60});
    b.box("floor", {-400, -500, -900}, {1000, 500, -890});  // so that the parts' middle is inside
    return b;
  };
  // A plate over all of it, higher than where the tube is clear of the plane.
  Between under = low();
  under.box("plate", {-2500, -2500, 300}, {3100, 2500, 305});
  const WaysOut held = under.ways();
  CHECK_FALSE(of(held, "tube 1").found);
  CHECK(of(held, "tube 1").open.find("part plate") != std::string::npos);
  // A shelf over it: the tube does not end below.
  Between beside = low();
  beside.box("shelf", {-400, -200, 300}, {1000, 200, 305});
  const WaysOut ways = beside.ways();
  INFO(of(ways, "tube 1").open);
  REQUIRE(of(ways, "tube 1").found);
  replay(ways, beside.job.bay, beside.duct());
  // What is not over it is none of its business.
  Between far = low();
  far.box("tower", {250, 600, -300}, {350, 700, 400});
  const WaysOut straight = far.ways();
  REQUIRE(of(straight, "tube 1").found);
  CHECK(of(straight, "tube 1").steps.back().move.amount < 200);
}

TEST_CASE("what lies under a bonnet that opens by a crack is not out") {
  const auto found_at = [](double opens_deg) {
    Between b;
    b.opening("top", {-400, -500, 60}, {1000, 500, 60});
    b.box("floor", {-400, -500, -900}, {1000, 500, -890});  // so that the parts' middle is inside
    // Beyond the plane the tube, with its hoses 86 thick, has room under it as drawn.
    b.box("bonnet", {-2500, -2500, 170}, {3100, 2500, 180});
    b.hinge_last_part({-2500, 0, 175}, opens_deg);
    const WaysOut ways = b.ways();
    INFO(of(ways, "tube 1").open);
    return of(ways, "tube 1").found;
  };
  CHECK_FALSE(found_at(0.3));
  CHECK(found_at(60));
}

TEST_CASE("an opening may face sideways or down, and what lies before it counts") {
  struct Way {
    Vec3 outward, wall_lo, wall_hi;
  };
  for (const Way& way : {Way{Vec3::UnitY(), {-2500, 700, -2500}, {3100, 710, 2500}},
                         Way{-Vec3::UnitZ(), {-2500, -2500, -710}, {3100, 2500, -700}}}) {
    CAPTURE(way.outward.transpose());
    Between b;
    // 150 before the tube, as long as the first one.
    const Vec3 across = way.outward.cross(Vec3::UnitX()), middle = Vec3(300, 0, 0) + 150 * way.outward;
    std::vector<Vec3> outline;
    for (const auto& [x, y] : {std::pair{-700, -500}, {700, -500}, {700, 500}, {-700, 500}})
      outline.push_back(middle + x * Vec3::UnitX() + y * across);
    b.job.bay.openings = {{bay::OpeningId("side"), "side", outline}};
    // So that the parts' middle is inside.
    const Vec3 behind = Vec3(300, 0, 0) - 900 * way.outward;
    b.box("back", behind - Vec3(100, 100, 100), behind + Vec3(100, 100, 100));
    const WaysOut ways = b.ways();
    INFO(of(ways, "tube 1").open);
    REQUIRE(of(ways, "tube 1").found);
    CHECK(of(ways, "tube 1").steps.back().move.along.dot(way.outward) > 0.7);
    b.box("wall", way.wall_lo, way.wall_hi);
    CHECK_FALSE(of(b.ways(), "tube 1").found);
    CHECK(of(b.ways(), "tube 1").open.find("part wall") != std::string::npos);
  }
}

TEST_CASE("nor does it end aslant under a ledge beside the opening") {
  Between b;
  b.opening("top", {-400, -200, 60}, {1000, 200, 60});
  b.box("floor", {-400, -500, -900}, {1000, 500, -890});
  // Straight up a beam lies over it; aslant it gets through the outline, under the ledges.
  b.box("beam", {-2500, -60, 160}, {3100, 60, 170});
  b.box("left ledge", {-2500, 60, 260}, {3100, 2500, 270});
  b.box("right ledge", {-2500, -2500, 260}, {3100, -60, 270});
  CHECK_FALSE(of(b.ways(), "tube 1").found);
}

TEST_CASE("an opening whose inside is not clear is no way out, and that is noted") {
  Between b;
  CHECK(of(b.ways(), "tube 1").found);
  b.box("mast", {-2000, -2000, 200}, {-1900, -1900, 3000});  // now the parts lie beyond its plane, the duct before it
  const WaysOut ways = b.ways();
  CHECK_FALSE(of(ways, "tube 1").found);
  REQUIRE(ways.notes.size() == 1);
  CHECK(ways.notes[0].find("which side of opening top is inside is not clear") != std::string::npos);
}

TEST_CASE("without openings nothing comes out") {
  Between b;
  b.job.bay.openings.clear();
  CHECK(of(b.ways(), "tube 1").missing == std::vector<std::string>{"openings"});
}

TEST_CASE("a leaning tube comes out square to itself from between ends that stand close") {
  // Its ends stand 5 from the spigots, under hoses that slide back onto it; straight up it would meet one of them.
  const Vec3 along = Vec3(0.9, 0, 0.43589).normalized();
  Between b({{0, 0, 0}, 600 * along});
  b.job.spec.fittings.clear();
  const duct::Coupler hose = test::coupler(duct::CouplerShape::straight, 5, 70);
  b.job.spec.fittings.push_back(test::fitting_at(b.job.spec.route, "C1", 0, hose));
  b.job.spec.fittings.push_back(test::fitting_at(b.job.spec.route, "C2", 595, hose, true));
  for (std::size_t i : {0, 1}) b.hose(i).clamp_height_mm = 4;
  b.bare_spigots(60);
  for (const double side : {-1.0, 1.0}) {  // nor can it go sideways
    b.box(side > 0 ? "left" : "right", {-100, side > 0 ? 52.0 : -60.0, -100}, {700, side > 0 ? 60.0 : -52.0, 390});
  }
  const WaysOut ways = b.ways();
  INFO(of(ways, "tube 1").open);
  CHECK(of(ways, "tube 1").found);
  replay(ways, b.job.bay, b.duct());
}

TEST_CASE("a tube that begins on a port without a hose is drawn off it, bent or not") {
  Between b({{0, 0, 0}, {120, 0, 0}, {120, -500, 0}});  // bent from 5 on
  b.job.spec.fittings.erase(b.job.spec.fittings.begin());
  const WaysOut ways = b.ways();
  const PieceWay& tube = of(ways, "tube 1");
  INFO(tube.open);
  REQUIRE(tube.found);
  CHECK(tube.released.find("tube 1 is drawn off port filter-out by 47") != std::string::npos);
  replay(ways, b.job.bay, b.duct());
  b.box("wall", {120 + 40, -400, -50}, {120 + 60, 100, 50});  // no room to draw it
  CHECK_FALSE(of(b.ways(), "tube 1").found);
}

TEST_CASE("a part that is out first holds nothing") {
  Between b({{0, 0, 0}, {600, 0, 0}}, 100);
  for (const double station : {100.0, 500.0}) {
    b.job.spec.fittings.push_back(test::fitting_at(b.job.spec.route, std::to_string(static_cast<int>(station)), station,
                                                   test::branch_port(19, degrees(0))));
  }
  CHECK_FALSE(of(b.ways(), "tube 1").found);  // bosses hold both hoses
  b.job.bay.parts[0].removed_first = true;
  const WaysOut ways = b.ways();
  INFO(of(ways, "tube 1").open);
  CHECK(of(ways, "tube 1").found);
  CHECK(of(ways, "tube 1").released.find("filter-out") == std::string::npos);
  replay(ways, b.job.bay, b.duct());
}

TEST_CASE("a tap whose size nobody states does not reach under the hose beside it as drawn") {
  // The hose ends at 50 on the tube; memory takes the tap at 55 to reach from 45.
  Between b({{0, 0, 0}, {600, 0, 0}}, 80);
  b.job.spec.fittings.push_back(test::fitting_at(b.job.spec.route, "tap", 55, duct::RestrictionTap{}));
  b.spigot_mm = 75;  // room for all of the hose on the spigot
  b.bare_spigots(100);
  const WaysOut ways = b.ways();
  INFO(of(ways, "tube 1").open);
  CHECK(of(ways, "tube 1").found);
  CHECK(of(ways, "tube 1").released.find("coupler C1 is slid onto port filter-out") != std::string::npos);
  replay(ways, b.job.bay, b.duct());
  // Nor beside the hose while the tube is drawn out of it.
  b.spigot_mm = 45;
  b.job.bay.parts[1].removed_first = true;
  const WaysOut drawn = b.ways();
  INFO(of(drawn, "tube 1").open);
  REQUIRE(of(drawn, "tube 1").found);
  CHECK(of(drawn, "tube 1").released.find("tube 1 is drawn out of coupler C1") != std::string::npos);
}

TEST_CASE("the bonnet counts open where it has a hinge; a part that is removed first is no hindrance") {
  Between b;
  b.box("bonnet", {-800, -700, 200}, {1300, 700, 210});
  CHECK_FALSE(of(b.ways(), "tube 1").found);
  b.hinge_last_part({-800, 0, 205}, 80);
  const WaysOut open = b.ways();
  CHECK(of(open, "tube 1").found);
  CHECK(open.notes == std::vector<std::string>{"part bonnet stands open"});
  // A liner below it goes up with it.
  b.box("liner", {-800, -700, 180}, {1300, 700, 190});
  b.job.bay.parts.back().body = 2;
  CHECK(of(b.ways(), "tube 1").found);
  b.job.bay.parts.back().body = 0;
  CHECK_FALSE(of(b.ways(), "tube 1").found);

  Between tray;
  tray.box("tray", {-900, -900, 100}, {1500, 900, 110});
  tray.job.bay.parts.back().removed_first = true;
  const WaysOut out = tray.ways();
  CHECK(of(out, "tube 1").found);
  CHECK(out.notes == std::vector<std::string>{"part tray is taken out first"});
}

TEST_CASE("inside a closed block nothing comes out, though no surface is near") {
  Between b;
  b.box("block", {-2000, -2000, -2000}, {3000, 2000, 2000});
  b.job.bay.parts.back().encloses = true;
  CHECK_FALSE(of(b.ways(), "tube 1").found);
}

TEST_CASE("between two walls a hose passes with low bands, and not with the bodies of worm clamps across") {
  // Hose of 43.1 mm radius; bands 4 high reach 47.1, bodies of a worm clamp more than 12 high reach 55 and beyond.
  Between b;
  b.box("left", {-30, 51, -50}, {630, 60, 300});
  b.box("right", {-30, -60, -50}, {630, -51, 300});
  CHECK(of(b.ways(), "tube 1").found);
  for (std::size_t i : {0, 1}) b.clamp(i, "worm-12", degrees(0));  // up and down there is room
  CHECK(of(b.ways(), "tube 1").found);
  for (std::size_t i : {0, 1}) b.clamp(i, "worm-12", degrees(90));
  CHECK_FALSE(of(b.ways(), "tube 1").found);
  // All round where nobody says where the screw is.
  for (std::size_t i : {0, 1}) b.clamp(i, "worm-12", std::nullopt);
  CHECK_FALSE(of(b.ways(), "tube 1").found);
}

TEST_CASE("a hose whose clamps do not pass is turned on its seat first") {
  Between b;
  for (std::size_t i : {0, 1}) b.clamp(i, "t-bolt", degrees(90));
  // Posts ahead of the first hose, where its clamps' bodies are; above them there is room.
  for (const double side : {-1.0, 1.0})
    b.box(side > 0 ? "left" : "right", {60, side > 0 ? 52.0 : -200.0, -20}, {70, side > 0 ? 200.0 : -52.0, 20});
  const WaysOut ways = b.ways();
  const PieceWay& tube = of(ways, "tube 1");
  INFO(tube.open);
  REQUIRE(tube.found);
  const WayStep& first = tube.steps.front();
  CHECK(first.kind == WayStep::Kind::hose_slid);
  CHECK(first.move.turns);
  CHECK(first.moved == std::vector<std::string>{"coupler C1"});
  CHECK_FALSE(tube.steps[1].move.turns);
  replay(ways, b.job.bay, b.duct());
  // Where the bodies are as high all round, no turn helps.
  for (std::size_t i : {0, 1}) b.clamp(i, "t-bolt", std::nullopt);
  CHECK_FALSE(of(b.ways(), "tube 1").found);
}

TEST_CASE(
    "without the height of its clamps, or the size of a sensor's boss, nothing is proven and the keys are named") {
  Between b;
  b.hose(1).clamp_height_mm = 0;
  const WaysOut ways = b.ways();
  for (const PieceWay& way : ways.pieces) CHECK_FALSE(way.found);
  CHECK(of(ways, "tube 1").open == "how high the clamps on C2 are is not stated");
  CHECK(of(ways, "tube 1").missing ==
        std::vector<std::string>{"ducts/" + b.duct().spec.id.value + "/fittings/C2/clamps",
                                 "ducts/" + b.duct().spec.id.value + "/fittings/C2/clamp_height_mm"});
  b.clamp(1, "worm-12", degrees(0));
  CHECK(of(b.ways(), "tube 1").found);
  b.clamp(1, "no-such", degrees(0));
  CHECK_FALSE(of(b.ways(), "tube 1").found);
}

TEST_CASE("the search ends at a count of moves, so every machine finds the same") {
  Between between;
  between.most_for_one = 2;
  const WaysOut ways = between.ways();
  const PieceWay& tube = of(ways, "tube 1");
  CHECK_FALSE(tube.found);
  CHECK(tube.open == "the search ended after 2 moves tried for it");
  between.most_for_one.reset();
  CHECK(of(between.ways(), "tube 1").found);
}

TEST_CASE("a search for ways out that is cancelled gives nothing") {
  Between b;
  b.ways();
  Progress stop;
  stop.cancel();
  const WayInputs inputs{b.job.bay, {&b.duct(), 1}, std::vector<double>(b.job.bay.parts.size(), 0.0), {0}};
  CHECK_FALSE(ways_out(inputs, stop));
}

TEST_CASE("every way that is found is free at every place that is looked at") {
  std::mt19937 random(20261127);
  const auto in = [&](double lo, double hi) { return std::uniform_real_distribution<double>(lo, hi)(random); };
  int found = 0;
  const long cases = test::case_count(12);
  for (long n = 0; n < cases; ++n) {
    const bool bent = n % 2 == 1;
    Between b(bent ? std::vector<Vec3>{{0, 0, 0}, {400, 0, 0}, {400, -500, 0}}
                   : std::vector<Vec3>{{0, 0, 0}, {600, 0, 0}});
    for (int i = 0; i < 6; ++i) {
      const Vec3 at(in(-100, 700), in(-400, 300), in(70, 300)), half(in(10, 150), in(10, 150), in(5, 40));
      b.box("box-" + std::to_string(i), at - half, at + half);
    }
    if (n % 4 >= 2) {
      b.clamp(0, "worm-12", degrees(in(0, 360)));
      b.clamp(1, "worm-12", std::nullopt);
    }
    const WaysOut ways = b.ways();
    if (of(ways, "tube 1").found) ++found;
    replay(ways, b.job.bay, b.duct());
  }
  CHECK(found >= cases / 4);
}

}  // namespace
}  // namespace baywright::access
