#include <cmath>
#include <cstring>
#include <fstream>
#include <limits>
#include <string>

#include <tbb/global_control.h>
#include <catch2/catch.hpp>

#include "geometry/clearance/tri_tree.hpp"
#include "geometry/clearance/tri_tree_impl.hpp"
#include "scenes.hpp"

namespace baywright {
namespace {

using test::Random;

/// A rough sheet of `n` x `n` cells with shared vertices, as a scan gives it, and a few long facets across it.
TriMesh sheet(int n) {
  Random random(7);
  TriMesh mesh;
  const auto at = [&](int i, int j) { return static_cast<std::uint32_t>(i * (n + 1) + j); };
  for (int i = 0; i <= n; ++i) {
    for (int j = 0; j <= n; ++j) {
      const double x = 2.0 * i, y = 2.0 * j;
      const double z = 40 * std::sin(x / 90) * std::cos(y / 70) + random.in(-0.2, 0.2);
      mesh.vertices.emplace_back(Vec3(x, y, z).cast<float>());
    }
  }
  for (int i = 0; i < n; ++i) {
    for (int j = 0; j < n; ++j) {
      mesh.triangles.push_back({at(i, j), at(i + 1, j), at(i, j + 1)});
      mesh.triangles.push_back({at(i, j + 1), at(i + 1, j), at(i + 1, j + 1)});
    }
  }
  for (int k = 0; k < n / 4; ++k) {
    test::add_triangle(mesh, {0, 8.0 * k, 60}, {2.0 * n, 8.0 * k, 60}, {0, 8.0 * k + 0.3, 60});
  }
  return mesh;
}

/// A line of /proc/self/status in bytes.
double status_bytes(const std::string& key) {
  std::ifstream status("/proc/self/status");
  for (std::string word; status >> word;) {
    double kilobytes = 0;
    if (word == key + ":" && status >> kilobytes) return 1024 * kilobytes;
  }
  return std::nan("");
}

TEST_CASE("one thread and several build the same tree to the last bit", "[tree]") {
  const TriMesh mesh = sheet(300);
  const auto with = [&](std::size_t threads) {
    const tbb::global_control limit(tbb::global_control::max_allowed_parallelism, threads);
    return TriTree::over(mesh);
  };
  const TriTree one = with(1), four = with(4);
  const TriTree::Impl &a = *one.impl(), &b = *four.impl();
  CHECK(test::same_bytes(a.nodes, b.nodes));
  CHECK(test::same_bytes(a.corner, b.corner));
  CHECK(test::same_bytes(a.source, b.source));
  CHECK(test::same_bytes(a.where, b.where));
  CHECK(test::same_bytes(a.vertices, b.vertices));
  CHECK(test::same_bytes(a.clusters, b.clusters));
}

TEST_CASE("every triangle is found in the tree, and every box holds what is below it", "[tree]") {
  const TriMesh mesh = sheet(120);
  const TriTree tree = TriTree::over(mesh);
  const TriTree::Impl& impl = *tree.impl();
  std::vector<int> seen(mesh.triangles.size(), 0);
  for (std::size_t ref = 0; ref < impl.source.size(); ++ref) {
    const std::uint32_t id = impl.source[ref];
    ++seen[id];
    for (int k = 0; k < 3; ++k) {
      const Vec3 there = impl.vertex(static_cast<std::uint32_t>(ref), k) + impl.origin;
      REQUIRE((there - mesh.vertex(mesh.triangles[id][static_cast<std::size_t>(k)])).norm() < 1e-4);
    }
  }
  for (const int times : seen) REQUIRE(times >= 1);

  // A triangle referred to slab by slab need only be held by the boxes of all its slabs together, so boxes are tested
  // on the short ones.
  std::size_t tested = 0;
  for (const TriTree::Impl::Node& node : impl.nodes) {
    for (int c = 0; c < TriTree::Impl::kWidth; ++c) {
      if (!TriTree::Impl::is_leaf(node.child[c]) || node.lo[0][c] >= TriTree::Impl::kEmptyBound) continue;
      const std::uint32_t begin = TriTree::Impl::leaf_begin(node.child[c]);
      for (std::uint32_t r = begin; r < begin + TriTree::Impl::leaf_count(node.child[c]); ++r) {
        if (seen[impl.source[r]] > 1) continue;
        for (int k = 0; k < 3; ++k) {
          const Vec3 v = impl.vertex(r, k);
          for (int axis = 0; axis < 3; ++axis) {
            REQUIRE(static_cast<double>(node.lo[axis][c]) <= v[axis]);
            REQUIRE(v[axis] <= static_cast<double>(node.hi[axis][c]));
          }
          ++tested;
        }
      }
    }
  }
  CHECK(tested > 3 * 2 * 120 * 100);
}

TEST_CASE("the report counts what a rule was applied to", "[tree]") {
  constexpr float kNan = std::numeric_limits<float>::quiet_NaN();
  constexpr float kInfinite = std::numeric_limits<float>::infinity();
  TriMesh mesh;
  mesh.vertices = {{0, 0, 0},         {1, 0, 0},    {0, 1, 0}, {kNan, 0, 0},
                   {0, kInfinite, 0}, {2e6f, 0, 0}, {2, 0, 0}, {0, 0, 500}};
  mesh.triangles = {{0, 1, 2}, {0, 1, 2}, {0, 1, 3}, {0, 4, 2}, {5, 1, 2}, {1, 1, 1}, {0, 1, 6}, {0, 1, 7}};
  const TriTree::Report r = TriTree::over(mesh).report();
  CHECK(r.kept == 5);
  CHECK(r.not_finite == 2);
  CHECK(r.too_far == 1);
  CHECK(r.points == 1);
  CHECK(r.segments == 1);
  CHECK(r.long_ones == 1);
  const auto found = TriTree::over(mesh).nearest({0.2, 0.2, -1});
  REQUIRE(found);
  CHECK(found->triangle == 0);  // of the two equal ones the lower number
}

TEST_CASE("memory: at most 36 bytes a triangle stay, at most 110 at the peak of building", "[tree]") {
  const TriMesh mesh = sheet(1000);
  const double count = static_cast<double>(mesh.triangles.size());
  {
    std::ofstream reset("/proc/self/clear_refs");
    reset << "5";  // sets the peak back to what is resident now
    if (!reset.flush()) WARN("the peak of memory cannot be set back here; it is compared with the highest so far");
  }
  const double before = status_bytes("VmRSS");
  REQUIRE(before > 0);
  const TriTree tree = TriTree::over(mesh);
  const double peak = status_bytes("VmHWM");
  CAPTURE(peak - before, count, tree.bytes());
  CHECK(static_cast<double>(tree.bytes()) <= 36 * count);
#if !defined(__SANITIZE_THREAD__)  // whose shadow of every byte is resident too
  CHECK(peak - before <= 110 * count);
#endif
}

}  // namespace
}  // namespace baywright
