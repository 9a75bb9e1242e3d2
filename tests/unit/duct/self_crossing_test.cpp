#include "duct/self_crossing.hpp"

#include <random>

#include <catch2/catch.hpp>

#include "routes.hpp"

namespace baywright {
namespace {

using namespace duct;
using test::between;
using test::route;

Layout laid(const std::vector<Vec3>& points, double radius_mm, double outer_mm = 76.2) {
  auto layout = lay_out_route(route(points, radius_mm));
  REQUIRE(layout);
  layout->upstream_tube = {outer_mm, 1.65};
  return *layout;
}

TEST_CASE("a duct that goes on is not its own obstacle") {
  CHECK_FALSE(self_crossing(laid({{0, 0, 0}, {500, 0, 0}}, 0)));
  CHECK_FALSE(self_crossing(laid(test::worked_points(), 114.3)));
  // Back beside itself around a bend of the tube's own diameter: the two sides lie one diameter apart.
  CHECK_FALSE(self_crossing(laid({{0, 0, 0}, {500, 0, 0}, {500, 154, 0}, {0, 154, 0}}, 76.2)));
  CHECK_FALSE(self_crossing(laid({{0, 0, 0}, {500, 0, 0}, {500, 76.9, 0}, {0, 76.9, 0}}, 38.4)));
}

TEST_CASE("a loop that comes back through itself is found where it does") {
  // Down along y = 200 and back across the first leg at x = 250.
  const std::vector<Vec3> loop{{0, 0, 0}, {600, 0, 0}, {600, 300, 0}, {250, 300, 0}, {250, -400, 0}};
  const auto crossing = self_crossing(laid(loop, 80));
  REQUIRE(crossing);
  CHECK(crossing->distance_mm == Approx(0).margin(1e-9));
  CHECK(crossing->needed_mm == Approx(76.2));
  CHECK(crossing->station_from_mm <= 250);
  CHECK(crossing->station_from_mm >= 250 - 50);
  // Lifted over itself by 76 it still touches, by 77 it does not.
  const auto lifted = [&](double z) {
    return std::vector<Vec3>{{0, 0, 0}, {600, 0, 0}, {600, 300, z}, {250, 300, z}, {250, -400, z}};
  };
  CHECK(self_crossing(laid(lifted(76), 80)));
  CHECK_FALSE(self_crossing(laid(lifted(77), 80)));
}

TEST_CASE("an end that stops before its own side is no crossing, one that runs into it is") {
  const auto towards = [](double y) {
    return std::vector<Vec3>{{0, 0, 0}, {600, 0, 0}, {600, 300, 0}, {250, 300, 0}, {250, y, 0}};
  };
  CHECK_FALSE(self_crossing(laid(towards(39), 80)));  // the flat end is 0.9 from the tube's side
  CHECK(self_crossing(laid(towards(-20), 80)));
}

TEST_CASE("laying out refuses a duct through itself, with both stations") {
  test::Installation made = between(route({{0, 0, 0}, {600, 0, 0}, {600, 300, 0}, {250, 300, 0}, {250, -400, 0}}, 80));
  const auto layout = lay_out(made.spec, made.bay);
  REQUIRE_FALSE(layout);
  CHECK(layout.error().size() == 1);
  CHECK(layout.error()[0].message.find("passes through itself") != std::string::npos);
}

TEST_CASE("what is called a crossing is one: a point on one part lies within the other, seeded") {
  std::mt19937 random(5);
  std::uniform_real_distribution<double> at(-400, 400);
  int found = 0;
  for (int i = 0; i < 400; ++i) {
    std::vector<Vec3> points;
    for (int k = 0; k < 6; ++k) points.emplace_back(at(random), at(random), 0.3 * at(random));
    const auto layout = lay_out_route(route(points, 40));
    if (!layout) continue;
    Layout tube = *layout;
    tube.upstream_tube = {50, 2};
    const auto crossing = self_crossing(tube);
    // Every pair of stations 2 mm apart along the centerline.
    double least = 1e9;
    for (double s = 25; s <= tube.length_mm - 25; s += 2) {
      for (double t = s + 0.5 * M_PI * 50 + 52; t <= tube.length_mm - 25; t += 2) {
        least = std::min(least, (tube.at(s).p_mm - tube.at(t).p_mm).norm());
      }
    }
    if (crossing) ++found;
    if (crossing) CHECK(crossing->distance_mm < 50);
    if (least < 50 - 2) CHECK(crossing);
  }
  CHECK(found > 20);
}

}  // namespace
}  // namespace baywright
