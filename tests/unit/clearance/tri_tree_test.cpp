#include "geometry/clearance/tri_tree.hpp"

#include <limits>

#include <catch2/catch.hpp>

#include "geometry/triangle_kernels.hpp"
#include "scenes.hpp"

namespace baywright {
namespace {

using test::Random;

double brute_nearest(const TriMesh& mesh, const Vec3& p) {
  double best = std::numeric_limits<double>::infinity();
  for (const auto& t : mesh.triangles) {
    const Vec3 q = nearest_on_triangle(p, {mesh.vertex(t[0]), mesh.vertex(t[1]), mesh.vertex(t[2])});
    best = std::min(best, (q - p).norm());
  }
  return best;
}

TEST_CASE("an empty tree answers nothing") {
  const TriTree tree;
  CHECK(tree.empty());
  CHECK(tree.bounds().empty());
  CHECK_FALSE(tree.first_hit(Vec3::Zero(), Vec3::UnitX()));
  CHECK_FALSE(tree.nearest(Vec3::Zero()));
  CHECK(tree.winding_number(Vec3::Zero()) == 0);
  CHECK(TriTree::over(TriMesh{}).empty());
}

TEST_CASE("corners that are not numbers or far outside are dropped and counted, degenerate triangles are kept", "[tree]") {
  TriMesh mesh;
  test::add_triangle(mesh, {std::nan(""), 0, 0}, {1, 0, 0}, {0, 1, 0});
  test::add_triangle(mesh, {2e6, 0, 0}, {1, 0, 0}, {0, 1, 0});
  test::add_triangle(mesh, {5, 5, 5}, {5, 5, 5}, {5, 5, 5});
  test::add_triangle(mesh, {0, 0, 9}, {4, 0, 9}, {2, 0, 9});
  const TriTree tree = TriTree::over(mesh);
  CHECK(tree.triangle_count() == 2);
  CHECK(tree.dropped_count() == 2);
  const auto point = tree.nearest({5, 5, 6});
  REQUIRE(point);
  CHECK(point->triangle == 2);
  CHECK(point->distance_mm == 1);
  const auto segment = tree.nearest({3, 1, 9});
  REQUIRE(segment);
  CHECK(segment->triangle == 3);
  CHECK(segment->distance_mm == 1);
}

TEST_CASE("nearest agrees with trying every triangle, far origins and slivers included", "[tree]") {
  for (unsigned seed = 1; seed <= 6; ++seed) {
    Random random(seed);
    TriMesh mesh = test::strewn(random, seed == 1 ? 3 : 2000, 300, 8);
    mesh.origin_mm = seed % 2 ? Vec3(0, 0, 0) : Vec3(4.5e8, -5.4e9, 120);
    const TriTree tree = TriTree::over(mesh);
    double worst = 0;
    for (int i = 0; i < 300; ++i) {
      const Vec3 p = mesh.origin_mm + random.point(400);
      const auto found = tree.nearest(p);
      REQUIRE(found);
      worst = std::max(worst, std::abs(found->distance_mm - brute_nearest(mesh, p)));
      const auto c = tree.corners(found->triangle);
      REQUIRE((nearest_on_triangle(p, {c.v0, c.v1, c.v2}) - p).norm() == Approx(found->distance_mm).margin(2e-6));
      if (const auto within = tree.nearest(p, 0.5 * found->distance_mm)) FAIL("nearer than the nearest");
    }
    CHECK(worst < (seed % 2 ? 1e-9 : 2e-6));  // at 5e9 mm a double itself has steps of 1e-6 mm
  }
}

TEST_CASE("no ray slips between triangles that share an edge") {
  const TriMesh mesh = test::ball(Vec3(3, -2, 1), 50, 24);
  const TriTree tree = TriTree::over(mesh);
  Random random(7);
  for (int i = 0; i < 20000; ++i) {
    const Vec3 from = Vec3(3, -2, 1) + random.point(5);
    Vec3 to = random.unit();
    if (i % 2) {  // aimed exactly at vertices and edge midpoints
      const auto& t = mesh.triangles[static_cast<std::size_t>(random.below(static_cast<int>(mesh.triangles.size())))];
      to = (mesh.vertex(t[0]) + (i % 4 == 1 ? mesh.vertex(t[0]) : mesh.vertex(t[1])) - 2 * from).normalized();
    }
    const auto hit = tree.first_hit(from, to);
    REQUIRE(hit);
    const Vec3 at = from + hit->distance_mm * to;
    REQUIRE((at - Vec3(3, -2, 1)).norm() < 50.0001);
    REQUIRE((at - Vec3(3, -2, 1)).norm() > 50 * std::cos(M_PI / 24) - 0.01);
    REQUIRE_FALSE(tree.first_hit(from, to, 0.999 * hit->distance_mm));
  }
}

TEST_CASE("rays along the axes and on the faces of boxes hit") {
  TriMesh mesh;
  test::add_triangle(mesh, {0, 0, 0}, {10, 0, 0}, {0, 10, 0});
  test::add_triangle(mesh, {10, 10, 0}, {10, 0, 0}, {0, 10, 0});
  const TriTree tree = TriTree::over(mesh);
  for (const double x : {0.0, 5.0, 10.0}) {
    for (const double y : {0.0, 5.0, 10.0}) {
      const auto hit = tree.first_hit({x, y, 7}, -Vec3::UnitZ());
      REQUIRE(hit);
      CHECK(hit->distance_mm == Approx(7));
    }
  }
  CHECK_FALSE(tree.first_hit({5, 5, 7}, Vec3::UnitZ()));
  CHECK_FALSE(tree.first_hit({10.001, 5, 7}, -Vec3::UnitZ()));
}

TEST_CASE("winding number tells inside from outside") {
  const TriTree tree = TriTree::over(test::ball(Vec3(100, 0, 0), 20, 16));
  CHECK(tree.winding_number({100, 0, 0}) == Approx(1).margin(1e-6));
  CHECK(tree.winding_number({110, 3, 3}) == Approx(1).margin(1e-6));
  CHECK(tree.winding_number({121, 0, 0}) == Approx(0).margin(1e-6));
  // Large enough for far groups, with long triangles that the tree refers to in several places.
  TriMesh fine = test::ball(Vec3(0, 0, 0), 300, 90);
  const TriMesh coarse = test::ball(Vec3(0, 0, 0), 400, 6);
  const TriTree nested = TriTree::over(fine), large = TriTree::over(coarse);
  Random random(8);
  for (int i = 0; i < 500; ++i) {
    const Vec3 p = random.unit() * random.in(0, 700);
    if (std::abs(p.norm() - 300) > 2) CHECK(nested.winding_number(p) == Approx(p.norm() < 300).margin(0.01));
    if (p.norm() < 400 * std::cos(M_PI / 6) - 1) CHECK(large.winding_number(p) == Approx(1).margin(0.01));
    if (p.norm() > 400) CHECK(large.winding_number(p) == Approx(0).margin(0.01));
  }
}

TEST_CASE("points of a cloud are balls", "[tree]") {
  PointCloud cloud;
  cloud.points = {{0, 0, 0}, {10, 0, 0}, {std::numeric_limits<float>::infinity(), 0, 0}};
  const TriTree tree = TriTree::over(cloud, {1.0f, 2.0f, 1.0f});
  CHECK(tree.triangle_count() == 2);
  CHECK(tree.dropped_count() == 1);
  CHECK(tree.nearest({5, 0, 0})->triangle == 1);
  CHECK(tree.nearest({5, 0, 0})->distance_mm == Approx(3));
  CHECK(tree.nearest({0.5, 0, 0})->distance_mm == 0);
  CHECK(tree.corners(1).radius_mm == 2);
  const auto hit = tree.first_hit({0, 0, -5}, Vec3::UnitZ());
  REQUIRE(hit);
  CHECK(hit->distance_mm == Approx(4));
}

}  // namespace
}  // namespace baywright
