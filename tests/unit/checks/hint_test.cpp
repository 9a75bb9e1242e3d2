#include <cmath>

#include "checks/clearance_hint.hpp"
#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

TEST_CASE("cr: the hint says which way to move", "[checks][clearance]") {
  Case c;
  const int rail = c.add_part("Rail", bay::PartClass::plain, 0);
  auto near = pair(0, rail, 15.8);
  near.value.witness = measure::Witness{{0, 15.8, 0}, {0, 0, 0}};
  near.value.pose_name = "engine: bump at 100 %";
  c.at_rest.pairs = {near};
  const std::string piece = laid_out(c.spec, c.bay).layout.pieces[0].name;
  CHECK(c.one("cr.static").hint == "move " + piece + " by 4.2 mm left, direction (0.00, 1.00, 0.00), away from Rail");
  // Interfering by 3: the duct's witness lies beyond the part's, so the way out is the other way.
  auto deep = pair(0, rail, -3);
  deep.value.witness = measure::Witness{{0, 0, -3}, {0, 0, 0}};
  c.at_rest.pairs = {deep};
  CHECK(c.one("cr.static").hint.find("by at least 23.0 mm up") != std::string::npos);
  // As deep as the tube is thick: its axis is met, and the depth tells no way out.
  auto pierced = pair(0, rail, -38.1);
  pierced.value.witness = measure::Witness{{0, 0, -38.1}, {0, 0, 0}};
  pierced.value.station_mm = 50;
  c.at_rest.pairs = {pierced};
  CHECK(c.one("cr.static").hint.find("Rail reaches the centreline of " + piece) == 0);
  CHECK(c.one("cr.static").hint.find("how far is not known") != std::string::npos);
  // Undecided: measuring may settle it as well.
  auto open = pair(0, rail, 20.5, 1);
  c.at_rest.pairs = {open};
  CHECK(c.one("cr.static").verdict == Verdict::undecided);
  CHECK(c.one("cr.static").hint.find("measure this place on the vehicle") != std::string::npos);
  // Nothing within the range, and the range too short for the limit.
  auto far = pair(0, rail, 15);
  far.value.hi = INFINITY;
  far.beyond_range = true;
  c.at_rest.pairs = {far};
  CHECK(c.one("cr.static").verdict == Verdict::undecided);
  CHECK(c.one("cr.static").hint.find("raise the clearance range") != std::string::npos);
}

/// A square plate of 400 x 400 mm across y at this place.
TriMesh plate_at(double y_mm) {
  TriMesh mesh;
  const auto y = static_cast<float>(y_mm);
  mesh.vertices = {{-200, y, -200}, {200, y, -200}, {200, y, 200}, {-200, y, 200}};
  mesh.triangles = {{0, 1, 2}, {0, 2, 3}};
  return mesh;
}

TEST_CASE("how far a tube is free to go", "[checks][clearance]") {
  Case c;
  const int rail = c.add_part("Rail", bay::PartClass::plain, 0);
  CHECK_FALSE(free_way(c.bay, rail, Vec3::Zero(), 30, Vec3::UnitY(), 150).known);
  const int wall = c.add_part("Wall", bay::PartClass::plain, 0);
  c.bay.parts[static_cast<std::size_t>(wall)].tree = TriTree::over(plate_at(100));
  const FreeWay room = free_way(c.bay, rail, Vec3::Zero(), 30, Vec3::UnitY(), 150);
  REQUIRE(room.next != nullptr);
  CHECK(room.next->id.value == "Wall");
  CHECK(room.length_mm == Approx(100 - 30).margin(0.06));
  const FreeWay away = free_way(c.bay, rail, Vec3::Zero(), 30, -Vec3::UnitY(), 150);
  CHECK(away.known);
  CHECK(away.next == nullptr);
  CHECK(away.length_mm == 150);
  // What is touched from the start is no obstacle, and there is nothing else.
  CHECK_FALSE(free_way(c.bay, rail, Vec3::Zero(), 100, Vec3::UnitY(), 150).known);

  auto near = pair(0, rail, 15.8);
  near.value.witness = measure::Witness{{50, 15.8, 0}, {50, 0, 0}};
  near.value.station_mm = 50;
  c.at_rest.pairs = {near};
  // Tube of 76.2 on the x axis.
  CHECK(c.one("cr.static").hint.find("61.9 mm are free that way at rest, then comes Wall") != std::string::npos);
  c.bay.parts[static_cast<std::size_t>(wall)].tree = TriTree::over(plate_at(40.1));
  CHECK(c.one("cr.static").hint.find("only 2.0 mm are free that way at rest before Wall comes") != std::string::npos);
}

TEST_CASE("hints say how much and which way", "[checks]") {
  Case c;
  c.spec.fittings[0].anchor.offset_mm = 20;  // plane 90 behind the filter outlet, 101.6 needed; bend at 185.7
  c.sheet.limits["sn.down"] = limit(Comparison::at_least, 76.2, Unit::mm);
  CHECK(c.one("sn.up").hint ==
        "11.6 mm too short: move the sensor tube downstream (19.5 mm to spare there (sn.down)), or "
        "port filter-out upstream");
  c.sheet.limits["br.before"] = limit(Comparison::at_least, 1000, Unit::mm);
  CHECK(c.one("br.before").hint.find(" upstream; ") != std::string::npos);
  std::get<duct::SensorTube>(c.kind("sensor")).clock = degrees(60);
  CHECK(c.one("sn.clock").hint ==
        "turn the sensor tube by 15.0\u00B0 counter-clockwise, seen along the flow, towards 12 o'clock");
  std::get<duct::SensorTube>(c.kind("sensor")).clock = degrees(-60);
  CHECK(c.one("sn.clock").hint.find("15.0\u00B0 clockwise") != std::string::npos);
  c.sheet.limits["in.radius"] = limit(Comparison::at_least, 2, Unit::ratio);
  CHECK(c.one("in.radius").hint.find("at least 152.4 mm (it is 114.3 mm;") != std::string::npos);
  c.bay.units.length = LengthUnit::inch;
  CHECK(c.one("in.radius").hint.find("at least 6.000 in (it is 4.500 in;") != std::string::npos);
  CHECK(definition_text(*find_check("sn.up"), c.bay.units).find("a gap above 0.394 in") != std::string::npos);
  CHECK(definition_text(*find_check("sn.up")).find("a gap above 10 mm") != std::string::npos);
}

TEST_CASE("no hint promises a move that the uncertainty swallows", "[checks]") {
  Case c;
  const int rail = c.add_part("Rail", bay::PartClass::plain, 0);
  const auto hint = [&](double value_mm, double u_mm) {
    auto near = pair(0, rail, value_mm, u_mm);
    near.value.witness = measure::Witness{{0, value_mm, 0}, {0, 0, 0}};
    c.at_rest.pairs = {near};
    return c.one("cr.static").hint;
  };
  // 20 are asked for, and as much is doubt: 2 u = 20.
  CHECK(hint(19, 9.9).starts_with("move "));
  CHECK(hint(19, 10.1) ==
        "make the uncertainty of 20.2 mm, which decides here, smaller before anything is changed; most of it is scan "
        "(20.2 mm): measure this place on the vehicle; the way out is left, direction (0.00, 1.00, 0.00)");
  CHECK(hint(25, 40).starts_with("make the uncertainty of 80.0 mm"));
  // What the value itself lacks is more: 30 of doubt, 35 lacking. Moving comes first.
  CHECK(hint(-15, 15).find(" by at least 65.0 mm ") != std::string::npos);

  // Causes that are one are counted together: 2 (6 + 7) against 20. A wide bracket is a cause too.
  auto several = pair(0, rail, 19, 10);
  several.value.band.add({"bend at P1", Contribution::Kind::standard, 6, 6, "bends"});
  several.value.band.add({"bend at P2", Contribution::Kind::standard, 7, 7, "bends"});
  c.at_rest.pairs = {several};
  CHECK(c.one("cr.static").hint.find("most of it is bend at P2 (26.0 mm)") != std::string::npos);
  several.value.lo = -80;
  c.at_rest.pairs = {several};
  CHECK(c.one("cr.static").hint.find("most of it is the search, which has not closed in on the value (99.0 mm)") !=
        std::string::npos);
}

TEST_CASE("hints of straights, breather and clock give way to the uncertainty as well", "[checks]") {
  Case c;
  c.spec.fitting_tolerance_mm = 1;
  c.spec.fittings[0].anchor.offset_mm = 33;  // 103 of 101.6, +-2.83
  REQUIRE(c.one("sn.up").verdict == Verdict::undecided);
  CHECK(c.one("sn.up").hint.starts_with("1.4 mm more are needed to be sure: move the sensor tube downstream"));
  // Two ends of 100 mm: 2 sqrt(2) 100 = 282.8.
  c.spec.fitting_tolerance_mm = 100;
  c.sheet.limits["br.before"] = limit(Comparison::at_least, 180, Unit::mm);
  for (const char* id : {"sn.up", "br.before", "br.after"}) {
    INFO(id);
    if (c.one(id).verdict == Verdict::met) continue;
    CHECK(c.one(id).hint.starts_with("make the uncertainty of "));
    CHECK(c.one(id).hint.find("most of it is fitting tolerance") != std::string::npos);
  }
  CHECK(c.one("sn.up").hint.find("282.8 mm") != std::string::npos);
  // Around the tube: 40 mm at a radius of 38.1, twice.
  c.spec.fitting_tolerance_mm = 40;
  std::get<duct::SensorTube>(c.kind("sensor")).clock = degrees(40);
  CHECK(c.one("sn.clock").hint.starts_with("make the uncertainty of 120.3\u00B0"));
}
