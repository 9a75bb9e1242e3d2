#include "geometry/clearance/tree_kernels.hpp"

#include <algorithm>
#include <set>
#include <string>

#include <catch2/catch.hpp>

#include "geometry/clearance/tree_search.hpp"
#include "scenes.hpp"

namespace baywright {
namespace {

using test::Random;

std::vector<const TreeKernels*> all_kernels() {
  std::vector<const TreeKernels*> out;
  for (const char* name : {"plain", "sse2", "avx2"}) {
    if (const auto found = tree_kernels_named(name)) out.push_back(*found);
  }
  return out;
}

PlacedShape random_shape(Random& random, int kind) {
  const Vec3 at = random.point(250), to = at + random.unit() * random.in(1, 60);
  if (kind == 0) return Cylinder{at, random.chance(0.1) ? at : to, random.in(0, 40)};
  if (kind == 1) return Cone{at, to, random.in(0, 40), random.in(0, 40)};
  const Vec3 u = random.in(20, 120) * random.unit(), across = u.cross(random.unit()).normalized();
  return SweptArc{at, u, u.norm() * across, random.in(0.01, 3.1), random.in(0, 40)};
}

PointCloud strewn_points(Random& random, std::vector<float>& radius) {
  PointCloud cloud;
  for (int i = 0; i < 3000; ++i) {
    cloud.points.push_back(random.point(300).cast<float>());
    radius.push_back(static_cast<float>(random.in(0, 4)));
  }
  return cloud;
}

TEST_CASE("kernels are chosen by name, and an unknown name is one clear line", "[kernels]") {
  REQUIRE_FALSE(all_kernels().empty());
  for (const TreeKernels* k : all_kernels()) CHECK((*tree_kernels_named(k->name))->name == std::string(k->name));
  const auto unknown = tree_kernels_named("mmx");
  REQUIRE_FALSE(unknown);
  CHECK(unknown.error().where.find("BAYWRIGHT_KERNELS") != std::string::npos);
  CHECK(unknown.error().message.find("\"mmx\"") != std::string::npos);
  CHECK(unknown.error().message.find(all_kernels()[0]->name) != std::string::npos);
  CHECK(unknown.error().message.find('\n') == std::string::npos);
  CHECK_FALSE(tree_kernels_named(""));
}

TEST_CASE("every instruction set gives the answer of trying everything", "[kernels]") {
  for (unsigned seed = 1; seed <= 4; ++seed) {
    Random random(seed);
    std::vector<float> radius;
    const PointCloud cloud = strewn_points(random, radius);
    const TriTree tree = seed == 4 ? TriTree::over(cloud, radius) : TriTree::over(test::strewn(random, 4000, 300, 8));
    const TriTree::Impl& t = *tree.impl();
    for (int i = 0; i < 120; ++i) {
      const PlacedShape shape = random_shape(random, i % 3);
      double least = std::numeric_limits<double>::infinity();
      for (std::uint32_t ref = 0; ref < t.source.size(); ++ref) {
        if (t.counts(ref)) least = std::min(least, value_of(t, shape, ref).distance_mm);
      }
      for (const TreeKernels* kernels : all_kernels()) {
        const auto found = nearest_with(*kernels, t, shape, 1e4);
        INFO(kernels->name << ", seed " << seed << ", case " << i);
        REQUIRE(found);
        // An arc's exact kernel stops within 2e-6 mm, and whole and cut arcs stop at different places.
        REQUIRE(found->distance_mm == Approx(least).margin(5e-6));
        REQUIRE_FALSE(nearest_with(*kernels, t, shape, least - 1e-4));
      }
    }
  }
}

TEST_CASE("kernels overlook nothing within the limit and look at little else", "[kernels]") {
  Random random(9);
  for (const double far : {0.0, 2e4, 8e5}) {
    TriMesh mesh = test::strewn(random, 5000, 150, 6);
    for (Vec3f& v : mesh.vertices) v.x() += static_cast<float>(far);
    const TriTree tree = TriTree::over(mesh);
    const TriTree::Impl& t = *tree.impl();
    std::size_t seen_count = 0, needed_count = 0;
    for (int i = 0; i < 60; ++i) {
      const Vec3 p = Vec3(far, 0, 0) + random.point(150);
      const double limit = random.in(0, 40);
      std::set<std::uint32_t> needed;
      for (std::uint32_t ref = 0; ref < t.source.size(); ++ref) {
        if (!t.counts(ref)) continue;
        if ((nearest_on_triangle(p, corners_of(t, ref)) - p).norm() <= limit) needed.insert(t.source[ref]);
      }
      const Vec3f at = p.cast<float>();
      for (const TreeKernels* kernels : all_kernels()) {
        struct Context {
          const TriTree::Impl& tree;
          std::set<std::uint32_t> seen;
        } context{t, {}};
        kernels->near_point(
            kernel_view(t), at.data(), t.slack(p.cwiseAbs().maxCoeff()), limit,
            [](void* c, std::uint32_t ref, double now) {
              static_cast<Context*>(c)->seen.insert(static_cast<Context*>(c)->tree.source[ref]);
              return now;
            },
            &context);
        REQUIRE(std::includes(context.seen.begin(), context.seen.end(), needed.begin(), needed.end()));
        seen_count += context.seen.size();
        needed_count += needed.size();
      }
    }
    if (far == 0) CHECK(static_cast<double>(seen_count) < 1.02 * static_cast<double>(needed_count));
  }
}

TEST_CASE("a point that lies on a triangle, and queries without area or number", "[kernels]") {
  TriMesh mesh;
  test::add_triangle(mesh, {0, 0, 0}, {10, 0, 0}, {0, 10, 0});
  test::add_triangle(mesh, {20, 0, 0}, {20, 0, 0}, {20, 0, 0});
  const TriTree tree = TriTree::over(mesh);
  for (const TreeKernels* kernels : all_kernels()) {
    CHECK(tree.nearest_with(*kernels, {1, 1, 0}, 5, std::nullopt)->distance_mm == 0);
    CHECK(tree.nearest_with(*kernels, {20, 0, 0}, 5, std::nullopt)->triangle == 1);
    CHECK(tree.nearest_with(*kernels, {10, 0, 0}, 0, std::nullopt)->distance_mm == 0);
    CHECK_FALSE(tree.nearest_with(*kernels, {15, 0, 0}, 4.9, std::nullopt));
    // A ball: the axis is a point, and it lies in the triangle.
    CHECK(nearest_with(*kernels, *tree.impl(), Cylinder{{1, 1, 0}, {1, 1, 0}, 3}, 10)->distance_mm == -3);
    // A flat end in the triangle's plane.
    CHECK(nearest_with(*kernels, *tree.impl(), Cone{{2, 2, 0}, {2, 2, 5}, 1, 1}, 10)->distance_mm ==
          Approx(0).margin(1e-9));
  }
}

}  // namespace
}  // namespace baywright
