#include "geometry/tri_mesh.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/expects.hpp"
#include "geometry/vertex_weld.hpp"

namespace baywright {
namespace {

/// Rounded to whole millimetres: coordinates that are whole stay exact in float32.
Vec3 whole(const Vec3& p) { return p.array().round().matrix(); }

}  // namespace

Aabb bounds(const TriMesh& mesh) {
  // Corners are compared as floats: exact, and twice as fast as lifting each to double.
  Vec3f lo = Vec3f::Constant(std::numeric_limits<float>::infinity());
  Vec3f hi = -lo;
  for (const TriMesh::Triangle& t : mesh.triangles) {
    for (const std::uint32_t i : t) {
      lo = lo.cwiseMin(mesh.vertices[i]);
      hi = hi.cwiseMax(mesh.vertices[i]);
    }
  }
  if (mesh.triangles.empty()) return {};
  return {mesh.origin_mm + lo.cast<double>(), mesh.origin_mm + hi.cast<double>()};
}

double area_mm2(const TriMesh& mesh) {
  double twice = 0;
  for (const TriMesh::Triangle& t : mesh.triangles) {
    const Vec3 a = mesh.vertices[t[0]].cast<double>();
    twice += (mesh.vertices[t[1]].cast<double>() - a).cross(mesh.vertices[t[2]].cast<double>() - a).norm();
  }
  return twice / 2;
}

double signed_volume_mm3(const TriMesh& mesh) {
  // Taken about the mesh's own origin, where cancellation is least.
  double six = 0;
  for (const TriMesh::Triangle& t : mesh.triangles) {
    six += mesh.vertices[t[0]].cast<double>().dot(
        mesh.vertices[t[1]].cast<double>().cross(mesh.vertices[t[2]].cast<double>()));
  }
  return six / 6;
}

MeshCounts count_mesh(const TriMesh& mesh) {
  MeshCounts counts;
  VertexWeld weld(mesh.vertices.size());
  std::vector<std::uint64_t> edges;
  edges.reserve(mesh.triangles.size() * 3);
  for (const TriMesh::Triangle& t : mesh.triangles) {
    std::array<std::uint32_t, 3> v{};
    for (std::size_t i = 0; i < 3; ++i) v[i] = weld.add(mesh.vertices[t[i]]);
    if (v[0] == v[1] || v[1] == v[2] || v[2] == v[0]) {
      ++counts.degenerate;
      continue;  // its edges bound nothing
    }
    ++counts.triangles;
    for (std::size_t i = 0; i < 3; ++i) {
      const auto [lo, hi] = std::minmax(v[i], v[(i + 1) % 3]);
      edges.push_back(std::uint64_t{lo} << 32 | hi);
    }
  }
  counts.triangles += counts.degenerate;
  counts.distinct_vertices = weld.points().size();
  std::sort(edges.begin(), edges.end());
  for (std::size_t i = 0; i < edges.size();) {
    std::size_t j = i + 1;
    while (j < edges.size() && edges[j] == edges[i]) ++j;
    if (j - i == 1) ++counts.boundary_edges;
    if (j - i > 2) ++counts.non_manifold_edges;
    i = j;
  }
  return counts;
}

TriMesh merged(const std::vector<TriMesh>& meshes) {
  TriMesh all;
  Aabb box;
  std::size_t vertices = 0;
  std::size_t triangles = 0;
  for (const TriMesh& mesh : meshes) {
    box.grow(bounds(mesh));
    vertices += mesh.vertices.size();
    triangles += mesh.triangles.size();
    all.chord_error_mm = std::max(all.chord_error_mm, mesh.chord_error_mm);
  }
  EXPECTS(vertices <= std::numeric_limits<std::uint32_t>::max());
  if (!box.empty()) all.origin_mm = whole(box.center());
  all.vertices.reserve(vertices);
  all.triangles.reserve(triangles);
  double rounding = 0;
  for (const TriMesh& mesh : meshes) {
    const auto base = static_cast<std::uint32_t>(all.vertices.size());
    const Vec3 shift = mesh.origin_mm - all.origin_mm;
    for (const Vec3f& v : mesh.vertices) {
      const Vec3 exact = shift + v.cast<double>();
      all.vertices.emplace_back(exact.cast<float>());
      rounding = std::max(rounding, (all.vertices.back().cast<double>() - exact).norm());
    }
    for (const TriMesh::Triangle& t : mesh.triangles) all.triangles.push_back({t[0] + base, t[1] + base, t[2] + base});
  }
  all.chord_error_mm += rounding;
  return all;
}

}  // namespace baywright
