#include "geometry/base/quantity.hpp"

#include <cmath>
#include <type_traits>

#include <catch2/catch.hpp>

#include "geometry/base/expects.hpp"
#include "geometry/base/id.hpp"

using namespace baywright;

TEST_CASE("quantities enter and leave by name only", "[quantity]") {
  CHECK(to_degrees(degrees(30)) == Approx(30));
  CHECK(std::sin(degrees(30).si()) == Approx(0.5));
  CHECK(to_kilopascals(kilopascals(2.5) + pascals(500)) == Approx(3.0));
  CHECK(celsius(25).si() == Approx(298.15));
  STATIC_REQUIRE_FALSE(std::is_convertible_v<double, Angle>);
  STATIC_REQUIRE_FALSE(std::is_convertible_v<Angle, double>);
  STATIC_REQUIRE_FALSE(std::is_constructible_v<Angle, Pressure>);
}

TEST_CASE("ids of different kinds do not mix", "[id]") {
  using A = Id<struct TagA>;
  using B = Id<struct TagB>;
  STATIC_REQUIRE_FALSE(std::is_convertible_v<A, B>);
  CHECK(A("x") == A("x"));
  CHECK(A("x") < A("y"));
}

TEST_CASE("a broken contract throws with its place", "[expects]") {
  CHECK_THROWS_AS(EXPECTS(1 + 1 == 3), ContractViolation);
  CHECK_NOTHROW(EXPECTS(1 + 1 == 2));
}
