#include "geometry/primitive.hpp"

#include <catch2/catch.hpp>

#include "geometry/triangle_kernels.hpp"
#include "shapes.hpp"

namespace baywright {
namespace {

using test::Random;

struct Corner3 {
  Vec3 v0, v1, v2;
};

/// Checks everything a contact promises about itself.
void check_contact(const Shape& shape, const Corner3& t, const Contact& c) {
  REQUIRE(std::abs(signed_distance(shape, c.on_triangle) - c.distance_mm) < (shape.index() == 1 ? 2e-6 : 1e-8));
  // A bend tighter than its own radius runs through itself: the foot may lie inside another part of it.
  const auto* bend = std::get_if<TorusSegment>(&shape);
  const bool overlaps = bend && bend->bend_radius_mm <= bend->radius_mm;
  REQUIRE(signed_distance(shape, c.on_shape) < 1e-6);
  if (!overlaps) REQUIRE(signed_distance(shape, c.on_shape) > -1e-6);
  REQUIRE(std::abs((c.on_shape - c.on_triangle).norm() - std::abs(c.distance_mm)) < 1e-6);
  REQUIRE((nearest_on_triangle(c.on_triangle, {t.v0, t.v1, t.v2}) - c.on_triangle).norm() < 1e-6);
}

TEST_CASE("triangles that are points or segments") {
  const Vec3 o = Vec3::Zero();
  const Shape tube = Cylinder{{-50, 0, 0}, {50, 0, 0}, 10};
  const Vec3 p(3, 25, 0), far(3, 60, 0);
  CHECK(distance_to_triangle(tube, p, p, p).distance_mm == Approx(15).margin(1e-9));
  CHECK(distance_to_triangle(tube, far, p, far).distance_mm == Approx(15).margin(1e-9));
  CHECK(distance_to_triangle(tube, o, o, o).distance_mm == Approx(-10).margin(1e-9));
  CHECK(distance_to_triangle(Cylinder{o, o, 4}, p, p, far).distance_mm == Approx(std::hypot(3, 25) - 4).margin(1e-9));
  const Shape collar = Collar{{-5, 0, 0}, {5, 0, 0}, 10};
  CHECK(distance_to_triangle(collar, p, p, p).distance_mm == Approx(15).margin(1e-6));
  CHECK(distance_to_triangle(collar, o, o, o).distance_mm == Approx(-5).margin(1e-6));
}

TEST_CASE("closed forms outside, touching and inside") {
  const auto plane = [](double z) { return Corner3{{-1000, -1000, z}, {1000, -1000, z}, {0, 2000, z}}; };
  const Shape tube = Cylinder{{-50, 0, 0}, {50, 0, 0}, 10};
  const Shape slanted = Cylinder{{-50, 0, 0}, {50, 0, 30}, 10};
  const Shape bend = TorusSegment{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, 90, M_PI / 2, 38};
  const Shape upright = TorusSegment{{0, 0, 0}, {1, 0, 0}, {0, 0, 1}, 90, M_PI, 38};
  const Shape bead = Collar{{0, 0, 0}, {0, 0, 12}, 43};
  const Shape lying = Collar{{0, 0, 0}, {12, 0, 0}, 43};
  const Shape reducer = Cone{{0, 0, 0}, {0, 0, 80}, 38, 30};
  for (const double z : {-200.0, -75.0, 60.0, 100.0, 128.0, 140.0, 1e4}) {
    const auto t = plane(z);
    const auto d = [&](const Shape& s) { return distance_to_triangle(s, t.v0, t.v1, t.v2).distance_mm; };
    INFO("plane at " << z);
    CHECK(d(tube) == Approx(std::abs(z) - 10).margin(1e-5));
    CHECK(d(slanted) == Approx((z > 30 ? z - 30 : z < 0 ? -z : 0) - 10).margin(1e-5));
    CHECK(d(bend) == Approx(std::abs(z) - 38).margin(1e-5));
    CHECK(d(upright) == Approx((z > 90 ? z - 90 : z < 0 ? -z : 0) - 38).margin(1e-5));
    CHECK(d(bead) == Approx(z > 12 ? z - 12 : -z).margin(1e-5));
    CHECK(d(lying) == Approx(std::abs(z) - 43).margin(1e-5));
    if (z < 0 || z > 80) CHECK(d(reducer) == Approx(z > 80 ? z - 80 : -z).margin(1e-5));
  }
  const auto through = plane(3);
  CHECK(distance_to_triangle(bead, through.v0, through.v1, through.v2).distance_mm == Approx(-3).margin(1e-5));
  CHECK(distance_to_triangle(lying, through.v0, through.v1, through.v2).distance_mm == Approx(-6).margin(1e-5));
  CHECK(distance_to_triangle(tube, through.v0, through.v1, through.v2).distance_mm == Approx(-7).margin(1e-5));
  CHECK(distance_to_triangle(bend, through.v0, through.v1, through.v2).distance_mm == Approx(-35).margin(1e-5));
  // Tangent planes touch: distance 0 to a plane beside the reducer, parallel to its side.
  const double slope = std::atan2(8.0, 80.0);
  const Vec3 n(std::cos(slope), 0, std::sin(slope)), foot = Vec3(34, 0, 40) + 2.5 * n;
  const Vec3 u(0, 1, 0), w = n.cross(u);
  CHECK(distance_to_triangle(reducer, foot - 300 * u - 300 * w, foot + 300 * u - 300 * w, foot + 300 * w).distance_mm ==
        Approx(2.5).margin(1e-5));
  // Flat ends do not bulge: a wall across the axis 1 mm behind the bead's face, and a corner beyond its rim.
  CHECK(distance_to_triangle(bead, {0, 0, 13}, {1, 0, 13}, {0, 1, 13}).distance_mm == Approx(1).margin(1e-5));
  CHECK(distance_to_triangle(bead, {46, 0, 16}, {60, 0, 16}, {46, 0, 30}).distance_mm == Approx(5).margin(1e-5));
}

TEST_CASE("an arc equally far from a whole edge, and an edge through its centre") {
  const Shape ring = TorusSegment{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, 90, M_PI, 5};
  const Vec3 a(0, 0, -20), b(0, 0, 40);
  CHECK(distance_to_triangle(ring, a, b, b).distance_mm == Approx(85).margin(1e-5));
  CHECK(distance_to_triangle(ring, {-300, -1, 0}, {300, -1, 0}, {0, -50, 0}).distance_mm ==
        Approx(1 - 5).margin(1e-5));  // below both ends
  CHECK(distance_to_triangle(ring, {85, 0, 0}, {85, 90, 0}, {85, 90, 0}).distance_mm == Approx(-5).margin(1e-5));
}

TEST_CASE("every kernel finds the minimum over random triangles, near, touching and inside") {
  double worst[4] = {};  // the sample is never below the minimum, and the contact is attained: that is all it takes
  int inside = 0;
  for (int kind = 0; kind < 4; ++kind) {
    Random random(100u + static_cast<unsigned>(kind));
    for (int i = 0; i < 2500; ++i) {
      const Shape shape = test::random_shape(random, kind, 80);
      const Aabb box = bounds(shape);
      const double size = random.chance(0.5) ? 15 : 300;
      Vec3 v0 = box.center() + random.point(0.7 * box.size().maxCoeff());
      Vec3 v1 = v0 + random.point(size), v2 = v0 + random.point(size);
      if (random.chance(0.1)) v2 = 0.5 * (v0 + v1) + random.point(1e-3);
      if (random.chance(0.05)) v2 = v1;
      const Contact c = distance_to_triangle(shape, v0, v1, v2);
      check_contact(shape, {v0, v1, v2}, c);
      const double sample = test::sampled_minimum(shape, v0, v1, v2).value;
      worst[kind] = std::max(worst[kind], c.distance_mm - sample);
      inside += c.distance_mm < 0;
    }
  }
  for (const double w : worst) CHECK(w < 1e-5);
  CHECK(inside > 500);
}

TEST_CASE("tessellations are inscribed within their stated error, and bounds hold") {
  Random random(11);
  for (int i = 0; i < 40; ++i) {
    Shape shape = test::random_shape(random, i, 60);
    if (auto* bend = std::get_if<TorusSegment>(&shape)) bend->bend_radius_mm += bend->radius_mm;  // no self-overlap
    const double error = i % 3 ? 0.1 : 0.02;
    const TriMesh mesh = surface_mesh(shape, error);
    CHECK(mesh.chord_error_mm < error + 1e-4);
    const Aabb box = bounds(shape).inflated(1e-4);
    for (std::uint32_t v = 0; v < mesh.vertices.size(); ++v) {
      REQUIRE(std::abs(signed_distance(shape, mesh.vertex(v))) < 2e-5);
      REQUIRE((mesh.vertex(v).array() >= box.lo.array()).all());
      REQUIRE((mesh.vertex(v).array() <= box.hi.array()).all());
    }
    for (std::size_t k = 0; k < mesh.triangles.size(); k += 1 + mesh.triangles.size() / 500) {
      const auto& t = mesh.triangles[k];
      const Vec3 middle = (mesh.vertex(t[0]) + mesh.vertex(t[1]) + mesh.vertex(t[2])) / 3;
      const double d = signed_distance(shape, middle);
      REQUIRE(d < 2e-5);
      REQUIRE(d > -mesh.chord_error_mm);
    }
  }
}

TEST_CASE("moving shape and triangle together changes nothing") {
  Random random(12);
  for (int i = 0; i < 400; ++i) {
    const Shape shape = test::random_shape(random, i, 80);
    const Pose X = random.pose(500);
    const Vec3 v0 = random.point(150), v1 = random.point(150), v2 = random.point(150);
    const double here = distance_to_triangle(shape, v0, v1, v2).distance_mm;
    const double there = distance_to_triangle(moved(shape, X), X * v0, X * v1, X * v2).distance_mm;
    REQUIRE(std::abs(here - there) < 5e-6);
  }
}

}  // namespace
}  // namespace baywright
