#include "geometry/tube_solid.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "geometry/files/step_file.hpp"

using namespace baywright;

namespace {

double ring_area(double r, double wall) {
  return wall > 0 ? std::numbers::pi * (r * r - (r - wall) * (r - wall)) : std::numbers::pi * r * r;
}

/// Straight 100, bend 90 degrees at 115, straight 50: the usual intake tube, 76.2 x 1.65.
std::vector<Shape> elbow(double r = 38.1) {
  TorusSegment bend;
  bend.center = {100, 115, 0};
  bend.e0 = {0, -1, 0};
  bend.e1 = {1, 0, 0};
  bend.bend_radius_mm = 115;
  bend.angle_rad = std::numbers::pi / 2;
  bend.radius_mm = r;
  return {Cylinder{{0, 0, 0}, {100, 0, 0}, r}, bend, Cylinder{{215, 115, 0}, {215, 165, 0}, r}};
}

double cone_volume(double ra, double rb, double length) {
  return std::numbers::pi * length / 3 * (ra * ra + ra * rb + rb * rb);
}

}  // namespace

TEST_CASE("a run without length, a wall without bore, a gap and a kink are refused") {
  CHECK_FALSE(tube_solid({}, 1.0));
  CHECK_FALSE(tube_solid({Cylinder{{0, 0, 0}, {0, 0, 0}, 10}}, 1.0));
  CHECK_FALSE(tube_solid({Cylinder{{0, 0, 0}, {50, 0, 0}, 10}}, 10.0));
  const auto gap = tube_solid({Cylinder{{0, 0, 0}, {50, 0, 0}, 10}, Cylinder{{50.001, 0, 0}, {90, 0, 0}, 10}}, 1.0);
  REQUIRE_FALSE(gap);
  CHECK(gap.error().code == ErrorCode::bad_value);
  CHECK_FALSE(tube_solid({Cylinder{{0, 0, 0}, {50, 0, 0}, 10}, Cylinder{{50, 0, 0}, {90, 1, 0}, 10}}, 1.0));
  std::vector<Shape> tight = elbow();
  std::get<TorusSegment>(tight[1]).bend_radius_mm = 38;
  std::get<TorusSegment>(tight[1]).center = {100, 38, 0};
  CHECK_FALSE(tube_solid(tight, 1.65));
}

TEST_CASE("volume of an elbow follows Pappus, hollow and filled") {
  for (const double wall : {0.0, 1.65}) {
    const auto solid = tube_solid(elbow(), wall);
    REQUIRE(solid);
    CHECK(solid->solid_count() == 1);
    CHECK(solid->face_count() == (wall > 0 ? 8 : 5));
    const double length = 100 + 115 * std::numbers::pi / 2 + 50;
    CHECK(solid->volume_mm3() == Approx(ring_area(38.1, wall) * length).epsilon(1e-9));
  }
}

TEST_CASE("collars and cones step the wall") {
  const std::vector<Shape> run{Collar{{0, 0, 0}, {0, 0, 12}, 40}, Cylinder{{0, 0, 12}, {0, 0, 60}, 38},
                               Cone{{0, 0, 60}, {0, 0, 100}, 38, 30}, Collar{{0, 0, 100}, {0, 0, 110}, 30}};
  const auto solid = tube_solid(run, 2);
  REQUIRE(solid);
  CHECK(solid->solid_count() == 1);
  // Outside less bore; the bore narrows from 38 to 36 two millimetres before the step outside.
  const double outside = std::numbers::pi * (40 * 40 * 12 + 38 * 38 * 48 + 30 * 30 * 10) + cone_volume(38, 30, 40);
  const double bore = std::numbers::pi * (38 * 38 * 10 + 36 * 36 * 50 + 28 * 28 * 10) + cone_volume(36, 28, 40);
  const double expected = outside - bore;
  CHECK(solid->volume_mm3() == Approx(expected).epsilon(1e-9));
  const Aabb box = solid->bounds();
  CHECK(box.lo.x() == Approx(-40).margin(1e-6));
  CHECK(box.hi.z() == Approx(110).margin(1e-6));
}

TEST_CASE("bends in different planes keep the seam together") {
  // 90 degrees in xy, then 60 degrees out of the plane, then a straight.
  std::vector<Shape> run = elbow(25);
  const double R = 60, t = std::numbers::pi / 3;
  TorusSegment bend;
  bend.e0 = Vec3(std::sqrt(0.5), 0, -std::sqrt(0.5));
  bend.e1 = {0, 1, 0};
  bend.bend_radius_mm = R;
  bend.angle_rad = t;
  bend.radius_mm = 25;
  bend.center = Vec3(215, 165, 0) - R * bend.e0;
  run.push_back(bend);
  const Vec3 end = bend.axis_point(t);
  const Vec3 along = -std::sin(t) * bend.e0 + std::cos(t) * bend.e1;
  run.push_back(Cylinder{end, end + 30 * along, 25});
  const auto solid = tube_solid(run, 1.5);
  REQUIRE(solid);
  const double length = 100 + 115 * std::numbers::pi / 2 + 50 + R * t + 30;
  CHECK(solid->volume_mm3() == Approx(ring_area(25, 1.5) * length).epsilon(1e-9));
  // Tessellated, it is closed.
  const auto mesh = tessellate(*solid, 0.1);
  REQUIRE(mesh);
  CHECK(mesh->chord_error_mm <= 0.1);
  CHECK(count_mesh(*mesh).boundary_edges == 0);
}

TEST_CASE("exact distance is taken to the surface, also from inside") {
  const auto solid = tube_solid(elbow(), 1.65);
  REQUIRE(solid);
  const auto outside = exact_distance_mm(*solid, Vec3(50, 0, 60));
  REQUIRE(outside);
  CHECK(*outside == Approx(60 - 38.1).margin(1e-7));
  const auto in_the_bore = exact_distance_mm(*solid, Vec3(50, 0, 0));
  REQUIRE(in_the_bore);
  CHECK(*in_the_bore == Approx(38.1 - 1.65).margin(1e-7));
  const auto in_the_wall = exact_distance_mm(*solid, Vec3(50, 0, 37));
  REQUIRE(in_the_wall);
  CHECK(*in_the_wall == Approx(37 - 36.45).margin(1e-7));
  const auto other = tube_solid({Cylinder{{50, -20, 100}, {50, 20, 100}, 10}}, 0);
  REQUIRE(other);
  const auto between = exact_distance_mm(*solid, *other);
  REQUIRE(between);
  CHECK(*between == Approx(100 - 10 - 38.1).margin(1e-6));
}
