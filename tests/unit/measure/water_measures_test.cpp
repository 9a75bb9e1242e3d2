#include "measure/water_measures.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "usual_tube.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

/// 600 mm falling by 5 degrees, a bend to level, 400 mm level to a cone that narrows by 6.35 mm a side.
Installation falling_then_level() {
  const double a = degrees(5).si();
  const Vec3 corner(600 * std::cos(a), 0, -600 * std::sin(a));
  Installation made = between(route({Vec3::Zero(), corner, corner + Vec3(0, 700, 0)}, 100), 76.2, 63.5);
  made.spec.bend_tolerance_mm = 0;
  made.spec.fitting_tolerance_mm = 0;
  made.spec.bending = BendingTolerance{};
  put(made, "sensor", 150, sensor_tube(120, 50, {}, {76.2, 1.65}));
  put(made, "cone", 1000, Reducer{60, {63.5, 1.65}});
  return made;
}

}  // namespace

TEST_CASE("the low point ahead of a cone on a level leg", "[water]") {
  Installation made = falling_then_level();
  const Duct duct = made.laid_out();
  // The floor falls to the end of the bend and is level from there to the cone.
  const double bend_end = duct.layout.bends[0].station_to_mm;
  const Outcome outcome = sensor_to_low_point(duct, made.bay);
  const auto& m = std::get<Measured>(outcome);
  CHECK(m.lo == Approx(bend_end - 200));
  CHECK(m.hi == m.lo);
  const auto water = standing_water(duct, made.bay);
  REQUIRE(water.size() == 1);
  CHECK(water[0].note.find("6.4 mm deep") != std::string::npos);  // 6.35
  CHECK(water[0].unit == Unit::millilitre);

  SECTION("a drain there lets it out") {
    put(made, "drain", 900, Drain{10, true});
    const Outcome drained = sensor_to_low_point(made.laid_out(), made.bay);
    CHECK(std::get<Measured>(drained).lo == Approx(duct.layout.length_mm));
    CHECK(std::isinf(std::get<Measured>(drained).hi));
    CHECK(standing_water(made.laid_out(), made.bay).empty());
    const auto all = drained_pools(made.laid_out(), made.bay);
    REQUIRE(all.size() == 1);
    CHECK(all[0][0].left_mm == 0);
    CHECK(all[0][0].drains.size() == 1);
  }
  SECTION("a drain up the slope leaves what stands below it") {
    // 20 mm up the first leg, whose floor falls by 5 degrees into the bend.
    const double station = duct.layout.bends[0].station_from_mm - 20;
    put(made, "drain", station, Drain{10, true});
    const Duct with = made.laid_out();
    const auto all = drained_pools(with, made.bay);
    REQUIRE(all.size() == 1);
    // Nothing comes to it: the bend falls by 100 sin 5 and more, deeper than the cone holds back.
    CHECK(all[0][0].drains.empty());
    CHECK(all[0][0].left_mm == Approx(6.35));
  }
}

TEST_CASE("a drain beside the low point of a V leaves what stands below it", "[water]") {
  const double a = degrees(10).si();
  const Vec3 corner(400 * std::cos(a), 0, -400 * std::sin(a));
  Installation made =
      between(route({Vec3::Zero(), corner, corner + Vec3(400 * std::cos(a), 0, 400 * std::sin(a))}, 100));
  const double bend_from = 400 - 100 * std::tan(a);
  put(made, "drain", bend_from - 20, Drain{10, true});
  const auto all = drained_pools(made.laid_out(), made.bay);
  REQUIRE(all.size() == 1);
  REQUIRE(all[0][0].drains.size() == 1);
  // 20 mm of the leg and the arc below, whose floor lies on a circle of radius 100 + 36.45.
  CHECK(all[0][0].left_mm == Approx(20 * std::sin(a) + 136.45 * (1 - std::cos(a))));
}

TEST_CASE("the attitude that brings the low point nearest is named", "[water]") {
  Installation made = falling_then_level();
  made.bay.attitudes.push_back({"right side up", {}, degrees(-4)});  // the last leg falls: its end is the way out
  made.bay.attitudes.push_back({"left side up", {}, degrees(4)});    // it rises: the low point moves into the bend
  const Duct duct = made.laid_out();
  const auto m = std::get<Measured>(sensor_to_low_point(duct, made.bay));
  CHECK(m.note.find("left side up") != std::string::npos);
  // In the bend u.t = -sin 5 cos 4 cos t + sin 4 sin t = 0.
  const double t = std::atan(std::sin(degrees(5).si()) * std::cos(degrees(4).si()) / std::sin(degrees(4).si()));
  CHECK(m.lo == Approx(duct.layout.bends[0].station_from_mm + 100 * t - 200));
}

TEST_CASE("on a level leg water stays at the sensor", "[water]") {
  Installation made = falling_then_level();
  SECTION("in one of the attitudes") {
    made.bay.attitudes.push_back({"nose up", degrees(4.2), {}});  // the first leg falls by 0.8 degrees
    const auto m = std::get<Measured>(sensor_to_low_point(made.laid_out(), made.bay));
    CHECK(m.hi == 0);
    CHECK(m.note.find("nose up") != std::string::npos);
  }
  SECTION("perhaps, as the bender left it") {
    // A bend that steepens the fall from 1.1 to 21.1 degrees: what its angle leaves open turns the first leg as well.
    const auto falls = [](double length, double deg) {
      return Vec3(length * std::cos(degrees(deg).si()), 0, -length * std::sin(degrees(deg).si()));
    };
    const Vec3 corner = falls(600, 1.1);
    Installation steeper = between(route({Vec3::Zero(), corner, corner + falls(500, 21.1)}, 100));
    put(steeper, "sensor", 150, sensor_tube(120, 50, {}, {76.2, 1.65}));
    steeper.spec.bending = BendingTolerance{};
    CHECK(std::get<Measured>(sensor_to_low_point(steeper.laid_out(), steeper.bay)).lo > 1000);
    steeper.spec.bending = BendingTolerance{degrees(1), degrees(1), 1};
    const auto m = std::get<Measured>(sensor_to_low_point(steeper.laid_out(), steeper.bay));
    CHECK(m.lo == 0);
    CHECK(m.hi > 1000);
  }
}

TEST_CASE("without sensor or attitude the low point is not looked for", "[water]") {
  Installation made = falling_then_level();
  made.bay.attitudes_stated = false;
  CHECK(std::get<NotAssessed>(sensor_to_low_point(made.laid_out(), made.bay)).missing ==
        std::vector<std::string>{"attitudes"});
  CHECK(std::get<NotAssessed>(flow_rises_past_sensor(made.laid_out(), made.bay)).missing ==
        std::vector<std::string>{"attitudes"});
  made.spec.fittings.erase(made.spec.fittings.begin());
  CHECK(std::get<NotAssessed>(sensor_to_low_point(made.laid_out(), made.bay)).missing ==
        std::vector<std::string>{"ducts/intake/fittings: sensor tube"});
}

TEST_CASE("an upright sensor tube", "[water]") {
  const auto standing = [](const Vec3& direction, std::vector<bay::Attitude> attitudes = {}) {
    Installation made = between(route({Vec3::Zero(), 500 * direction.normalized()}, 0));
    put(made, "sensor", 150, sensor_tube(120, 50, {}, {76.2, 1.65}));
    for (auto& a : attitudes) made.bay.attitudes.push_back(a);
    return flow_rises_past_sensor(made.laid_out(), made.bay);
  };
  const auto leaning = [](double deg) { return Vec3(std::sin(degrees(deg).si()), 0, std::cos(degrees(deg).si())); };
  CHECK(std::get<Measured>(standing(leaning(0))).lo == 1);
  CHECK(std::get<Measured>(standing(leaning(14.9))).lo == 1);
  CHECK(std::get<NotAssessed>(standing(leaning(15.1))).missing.empty());
  CHECK(std::get<Measured>(standing(-leaning(14.9))).lo == 0);
  CHECK(std::get<NotAssessed>(standing(-leaning(15.1))).missing.empty());
  const auto pitched = standing(-leaning(20), {{"nose down", degrees(-10), {}}, {"nose up", degrees(10), {}}});
  CHECK(std::get<Measured>(pitched).lo == 0);
}
