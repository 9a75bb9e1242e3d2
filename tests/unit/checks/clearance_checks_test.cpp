#include <algorithm>

#include "tests/support/box_mesh.hpp"
#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

TEST_CASE("cr: an empty bay is no pass", "[checks][clearance]") {
  Case c;
  CHECK(missing_of(c.one("cr.static")) == std::vector<std::string>{"parts"});
  CHECK(missing_of(c.one("cr.motion")) == std::vector<std::string>{"parts"});
}

TEST_CASE("cr: one finding per part, and every pair that is not met", "[checks][clearance]") {
  Case c;
  c.engine_moves();
  const int rail = c.add_part("Rail", bay::PartClass::plain, 0);
  const int manifold = c.add_part("Manifold", bay::PartClass::hot, 1);
  c.at_rest.pairs = {pair(0, rail, 50),     pair(2, rail, 30),        pair(4, rail, 40),
                     pair(0, manifold, 20), pair(2, manifold, 24, 2), pair(4, manifold, 90)};
  const auto hot = c.of("ht.turbo");
  REQUIRE(hot.size() == 2);
  CHECK(hot[0].verdict == Verdict::not_met);  // 20 of 25
  CHECK(hot[0].part == bay::PartId("Manifold"));
  CHECK(hot[0].limit->value == 25);
  CHECK(hot[1].verdict == Verdict::undecided);  // 24 +- 4
  const auto found = c.of("cr.static");
  REQUIRE(found.size() == 1);
  CHECK(found[0].verdict == Verdict::met);
  CHECK(value_of(found[0]) == 30);
  CHECK(found[0].hint.empty());
  CHECK(found[0].subject.find(" - Rail") != std::string::npos);
  CHECK(found[0].pair == found[0].subject);
}

TEST_CASE("cr: same body, at rest and over motion have limits of their own", "[checks][clearance]") {
  Case c;
  c.engine_moves();
  const int cover = c.add_part("Cover", bay::PartClass::plain, 1);
  auto same = pair(4, cover, 7);
  same.same_carrier = true;
  c.at_rest.pairs = {same};
  c.over_motion.pairs = {same};
  CHECK(c.one("cr.static").limit->value == 6);
  CHECK(c.one("cr.static").verdict == Verdict::met);
  CHECK(c.one("cr.motion").verdict == Verdict::not_applicable);  // they keep their distance
  c.at_rest.pairs[0].same_carrier = c.over_motion.pairs[0].same_carrier = false;
  CHECK(c.one("cr.static").limit->value == 20);
  CHECK(c.one("cr.static").verdict == Verdict::not_met);
  CHECK(c.one("cr.motion").limit->value == 8);
  CHECK(c.one("cr.motion").verdict == Verdict::not_met);
}

TEST_CASE("cr: hoses and clamps have limits of their own", "[checks][clearance]") {
  Case c;
  std::get<duct::Coupler>(c.kind("hump-2")).clamp_height_mm = 4;
  const auto pieces = laid_out(c.spec, c.bay).layout.pieces;
  const auto index = [&](duct::Piece::Kind kind) {
    const auto found = std::find_if(pieces.begin(), pieces.end(), [&](const duct::Piece& p) { return p.kind == kind; });
    REQUIRE(found != pieces.end());
    return static_cast<int>(found - pieces.begin());
  };
  const int tube = index(duct::Piece::Kind::tube), hose = index(duct::Piece::Kind::coupler);
  const int clamps = index(duct::Piece::Kind::clamps);
  const int exhaust = c.add_part("Exhaust", bay::PartClass::hot, 1);
  // Rubber and metal have a check each.
  const auto check_of = [&](int piece) { return piece == hose ? "ht.exhaust" : "ht.turbo"; };
  const auto verdict = [&](int piece, double mm) {
    c.at_rest.pairs = {pair(piece, exhaust, mm)};
    CHECK(c.one(piece == hose ? "ht.turbo" : "ht.exhaust").verdict == Verdict::not_applicable);
    return c.one(check_of(piece)).verdict;
  };
  // Metal tube 25 mm from the exhaust; what a hose needs the sheet does not say.
  CHECK(verdict(tube, 32.4) == Verdict::met);
  CHECK(verdict(clamps, 32.4) == Verdict::met);
  CHECK(verdict(hose, 32.4) == Verdict::not_checked);
  CHECK(c.one("ht.exhaust").hint.find("no value for hoses") != std::string::npos);
  CHECK(verdict(hose, 500) == Verdict::not_checked);
  // A tube that is nearer and met does not hide it.
  c.at_rest.pairs = {pair(tube, exhaust, 32.4), pair(hose, exhaust, 40)};
  CHECK(c.one("ht.exhaust").verdict == Verdict::not_checked);
  CHECK(c.one("ht.turbo").verdict == Verdict::met);
  const Origin origin{Origin::Kind::published, "test"};
  ClearanceRow& hot = c.sheet.clearance[1];
  hot.hose = ClearanceNeed{76, 76, 76, origin};
  CHECK(verdict(hose, 32.4) == Verdict::not_met);
  CHECK(c.one("ht.exhaust").limit->value == 76);
  CHECK(c.one("ht.exhaust").limit->origin == origin);
  CHECK(verdict(hose, 76) == Verdict::met);
  CHECK(verdict(tube, 32.4) == Verdict::met);
  hot.clamp = ClearanceNeed{5, 40, 6, origin};
  CHECK(verdict(clamps, 32.4) == Verdict::not_met);
  // Other classes: the row holds for hoses where it names none for them.
  const int rail = c.add_part("Rail", bay::PartClass::plain, 1);
  c.at_rest.pairs = {pair(hose, rail, 19)};
  CHECK(c.one("cr.static").verdict == Verdict::not_met);
  CHECK(c.one("cr.static").limit->value == 20);
}

TEST_CASE("cr.motion without a stated motion is not checked", "[checks][clearance]") {
  Case c;
  const int rail = c.add_part("Rail", bay::PartClass::plain, 0);
  const int cover = c.add_part("Cover", bay::PartClass::plain, 1);
  c.at_rest.pairs = c.over_motion.pairs = {pair(0, rail, 50), pair(0, cover, 50)};  // piece 0 rides on the vehicle
  const auto found = c.of("cr.motion");
  REQUIRE(found.size() == 2);
  CHECK(found[0].verdict == Verdict::not_checked);
  CHECK(found[0].subject == "Cover");
  CHECK(missing_of(found[0]) == std::vector<std::string>{"bodies/engine/motion"});
  CHECK(found[1].verdict == Verdict::met);  // nothing in this pair can move
  for (const Finding& f : c.of("cr.static")) CHECK(f.verdict == Verdict::met);
}

TEST_CASE("cr.motion: a motion stated as zero is stated, and one for service is named", "[checks][clearance]") {
  Case c;
  const int cover = c.add_part("Cover", bay::PartClass::plain, 1);
  c.over_motion.pairs = {pair(0, cover, 50)};
  c.bay.bodies[1].spec = bay::RangeMotion{};
  CHECK(c.one("cr.motion").verdict == Verdict::met);
  CHECK(std::get<Measured>(c.one("cr.motion").outcome).note == "the motion stated for engine is zero");
  bay::HingeMotion hinge{{}, degrees(-65), degrees(0), true};
  c.bay.bodies[1].spec = hinge;
  c.bay.bodies[1].motion = bay::build_motion(hinge)->set;
  CHECK(std::get<Measured>(c.one("cr.motion").outcome).note ==
        "engine moves for service only, which is no part of this");
  hinge.service = false;
  c.bay.bodies[1].spec = hinge;
  CHECK(std::get<Measured>(c.one("cr.motion").outcome).note.empty());
}

TEST_CASE("cr: inside a part, no row of the class, no geometry", "[checks][clearance]") {
  Case c;
  const int box = c.add_part("Box", bay::PartClass::plain, 0);
  auto inside = pair(0, box, 100);
  inside.inside = true;
  c.at_rest.pairs = {inside};
  CHECK(c.one("cr.static").verdict == Verdict::not_met);
  CHECK(c.one("cr.static").hint.find("lies wholly inside Box") != std::string::npos);

  Case no_row;
  const int fan = no_row.add_part("Fan", bay::PartClass::rotating, 0);
  no_row.at_rest.pairs = {pair(0, fan, 100)};
  CHECK(no_row.one("cr.rotating").verdict == Verdict::not_checked);
  CHECK(no_row.one("cr.rotating").hint.find("class rotating") != std::string::npos);

  Case no_mesh;
  no_mesh.add_part("Ghost", bay::PartClass::plain, 0);
  CHECK(no_mesh.one("cr.static").subject == "Ghost");
  CHECK(no_mesh.one("cr.static").verdict == Verdict::not_checked);
}

TEST_CASE("cr: a part of which something is missing is not judged, confirmed or not", "[checks][clearance]") {
  Case c;
  c.bay.parts.resize(1);
  c.bay.parts[0].incomplete = "refers to \"BACK.stp\", which is not in its folder";
  const Finding f = c.one("cr.static");
  CHECK(f.verdict == Verdict::not_checked);
  CHECK(std::get<measure::NotAssessed>(f.outcome).reason.find("BACK.stp") != std::string::npos);
}

TEST_CASE("cr: a part whose size is in doubt is not judged until it is confirmed", "[checks][clearance]") {
  Case c;
  const int part = c.add_part("scan", bay::PartClass::plain, 0);
  c.at_rest.pairs = {pair(0, part, 200)};
  CHECK(c.one("cr.static").verdict == Verdict::met);
  c.bay.parts[0].doubt = "largest side is 3 mm";
  CHECK(missing_of(c.one("cr.static")) == std::vector<std::string>{"parts/scan/size_confirmed"});
}

TEST_CASE("cr: a part left out against every piece is no pass", "[checks][clearance]") {
  Case c;
  const int part = c.add_part("cover", bay::PartClass::plain, 0);
  c.at_rest.exceptions = {{0, part, "within 200 mm of port"}};
  CHECK(missing_of(c.one("cr.static")) == std::vector<std::string>{"ports/contact_length_mm"});
  c.at_rest.pairs = {pair(0, part, 200)};
  CHECK(c.one("cr.static").verdict == Verdict::met);
}

TEST_CASE("cr: classes with a check of their own, at rest and over the motion", "[checks][clearance]") {
  const std::vector<std::pair<bay::PartClass, std::string>> classes = {{bay::PartClass::rotating, "cr.rotating"},
                                                                       {bay::PartClass::fluid_line, "cr.lines"},
                                                                       {bay::PartClass::steering, "cr.lines"},
                                                                       {bay::PartClass::bonnet, "cr.bonnet"},
                                                                       {bay::PartClass::hot, "ht.turbo"}};
  for (const auto& [part_class, check] : classes) {
    Case c;
    c.engine_moves();
    c.sheet.clearance = {{part_class, 6, 40, 20, {Origin::Kind::shop_rule, "test"}}};
    const int thing = c.add_part("Thing", part_class, 1);
    c.at_rest.pairs = {pair(0, thing, 30)};
    c.over_motion.pairs = {pair(0, thing, 25)};
    const auto found = c.of(check);
    INFO(check);
    REQUIRE(found.size() == 2);
    CHECK(found[0].verdict == Verdict::not_met);
    CHECK(found[0].limit->value == 40);
    CHECK_FALSE(found[0].over_motion);
    CHECK(found[0].subject == found[0].pair + ", at rest");
    CHECK(found[1].verdict == Verdict::met);
    CHECK(found[1].limit->value == 20);
    CHECK(found[1].over_motion);
    CHECK(found[1].subject == found[0].pair + ", over the motion");
    CHECK(found[1].pair == found[0].pair);
    // Nothing of it is left with the remaining classes, and what nobody knows the motion of is said.
    CHECK(c.one("cr.static").verdict == Verdict::not_applicable);
    CHECK(c.one("cr.motion").verdict == Verdict::not_applicable);
    c.bay.bodies[1].motion = MotionSet();
    const auto still = c.of(check);
    REQUIRE(still.size() == 2);
    const auto unstated =
        std::find_if(still.begin(), still.end(), [](const Finding& f) { return f.verdict == Verdict::not_checked; });
    REQUIRE(unstated != still.end());
    CHECK(missing_of(*unstated) == std::vector<std::string>{"bodies/engine/motion"});
    // A part without a shape is said once, by its own check.
    c.at_rest.pairs.clear();
    c.over_motion.pairs.clear();
    CHECK(missing_of(c.one(check)) == std::vector<std::string>{"parts/file"});
  }
}

TEST_CASE("cr.bonnet: the finding over the motion says how far the bonnet is slammed", "[checks][clearance]") {
  Case c;
  c.sheet.clearance = {{bay::PartClass::bonnet, 20, 20, 8, {Origin::Kind::shop_rule, "test"}}};
  const int bonnet = c.add_part("Bonnet", bay::PartClass::bonnet, 1);
  // Hinge along y through the origin, the far edge 900 forward: 0.38 degrees are 900 * 0.38 pi / 180 = 5.97 mm.
  c.bay.parts[0].tree = TriTree::over(box_mesh({0, -300, 0}, {900, 300, 0.001}));
  bay::HingeMotion hinge{{Vec3::Zero(), Vec3::UnitY()}, degrees(-65), degrees(0.38)};
  const auto note = [&] {
    c.bay.bodies[1].spec = hinge;
    c.bay.bodies[1].motion = bay::build_motion(hinge)->set;
    c.over_motion.pairs = {pair(0, bonnet, 30)};
    for (const Finding& f : c.of("cr.bonnet")) {
      if (f.over_motion) return std::get<Measured>(f.outcome).note;
    }
    return std::string("none");
  };
  CHECK(note() == "its motion goes 6.0 mm past closed at its far edge");
}

TEST_CASE("cr.bonnet: where the hinge stops at the shut pose, a free bonnet is not checked", "[checks][clearance]") {
  Case c;
  c.sheet.clearance = {{bay::PartClass::bonnet, 20, 20, 8, {Origin::Kind::shop_rule, "test"}}};
  const int bonnet = c.add_part("Bonnet", bay::PartClass::bonnet, 1);
  c.bay.parts[0].tree = TriTree::over(box_mesh({0, -300, 0}, {900, 300, 0.001}));
  const auto over_motion = [&](double from_deg, double to_deg, double distance_mm) {
    const bay::HingeMotion hinge{{Vec3::Zero(), Vec3::UnitY()}, degrees(from_deg), degrees(to_deg)};
    c.bay.bodies[1].spec = hinge;
    c.bay.bodies[1].motion = bay::build_motion(hinge)->set;
    c.at_rest.pairs = c.over_motion.pairs = {pair(0, bonnet, distance_mm)};
    std::vector<Finding> found;
    for (const Finding& f : c.of("cr.bonnet")) {
      if (f.over_motion) found.push_back(f);
      if (!f.over_motion && distance_mm > 20) CHECK(f.verdict == Verdict::met);
    }
    REQUIRE(found.size() == 1);
    return found[0];
  };
  CHECK(over_motion(-65, 0.38, 30).verdict == Verdict::met);
  const Finding open = over_motion(-65, 0, 30);
  CHECK(open.verdict == Verdict::not_checked);
  CHECK(missing_of(open) == std::vector<std::string>{"bodies/engine/motion/to_deg"});
  CHECK(missing_of(over_motion(0, 65, 30)) == std::vector<std::string>{"bodies/engine/motion/from_deg"});
  const Finding struck = over_motion(-65, 0, 3);  // too near already, however hard it is shut
  CHECK(struck.verdict == Verdict::not_met);
  CHECK(std::get<Measured>(struck.outcome).note.find("stops where it is closed") != std::string::npos);
}

TEST_CASE("ht.exhaust: a shield counts where it stands between", "[checks][clearance]") {
  Case c;
  const auto pieces = laid_out(c.spec, c.bay).layout.pieces;
  const auto hose_at = std::find_if(pieces.begin(), pieces.end(),
                                    [](const duct::Piece& p) { return p.kind == duct::Piece::Kind::coupler; });
  const int hose = static_cast<int>(hose_at - pieces.begin());
  const Origin origin{Origin::Kind::shop_rule, "test"};
  c.sheet.clearance = {{bay::PartClass::plain, 6, 20, 8, origin},
                       {bay::PartClass::hot, 25, 25, 25, origin, ClearanceNeed{76, 76, 76, origin}}};
  const int exhaust = c.add_part("Exhaust", bay::PartClass::hot, 0);
  const int sheet_metal = c.add_part("Shield", bay::PartClass::plain, 0);
  // From the hose at x = 0 to the exhaust at x = 70; the shield stands across at x = 55.
  auto bare = pair(hose, exhaust, 70);
  bare.value.witness = measure::Witness{{0, 0, 0}, {70, 0, 0}};
  bare.value.pose = PosedState{{{}, {}}, 0.5, 0.5, 0};
  c.at_rest.pairs = {bare, pair(hose, sheet_metal, 55)};
  c.bay.parts[1].tree = TriTree::over(box_mesh({55, -100, -100}, {56, 100, 100}));
  CHECK(c.one("ht.exhaust").verdict == Verdict::not_met);  // nobody says that it is one
  c.surroundings.shields = {{c.bay.parts[0].id, c.bay.parts[1].id}};
  CHECK(c.one("ht.exhaust").verdict == Verdict::met);
  CHECK(value_of(c.one("ht.exhaust")) == 55);
  CHECK(c.one("ht.exhaust").limit->value == 51);
  CHECK(c.one("ht.exhaust").subject.find("Shield, shield of Exhaust") != std::string::npos);
  // Nearer than 51 to it.
  c.at_rest.pairs[1] = pair(hose, sheet_metal, 50);
  CHECK(c.one("ht.exhaust").verdict == Verdict::not_met);
  // Beside the way, the bare limit holds.
  c.bay.parts[1].tree = TriTree::over(box_mesh({55, 10, -100}, {56, 100, 100}));
  CHECK(c.one("ht.exhaust").limit->value == 76);
  CHECK(std::get<Measured>(c.one("ht.exhaust").outcome).note.find("does not stand between") != std::string::npos);
  // Far enough without it.
  bare.value.lo = bare.value.hi = 80;
  c.at_rest.pairs[0] = bare;
  CHECK(c.one("ht.exhaust").verdict == Verdict::met);
  CHECK(c.one("ht.exhaust").limit->value == 76);
}
