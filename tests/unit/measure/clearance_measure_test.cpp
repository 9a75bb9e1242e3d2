#include "measure/clearance_measure.hpp"
#include "measure/tolerances.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "tests/support/box_mesh.hpp"
#include "usual_tube.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

/// Axis-aligned box as twelve triangles facing outward.
bay::Part part(const std::string& id, const TriMesh& mesh, BodyIndex body) {
  bay::Part made;
  made.id = bay::PartId(id);
  made.name = id;
  made.body = body;
  made.mesh = std::make_shared<TriMesh>(mesh);
  made.tree = TriTree::over(mesh);
  return made;
}

/// Slab whose top face lies at z = top, under a tube along x.
bay::Part slab(const std::string& id, double top, BodyIndex body, double from_x = 200, double to_x = 300) {
  return part(id, box_mesh(Vec3(from_x, -200, top - 50), Vec3(to_x, 200, top)), body);
}

MotionMember shift(const std::string& name, const Vec3& by) {
  MotionMember member;
  member.name = name;
  for (int i = 0; i < 3; ++i) {
    if (by[i] == 0) continue;
    member.joints.push_back({Joint::Kind::translation, Vec3::Unit(i), Vec3::Zero()});
    member.to.push_back(by[i]);
  }
  return member;
}

/// Straight duct of 500 along x from a port of the vehicle to one of the engine, which may rise and sink.
Installation straight_job(std::vector<bay::Part> parts) {
  Installation made = between(route({{0, 0, 0}, {500, 0, 0}}, 0));
  made.bay.parts = std::move(parts);
  made.bay.bodies[1].motion = MotionSet({shift("bump", {0, 0, -6}), shift("rebound", {0, 0, 5})});
  return made;
}

void state_motion(bay::Body& body, const bay::MotionSpec& spec) {
  body.spec = spec;
  body.motion = bay::build_motion(spec)->set;
}

void all_on_vehicle(Installation& made) { made.bay.ports[1].body = 0; }

void check_bracket(const PairClearance& pair, double expected, double slack = 1e-4) {
  CHECK(pair.value.lo <= expected + slack);
  CHECK(pair.value.hi >= expected - slack);
  CHECK(pair.value.hi - pair.value.lo <= kOptions.width_mm + 1e-9);
}

}  // namespace

TEST_CASE("No parts, and parts without a surface") {
  Installation made = straight_job({});
  CHECK(measure_clearance(made.bay, made.laid_out(), false, kOptions).pairs.empty());
  made.bay.parts.emplace_back();
  made.bay.parts[0].id = bay::PartId("ghost");
  const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), false, kOptions);
  CHECK(report.pairs.empty());
  REQUIRE(report.not_measured.size() == 1);
  CHECK(report.not_measured[0].find("ghost") != std::string::npos);
}

TEST_CASE("At rest: distance of the axis less the radius") {
  Installation made = straight_job({slab("near", -60, 0), slab("deep", -20, 0), slab("far", -200, 0)});
  all_on_vehicle(made);
  const Duct duct = made.laid_out();
  for (const bool over_motion : {false, true}) {
    const ClearanceReport report = measure_clearance(made.bay, duct, over_motion, kOptions);
    REQUIRE(report.pairs.size() == 3);
    check_bracket(report.pairs[0], 60 - kRadius);
    CHECK(report.pairs[0].same_carrier);
    CHECK(report.pairs[0].value.pose_name == "at rest");
    CHECK(*report.pairs[0].value.station_mm >= 200 - 1e-6);
    CHECK(*report.pairs[0].value.station_mm <= 300 + 1e-6);
    CHECK(report.pairs[0].value.at_mm->z() == Approx(-kRadius));
    CHECK(report.pairs[1].value.hi < 0);
    CHECK(report.pairs[2].beyond_range);
    CHECK(report.pairs[2].value.lo >= 60);
    CHECK(std::isinf(report.pairs[2].value.hi));
    CHECK_FALSE(report.pairs[2].value.witness);
  }
}

TEST_CASE("Over motion: the worst pose counts and is named") {
  Installation made = straight_job({slab("under", -60, 1), slab("rail", -60, 0)});
  all_on_vehicle(made);
  const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), true, kOptions);
  // The engine's part rises by 5.
  check_bracket(report.pairs[0], 55 - kRadius);
  CHECK_FALSE(report.pairs[0].same_carrier);
  CHECK(report.pairs[0].value.pose_name == "engine: rebound at 100 %");
  check_bracket(report.pairs[1], 60 - kRadius);
  const ClearanceReport rest = measure_clearance(made.bay, made.laid_out(), false, kOptions);
  check_bracket(rest.pairs[0], 60 - kRadius);
  CHECK_FALSE(rest.pairs[0].same_carrier);
}

TEST_CASE("At a given pose: the same pair, exactly, with the place and the name of the pose") {
  Installation made = straight_job({slab("under", -60, 1), slab("far", -200, 0)});
  all_on_vehicle(made);
  made.bay.parts.emplace_back();
  const Duct duct = made.laid_out();
  PosedState state;
  state.bodies.resize(made.bay.bodies.size());
  const auto rest = clearance_at_pose(made.bay, duct, 0, 0, state, kOptions);
  REQUIRE(rest);
  CHECK(rest->hi == Approx(60 - kRadius));
  CHECK(rest->pose_name == "at rest");
  // Half of the rebound: the engine's part has risen by 2.5.
  state.bodies[1] = {1, {2.5}};
  const auto half = clearance_at_pose(made.bay, duct, 0, 0, state, kOptions);
  REQUIRE(half);
  CHECK(half->hi == Approx(60 - 2.5 - kRadius));
  CHECK(half->lo == half->hi);
  CHECK((half->witness->on_duct_mm - half->witness->on_other_mm).norm() == Approx(half->hi));
  CHECK(half->pose_name == "engine: rebound at 50 %");
  CHECK_FALSE(clearance_at_pose(made.bay, duct, 0, 1, state, kOptions));  // beyond the range
  CHECK_FALSE(clearance_at_pose(made.bay, duct, 0, 2, state, kOptions));  // no surface
}

TEST_CASE("A tube held by two bodies may follow either") {
  Installation made = straight_job({slab("rail", -60, 0)});
  const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), true, kOptions);
  check_bracket(report.pairs[0], 60 - kRadius - 6);
  CHECK(report.pairs[0].value.note.find("more than one body") != std::string::npos);
}

TEST_CASE("A floating tube follows each end by its share") {
  Installation made = straight_job({slab("rail", -60, 0, 249, 251)});
  for (const double station : {40.0, 440.0}) {
    const Coupler hump = coupler(CouplerShape::hump, 20, 60);
    made.spec.fittings.push_back(fitting_at(made.spec.route, station < 100 ? "C1" : "C2", station, hump));
  }
  // Joints at 50 and 450; at 251 the rod sinks by 6 x 201 / 400, its radius tilted by 6 / 400 (1e-4 of 38.1 mm).
  const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), true, kOptions);
  const auto tube =
      std::find_if(report.pairs.begin(), report.pairs.end(), [](const PairClearance& pair) { return pair.piece == 2; });
  REQUIRE(tube != report.pairs.end());
  check_bracket(*tube, 60 - kRadius - 6 * 201.0 / 400, 0.01);
  CHECK(tube->value.pose_name.find("engine: bump at 100 %") == 0);
}

TEST_CASE("A body on a slide moves, unless for service only") {
  Installation made = straight_job({slab("tray", -60, 2)});
  all_on_vehicle(made);
  made.bay.bodies.push_back(body("tray"));
  state_motion(made.bay.bodies[2], bay::SlideMotion{Vec3::UnitZ(), -5, 20});
  const Duct duct = made.laid_out();
  const ClearanceReport report = measure_clearance(made.bay, duct, true, kOptions);
  check_bracket(report.pairs[0], 40 - kRadius);
  CHECK(report.pairs[0].value.pose_name == "tray: slide (shift z 20.0 mm)");
  state_motion(made.bay.bodies[2], bay::SlideMotion{Vec3::UnitZ(), -5, 20, true});
  const ClearanceReport service = measure_clearance(made.bay, duct, true, kOptions);
  check_bracket(service.pairs[0], 60 - kRadius);
  CHECK(service.pairs[0].value.pose_name == "at rest");
  CHECK_FALSE(service.pairs[0].same_carrier);
}

TEST_CASE("A bonnet sweeps its whole hinge, past its closed position too") {
  // Underside at z = 70 over the tube, hinged at x = 0 about +y: positive angles press its front down.
  Installation made = straight_job({part("bonnet", box_mesh(Vec3(0, -200, 70), Vec3(300, 200, 72)), 2)});
  all_on_vehicle(made);
  made.bay.bodies.push_back(body("bonnet"));
  const Duct duct = made.laid_out();
  const auto over = [&](double from_deg, double to_deg, bool service = false) {
    const bay::Axis hinge{Vec3(0, 0, 70), Vec3::UnitY()};
    state_motion(made.bay.bodies[2], bay::HingeMotion{hinge, degrees(from_deg), degrees(to_deg), service});
    return measure_clearance(made.bay, duct, true, kOptions).pairs[0];
  };
  const auto sunk = [](double to_deg) { return 300 * std::sin(degrees(to_deg).si()); };
  // Opening lifts it; slamming sinks its front edge, which stays over the axis of the tube.
  check_bracket(over(-65, 0), 70 - kRadius);
  check_bracket(over(-65, 0.38), 70 - kRadius - sunk(0.38));
  CHECK(over(-65, 0.38).value.pose_name == "bonnet: hinge (pitch 0.4 degrees)");
  // By 20 degrees the edge dips 102.6: through the tube.
  CHECK(over(-65, 20).value.hi < 0);
  check_bracket(over(-65, 20, true), 70 - kRadius);
  CHECK(over(-90, 90).value.hi < 0);
}

TEST_CASE("The same rock as load cases, as ranges and as a hinge") {
  Installation made = straight_job({slab("under", -60, 1, 200, 300)});
  all_on_vehicle(made);
  const Duct duct = made.laid_out();
  const bay::Axis axis{Vec3(0, 150, -100), Vec3::UnitX()};
  const auto over = [&](const bay::MotionSpec& spec) {
    state_motion(made.bay.bodies[1], spec);
    return measure_clearance(made.bay, duct, true, kOptions).pairs[0].value;
  };
  const Angle none;
  const Vec3 still = Vec3::Zero();
  const Measured cases = over(bay::LoadCaseMotion{
      axis, {{"forward", degrees(1.8), none, none, still}, {"back", degrees(-1.2), none, none, still}}});
  const Measured hinge = over(bay::HingeMotion{axis, degrees(-1.2), degrees(1.8)});
  bay::RangeMotion range;
  range.roll_axis = axis;
  range.roll = {degrees(-1.2), degrees(1.8)};
  const Measured ranges = over(range);
  // Rolled by -1.2 degrees the top face, 150 beside and 40 above the axis there, comes up under the tube.
  CHECK(cases.hi < 60 - kRadius - 1);
  for (const Measured& same : {hinge, ranges}) {
    CHECK(same.lo <= cases.hi + 1e-6);
    CHECK(cases.lo <= same.hi + 1e-6);
  }
}

TEST_CASE("One body at a time, or all together on request") {
  // A slab on the engine under the tube, which rides on a sledge: 5 up and 7 down.
  Installation made = straight_job({slab("under", -60, 1)});
  made.bay.bodies.push_back(body("sledge"));
  made.bay.ports[0].body = made.bay.ports[1].body = 2;
  state_motion(made.bay.bodies[2], bay::SlideMotion{Vec3::UnitZ(), -7, 0});
  const Duct duct = made.laid_out();
  check_bracket(measure_clearance(made.bay, duct, true, kOptions).pairs[0], 60 - kRadius - 7);
  made.bay.motions_combined = true;
  check_bracket(measure_clearance(made.bay, duct, true, kOptions).pairs[0], 60 - kRadius - 7 - 5);
}

TEST_CASE("A port's own part may be touched near the port, and only there") {
  // The port stands on the face x = 0 of a box; another part has the same face.
  const TriMesh housing = box_mesh(Vec3(-100, -100, -100), Vec3(0, 100, 100));
  Installation made = straight_job({part("housing", housing, 0), part("other", housing, 0)});
  all_on_vehicle(made);
  made.bay.ports[0].part = bay::PartId("housing");
  SECTION("no contact length: touching counts") {
    const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), false, kOptions);
    CHECK(report.exceptions.empty());
    CHECK(report.pairs[0].value.lo <= 1e-4);
  }
  SECTION("the tube is cut, not dropped") {
    made.bay.ports[0].contact_length_mm = 30;
    const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), false, kOptions);
    REQUIRE(report.pairs.size() == 2);
    check_bracket(report.pairs[0], 30);
    CHECK(*report.pairs[0].value.station_mm == Approx(30).margin(1e-3));
    CHECK(report.pairs[0].value.note.find("contact_length_mm") != std::string::npos);
    CHECK(report.pairs[1].value.note.empty());
    CHECK(report.pairs[1].value.lo <= 1e-4);
    REQUIRE(report.exceptions.size() == 1);
    CHECK(report.exceptions[0].part == 0);
    CHECK(report.exceptions[0].reason.find("within 30.0 mm of port filter-out") != std::string::npos);
  }
  SECTION("what reaches back along the duct is still seen") {
    made.bay.ports[0].contact_length_mm = 30;
    made.bay.parts[0] = part("housing", merged({housing, box_mesh(Vec3(40, -100, -100), Vec3(60, 100, -50))}), 0);
    const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), false, kOptions);
    check_bracket(report.pairs[0], 50 - kRadius);
  }
  SECTION("a piece wholly within is left out and listed") {
    made.bay.ports[0].contact_length_mm = 600;
    const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), false, kOptions);
    REQUIRE(report.pairs.size() == 1);
    CHECK(report.pairs[0].part == 1);
    CHECK(report.exceptions[0].reason.find("the whole piece") != std::string::npos);
  }
  SECTION("the downstream end likewise, and a hose on its spigot") {
    made.bay.parts = {part("cover", box_mesh(Vec3(500, -100, -100), Vec3(600, 100, 100)), 0)};
    made.bay.ports[0].part.reset();
    made.bay.ports[1].part = bay::PartId("cover");
    made.bay.ports[1].contact_length_mm = 40;
    made.spec.fittings = {fitting_at(made.spec.route, "C1", 490, coupler(CouplerShape::straight, 10, 110))};
    const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), false, kOptions);
    REQUIRE(report.pairs.size() == 2);
    check_bracket(report.pairs[0], 40);
    check_bracket(report.pairs[1], 40);
    CHECK(report.exceptions.size() == 2);
  }
}

TEST_CASE("A piece wholly inside a closed part interferes whatever its distance") {
  const TriMesh room = box_mesh(Vec3(-100, -80, -80), Vec3(600, 80, 80));
  Installation made = straight_job({part("room", room, 0), part("shell", room, 0), part("hollow", room, 0)});
  all_on_vehicle(made);
  made.bay.parts[0].encloses = true;
  const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), false, kOptions);
  CHECK(report.pairs[0].inside);
  check_bracket(report.pairs[0], 80 - kRadius);
  CHECK_FALSE(report.pairs[1].inside);
  // Without the statement that it is closed nothing is judged, and that is said.
  CHECK(report.pairs[1].value.note.find("cannot be decided") != std::string::npos);
}

TEST_CASE("Before an open scanned sheet and behind it") {
  TriMesh sheet;  // 2 m square at z = 60, facing up
  sheet.vertices = {{-1000, -1000, 60}, {1000, -1000, 60}, {1000, 1000, 60}, {-1000, 1000, 60}};
  sheet.triangles = {{0, 1, 2}, {0, 2, 3}};
  TriMesh facing_down = sheet;
  for (auto& t : facing_down.triangles) std::swap(t[1], t[2]);
  Installation made = straight_job({part("seen-from-above", sheet, 0), part("seen-from-below", facing_down, 0)});
  all_on_vehicle(made);
  const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), false, kOptions);
  CHECK(report.pairs[0].value.note.find("cannot be decided") != std::string::npos);
  CHECK(report.pairs[1].value.note.find("cannot be decided") == std::string::npos);
  for (const PairClearance& pair : report.pairs) {
    CHECK_FALSE(pair.inside);
    check_bracket(pair, 60 - kRadius);
  }
}

TEST_CASE("Beyond the range a piece may still lie inside") {
  Installation made = straight_job({part("room", box_mesh(Vec3(-200, -180, -180), Vec3(700, 180, 180)), 0)});
  all_on_vehicle(made);
  made.bay.parts[0].encloses = true;
  const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), false, kOptions);
  CHECK(report.pairs[0].beyond_range);
  CHECK(report.pairs[0].inside);
}

TEST_CASE("The band holds every cause apart") {
  Installation made = straight_job({slab("under", -60, 1)});
  all_on_vehicle(made);
  TriMesh mesh = *made.bay.parts[0].mesh;
  mesh.chord_error_mm = 0.07;
  made.bay.parts[0].mesh = std::make_shared<TriMesh>(mesh);
  made.bay.parts[0].uncertainty_mm = 0.5;
  made.bay.parts[0].uncertainty_source = "scan";
  made.spec.bend_tolerance_mm = 1.2;
  made.bay.bodies[1].motion_fit_residual_mm = 0.8;
  made.bay.bodies[1].motion_assumed = true;
  const Duct duct = made.laid_out();
  using Kind = Contribution::Kind;
  const std::vector<Contribution> at_rest = {{"scan", Kind::standard, 0.5, 0.5, ""},
                                             {"chord error of the triangles", Kind::bound, 0.07, 0, ""},
                                             {"bend tolerance", Kind::standard, 1.2, 1.2, ""}};
  auto over_motion = at_rest;
  over_motion.push_back({"misfit of the measured motion of engine", Kind::expanded, 0.8, 0.8, ""});
  const Measured rest = measure_clearance(made.bay, duct, false, kOptions).pairs[0].value;
  CHECK(rest.band.contributions() == at_rest);
  CHECK_FALSE(rest.assumed_motion);
  const Measured moving = measure_clearance(made.bay, duct, true, kOptions).pairs[0].value;
  CHECK(moving.band.contributions() == over_motion);
  CHECK(moving.assumed_motion);
}

TEST_CASE("The same question has the same answer, and stopping gives none") {
  Installation made = straight_job({slab("a", -60, 1), slab("b", -70, 0), slab("c", -80, 1, 100, 120)});
  const Duct duct = made.laid_out();
  const ClearanceReport first = measure_clearance(made.bay, duct, true, kOptions);
  const ClearanceReport second = measure_clearance(made.bay, duct, true, kOptions);
  REQUIRE(first.pairs.size() == second.pairs.size());
  for (std::size_t i = 0; i < first.pairs.size(); ++i) {
    CHECK(first.pairs[i].value.lo == second.pairs[i].value.lo);
    CHECK(first.pairs[i].value.hi == second.pairs[i].value.hi);
    CHECK(first.pairs[i].value.pose_name == second.pairs[i].value.pose_name);
  }
  const Progress progress;
  progress.cancel();
  CHECK(measure_clearance(made.bay, duct, true, kOptions, progress).pairs.empty());
}

TEST_CASE("Poses in words") {
  bay::Bay bay;
  bay.bodies = {body("vehicle"), body("engine"), body("bonnet")};
  bay.bodies[1].motion = MotionSet({shift("forward torque", {3, 0, -6})});
  MotionMember ranges;
  ranges.name = "ranges";
  ranges.shape = MotionMember::Shape::box;
  ranges.joints = {{Joint::Kind::rotation, -Vec3::UnitX(), Vec3::Zero()},
                   {Joint::Kind::translation, Vec3::UnitZ(), Vec3::Zero()}};
  ranges.from = {-0.1, -10};
  ranges.to = {0.1, 10};
  bay.bodies[2].motion = MotionSet({ranges});
  PosedState state;
  state.bodies.resize(3);
  CHECK(pose_text(bay, state) == "at rest");
  state.bodies[1] = {0, {3 * 0.84, -6 * 0.84}};
  CHECK(pose_text(bay, state) == "engine: forward torque at 84 %");
  state.bodies[2] = {0, {degrees(2).si(), -5}};
  CHECK(pose_text(bay, state) == "engine: forward torque at 84 %, bonnet: ranges (roll -2.0 degrees, shift z -5.0 mm)");
  bay.units.length = LengthUnit::inch;
  CHECK(pose_text(bay, state) ==
        "engine: forward torque at 84 %, bonnet: ranges (roll -2.0 degrees, shift z -0.197 in)");
  bay.units = {};
  bay.bodies[2].spec = bay::HingeMotion{{}, {}, {}, true};
  CHECK(pose_text(bay, state) == "engine: forward torque at 84 %");
  state.axial_share = 1;
  CHECK(pose_text(bay, state) ==
        "engine: forward torque at 84 % (floating tube: axial play 100 % with its downstream joint)");
}

TEST_CASE("Alignment is worse the farther from its datum, and added where it is stated") {
  bay::Part scan = part("scan", box_mesh(Vec3(200, -200, -110), Vec3(300, 200, -60)), 0);
  scan.uncertainty_mm = 0.2;
  CHECK_FALSE(alignment_uncertainty(scan, Vec3(0, 0, 0)));  // inside the stated figure
  // 0.5 mm and 0.1 degrees at 600 mm: sqrt(0.5^2 + (600 tan 0.1)^2) = 1.16.
  scan.alignment = bay::Alignment{Vec3(0, 0, 0), 0.5, 1000 * std::tan(degrees(0.1).si())};
  const auto far = alignment_uncertainty(scan, Vec3(0, 600, 0));
  REQUIRE(far);
  CHECK(far->high == Approx(1.16).margin(0.005));
  CHECK(far->kind == Contribution::Kind::standard);
  CHECK(far->missing.empty());
  CHECK(alignment_uncertainty(scan, Vec3(0, 0, 0))->high == Approx(0.5));
  // Without a place: the farthest corner of its box, (300, -200, -110).
  CHECK(alignment_uncertainty(scan, std::nullopt)->high ==
        Approx(alignment_uncertainty(scan, Vec3(300, -200, -110))->high));
}

TEST_CASE("A scan of which nothing is stated is aligned as is usual; a model is not") {
  bay::Part scan = part("scan", box_mesh(Vec3(-100, -100, -100), Vec3(100, 100, 100)), 0);
  const auto usual = alignment_uncertainty(scan, Vec3(600, 0, 0));
  REQUIRE(usual);
  CHECK(usual->high == Approx(1.16).margin(0.005));
  CHECK(usual->missing == "parts/scan/alignment");
  CHECK(usual->source.find("not stated") != std::string::npos);
  scan.modelled = true;
  CHECK_FALSE(alignment_uncertainty(scan, Vec3(600, 0, 0)));
}

TEST_CASE("A clearance takes the alignment at its own place, on the part as it rests") {
  // The slab rises by 5 with the engine; its alignment counts where it lay.
  Installation made = straight_job({slab("under", -60, 1)});
  all_on_vehicle(made);
  bay::Part& scan = made.bay.parts[0];
  scan.uncertainty_mm = 0.2;
  scan.alignment = bay::Alignment{Vec3(250, 0, -1060), 0, 2};
  const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), true, kOptions);
  const auto& list = report.pairs[0].value.band.contributions();
  const auto found =
      std::find_if(list.begin(), list.end(), [](const Contribution& c) { return c.source.find("alignment") == 0; });
  REQUIRE(found != list.end());
  const Vec3 nearest = report.pairs[0].value.witness->on_other_mm - Vec3(0, 0, 5);
  CHECK(found->high == Approx(2 * (nearest - scan.alignment->datum_mm).norm() / 1000).epsilon(1e-3));
}

TEST_CASE("With the bender's tolerances stated a clearance follows the tube") {
  Installation made = straight_job({slab("rail", -60, 0)});
  made.spec.bend_tolerance_mm = 3;
  made.spec.bending = BendingTolerance{degrees(0.5), degrees(1), 1.0};
  made.spec.fitting_tolerance_mm = 0.4;
  const ClearanceReport report = measure_clearance(made.bay, made.laid_out(), false, kOptions);
  double squares = 0;
  for (const Contribution& c : report.pairs[0].value.band.contributions()) {
    CHECK(c.source.find("bend tolerance") == std::string::npos);
    if (c.source.find("fitting tolerance") == 0) squares += c.high * c.high;
  }
  CHECK(squares == Approx(0.4 * 0.4));
}
