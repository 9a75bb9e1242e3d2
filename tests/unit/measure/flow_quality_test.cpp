#include "measure/flow_quality.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "usual_tube.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

Installation exact(Route route, double to_mm = 76.2) {
  Installation made = between(std::move(route), 76.2, to_mm);
  made.spec.bend_tolerance_mm = 0;
  made.spec.fitting_tolerance_mm = 0;
  made.spec.bending = BendingTolerance{};
  return made;
}
bool not_concerned(const Outcome& outcome) {
  const auto* refused = std::get_if<NotAssessed>(&outcome);
  return refused && refused->missing.empty();
}

/// Two bends of 90 degrees, radius 100, 100 mm apart; the last leg leans by `deg` out of the second plane's square.
/// Stations: bend 200 to 357.08, bend 457.08 to 614.16. Sensor `behind` the second.
Installation pair(double deg, double behind) {
  const double a = degrees(deg).si();
  const Vec3 last(std::sin(a), 0, std::cos(a));
  Installation made = exact(route({{0, 0, 0}, {300, 0, 0}, {300, 300, 0}, Vec3(300, 300, 0) + 700 * last}, 100));
  put(made, "sensor", 400 + 100 * std::numbers::pi - 100 + behind - 10 + 0, sensor_tube(60, 10, {}, {76.2, 1.65}));
  return made;
}

}  // namespace

TEST_CASE("bore at the sensor against its calibration", "[flow quality]") {
  Installation made = exact(route({{0, 0, 0}, {600, 0, 0}}, 0));
  SensorTube sensor = sensor_tube(150, 70, {}, {76.2, 1.65});
  put(made, "sensor", 200, sensor);
  const auto missing = std::get<NotAssessed>(sensor_bore_departure(made.laid_out())).missing;
  CHECK(missing == std::vector<std::string>{"ducts/intake/fittings/sensor/measured_bore_mm"});
  sensor.measured_bore_mm = {72.8, 73.1};
  made.spec.fittings[0].kind = sensor;
  const auto round = std::get<Measured>(sensor_bore_departure(made.laid_out()));
  CHECK(round.lo == Approx(100 * 0.2 / kBore));
  CHECK(round.unit == Unit::percent);
  sensor.measured_bore_mm = {71.6, 73.1};
  made.spec.fittings[0].kind = sensor;
  CHECK(std::get<Measured>(sensor_bore_departure(made.laid_out())).lo == Approx(100 * 1.3 / kBore));

  SECTION("tube beside it with another bore, flush enough to be part of the straight run") {
    made.spec.tube = {76.2, 2.5};  // 71.2, a step of 0.85
    sensor.measured_bore_mm = {kBore, kBore};
    made.spec.fittings[0].kind = sensor;
    CHECK(std::get<Measured>(sensor_bore_departure(made.laid_out())).lo == Approx(100 * 1.7 / kBore));
    made.spec.tube = {76.2, 2.7};  // a step of 1.05 ends the run
    CHECK(std::get<Measured>(sensor_bore_departure(made.laid_out())).lo == Approx(0).margin(1e-9));
  }
  SECTION("no sensor") {
    made.spec.fittings.clear();
    CHECK(std::get<NotAssessed>(sensor_bore_departure(made.laid_out())).missing.size() == 1);
  }
}

TEST_CASE("planes of the two bends ahead of the sensor", "[flow quality]") {
  // 100 behind the second bend, 357.08 behind the first: within 5 bores, 364.5.
  CHECK(std::get<Measured>(planes_ahead_of_sensor(pair(0, 100).laid_out())).lo == Approx(90));
  // Normals (0, 0, 1) and (cos a, 0, -sin a): the angle between the planes is 90 - a.
  CHECK(std::get<Measured>(planes_ahead_of_sensor(pair(60, 100).laid_out())).lo == Approx(30));
  CHECK(std::get<Measured>(planes_ahead_of_sensor(pair(-60, 100).laid_out())).lo == Approx(30));
  CHECK(not_concerned(planes_ahead_of_sensor(pair(0, 110).laid_out())));  // 367.08

  SECTION("a flow straightener between") {
    Installation made = pair(0, 100);
    put(made, "screen", 300 + 100 * std::numbers::pi + 20, FlowStraightener{20, 0.5});
    CHECK(not_concerned(planes_ahead_of_sensor(made.laid_out())));
  }
  SECTION("as made, perhaps farther away") {
    Installation made = pair(0, 100);
    made.spec.fitting_tolerance_mm = 5;  // +-10 along the tube
    const auto m = std::get<Measured>(planes_ahead_of_sensor(made.laid_out()));
    CHECK(m.lo == 0);
    CHECK(m.hi == Approx(90));
  }
  SECTION("the bender's rotation is its uncertainty") {
    Installation made = pair(60, 100);
    made.spec.bending = BendingTolerance{degrees(1), degrees(0.5), 0};
    CHECK(std::get<Measured>(planes_ahead_of_sensor(made.laid_out())).band.high() == Approx(1));
    made.spec.bending.reset();  // published: +-2 degrees for a tube above 63.5, anything between equally likely
    const auto m = std::get<Measured>(planes_ahead_of_sensor(made.laid_out()));
    CHECK(m.band.high() == Approx(2 * 2 / std::numbers::sqrt3));
    CHECK(m.band.contributions()[0].missing == "ducts/intake/bending");
  }
  SECTION("one bend") {
    Installation made = exact(route({{0, 0, 0}, {300, 0, 0}, {300, 600, 0}}, 100));
    put(made, "sensor", 420, sensor_tube(60, 10, {}, {76.2, 1.65}));
    CHECK(not_concerned(planes_ahead_of_sensor(made.laid_out())));
  }
}

TEST_CASE("enough straight makes the planes ahead of the sensor indifferent", "[flow quality]") {
  // Bends of 90 degrees and radius 40 that touch: 62.8 each. 300 behind the last, at least 4 bores (291.6), and 362.8
  // behind the first, within 5.
  Installation made = exact(route({{0, 0, 0}, {300, 0, 0}, {300, 80, 0}, {300, 80, 700}}, 40));
  const double end = 260 + 40 * std::numbers::pi;
  put(made, "sensor", end + 290, sensor_tube(60, 10, {}, {76.2, 1.65}));
  CHECK(not_concerned(planes_ahead_of_sensor(made.laid_out())));
  made.spec.fittings.clear();
  put(made, "sensor", end + 280, sensor_tube(60, 10, {}, {76.2, 1.65}));  // 290
  CHECK(std::get<Measured>(planes_ahead_of_sensor(made.laid_out())).lo == Approx(90));
}

TEST_CASE("straight axis before the compressor", "[flow quality]") {
  Installation made = exact(route({{0, 0, 0}, {400, 0, 0}, {400, 400, 0}}, 100), 63.5);
  put(made, "cone", 300 + 50 * std::numbers::pi + 50, Reducer{60, {63.5, 1.65}});
  put(made, "hump", 300 + 50 * std::numbers::pi + 250, coupler(CouplerShape::hump, 20, 80));
  // 300 behind the bend, the cone ends 110 behind it: 190 of bore 60.2, and the hump is passed.
  const auto m = std::get<Measured>(straight_before_end(made.laid_out()));
  CHECK(m.lo == Approx(190 / 60.2));
  CHECK(m.note.find("hump") != std::string::npos);
  CHECK(m.note.find("cone") != std::string::npos);
  made.spec.fitting_tolerance_mm = 1;
  CHECK(std::get<Measured>(straight_before_end(made.laid_out())).band.low() == Approx(2 * std::sqrt(2.0) / 60.2));
  Installation plain = exact(route({{0, 0, 0}, {400, 0, 0}}, 0));
  CHECK(std::get<Measured>(straight_before_end(plain.laid_out())).lo == Approx(400 / kBore));
  put(plain, "nipple", 300, branch_port(19, {}));
  CHECK(std::get<Measured>(straight_before_end(plain.laid_out())).lo == Approx(100 / kBore));
}

TEST_CASE("straights at a restriction tap", "[flow quality]") {
  Installation made = exact(route({{0, 0, 0}, {600, 0, 0}}, 0), 63.5);
  put(made, "cone", 400, Reducer{60, {63.5, 1.65}});
  put(made, "T1", 300, RestrictionTap{});
  put(made, "T2", 500, RestrictionTap{});
  put(made, "T3", 430, RestrictionTap{});
  const auto taps = straights_at_taps(made.laid_out());
  REQUIRE(taps.size() == 3);
  CHECK(taps[0].bores.lo == Approx(100 / kBore));  // T1, ahead of the cone
  CHECK(taps[1].bores.lo == 0);                    // T3, on it
  CHECK(taps[2].bores.lo == Approx(40 / 60.2));    // T2, behind it
  CHECK(straights_at_taps(exact(route({{0, 0, 0}, {600, 0, 0}}, 0)).laid_out()).empty());
}
