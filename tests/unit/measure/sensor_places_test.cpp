#include "measure/sensor_places.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <numbers>

#include "measure/flow_quality.hpp"
#include "usual_tube.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

constexpr double kArc = 50 * std::numbers::pi;

/// Straights of 200, 100 and 600 with two bends of 90 degrees, radius 100, in planes square to each other between.
Installation two_planes() { return between(route({{0, 0, 0}, {300, 0, 0}, {300, 300, 0}, {300, 300, 700}}, 100)); }
constexpr double kLast = 300 + 2 * kArc;  ///< where the last straight begins

}  // namespace

TEST_CASE("one straight tube is one place, shared as the needs are", "[sensor places]") {
  const auto places = sensor_places(between(route({{0, 0, 0}, {600, 0, 0}}, 0)).laid_out(), {100, 50});
  REQUIRE(places.size() == 1);
  CHECK(places[0].station_mm == Approx(400));
  CHECK(places[0].ahead_mm == Approx(400));
  CHECK(places[0].behind_mm == Approx(200));
  CHECK(places[0].share == Approx(4));
  CHECK_FALSE(places[0].here);
  CHECK_FALSE(places[0].swirl_deg);
  CHECK_FALSE(places[0].bore_percent);  // nobody said what it is calibrated in
  CHECK_FALSE(places[0].flow_error_percent());
  CHECK_THROWS(sensor_places(between(route({{0, 0, 0}, {600, 0, 0}}, 0)).laid_out(), {0, 50}));
}

TEST_CASE("longer straights come first, until they are long enough", "[sensor places]") {
  const auto places = sensor_places(two_planes().laid_out(), {101.6, 76.2});
  REQUIRE(places.size() == 3);
  CHECK(places[0].share == Approx(600 / 177.8));
  CHECK(places[0].station_mm == Approx(kLast + 600 * 101.6 / 177.8));
  CHECK(places[1].share == Approx(200 / 177.8));
  CHECK(places[2].share == Approx(100 / 177.8));
  CHECK(places[2].after == "bend at P1");
  CHECK(places[2].before == "bend at P2");
  for (std::size_t i = 1; i < places.size(); ++i) CHECK(places[i].share <= places[i - 1].share);
}

TEST_CASE("of places that are long enough, one behind bends in two planes comes last", "[sensor places]") {
  // 31.6 behind the second bend, 288.7 behind the first: within 5 bores of 72.9, with less than 4 of straight.
  const auto places = sensor_places(two_planes().laid_out(), {10, 180});
  REQUIRE(places.size() == 3);
  CHECK(places[0].ahead_mm == Approx(200 * 10 / 190.0));
  CHECK_FALSE(places[0].swirl_deg);
  REQUIRE(places[1].swirl_deg);
  CHECK(*places[1].swirl_deg == Approx(90));
  CHECK(places[1].station_mm == Approx(kLast + 600 * 10 / 190.0));
  // The same angle as the check has for a sensor there.
  Installation with = two_planes();
  with.spec.bending = BendingTolerance{};
  with.spec.fitting_tolerance_mm = 0;
  put(with, "sensor", places[1].station_mm - 10, sensor_tube(60, 10, {}, {76.2, 1.65}));
  const auto checked = std::get<Measured>(planes_ahead_of_sensor(with.laid_out()));
  CHECK(checked.lo == Approx(*swirling_pair_deg(with.laid_out(), places[1].station_mm, 72.9)));
}

TEST_CASE("bore beside the sensor tube as error of flow, and what stands in its way", "[sensor places]") {
  Installation made = two_planes();
  made.spec.tube = {76.2, 2.0};  // 72.2 beside 72.9: a step of 0.35 in radius ends no straight
  put(made, "sensor", kLast + 120, sensor_tube(155, 65, {}, {76.2, 1.65}));
  put(made, "T1", kLast + 340, RestrictionTap{});
  const auto places = sensor_places(made.laid_out(), {101.6, 76.2});
  REQUIRE(places.size() == 3);
  CHECK(places[0].here);
  CHECK_FALSE(places[1].here);
  REQUIRE(places[1].bore_percent);
  CHECK(*places[1].bore_percent == Approx(100 * 0.7 / 72.9));
  CHECK(*places[1].flow_error_percent() == Approx(200 * 0.7 / 72.9));
  CHECK(places[0].in_the_way == std::vector<std::string>{"tap T1"});
  // 100 of straight: the tube of 155 reaches into both bends.
  CHECK(places[2].in_the_way == std::vector<std::string>{"bend at P1", "bend at P2"});
}

TEST_CASE("a fitting that ends a run stands once among what is in the way", "[sensor places]") {
  Installation made = between(route({{0, 0, 0}, {600, 0, 0}}, 0));
  put(made, "sensor", 100, sensor_tube(155, 65, {}, {76.2, 1.65}));
  put(made, "C1", 300, Reducer{60, {63.5, 1.65}});
  const auto places = sensor_places(made.laid_out(), {101.6, 76.2});
  REQUIRE(places.size() == 2);
  CHECK(places[1].after == "cone C1");
  // 240 behind the cone: the tube of 155 begins 72.1 behind it and ends ahead of the port.
  CHECK(places[1].in_the_way.empty());
  put(made, "C2", 450, Reducer{60, {76.2, 1.65}});
  const auto tight = sensor_places(made.laid_out(), {101.6, 76.2});
  const auto between_cones =
      std::find_if(tight.begin(), tight.end(), [](const SensorPlace& p) { return p.after == "cone C1"; });
  REQUIRE(between_cones != tight.end());
  CHECK(between_cones->before == "cone C2");
  CHECK(between_cones->in_the_way == std::vector<std::string>{"reducer C1", "reducer C2"});
}

TEST_CASE("a branch port that carries flow parts a straight in two places", "[sensor places]") {
  Installation made = between(route({{0, 0, 0}, {600, 0, 0}}, 0));
  put(made, "breather", 400, branch_port(19, {}));
  const auto places = sensor_places(made.laid_out(), {100, 50});
  REQUIRE(places.size() == 2);
  CHECK(places[0].ahead_mm + places[0].behind_mm == Approx(400));
  CHECK(places[0].before == "branch port breather");
  CHECK(places[1].after == "branch port breather");
}
