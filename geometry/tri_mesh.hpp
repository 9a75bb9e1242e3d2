#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "geometry/aabb.hpp"
#include "geometry/vec.hpp"

namespace baywright {

/// Triangles as they were read or made; nothing is assumed about orientation, closure or manifoldness.
/// Coordinates are float32 relative to `origin_mm` so that far-away survey coordinates keep their precision:
/// vertex i lies at origin_mm + vertices[i].
struct TriMesh {
  using Triangle = std::array<std::uint32_t, 3>;

  Vec3 origin_mm = Vec3::Zero();
  std::vector<Vec3f> vertices;
  std::vector<Triangle> triangles;
  /// Optional, one per triangle: index of the face of the solid it came from (for exact re-checks).
  std::vector<std::uint32_t> face;
  /// Greatest distance by which the true surface may lie outside this mesh, mm. Verified, not a target; 0 when the
  /// mesh is itself the truth (a scan's own uncertainty is stated elsewhere).
  double chord_error_mm = 0;

  Vec3 vertex(std::uint32_t i) const { return origin_mm + vertices[i].cast<double>(); }
};

/// Box of all vertices used by triangles, mm.
Aabb bounds(const TriMesh& mesh);
/// Surface area, mm2.
double area_mm2(const TriMesh& mesh);
/// Volume by the divergence theorem, mm3; meaningful for closed meshes, negative when facets look inward.
double signed_volume_mm3(const TriMesh& mesh);
/// What a mesh looks like, counted on exactly coincident vertices.
struct MeshCounts {
  std::size_t triangles = 0;
  std::size_t distinct_vertices = 0;
  std::size_t boundary_edges = 0;      ///< edges with one triangle
  std::size_t non_manifold_edges = 0;  ///< edges with more than two
  std::size_t degenerate = 0;          ///< two or more coincident corners
};
MeshCounts count_mesh(const TriMesh& mesh);
/// One mesh of several, re-based to a common origin; chord error is the largest; `face` is dropped.
TriMesh merged(const std::vector<TriMesh>& meshes);

}  // namespace baywright
