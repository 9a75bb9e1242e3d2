#include "access/sweep.hpp"

#include <algorithm>
#include <numbers>
#include <vector>

#include <catch2/catch.hpp>

#include "geometry/clearance/standing.hpp"
#include "tests/support/case_count.hpp"
#include "tests/unit/clearance/scenes.hpp"

namespace baywright::access {
namespace {

using test::Random;

/// One of each kind of a duct's solids, somewhere within 150 mm of the origin.
std::vector<Shape> shapes(Random& random) {
  const auto place = [&] { return Vec3(random.in(-150, 150), random.in(-150, 150), random.in(-150, 150)); };
  const Vec3 axis = random.unit(), toward = axis.unitOrthogonal();
  const Vec3 a = place(), b = place(), c = place();
  return {Cylinder{a, a + random.in(0, 120) * random.unit(), random.in(3, 30)},
          Collar{b, b + random.in(1, 120) * random.unit(), random.in(3, 30)},
          Cone{c, c + random.in(5, 80) * random.unit(), random.in(3, 20), random.in(3, 40)},
          TorusSegment{place(), axis, toward, random.in(40, 120), random.in(3, 30),
                       random.in(0.2, 0.9 * std::numbers::pi)}};
}

double brute_mm(const Shape& shape, const TriMesh& mesh) {
  double least = 1e9;
  for (const auto& t : mesh.triangles) {
    least = std::min(least,
                     distance_to_triangle(shape, mesh.vertex(t[0]), mesh.vertex(t[1]), mesh.vertex(t[2])).distance_mm);
  }
  return least;
}

}  // namespace

TEST_CASE("the nearest triangle to each kind of solid is that of trying every one", "[sweep]") {
  Random random(401);
  const long cases = test::case_count(60);
  for (long i = 0; i < cases; ++i) {
    const TriMesh mesh = test::strewn(random, 40, 190, 25);
    const TriTree tree = TriTree::over(mesh);
    for (const Shape& shape : shapes(random)) {
      CAPTURE(i, shape.index());
      const double brute = brute_mm(shape, mesh);
      const auto found = nearest_to_shape(tree, shape, 1000);
      REQUIRE(found);
      CHECK(found->distance_mm == Approx(brute).margin(0.01));
      // A limit that the distance passes finds nothing.
      CHECK_FALSE(nearest_to_shape(tree, shape, brute - 0.02));
    }
  }
}

TEST_CASE("a move that is called free is so at every place, and one that ends in a part is not", "[sweep]") {
  Random random(402);
  const long cases = test::case_count(60);
  int free = 0, stopped = 0;
  for (long i = 0; i < cases; ++i) {
    const TriMesh mesh = test::strewn(random, 12, 190, 20);
    const std::vector<InWay> in_way = {{TriTree::over(mesh), Pose(), 1.5, 7}};
    const std::vector<Shape> all = shapes(random);
    for (const Shape& shape : all) {
      for (const bool turns : {false, true}) {
        CAPTURE(i, shape.index(), turns);
        const WayMove move{turns, random.unit(), Vec3(random.in(-100, 100), 0, random.in(-100, 100)),
                           turns ? random.in(0.1, 1) : random.in(10, 200)};
        const auto by = hindered({&shape, 1}, Pose(), move, in_way);
        double least = 1e9;
        for (int k = 0; k <= 60; ++k) least = std::min(least, brute_mm(moved(shape, move.at(k / 60.0)), mesh));
        if (!by) {
          ++free;
          CHECK(least > 1.5 - 0.02);
        } else {
          ++stopped;
          CHECK(*by == 7);
        }
        // With half a millimetre to spare at places at most 5 mm apart there is no reason to stop.
        if (!turns && least > 1.5 + 6) CHECK_FALSE(by);
      }
    }
  }
  CHECK(free > cases / 2);
  CHECK(stopped > cases / 2);
}

TEST_CASE("a move of no length is free where there is room and not where there is none", "[sweep]") {
  const TriMesh mesh = test::strewn(*std::make_unique<Random>(403), 1, 1, 20);
  const std::vector<InWay> in_way = {{TriTree::over(mesh), Pose(), 1, 3}};
  const Shape far = Cylinder{Vec3(300, 0, 0), Vec3(350, 0, 0), 20}, near = Cylinder{Vec3(0, 0, 0), Vec3(1, 0, 0), 60};
  CHECK_FALSE(hindered({&far, 1}, Pose(), WayMove(), in_way));
  CHECK(hindered({&near, 1}, Pose(), WayMove(), in_way) == 3);
}

}  // namespace baywright::access
