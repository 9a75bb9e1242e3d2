#include "measure/joint_offset.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "tests/support/ducts.hpp"

using namespace baywright;
using namespace baywright::measure;

TEST_CASE("Tube ends in line, touching and overlapping") {
  const TubeEnd upstream{Vec3(10, 0, 0), Vec3::UnitX()};
  for (const double gap : {0.0, 20.0, -3.0}) {
    const JointOffset offset = joint_offset(upstream, {Vec3(10 + gap, 0, 0), -Vec3::UnitX()});
    CHECK(offset.gap_mm == Approx(gap).margin(1e-12));
    CHECK(offset.lateral_mm == Approx(0).margin(1e-12));
    CHECK(offset.angle.si() == 0);
  }
}

TEST_CASE("A joint 5 mm aside and 5 degrees out of line: within a hump's movement, beyond its budget at rest") {
  const TubeEnd upstream{Vec3::Zero(), Vec3::UnitX()};
  const TubeEnd downstream{Vec3(22, 4, 3), Vec3(-0.99619, 0.08716, 0)};
  const JointOffset offset = joint_offset(upstream, downstream);
  CHECK(offset.gap_mm == Approx(22));
  CHECK(offset.lateral_mm == Approx(std::hypot(4, 3)));
  CHECK(to_degrees(offset.angle) == Approx(5.00).margin(0.005));
  const duct::Coupler hump = test::coupler(duct::CouplerShape::hump, 20, 90);  // takes 10 mm, 10 mm, 6 degrees
  CHECK(takes(hump, offset));
  CHECK_FALSE(takes(hump, offset, 1.0 / 3));
  // Each of the three by itself.
  CHECK_FALSE(takes(hump, {31, 0, {}}));
  CHECK_FALSE(takes(hump, {20, 11, {}}));
  CHECK_FALSE(takes(hump, {20, 0, degrees(7)}));
  CHECK(takes(hump, {30, 10, degrees(6)}));
  const duct::Coupler unstated;
  CHECK_FALSE(takes(unstated, {0, 0.1, {}}));
}
