#include "geometry/tri_mesh.hpp"

#include <catch2/catch.hpp>
#include <random>

#include "geometry/vertex_weld.hpp"

using namespace baywright;

namespace {

/// Closed cube, outward, edge length a, one corner at `at`.
TriMesh cube(double a, const Vec3& at) {
  TriMesh m;
  m.origin_mm = at;
  for (int i = 0; i < 8; ++i) m.vertices.push_back((a * Vec3(i & 1, (i >> 1) & 1, (i >> 2) & 1)).cast<float>());
  m.triangles = {{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4},
                 {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
  return m;
}

}  // namespace

TEST_CASE("an empty mesh has an empty box and counts nothing") {
  const TriMesh none;
  CHECK(bounds(none).empty());
  CHECK(area_mm2(none) == 0);
  CHECK(signed_volume_mm3(none) == 0);
  CHECK(count_mesh(none).triangles == 0);
  CHECK(merged({}).triangles.empty());
}

TEST_CASE("degenerate triangles are counted and bound nothing") {
  TriMesh m;
  m.vertices = {{0, 0, 0}, {1, 0, 0}, {0.0F, 0, -0.0F}};
  m.triangles = {{0, 1, 2}};  // -0 is 0
  const MeshCounts c = count_mesh(m);
  CHECK(c.triangles == 1);
  CHECK(c.degenerate == 1);
  CHECK(c.distinct_vertices == 2);
  CHECK(c.boundary_edges == 0);
}

TEST_CASE("box, area and volume of a cube far away") {
  const TriMesh m = cube(100, {4e8, -5e9, 12});
  CHECK(area_mm2(m) == Approx(6e4));
  CHECK(signed_volume_mm3(m) == Approx(1e6));
  CHECK(bounds(m).lo == Vec3(4e8, -5e9, 12));
  CHECK(bounds(m).size() == Vec3(100, 100, 100));
  const MeshCounts c = count_mesh(m);
  CHECK(c.distinct_vertices == 8);
  CHECK(c.boundary_edges == 0);
  TriMesh open = m;
  open.triangles.pop_back();
  CHECK(count_mesh(open).boundary_edges == 3);
  TriMesh triple = m;
  triple.triangles.push_back(triple.triangles.front());
  CHECK(count_mesh(triple).non_manifold_edges == 3);
}

TEST_CASE("the box leaves out vertices no triangle uses") {
  TriMesh m = cube(10, Vec3::Zero());
  m.vertices.emplace_back(1000.0F, 0.0F, 0.0F);
  CHECK(bounds(m).hi.x() == 10);
}

TEST_CASE("merging keeps places and the largest error") {
  TriMesh a = cube(100, {1000, 0, 0});
  a.chord_error_mm = 0.1;
  TriMesh b = cube(50, {-1000, 7, 0});
  b.chord_error_mm = 0.3;
  const TriMesh all = merged({a, b});
  CHECK(all.triangles.size() == 24);
  CHECK(signed_volume_mm3(all) == Approx(1e6 + 125e3));
  CHECK(all.chord_error_mm >= 0.3);
  CHECK(all.chord_error_mm < 0.3001);
  CHECK(bounds(all).lo == Vec3(-1000, 0, 0));
  CHECK(bounds(all).hi == Vec3(1100, 100, 100));
}

TEST_CASE("welding agrees with brute force") {
  std::mt19937 random(7);
  std::uniform_int_distribution<int> pick(-4, 4);
  VertexWeld weld;
  std::vector<Vec3f> seen;
  for (int i = 0; i < 3000; ++i) {
    const Vec3f p = 0.1F * Vec3f(static_cast<float>(pick(random)), static_cast<float>(pick(random)),
                                 static_cast<float>(pick(random)));
    std::size_t k = 0;
    while (k < seen.size() && !(seen[k] == p)) ++k;
    if (k == seen.size()) seen.push_back(p);
    REQUIRE(weld.add(p) == k);
  }
  CHECK(weld.points().size() == seen.size());
}
