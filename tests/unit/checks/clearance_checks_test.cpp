#include <algorithm>

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
  const auto found = c.of("cr.static");
  REQUIRE(found.size() == 3);
  CHECK(found[0].verdict == Verdict::not_met);  // 20 of 25
  CHECK(found[0].part == bay::PartId("Manifold"));
  CHECK(found[0].limit->value == 25);
  CHECK(found[1].verdict == Verdict::undecided);  // 24 +- 4
  CHECK(found[2].verdict == Verdict::met);
  CHECK(value_of(found[2]) == 30);
  CHECK(found[2].hint.empty());
  CHECK(found[2].subject.find(" - Rail") != std::string::npos);
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
  const auto verdict = [&](int piece, double mm) {
    c.at_rest.pairs = {pair(piece, exhaust, mm)};
    return c.one("cr.static").verdict;
  };
  // Metal tube 25 mm from the exhaust; what a hose needs the sheet does not say.
  CHECK(verdict(tube, 32.4) == Verdict::met);
  CHECK(verdict(clamps, 32.4) == Verdict::met);
  CHECK(verdict(hose, 32.4) == Verdict::not_checked);
  CHECK(c.one("cr.static").hint.find("no value for hoses") != std::string::npos);
  CHECK(verdict(hose, 500) == Verdict::not_checked);
  // A tube that is nearer and met does not hide it.
  c.at_rest.pairs = {pair(tube, exhaust, 32.4), pair(hose, exhaust, 40)};
  REQUIRE(c.of("cr.static").size() == 2);
  CHECK(c.of("cr.static")[0].verdict == Verdict::not_checked);
  CHECK(c.of("cr.static")[1].verdict == Verdict::met);
  const Origin origin{Origin::Kind::published, "test"};
  ClearanceRow& hot = c.sheet.clearance[1];
  hot.hose = ClearanceNeed{76, 76, 76, origin};
  CHECK(verdict(hose, 32.4) == Verdict::not_met);
  CHECK(c.one("cr.static").limit->value == 76);
  CHECK(c.one("cr.static").limit->origin == origin);
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
  CHECK(no_row.one("cr.static").verdict == Verdict::not_checked);
  CHECK(no_row.one("cr.static").hint.find("class rotating") != std::string::npos);

  Case no_mesh;
  no_mesh.add_part("Ghost", bay::PartClass::plain, 0);
  no_mesh.at_rest.not_measured = {"Ghost"};
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
