#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/AABB_triangle_primitive.h>
#include <CGAL/Simple_cartesian.h>

#include <catch2/catch.hpp>

#include "geometry/clearance/clearance.hpp"
#include "geometry/clearance/tri_tree.hpp"
#include "geometry/triangle_kernels.hpp"
#include "scenes.hpp"

namespace baywright {
namespace {

using test::Random;
using Kernel = CGAL::Simple_cartesian<double>;
using Soup = std::vector<Kernel::Triangle_3>;
using OtherPrimitive = CGAL::AABB_triangle_primitive<Kernel, Soup::const_iterator>;
using OtherTree = CGAL::AABB_tree<CGAL::AABB_traits<Kernel, OtherPrimitive>>;

Kernel::Point_3 other(const Vec3& v) { return {v.x(), v.y(), v.z()}; }

/// The library takes triangles with area only.
Soup soup_of(const TriMesh& mesh) {
  Soup soup;
  for (const auto& t : mesh.triangles) {
    const Vec3 a = mesh.vertex(t[0]), b = mesh.vertex(t[1]), c = mesh.vertex(t[2]);
    if ((b - a).cross(c - a).norm() > 0) soup.emplace_back(other(a), other(b), other(c));
  }
  return soup;
}

TriMesh with_area_only(TriMesh mesh) {
  std::erase_if(mesh.triangles, [&](const auto& t) {
    const Vec3 a = mesh.vertex(t[0]), b = mesh.vertex(t[1]), c = mesh.vertex(t[2]);
    return (b - a).cross(c - a).norm() == 0;
  });
  return mesh;
}

TEST_CASE("nearest points agree with a second library, whatever the triangles look like", "[tree]") {
  double worst = 0;
  int asked = 0;
  for (unsigned seed = 1; seed <= 8; ++seed) {
    Random random(seed);
    const TriMesh mesh = with_area_only(seed % 2 ? test::strewn(random, 20000, 300, 6)
                                                 : test::ball(random.point(50), random.in(40, 200), 60));
    const TriTree tree = TriTree::over(mesh);
    const Soup soup = soup_of(mesh);
    OtherTree theirs(soup.begin(), soup.end());
    for (int i = 0; i < 2000; ++i) {
      const Vec3 p = random.point(350);
      const auto ours = tree.nearest(p);
      REQUIRE(ours);
      worst = std::max(worst, std::abs(ours->distance_mm - std::sqrt(theirs.squared_distance(other(p)))));
      ++asked;
    }
  }
  CAPTURE(asked);
  CHECK(worst < 1e-6);  // slivers of 0.01 in 100 mm cost the library some digits
}

TEST_CASE("a straight tube's clearance is that of its axis in a second library less its radius", "[tree]") {
  // The library knows no distance from a segment to triangles, so the axis is walked in steps of 0.05 mm: the
  // clearance may lie below its figure by half a step at most, and never above it.
  constexpr double kStep_mm = 0.05;
  constexpr double kRadius_mm = 20;
  for (unsigned seed = 1; seed <= 12; ++seed) {
    Random random(100 + seed);
    const TriMesh mesh = with_area_only(test::strewn(random, 4000, 260, 8));
    const TriTree tree = TriTree::over(mesh);
    const Soup soup = soup_of(mesh);
    OtherTree theirs(soup.begin(), soup.end());
    const Vec3 from = random.point(200);
    const Vec3 to = from + random.in(40, 120) * random.unit();
    double nearest = std::numeric_limits<double>::infinity();
    const int steps = static_cast<int>((to - from).norm() / kStep_mm);
    Kernel::Point_3 hint = soup.front().vertex(0);
    for (int i = 0; i <= steps; ++i) {
      const Kernel::Point_3 p = other(from + (to - from) * (static_cast<double>(i) / steps));
      hint = theirs.closest_point(p, hint);
      nearest = std::min(nearest, std::sqrt(CGAL::squared_distance(p, hint)));
    }
    const Primitive tube{Cylinder{from, to, kRadius_mm}, 0, 0, 0};
    const Bracket ours = clearance_at_rest(std::span(&tube, 1), tree, {0.001, 500});
    CAPTURE(seed, nearest - kRadius_mm, ours.lo_mm, ours.hi_mm);
    CHECK(ours.hi_mm >= nearest - kRadius_mm - 0.5 * kStep_mm - 1e-6);
    CHECK(ours.lo_mm <= nearest - kRadius_mm + 1e-6);
  }
}

}  // namespace
}  // namespace baywright
