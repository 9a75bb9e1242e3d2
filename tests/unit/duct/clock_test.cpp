#include <catch2/catch.hpp>
#include <cmath>

#include "duct/layout.hpp"

using namespace baywright;
using namespace baywright::duct;

TEST_CASE("On a tube near vertical there is no clock angle") {
  const Vec3 up = Vec3::UnitZ();
  CHECK_FALSE(clock_of(up, up, Vec3::UnitX()));
  CHECK_FALSE(clock_direction(-up, up, degrees(10)));
  const auto tilted = [](double degree) {
    return Vec3(std::sin(degrees(degree).si()), 0, std::cos(degrees(degree).si()));
  };
  CHECK_FALSE(clock_of(tilted(14.99), up, Vec3::UnitY()));
  CHECK(clock_of(tilted(15.01), up, Vec3::UnitY()));
  CHECK_FALSE(clock_of(tilted(165.01), up, Vec3::UnitY()));
  // An axis along the tube points nowhere around it.
  CHECK_FALSE(clock_of(Vec3::UnitX(), up, Vec3::UnitX()));
}

TEST_CASE("Clock angle from a sensor's axis") {
  // The axis (0, 0.5, 0.866) leans atan(0.5 / 0.866) = 30 degrees to the left. Seen along +x the left side (+y) lies
  // anticlockwise of up.
  const Vec3 along = Vec3::UnitX(), up = Vec3::UnitZ();
  CHECK(to_degrees(*clock_of(along, up, Vec3(0.2, 0.5, 0.866))) ==
        Approx(-to_degrees(radians(std::atan2(0.5, 0.866)))).margin(1e-9));
  CHECK(to_degrees(*clock_of(along, up, Vec3(0.2, 0.5, 0.866))) == Approx(-30.00).margin(0.005));
  CHECK(to_degrees(*clock_of(along, up, Vec3(0, 0, -1))) == Approx(180));
  CHECK(to_degrees(*clock_of(along, up, Vec3(0, -1, 0))) == Approx(90));
}

TEST_CASE("Direction of a clock angle and back") {
  for (const Vec3& along : {Vec3(1, 0, 0), Vec3(0.6, 0, 0.8), Vec3(-0.48, 0.64, -0.6), Vec3(0, -1, 0)}) {
    for (double clock = -175; clock <= 180; clock += 17.75) {
      const auto direction = clock_direction(along, Vec3::UnitZ(), degrees(clock));
      REQUIRE(direction);
      CHECK(direction->norm() == Approx(1).epsilon(1e-12));
      CHECK(std::abs(direction->dot(along)) < 1e-12);
      CHECK(to_degrees(*clock_of(along, Vec3::UnitZ(), *direction)) == Approx(clock).margin(1e-9));
      CHECK((outward_direction(along, degrees(clock)) - *direction).norm() < 1e-12);
    }
  }
}

TEST_CASE("On a vertical tube a boss is placed from the vehicle's forward direction") {
  CHECK((outward_direction(Vec3::UnitZ(), Angle()) - Vec3::UnitX()).norm() < 1e-12);
  CHECK((outward_direction(Vec3::UnitZ(), degrees(90)) - Vec3::UnitY()).norm() < 1e-12);
  CHECK((outward_direction(-Vec3::UnitZ(), degrees(90)) + Vec3::UnitY()).norm() < 1e-12);
}
