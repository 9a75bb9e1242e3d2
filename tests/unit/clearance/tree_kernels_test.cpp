#include "geometry/clearance/tree_kernels.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>
#include <string>

#include <catch2/catch.hpp>

#include "geometry/clearance/moving_kernel.hpp"
#include "geometry/clearance/tree_search.hpp"
#include "motions.hpp"
#include "shapes.hpp"

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
  if (kind == 3) {
    const Pose X = random.pose(250);
    return Box{X.p, X.R.toRotationMatrix(), {random.in(0, 20), random.in(0, 50), random.in(0, 60)}};
  }
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
      const PlacedShape shape = random_shape(random, i % 4);
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
        if (least > 0) REQUIRE_FALSE(nearest_with(*kernels, t, shape, least - 1e-4));
        // Any will do that is near enough, and then one of those.
        const double enough_near = least + 10;
        const auto some = nearest_with(*kernels, t, shape, 1e4, enough_near);
        REQUIRE(some);
        REQUIRE(some->distance_mm >= least - 5e-6);
        REQUIRE(some->distance_mm <= enough_near);
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

/// Pipes as meshers make them: strips as long as the pipe and less than a millimetre wide.
TriMesh pipes(Random& random, const Vec3& middle) {
  TriMesh mesh;
  constexpr int kStrips = 80;
  for (int pipe = 0; pipe < 25; ++pipe) {
    const Vec3 at = middle + random.point(150), axis = random.unit();
    const Vec3 x = any_perpendicular(axis), y = axis.cross(x);
    const double radius = random.in(2, 12), length = random.in(100, 600);
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    for (int i = 0; i <= kStrips; ++i) {
      const double t = 2 * std::numbers::pi * i / kStrips;
      const Vec3 p = at + radius * (std::cos(t) * x + std::sin(t) * y);
      mesh.vertices.push_back((p - 0.5 * length * axis).cast<float>());
      mesh.vertices.push_back((p + 0.5 * length * axis).cast<float>());
    }
    for (std::uint32_t i = 0; i < kStrips; ++i) {
      const std::uint32_t k = first + 2 * i;
      mesh.triangles.push_back({k, k + 2, k + 1});
      mesh.triangles.push_back({k + 1, k + 2, k + 3});
    }
  }
  return mesh;
}

void put(const Vec3& from, float (&to)[3]) {
  for (int k = 0; k < 3; ++k) to[k] = static_cast<float>(from[k]);
}
KernelShape kernel_of(const PlacedShape& shape) {
  KernelShape out;
  if (const auto* box = std::get_if<Box>(&shape)) {
    out.kind = KernelShape::Kind::box;
    put(box->center, out.center);
    put(box->axes.col(0), out.u);
    put(box->axes.col(1), out.v);
    put(box->axes.col(2), out.n);
    put(box->half_mm, out.half);
    return out;
  }
  const Cone& cone = std::get<Cone>(shape);
  out.kind = KernelShape::Kind::discs;
  put(cone.a, out.a);
  put(cone.b, out.b);
  put((cone.b - cone.a).normalized(), out.n);
  out.radius_a = static_cast<float>(cone.radius_a_mm);
  out.radius_b = static_cast<float>(cone.radius_b_mm);
  return out;
}

TEST_CASE("of slivers too, kernels overlook nothing within the limit and look at little else", "[kernels]") {
  Random random(21);
  for (const double far : {0.0, 2e4, 4e5}) {
    const Vec3 middle(far, 0, 0);
    const TriTree tree = TriTree::over(pipes(random, middle));
    const TriTree::Impl& t = *tree.impl();
    std::size_t seen_count = 0, needed_count = 0;
    for (int i = 0; i < 40; ++i) {
      PlacedShape shape = random_shape(random, i % 2 ? 3 : 1);
      if (auto* box = std::get_if<Box>(&shape)) box->center += middle - t.origin;
      if (auto* cone = std::get_if<Cone>(&shape)) {
        cone->a += middle - t.origin;
        cone->b += middle - t.origin;
      }
      const double limit = random.in(0, 40);
      std::set<std::uint32_t> needed;
      for (std::uint32_t ref = 0; ref < t.source.size(); ++ref) {
        if (t.counts(ref) && value_of(t, shape, ref).distance_mm <= limit) needed.insert(t.source[ref]);
      }
      const double reach = (middle - t.origin).cwiseAbs().maxCoeff() + 400;
      for (const TreeKernels* kernels : all_kernels()) {
        struct Context {
          const TriTree::Impl& tree;
          std::set<std::uint32_t> seen;
        } context{t, {}};
        kernels->near_shape(
            kernel_view(t), kernel_of(shape), t.slack(reach), limit,
            [](void* c, std::uint32_t ref, double now) {
              static_cast<Context*>(c)->seen.insert(static_cast<Context*>(c)->tree.source[ref]);
              return now;
            },
            &context);
        INFO(kernels->name << ", " << far << " mm away, case " << i);
        REQUIRE(std::includes(context.seen.begin(), context.seen.end(), needed.begin(), needed.end()));
        seen_count += context.seen.size();
        needed_count += needed.size();
      }
    }
    CHECK(needed_count > 1000);
    if (far == 0) CHECK(static_cast<double>(seen_count) < 1.1 * static_cast<double>(needed_count));
  }
}

TEST_CASE("kernels overlook nothing that a moving solid meets within the limit", "[kernels]") {
  Random random(31);
  std::size_t seen_count = 0, needed_count = 0, all_count = 0;
  for (int i = 0; i < 120; ++i) {
    const TriTree tree = TriTree::over(test::strewn(random, 400, 120, 6));
    const TriTree::Impl& t = *tree.impl();
    Kinematics kinematics;
    kinematics.bodies = {MotionSet(), test::random_set(random, 0.1, 10)};
    const Carriage carriage = Carriage::on(1);
    const std::vector<Scenario> all = scenarios(kinematics, carriage, 0);
    const Scenario& scenario = all[static_cast<std::size_t>(random.below(static_cast<int>(all.size())))];
    Cell cell;
    for (std::size_t k = 0; k < scenario.from.size(); ++k) {
      const double a = random.in(scenario.from[k], scenario.to[k]), b = random.in(scenario.from[k], scenario.to[k]);
      cell.center.push_back(0.5 * (a + b));
      cell.half.push_back(0.5 * std::abs(b - a));
    }
    const Shape shape = test::random_shape(random, i, 50);
    const Enclosure around(shape, {0, 1}, {kinematics, carriage, 0, t.origin}, scenario, cell);
    if (!std::isfinite(around.rest_mm())) continue;
    const double limit = random.in(0, 20);
    std::set<std::uint32_t> needed;
    for (int pose = 0; pose < 60; ++pose) {
      std::vector<double> u = cell.center;
      for (std::size_t k = 0; k < u.size(); ++k) u[k] += cell.half[k] * random.in(-1, 1);
      const Pose at = carriage_pose(kinematics, carriage.first, state_at(kinematics, scenario, u));
      const Shape there = moved(shape, at);
      for (std::uint32_t ref = 0; ref < t.source.size(); ++ref) {
        const Vec3 o = t.origin;
        const auto contact =
            distance_to_triangle(there, o + t.vertex(ref, 0), o + t.vertex(ref, 1), o + t.vertex(ref, 2));
        if (contact.distance_mm <= limit) needed.insert(t.source[ref]);
      }
    }
    MovingKernel kernel(around);
    for (int k = random.below(4); k > 0; --k) kernel.add_plane(random.unit());
    for (const TreeKernels* kernels : all_kernels()) {
      struct Context {
        const TriTree::Impl& tree;
        std::set<std::uint32_t> seen;
      } context{t, {}};
      kernels->near_moving(
          kernel_view(t), kernel.view(), t.slack(kernel.reach_mm()) + kernel.rounding_mm(), around.gap_for(limit),
          [](void* c, std::uint32_t ref, double now) {
            static_cast<Context*>(c)->seen.insert(static_cast<Context*>(c)->tree.source[ref]);
            return now;
          },
          &context);
      const std::set<std::uint32_t>& seen = context.seen;
      INFO("case " << i << ", " << kernels->name);
      REQUIRE(std::includes(seen.begin(), seen.end(), needed.begin(), needed.end()));
      seen_count += seen.size();
      needed_count += needed.size();
      all_count += 400;
    }
  }
  CHECK(needed_count > 1000);
  CHECK(seen_count < 3 * needed_count);  // sixty poses meet less than all poses do
  CHECK(2 * seen_count < all_count);
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
