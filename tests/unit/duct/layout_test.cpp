#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "routes.hpp"

using namespace baywright;
using namespace baywright::duct;
using baywright::test::route;

namespace {

bool has_error(const ResultAll<Layout>& result, const std::string& where, const std::string& text) {
  if (result) return false;
  for (const Error& error : result.error()) {
    if (error.where == where && error.message.find(text) != std::string::npos) return true;
  }
  return false;
}

}  // namespace

TEST_CASE("A route needs two points that are numbers and apart") {
  CHECK(has_error(lay_out_route({}), "route", "has 0 point(s)"));
  CHECK(has_error(lay_out_route(route({{0, 0, 0}}, 0)), "route", "has 1 point(s)"));
  CHECK(has_error(lay_out_route(route({{0, 0, 0}, {0, 0, 0}}, 0)), "leg P0 - P1", "has no length"));
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(has_error(lay_out_route(route({{0, 0, 0}, {nan, 0, 0}}, 0)), "point P1", "not finite"));
  CHECK(has_error(lay_out_route(route({{0, 0, 0}, {9, 0, 0}, {9, 9, 0}}, nan)), "point P1", "bend radius"));
  CHECK(has_error(lay_out_route(route({{0, 0, 0}, {9, 0, 0}, {9, 9, 0}}, -1)), "point P1", "bend radius"));
  CHECK(has_error(lay_out_route(route({{0, 0, 0}, {9, 0, 0}, {9, 9, 0}}, 0)), "point P1", "no bend radius"));
  Route bent_end = route({{0, 0, 0}, {9, 0, 0}}, 0);
  bent_end.points[1].bend_radius_mm = 5;
  CHECK(has_error(lay_out_route(bent_end), "point P1", "an end of the route has no bend"));
  Route twins = route({{0, 0, 0}, {9, 0, 0}}, 0);
  twins.points[1].id = PointId("P0");
  CHECK(has_error(lay_out_route(twins), "point P0", "used twice"));
}

TEST_CASE("A reversal is refused above 175 degrees and bent below") {
  const auto turned_by = [](double degree) {
    const double a = degrees(degree).si();
    return route({{-500, 0, 0}, {0, 0, 0}, {500 * std::cos(a), 500 * std::sin(a), 0}}, 1);
  };
  CHECK(has_error(lay_out_route(turned_by(180)), "point P1", "turns back on itself"));
  CHECK(has_error(lay_out_route(turned_by(175.1)), "point P1", "by 175.1 degrees"));
  CHECK(lay_out_route(turned_by(174.9)).has_value());
}

TEST_CASE("A radius too large for its legs is refused with the amount missing") {
  // Two right angles of radius 60 on a leg of 100: set-backs 60 + 60, 20 too long. The first leg of 50 lacks 10.
  const auto result = lay_out_route(route({{0, 0, 0}, {50, 0, 0}, {50, 100, 0}, {200, 100, 0}}, 60));
  REQUIRE(!result);
  CHECK(result.error().size() == 2);
  CHECK(has_error(result, "leg P0 - P1", "too short by 10.0 mm"));
  CHECK(has_error(result, "leg P1 - P2", "60.0 mm at P1 and 60.0 mm at P2: too short by 20.0 mm"));
  // Exactly fitting legs of no straight at all are allowed.
  const auto tight = lay_out_route(route({{0, 0, 0}, {60, 0, 0}, {60, 120, 0}, {120, 120, 0}}, 60));
  REQUIRE(tight);
  CHECK(tight->legs[1].length_mm() == Approx(0).margin(1e-9));
  CHECK(tight->length_mm == Approx(2 * 60 * M_PI / 2));
}

TEST_CASE("All problems of a route come at once") {
  const auto result = lay_out_route(route({{0, 0, 0}, {100, 0, 0}, {100, 0, 0}, {300, 0, 0}, {300, 0, 0}}, 10));
  REQUIRE(!result);
  CHECK(result.error().size() == 2);
}

TEST_CASE("A straight route") {
  const auto layout = lay_out_route(route({{1, 2, 3}, {1, 2, 103}}, 0));
  REQUIRE(layout);
  CHECK(layout->length_mm == Approx(100));
  CHECK(layout->bends.empty());
  CHECK((layout->at(25).p_mm - Vec3(1, 2, 28)).norm() < 1e-12);
  // Beyond the ends the end's leg goes on.
  CHECK((layout->at(-5).p_mm - Vec3(1, 2, -2)).norm() < 1e-12);
  CHECK((layout->at(104).p_mm - Vec3(1, 2, 107)).norm() < 1e-12);
}

TEST_CASE("A point without a change of direction is no bend") {
  const auto layout = lay_out_route(route({{0, 0, 0}, {100, 0, 0}, {300, 0, 0}, {300, 200, 0}}, 50));
  REQUIRE(layout);
  REQUIRE(layout->bends.size() == 2);
  CHECK_FALSE(layout->bends[0].bends());
  CHECK(layout->bends[0].arc_mm() == 0);
  CHECK(layout->legs[0].station_to_mm == Approx(100));
  REQUIRE(layout->straights().size() == 2);
  CHECK(layout->straights()[0].station_to_mm == Approx(250));
  CHECK(layout->bends[1].rotation.si() == 0);
}

TEST_CASE("Points of a bend lie on its circle and the tangent turns with it") {
  const auto layout = lay_out_route(route(test::worked_points(), 114.3));
  REQUIRE(layout);
  for (const Bend& bend : layout->bends) {
    for (double f = 0; f <= 1.0; f += 0.25) {
      const double s = bend.station_from_mm + f * bend.arc_mm();
      const StationFrame frame = layout->at(s);
      CHECK((frame.p_mm - bend.center).norm() == Approx(114.3).epsilon(1e-12));
      CHECK(std::abs(frame.tangent.dot(bend.normal)) < 1e-12);
      // Central difference: error h^2 / (6 R^2) = 1.3e-11 within the arc, kinks of curvature at its ends.
      const double h = 1e-3;
      const Vec3 slope = (layout->at(s + h).p_mm - layout->at(s - h).p_mm) / (2 * h);
      CHECK((slope - frame.tangent).norm() < 1e-5);
    }
  }
}

TEST_CASE("Route of the good demonstration job") {
  const auto layout = lay_out_route(route({{-190, 415, 370}, {65, 415, 440}, {65, -250, 410}, {-250, -250, 410}}, 115));
  REQUIRE(layout);
  const auto& legs = layout->legs;
  const auto& bends = layout->bends;
  CHECK((Vec3(65, 415, 440) - Vec3(-190, 415, 370)).norm() == Approx(264.4).margin(0.05));
  CHECK(bends[0].set_back_mm == Approx(116.4).margin(0.05));
  CHECK(bends[1].set_back_mm == Approx(115.0).margin(0.05));
  CHECK(legs[0].length_mm() == Approx(148.1).margin(0.05));
  CHECK(legs[1].length_mm() == Approx(434.3).margin(0.05));
  CHECK(legs[2].length_mm() == Approx(200.0).margin(0.05));
  CHECK(to_degrees(bends[0].angle) == Approx(90.68).margin(0.005));
  CHECK(to_degrees(bends[1].angle) == Approx(90.00).margin(0.005));
  CHECK(to_degrees(bends[1].rotation) == Approx(-15.34).margin(0.005));
  CHECK(bends[0].arc_mm() == Approx(182.0).margin(0.05));
  CHECK(bends[1].arc_mm() == Approx(180.6).margin(0.05));
  CHECK(legs[0].station_to_mm == Approx(148.1).margin(0.05));
  CHECK(legs[1].station_from_mm == Approx(330.1).margin(0.05));
  CHECK(legs[1].station_to_mm == Approx(764.4).margin(0.05));
  CHECK(legs[2].station_from_mm == Approx(945.0).margin(0.05));
  CHECK(layout->length_mm == Approx(1145.0).margin(0.05));
}

TEST_CASE("Route of the poor demonstration job") {
  const auto layout = lay_out_route(route(
      {{-190, 415, 370}, {-60, 415, 405.7}, {-60, 170, 530}, {-60, -120, 530}, {-60, -250, 410}, {-250, -250, 410}},
      76.2));
  REQUIRE(layout);
  const double angles[] = {83.1, 26.9, 42.7, 90.0};
  const double set_backs[] = {67.6, 18.2, 29.8, 76.2};
  const double straights[] = {67.3, 188.9, 242.0, 70.9, 113.8};
  for (std::size_t i = 0; i < 4; ++i) {
    CHECK(to_degrees(layout->bends[i].angle) == Approx(angles[i]).margin(0.05));
    CHECK(layout->bends[i].set_back_mm == Approx(set_backs[i]).margin(0.05));
  }
  for (std::size_t i = 0; i < 5; ++i) CHECK(layout->legs[i].length_mm() == Approx(straights[i]).margin(0.05));
  CHECK(layout->length_mm == Approx(1005.7).margin(0.05));
}
