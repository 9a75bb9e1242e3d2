#include "job/made_of_model.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <utility>
#include <vector>

#include "geometry/vertex_weld.hpp"

namespace baywright::job {
namespace {

constexpr double kSamePlane_rad = 1e-4;
constexpr double kFlatShare = 0.5;  // common practice, no source

struct Facet {
  Vec3 normal = Vec3::Zero();  ///< unit
  double area_mm2 = 0;
  bool flat = false;  ///< a facet beside it lies in its plane
};

}  // namespace

bool looks_made_of_model(const TriMesh& mesh) {
  VertexWeld weld(mesh.vertices.size());
  std::vector<Facet> facets;
  std::vector<std::pair<std::uint64_t, std::uint32_t>> edges;  // edge, facet
  double whole_mm2 = 0;
  for (const TriMesh::Triangle& t : mesh.triangles) {
    const Vec3 a = mesh.vertex(t[0]), turn = (mesh.vertex(t[1]) - a).cross(mesh.vertex(t[2]) - a);
    const double twice = turn.norm();
    if (!(twice > 0)) continue;
    std::array<std::uint32_t, 3> v{};
    for (std::size_t i = 0; i < 3; ++i) v[i] = weld.add(mesh.vertices[t[i]]);
    const auto facet = static_cast<std::uint32_t>(facets.size());
    facets.push_back({turn / twice, 0.5 * twice, false});
    whole_mm2 += 0.5 * twice;
    for (std::size_t i = 0; i < 3; ++i) {
      const auto [lo, hi] = std::minmax(v[i], v[(i + 1) % 3]);
      edges.emplace_back(std::uint64_t{lo} << 32 | hi, facet);
    }
  }
  std::sort(edges.begin(), edges.end());
  for (std::size_t i = 0; i + 1 < edges.size(); ++i) {
    if (edges[i].first != edges[i + 1].first) continue;
    Facet &one = facets[edges[i].second], &other = facets[edges[i + 1].second];
    if (one.normal.cross(other.normal).norm() > kSamePlane_rad || one.normal.dot(other.normal) <= 0) continue;
    one.flat = other.flat = true;
  }
  double flat_mm2 = 0;
  for (const Facet& facet : facets) flat_mm2 += facet.flat ? facet.area_mm2 : 0;
  return whole_mm2 > 0 && flat_mm2 >= kFlatShare * whole_mm2;
}

}  // namespace baywright::job
