#include "measure/path_measures.hpp"

#include "measure/tolerances.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "tests/support/ducts.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

double value(const Outcome& outcome) {
  if (const auto* missing = std::get_if<NotAssessed>(&outcome)) FAIL(missing->reason);
  const auto& measured = std::get<Measured>(outcome);
  CHECK(measured.lo == measured.hi);
  return measured.hi;
}
std::string note(const Outcome& outcome) { return std::get<Measured>(outcome).note; }
bool lacks(const Outcome& outcome, const std::string& input) {
  const auto* missing = std::get_if<NotAssessed>(&outcome);
  return missing && missing->missing == std::vector{input};
}
bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

Installation straight_job(double length, std::vector<std::pair<double, std::pair<std::string, FittingKind>>> fittings) {
  Installation made = between(route({{0, 0, 0}, {length, 0, 0}}, 0));
  for (auto& [station, fitting] : fittings) {
    made.spec.fittings.push_back(fitting_at(made.spec.route, fitting.first, station, fitting.second));
  }
  return made;
}

const TubeSize kTube = {76.2, 1.65};

/// Planar route of arcs of given angles (degree) with given straights between; positive turns left.
Installation arcs(const std::vector<double>& angles, const std::vector<double>& straights, double radius = 100) {
  std::vector<Vec3> points = {Vec3::Zero()};
  double heading = 0, set_back = 0;
  for (std::size_t i = 0; i <= angles.size(); ++i) {
    const double next = i < angles.size() ? radius * std::tan(degrees(std::abs(angles[i])).si() / 2) : 0;
    points.push_back(points.back() + (set_back + straights[i] + next) * Vec3(std::cos(heading), std::sin(heading), 0));
    set_back = next;
    if (i < angles.size()) heading += degrees(angles[i]).si();
  }
  return between(route(points, radius));
}

}  // namespace

TEST_CASE("A straight duct without fittings") {
  const Duct duct = straight_job(500, {}).laid_out();
  CHECK(value(bend_count(duct)) == 0);
  CHECK(value(total_turning(duct)) == 0);
  CHECK(std::get<NotAssessed>(smallest_radius_ratio(duct)).missing.empty());
  CHECK(lacks(straight_before_sensor(duct), "ducts/intake/fittings: sensor tube"));
  CHECK(lacks(straight_after_sensor(duct), "ducts/intake/fittings: sensor tube"));
  CHECK(lacks(sensor_clock(duct, straight_job(500, {}).bay), "ducts/intake/fittings: sensor tube"));
  CHECK(lacks(sensor_to_breather(duct), "ducts/intake/fittings: sensor tube"));
  CHECK(lacks(breather_to_compressor(duct), "ducts/intake/fittings: branch port"));
  CHECK(grip_lengths(duct).empty());
  CHECK(cone_half_angles(duct).empty());
}

TEST_CASE("Bends are counted from 10 degrees on") {
  CHECK(value(bend_count(arcs({9.99, 45}, {100, 100, 100}).laid_out())) == 1);
  CHECK(value(bend_count(arcs({10, 45}, {100, 100, 100}).laid_out())) == 2);
  CHECK(value(total_turning(arcs({9.99, -45}, {100, 100, 100}).laid_out())) == Approx(54.99));
}

TEST_CASE("Two arcs close together, in one plane and turning the same way are one bend") {
  const double limit = 0.25 * 76.2;
  CHECK(value(bend_count(arcs({30, 30}, {100, limit - 0.01, 100}).laid_out())) == 1);
  CHECK(value(bend_count(arcs({30, 30}, {100, limit + 0.01, 100}).laid_out())) == 2);
  CHECK(value(bend_count(arcs({30, -30}, {100, 5, 100}).laid_out())) == 2);
  CHECK(value(bend_count(arcs({30, 30, 30}, {100, 5, 5, 100}).laid_out())) == 1);
  CHECK(has(note(bend_count(arcs({30, 30}, {100, 5, 100}).laid_out())), "P1 with P2"));
  // An arc too small to count keeps its neighbours apart.
  CHECK(value(bend_count(arcs({30, 5, 30}, {100, 1, 1, 100}).laid_out())) == 2);
  // Planes 9.9 and 10.1 degrees apart: turn the last leg about the middle one.
  for (const auto& [turn, count] : {std::pair(9.9, 1), std::pair(10.1, 2), std::pair(-9.9, 1)}) {
    Installation made = arcs({30, 30}, {100, 5, 100});
    auto& points = made.spec.route.points;
    const Vec3 axis = (points[2].p_mm - points[1].p_mm).normalized();
    points[3].p_mm = Pose::rotation(axis, points[2].p_mm, degrees(turn).si()) * points[3].p_mm;
    made = between(made.spec.route);
    CHECK(value(bend_count(made.laid_out())) == count);
  }
}

TEST_CASE("The tightest bend is judged by the tube it is made of") {
  Installation made = arcs({90, 90}, {200, 200, 200}, 100);
  made.spec.fittings = {fitting_at(made.spec.route, "R1", 400, Reducer{50, {50, 1.5}})};
  const Outcome ratio = smallest_radius_ratio(made.laid_out());
  CHECK(value(ratio) == Approx(100 / 76.2));
  CHECK(note(ratio) == "bend at P1");
}

TEST_CASE("What ends a straight run and what does not") {
  // Sensor plane at station 500 of a straight 1000 long; a fitting ends at 300 or starts at 700.
  const auto runs = [](const std::string& id, double station, FittingKind kind) {
    Installation made =
        straight_job(1000, {{450, {"S1", sensor_tube(100, 50, Angle(), kTube)}}, {station, {id, kind}}});
    return made.laid_out();
  };
  Coupler flush = coupler(CouplerShape::straight, 10, 60);
  SECTION("a flush joint is passed and named") {
    const Duct duct = runs("C1", 290, flush);
    CHECK(value(straight_before_sensor(duct)) == Approx(500));
    CHECK(has(note(straight_before_sensor(duct)), "straight coupler C1"));
    CHECK_FALSE(has(note(straight_after_sensor(duct)), "C1"));
    CHECK(has(note(straight_before_sensor(duct)), "starts at port filter-out"));
  }
  SECTION("a gap above 10 mm ends it at its edge") {
    flush.gap_mm = 10.1;
    CHECK(value(straight_before_sensor(runs("C1", 290, flush))) == Approx(199.9));
    CHECK(value(straight_after_sensor(runs("C1", 700, flush))) == Approx(200));
  }
  SECTION("a hump ends it") {
    const Duct duct = runs("C1", 295, coupler(CouplerShape::hump, 5, 60));
    CHECK(value(straight_before_sensor(duct)) == Approx(200));
    CHECK(has(note(straight_before_sensor(duct)), "hump coupler C1"));
  }
  SECTION("a cone ends it") {
    CHECK(value(straight_after_sensor(runs("R1", 700, Reducer{50, {63.5, 1.65}}))) == Approx(200));
    CHECK(value(straight_before_sensor(runs("R1", 250, Reducer{50, kTube}))) == Approx(200));
  }
  SECTION("a branch port above a tenth of the bore ends it at its plane") {
    CHECK(value(straight_after_sensor(runs("B1", 700, branch_port(7.3, Angle())))) == Approx(200));
    CHECK(value(straight_after_sensor(runs("B1", 700, branch_port(7.2, Angle())))) == Approx(500));
  }
  SECTION("taps, brackets and flow straighteners do not") {
    CHECK(value(straight_before_sensor(runs("T1", 300, RestrictionTap()))) == Approx(500));
    CHECK(value(straight_before_sensor(runs("K1", 300, duct::Bracket{bay::BodyId("vehicle")}))) == Approx(500));
    const Outcome straightened = straight_before_sensor(runs("F1", 300, FlowStraightener{20, 0.5}));
    CHECK(value(straightened) == Approx(500));
    CHECK(has(note(straightened), "flow straightener F1"));
  }
  SECTION("a bore step above 1 mm ends it, with and without a joint") {
    const auto stepped = [](double wall) {
      return straight_job(1000, {{450, {"S1", sensor_tube(100, 50, Angle(), {76.2, wall})}}}).laid_out();
    };
    CHECK(value(straight_before_sensor(stepped(1.65 + 0.99))) == Approx(500));
    CHECK(value(straight_before_sensor(stepped(1.65 + 1.01))) == Approx(50));
    CHECK(value(straight_after_sensor(stepped(1.65 + 1.01))) == Approx(50));
    const Duct joint =
        straight_job(1000, {{450, {"S1", sensor_tube(100, 50, Angle(), {76.2, 3})}}, {440, {"C1", flush}}}).laid_out();
    CHECK(value(straight_before_sensor(joint)) == Approx(50));
    CHECK(has(note(straight_before_sensor(joint)), "step"));
  }
}

TEST_CASE("A straight run through a station inside a bend has no length") {
  const Duct duct = arcs({90}, {200, 200}).laid_out();
  const StraightRun run = straight_run(duct, 250);
  CHECK(run.from_mm == 250);
  CHECK(run.to_mm == 250);
  CHECK(run.ends_at_upstream == "bend at P1");
  // At the tangent point the straight counts.
  CHECK(straight_run(duct, 200).from_mm == 0);
  CHECK(straight_run(duct, 200).to_mm == 200);
}

TEST_CASE("Beside the straights stands how far it is to the edge of the boss") {
  SensorTube sensor = sensor_tube(100, 50, Angle(), kTube);
  const auto asides = [&](double boss_radius_mm, double from_mm) {
    sensor.boss_radius_mm = boss_radius_mm;
    const Duct duct = straight_job(1000, {{from_mm, {"S1", sensor}}}).laid_out();
    return std::pair(std::get<Measured>(straight_before_sensor(duct)), std::get<Measured>(straight_after_sensor(duct)));
  };
  CHECK(asides(0, 450).first.asides.empty());  // nobody said where its edge is
  const auto [before, after] = asides(18, 350);
  CHECK(before.hi == Approx(400));
  REQUIRE(before.asides.size() == 1);
  CHECK(before.asides[0].value == Approx(400 - 18));
  CHECK(before.asides[0].what == "to the edge of the boss");
  REQUIRE(after.asides.size() == 1);
  CHECK(after.asides[0].value == Approx(600 - 18));
  // A boss that reaches past the end of the straight.
  CHECK(asides(60, 0).first.asides[0].value == Approx(50 - 60));
}

TEST_CASE("Clock angle of the sensor") {
  const auto clocked = [](double degree, std::vector<bay::Attitude> attitudes) {
    Installation made = straight_job(500, {{100, {"S1", sensor_tube(100, 50, degrees(degree), kTube)}}});
    made.bay.attitudes = std::move(attitudes);
    return sensor_clock(made.laid_out(), made.bay);
  };
  const bay::Attitude level{"level", Angle(), Angle()}, left{"left side up", Angle(), degrees(10)},
      right{"right side up", Angle(), degrees(-10)}, nose{"nose up", degrees(10), Angle()};
  CHECK(value(clocked(0, {level})) == Approx(0).margin(1e-9));
  CHECK(value(clocked(-30, {level})) == Approx(30));
  CHECK(value(clocked(180, {level})) == Approx(180));
  // Duct along +x, left side up: up leans to the left, a sensor on the right (positive clock) leans away from it.
  CHECK(value(clocked(40, {level, left, right, nose})) == Approx(50));
  CHECK(note(clocked(40, {level, left, right, nose})) == "worst attitude: left side up");
  CHECK(value(clocked(-40, {level, left, right, nose})) == Approx(50));
  CHECK(note(clocked(-40, {level, left, right, nose})) == "worst attitude: right side up");
}

TEST_CASE("An attitude in which the sensor tube is within 15 degrees of vertical has no clock angle") {
  const auto tilted = [](double from_vertical, std::vector<bay::Attitude> attitudes) {
    const double a = degrees(from_vertical).si();
    Installation made = between(route({{0, 0, 0}, Vec3(500 * std::sin(a), 0, 500 * std::cos(a))}, 0));
    made.spec.fittings = {fitting_at(made.spec.route, "S1", 100, sensor_tube(100, 50, Angle(), kTube))};
    made.bay.attitudes = std::move(attitudes);
    return sensor_clock(made.laid_out(), made.bay);
  };
  const bay::Attitude level{"level", Angle(), Angle()}, nose{"nose up", degrees(10), Angle()};
  CHECK(has(std::get<NotAssessed>(tilted(0, {level})).reason, "within 15 degrees of vertical"));
  CHECK(std::holds_alternative<Measured>(tilted(20, {level})));
  // Nose up by 10 the tube leans by 10 instead of 20: that attitude is left out, and named.
  const Outcome outcome = tilted(20, {level, nose});
  CHECK(value(outcome) == Approx(value(tilted(20, {level}))));
  CHECK(note(outcome) == "worst attitude: level; no clock angle, within 15 degrees of vertical: nose up");
  const Outcome nowhere = tilted(12, {level, nose});
  CHECK(has(std::get<NotAssessed>(nowhere).reason, "level, nose up"));
}

TEST_CASE("Distances of the breather") {
  // Worked out beforehand: sensor 240, port 470, face 770.
  const Duct duct =
      straight_job(770, {{190, {"S1", sensor_tube(100, 50, Angle(), kTube)}}, {470, {"B1", branch_port(25, Angle())}}})
          .laid_out();
  CHECK(value(sensor_to_breather(duct)) == Approx(230));
  CHECK(value(breather_to_compressor(duct)) == Approx(300));
  // Two ports: the one nearest to the sensor, and the one nearest to the face.
  const Duct two = straight_job(770, {{190, {"S1", sensor_tube(100, 50, Angle(), kTube)}},
                                      {470, {"B1", branch_port(25, Angle())}},
                                      {100, {"B2", branch_port(25, Angle())}}})
                       .laid_out();
  CHECK(value(sensor_to_breather(two)) == Approx(-140));
  CHECK(value(breather_to_compressor(two)) == Approx(300));
}

TEST_CASE("Grip of the bender on the worked example") {
  // Worked out beforehand: 130.693 and 136.106 against 2 x 76.2.
  const Installation made =
      between(route({{0, 0, 0}, {300, 0, 0}, {300, 320, 80}, {620, 420, 80}, {620, 420, -180}}, 114.3));
  const auto grips = grip_lengths(made.laid_out());
  REQUIRE(grips.size() == 2);
  CHECK(value(grips[0]) * 76.2 == Approx(130.693).margin(5e-4));
  CHECK(value(grips[1]) * 76.2 == Approx(136.106).margin(5e-4));
  CHECK(value(grips[1]) < 2);
  CHECK(has(note(grips[0]), "P1 - P2"));
}

TEST_CASE("A straight cut by a coupler is no grip between bends") {
  Installation made = arcs({90, 90}, {200, 200, 200}, 100);
  CHECK(grip_lengths(made.laid_out()).size() == 1);
  made.spec.fittings = {fitting_at(made.spec.route, "C1", 450, coupler(CouplerShape::straight, 5, 60))};
  CHECK(grip_lengths(made.laid_out()).empty());
}

TEST_CASE("Half-angle of cones") {
  // Worked out beforehand: bore 72.9 to 53.85 over 50 mm 10.8 degrees, over 100 mm 5.4 degrees.
  const auto narrowing = [](double length) {
    return cone_half_angles(straight_job(500, {{200, {"R1", Reducer{length, {57.15, 1.65}}}}}).laid_out()).at(0);
  };
  CHECK(value(narrowing(50)) == Approx(10.8).margin(0.05));
  CHECK(value(narrowing(100)) == Approx(5.4).margin(0.05));
  const Duct both =
      straight_job(500, {{100, {"R1", Reducer{50, {57.15, 1.65}}}}, {300, {"R2", Reducer{50, kTube}}}}).laid_out();
  const auto angles = cone_half_angles(both);
  REQUIRE(angles.size() == 2);
  CHECK(value(angles[1]) == Approx(-value(angles[0])));
}

TEST_CASE("Crossings of carriers") {
  const auto crossings = [](const Installation& made) { return group_crossings(made.laid_out(), made.bay); };
  SECTION("none on one body") {
    Installation made = straight_job(500, {});
    made.bay.ports[1].body = 0;
    CHECK(crossings(made).empty());
  }
  SECTION("a rigid tube between two bodies") {
    const auto found = crossings(straight_job(500, {}));
    REQUIRE(found.size() == 1);
    CHECK_FALSE(found[0].has_soft_joint);
    CHECK(found[0].joint.empty());
    CHECK(found[0].station_mm == Approx(250));
    CHECK(found[0].from == bay::BodyId("vehicle"));
    CHECK(found[0].to == bay::BodyId("engine"));
  }
  SECTION("a straight coupler has to take it up") {
    const auto found = crossings(straight_job(500, {{200, {"C1", coupler(CouplerShape::straight, 5, 60)}}}));
    REQUIRE(found.size() == 1);
    CHECK(found[0].has_soft_joint);
    CHECK(found[0].joint == "C1");
  }
  SECTION("a bracket on the wrong side of the hump") {
    const auto found = crossings(straight_job(500, {{200, {"C1", coupler(CouplerShape::hump, 20, 90)}},
                                                    {100, {"K1", duct::Bracket{bay::BodyId("engine")}}}}));
    REQUIRE(found.size() == 1);
    CHECK_FALSE(found[0].has_soft_joint);
    CHECK(found[0].station_mm == Approx(50));
  }
  SECTION("movement that no joint states") {
    Coupler stiff = coupler(CouplerShape::hump, 20, 90);
    CHECK(crossings(straight_job(500, {{200, {"C1", stiff}}})).at(0).unstated.empty());
    stiff.axial_mm = 0;
    stiff.angle = Angle();
    const auto found = crossings(straight_job(500, {{200, {"C1", stiff}}}));
    CHECK(found.at(0).unstated ==
          std::vector<std::string>{"ducts/intake/fittings/C1/axial_mm", "ducts/intake/fittings/C1/angle_deg"});
  }
  SECTION("two humps and a link") {
    const auto found = crossings(fitted_job());
    REQUIRE(found.size() == 1);
    CHECK(found[0].joint == "C2, C3");
    CHECK(found[0].station_mm == Approx(605));
  }
}

TEST_CASE("Numbers of the good demonstration job") {
  const Installation made = fitted_job();
  const Duct duct = made.laid_out();
  CHECK(value(bend_count(duct)) == 2);
  CHECK(value(straight_before_sensor(duct)) == Approx(174.9).margin(0.05));
  CHECK(has(note(straight_before_sensor(duct)), "straight coupler C1"));
  CHECK(value(straight_after_sensor(duct)) == Approx(90));
  CHECK(value(sensor_clock(duct, made.bay)) == Approx(0).margin(1e-9));
  CHECK(value(sensor_to_breather(duct)) == Approx(235));
  CHECK(value(breather_to_compressor(duct)) == Approx(405).margin(0.05));
  CHECK(value(cone_half_angles(duct).at(0)) == Approx(6.0).margin(0.05));
  CHECK(value(smallest_radius_ratio(duct)) == Approx(115 / 76.2));
  CHECK(grip_lengths(duct).empty());
}

TEST_CASE("Numbers of the poor demonstration job") {
  const Installation made = first_try_job();
  const Duct duct = made.laid_out();
  CHECK(value(bend_count(duct)) == 4);
  CHECK(value(total_turning(duct)) == Approx(242.7).margin(0.05));
  CHECK(value(smallest_radius_ratio(duct)) == Approx(1.0));
  const auto grips = grip_lengths(duct);
  REQUIRE(grips.size() == 3);
  CHECK(value(grips[2]) * 76.2 == Approx(70.9).margin(0.05));
  CHECK(value(straight_before_sensor(duct)) == Approx(77.2).margin(0.05));
  CHECK(value(straight_after_sensor(duct)) == Approx(111.7).margin(0.05));
  CHECK(value(sensor_clock(duct, made.bay)) == Approx(70));
  CHECK(value(sensor_to_breather(duct)) == Approx(655));
  CHECK(value(breather_to_compressor(duct)) == Approx(95.7).margin(0.05));
  CHECK(value(cone_half_angles(duct).at(0)) == Approx(17.6).margin(0.05));
  CHECK_FALSE(group_crossings(duct, made.bay).at(0).has_soft_joint);
}

namespace {

double twice(double a, double b) { return 2 * std::hypot(a, b); }
const Band& band(const Outcome& outcome) { return std::get<Measured>(outcome).band; }

}  // namespace

TEST_CASE("A length between two fittings is as uncertain as both are set out, one to a bend as that bend is made") {
  // Straights of 300, 400 and 300 about two bends; sensor plane on the middle one, branch port on it and on the last.
  Installation made = arcs({90, 90}, {300, 400, 300});
  const double first = 300, arc = 100 * degrees(90).si();
  made.spec.bend_tolerance_mm = 2.0;
  made.spec.fitting_tolerance_mm = 1.5;
  made.spec.fittings = {fitting_at(made.spec.route, "S1", first + arc + 100, sensor_tube(100, 50, Angle(), kTube)),
                        fitting_at(made.spec.route, "B1", first + arc + 350, branch_port(20, Angle()))};
  const Duct duct = made.laid_out();
  CHECK(value(straight_before_sensor(duct)) == Approx(150));
  CHECK(band(straight_before_sensor(duct)).low() == Approx(twice(2.0, 1.5)));
  CHECK(band(straight_before_sensor(duct)).high() == Approx(twice(2.0, 1.5)));
  CHECK(band(sensor_to_breather(duct)).low() == Approx(twice(1.5, 1.5)));
  CHECK(band(breather_to_compressor(duct)).low() == Approx(2 * std::sqrt(2.0 * 2.0 + 2 * 1.5 * 1.5)));
  CHECK(band(grip_lengths(duct).at(0)).low() == Approx(twice(2.0, 2.0) / 76.2));
  CHECK(band(sensor_clock(duct, made.bay)).high() == Approx(2 * to_degrees(radians(1.5 / 38.1))));
  CHECK(band(bend_count(duct)).contributions().empty());
  CHECK(band(total_turning(duct)).contributions().empty());
  CHECK(band(smallest_radius_ratio(duct)).contributions().empty());
}

TEST_CASE("A tolerance that is not stated is no zero, and one of zero is") {
  Installation made = arcs({90}, {300, 400});
  made.spec.fittings = {fitting_at(made.spec.route, "S1", 300 + 157.08 + 100, sensor_tube(100, 50, Angle(), kTube))};
  const Band unstated = band(straight_before_sensor(made.laid_out()));
  // 4.8 and 2.4 mm plus or minus, anything between equally likely.
  CHECK(unstated.low() == Approx(twice(4.8 / std::sqrt(3), 2.4 / std::sqrt(3))));
  REQUIRE(unstated.contributions().size() == 2);
  CHECK(unstated.contributions()[0].missing == "ducts/intake/bend_tolerance_mm");
  CHECK(unstated.contributions()[1].missing == "ducts/intake/fitting_tolerance_mm");
  CHECK(has(unstated.contributions()[0].source, "not stated"));
  made.spec.bend_tolerance_mm = made.spec.fitting_tolerance_mm = 0;
  const Band zero = band(straight_before_sensor(made.laid_out()));
  CHECK(zero.low() == 0);
  CHECK(zero.contributions().size() == 2);  // printed all the same
  CHECK(zero.contributions()[0].missing.empty());
  made.spec.bend_tolerance_mm.reset();
  made.spec.tube = {63.5, 1.65};  // up to 2.5 in the shop promises 2.4
  CHECK(bend_tolerance(made.spec).high == Approx(2.4 / std::sqrt(3)));
}

TEST_CASE("The surface of a part nobody gave a figure for") {
  bay::Part part;
  part.id = bay::PartId("bay");
  const Contribution scan = surface_uncertainty(part);
  CHECK(scan.kind == Contribution::Kind::expanded);
  CHECK(scan.high == 15);
  CHECK(scan.missing == "parts/bay/uncertainty_mm");
  TriMesh mesh;
  mesh.chord_error_mm = 0.1;  // triangles of a STEP shape
  part.mesh = std::make_shared<const TriMesh>(mesh);
  CHECK(surface_uncertainty(part).high == Approx(std::hypot(0.5, degrees(0.1).si() * 600)).margin(0.005));
  part.uncertainty_mm = 0;
  CHECK(surface_uncertainty(part).high == 0);
  CHECK(surface_uncertainty(part).missing.empty());
}

TEST_CASE("A cone is steeper when it comes out shorter") {
  Installation made = straight_job(500, {{200, {"R1", Reducer{60, {63.5, 1.65}}}}});
  made.spec.fitting_tolerance_mm = 2;
  const double step = 72.9 - 60.2;
  const auto angle = [&](double length) { return to_degrees(radians(std::atan(step / (2 * length)))); };
  const Outcome cone = cone_half_angles(made.laid_out()).at(0);
  CHECK(band(cone).high() == Approx(angle(56) - angle(60)));
  CHECK(band(cone).low() == Approx(angle(60) - angle(64)));
}
