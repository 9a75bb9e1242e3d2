#include "geometry/clearance/hidden.hpp"

#include <tbb/global_control.h>

#include <catch2/catch.hpp>

namespace baywright {
namespace {

/// Closed box about the origin, facets outward.
TriMesh box(const Vec3& half, const Vec3& center = Vec3::Zero()) {
  TriMesh mesh;
  for (int i = 0; i < 8; ++i) {
    const Vec3 corner(i & 1 ? half.x() : -half.x(), i & 2 ? half.y() : -half.y(), i & 4 ? half.z() : -half.z());
    mesh.vertices.push_back((center + corner).cast<float>());
  }
  mesh.triangles = {{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4},
                    {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
  return mesh;
}
TriMesh cube(double half, const Vec3& center = Vec3::Zero()) { return box(Vec3::Constant(half), center); }

/// Six walls of 5 mm about a hollow cube, one body each; the one towards +x has a square hole of `hole_mm` in it.
std::vector<TriMesh> walls(double half, double hole_mm) {
  const double t = 2.5;
  std::vector<TriMesh> out;
  for (int k = 0; k < 3; ++k) {
    for (const int side : {-1, 1}) {
      if (k == 0 && side == 1) continue;
      Vec3 size = Vec3::Constant(half + 2 * t), at = Vec3::Zero();
      size[k] = t;
      at[k] = side * (half + t);
      out.push_back(box(size, at));
    }
  }
  const double h = hole_mm / 2, full = half + 2 * t, rest = (full - h) / 2, middle = (full + h) / 2, x = half + t;
  std::vector<TriMesh> frame;
  if (h == 0) {
    frame.push_back(box(Vec3(t, full, full), Vec3(x, 0, 0)));
  } else {
    frame.push_back(box(Vec3(t, full, rest), Vec3(x, 0, middle)));
    frame.push_back(box(Vec3(t, full, rest), Vec3(x, 0, -middle)));
    frame.push_back(box(Vec3(t, rest, h), Vec3(x, middle, 0)));
    frame.push_back(box(Vec3(t, rest, h), Vec3(x, -middle, 0)));
  }
  out.push_back(merged(frame));
  return out;
}

}  // namespace

TEST_CASE("hidden: nothing, one body, bodies side by side, bodies of no area", "[hidden]") {
  CHECK(hidden_bodies({}).empty());
  CHECK(hidden_bodies({cube(10)}) == std::vector<bool>{false});
  CHECK(hidden_bodies({cube(10), cube(10, Vec3(30, 0, 0))}) == std::vector<bool>{false, false});
  TriMesh nothing;
  nothing.vertices.assign(3, Vec3f::Zero());
  nothing.triangles = {{0, 1, 2}};
  CHECK(hidden_bodies({cube(10), nothing}) == std::vector<bool>{false, false});
}

TEST_CASE("hidden: boxes in boxes, whichever comes first", "[hidden]") {
  CHECK(hidden_bodies({cube(100), cube(50), cube(10, Vec3(0, 0, 20))}) == std::vector<bool>{false, true, true});
  CHECK(hidden_bodies({cube(10), cube(100)}) == std::vector<bool>{true, false});
  // Half out of it; a hair out of it.
  CHECK_FALSE(hidden_bodies({cube(100), cube(10, Vec3(100, 0, 0))})[1]);
  CHECK_FALSE(hidden_bodies({cube(100), cube(10, Vec3(90.5, 0, 0))})[1]);
  // The same body twice: each of them is seen.
  CHECK(hidden_bodies({cube(100), cube(100)}) == std::vector<bool>{false, false});
}

TEST_CASE("hidden: a body between walls that touch, and seen through a hole in one of them", "[hidden]") {
  // 100 mm from the hole to the body's face. The threshold is r / 40: 2.5 mm; holes of 3 mm and more must be found.
  for (const double hole_mm : {0.0, 3.0, 6.0, 40.0}) {
    INFO(hole_mm << " mm");
    std::vector<TriMesh> bodies = walls(120, hole_mm);
    bodies.push_back(cube(20));
    const auto hidden = hidden_bodies(bodies);
    CHECK(hidden.back() == (hole_mm == 0));
    for (std::size_t i = 0; i + 1 < bodies.size(); ++i) CHECK_FALSE(hidden[i]);
  }
}

TEST_CASE("hidden: a thin sheet on a surface stays, even where facets lie above it", "[hidden]") {
  TriMesh block = cube(100);
  block.chord_error_mm = 0.1;
  TriMesh sheet = box(Vec3(30, 30, 0.04), Vec3(0, 0, 100 - 0.05));  // its top 0.01 mm below the block's facets
  sheet.chord_error_mm = 0.1;
  CHECK_FALSE(hidden_bodies({block, sheet})[1]);
  sheet = box(Vec3(30, 30, 0.04), Vec3(0, 0, 99));
  CHECK(hidden_bodies({block, sheet})[1]);
}

TEST_CASE("hidden: the same for any number of threads, and soon over when cancelled", "[hidden]") {
  std::vector<TriMesh> bodies = walls(120, 3);
  bodies.push_back(cube(20));
  bodies.push_back(cube(5));
  std::vector<std::vector<bool>> found;
  for (const std::size_t threads : {1U, 4U}) {
    const tbb::global_control limit(tbb::global_control::max_allowed_parallelism, threads);
    found.push_back(hidden_bodies(bodies));
  }
  CHECK(found[0] == found[1]);
  CHECK(found[0].back());
  const Progress progress;
  progress.cancel();
  CHECK(hidden_bodies(bodies, progress) == std::vector<bool>(bodies.size(), false));
}

}  // namespace baywright
