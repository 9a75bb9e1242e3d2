#include "geometry/clearance/standing.hpp"

#include <catch2/catch.hpp>

#include "scenes.hpp"

namespace baywright {
namespace {

using test::Random;

double point_to_box(const Box& box, const Vec3& p) {
  const Vec3 q = box.axes.transpose() * (p - box.center);
  return (q - q.cwiseMin(box.half_mm).cwiseMax(-box.half_mm)).norm();
}

/// Least value of a convex function on 0..1.
template <class F>
double least(const F& f) {
  double lo = 0, hi = 1;
  for (int i = 0; i < 90; ++i) {
    const double a = lo + (hi - lo) / 3, b = hi - (hi - lo) / 3;
    (f(a) <= f(b) ? hi : lo) = f(a) <= f(b) ? b : a;
  }
  return f(0.5 * (lo + hi));
}

/// Distance from a box is convex, so its minimum over a triangle is found by halving along two directions.
double by_search(const Box& box, const Corners3& v) {
  return least([&](double s) {
    const Vec3 from = v[0] + s * (v[1] - v[0]), to = v[0] + s * (v[2] - v[0]);
    return least([&](double t) { return point_to_box(box, from + t * (to - from)); });
  });
}

Box random_box(Random& random) {
  const Pose X = random.pose(30);
  return {X.p, X.R.toRotationMatrix(), {random.in(0, 20), random.in(0, 50), random.in(5, 40)}};
}

TEST_CASE("a box against a triangle: closed forms") {
  const Box box{{0, 0, 0}, Eigen::Matrix3d::Identity(), {10, 20, 30}};
  const auto d = [&](const Vec3& a, const Vec3& b, const Vec3& c) {
    return box_to_triangle(box, {a, b, c}).distance_mm;
  };
  CHECK(d({13, 24, 0}, {13, 24, 0}, {13, 24, 0}) == Approx(5));      // a point beside an edge
  CHECK(d({13, 24, 42}, {13, 24, 42}, {99, 99, 99}) == Approx(13));  // beside a corner: 3, 4, 12
  CHECK(d({-500, -500, 33}, {500, -500, 33}, {0, 900, 33}) == Approx(3));
  CHECK(d({-500, -500, 29}, {500, -500, 29}, {0, 900, 29}) == 0);  // cuts through
  CHECK(d({-99, 0, 0}, {99, 0.1, 0}, {99, -0.1, 0.1}) == 0);       // a needle through two faces, no edge met
  CHECK(d({1, 1, 1}, {2, 1, 1}, {1, 2, 1}) == 0);                  // wholly inside
  // Edge against edge: the line (10 + s, 20 - s + 6, 0)... stays 6 / sqrt 2 from the edge x = 10, y = 20.
  CHECK(d({-90, 126, 0}, {110, -74, 0}, {110, 200, 0}) == Approx(6 / std::sqrt(2)));
}

TEST_CASE("a box against random triangles agrees with a search over the triangle") {
  Random random(11);
  for (int i = 0; i < 3000; ++i) {
    const Box box = random_box(random);
    const double size = random.chance(0.2) ? 300 : 40;
    const Vec3 a = random.point(80);
    Corners3 v = {a, a + random.point(size), a + random.point(size)};
    if (random.chance(0.05)) v[2] = v[1];
    const Contact c = box_to_triangle(box, v);
    const double truth = by_search(box, v);
    INFO("case " << i);
    REQUIRE(c.distance_mm == Approx(truth).margin(1e-6));
    REQUIRE((c.on_shape - c.on_triangle).norm() == Approx(c.distance_mm).margin(1e-9));
    REQUIRE(point_to_box(box, c.on_shape) < 1e-9);
    REQUIRE((nearest_on_triangle(c.on_triangle, v) - c.on_triangle).norm() < 1e-6);
    const double enough = random.in(0, 60);
    const double bounded = box_to_triangle(box, v, enough).distance_mm;
    REQUIRE((truth < enough ? bounded == Approx(truth).margin(1e-6) : bounded >= enough - 1e-9));
  }
}

TEST_CASE("standing solids against a tree agree with every triangle looked at") {
  Random random(12);
  for (int scene = 0; scene < 20; ++scene) {
    TriMesh mesh = test::strewn(random, 200, 150, 12);
    mesh.origin_mm = random.point(2000);
    const TriTree tree = TriTree::over(mesh);
    for (int i = 0; i < 60; ++i) {
      Box box = random_box(random);
      box.center += mesh.origin_mm + random.point(120);
      const Vec3 a = mesh.origin_mm + random.point(150), b = a + 60 * random.unit();
      const double r = random.in(2, 40);
      const StandingShape shapes[] = {box, Cylinder{a, b, r}, Collar{a, b, r}};
      const StandingShape& shape = shapes[i % 3];
      double truth = std::numeric_limits<double>::infinity();
      for (std::uint32_t t = 0; t < mesh.triangles.size(); ++t) {
        const auto c = tree.corners(t);
        const Corners3 v = {c.v0, c.v1, c.v2};
        if (const auto* s = std::get_if<Box>(&shape)) truth = std::min(truth, box_to_triangle(*s, v).distance_mm);
        if (const auto* s = std::get_if<Cylinder>(&shape))
          truth = std::min(truth, distance_to_triangle(*s, v[0], v[1], v[2]).distance_mm);
        if (const auto* s = std::get_if<Collar>(&shape))
          truth = std::min(truth, distance_to_triangle(*s, v[0], v[1], v[2]).distance_mm);
      }
      const double limit = random.in(1, 80);
      const auto found = nearest(tree, shape, limit);
      INFO("scene " << scene << " query " << i);
      if (truth < limit - 1e-5) {
        REQUIRE(found);
        REQUIRE(found->distance_mm == Approx(truth).margin(1e-5));
      } else if (truth > limit + 1e-5) {
        REQUIRE_FALSE(found);
      }
    }
  }
  CHECK_FALSE(nearest(TriTree(), Box{}, 100));
}

}  // namespace
}  // namespace baywright
