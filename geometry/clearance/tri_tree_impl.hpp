#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "geometry/clearance/tri_tree.hpp"

namespace baywright {

/// Storage of a TriTree, shared by its queries and by the clearance search; not for callers of either.
/// Everything is float32 relative to `origin`; boxes contain their triangles exactly (they are made of the same
/// floats), so only a query's own rounding needs slack, see `slack()`.
struct TriTree::Impl {
  static constexpr int kWidth = 8;
  static constexpr std::uint32_t kLeafBit = 0x80000000u;
  static constexpr std::uint32_t kNone = 0xFFFFFFFFu;
  static constexpr float kEmptyBound = 3e18f;  ///< bounds of unused children: far, and its square is still finite

  /// Eight child boxes side by side. child: an inner node's index, or leaf bit | (count - 1) << 28 | first reference.
  struct Node {
    float lo[3][kWidth];
    float hi[3][kWidth];
    std::uint32_t child[kWidth];
  };
  static bool is_leaf(std::uint32_t code) { return (code & kLeafBit) != 0; }
  static std::uint32_t leaf_count(std::uint32_t code) { return ((code >> 28) & 7u) + 1u; }
  static std::uint32_t leaf_begin(std::uint32_t code) { return code & 0x0FFFFFFFu; }

  Vec3 origin = Vec3::Zero();
  std::vector<Node> nodes;                           ///< root first; empty only for an empty tree
  std::vector<std::array<std::uint32_t, 3>> corner;  ///< per reference, in leaf order: vertex indices
  std::vector<std::uint32_t> source;                 ///< per reference: index in the mesh or cloud
  std::vector<std::uint32_t> where;                  ///< per source: its first reference, kNone if left out
  std::vector<Vec3f> vertices;                       ///< in order of first use
  std::vector<float> radius;                         ///< per vertex; empty for a mesh
  /// What a run of references in leaf order looks like from afar: area-weighted normals and where they are.
  struct Cluster {
    static constexpr std::uint32_t kSize = 64;
    static constexpr std::uint32_t kGroup = 64;  ///< clusters in a group
    Vec3f area = Vec3f::Zero();
    Vec3f center = Vec3f::Zero();
    float radius = 0;  ///< holds all corners of its triangles
  };
  std::vector<Cluster> clusters;  ///< meshes only
  std::vector<Cluster> groups;    ///< the same of `kGroup` clusters each
  /// Each source triangle is counted once, at one of its references.
  bool counts(std::uint32_t ref) const { return where[source[ref]] == ref; }
  Report report;
  Aabb box;              ///< relative to origin
  double extent_mm = 0;  ///< greatest |coordinate| of box

  Vec3 vertex(std::uint32_t ref, int k) const {
    return vertices[corner[ref][static_cast<std::size_t>(k)]].cast<double>();
  }
  double radius_of(std::uint32_t ref) const {
    return radius.empty() ? 0.0 : static_cast<double>(radius[corner[ref][0]]);
  }
  /// Covers the rounding of float32 bounds between this tree and a query within `reach_mm` of the origin. With
  /// coordinates up to M = extent + reach, rounding the query costs 6e-8 M, two dot products of a unit vector with
  /// three rounded products and two sums each 1.1e-6 M, and the direction's length of 1 +- 4e-7 another 8e-7 M.
  double slack(double reach_mm) const { return 4e-6 * (extent_mm + reach_mm) + 1e-9; }
  /// Upper limit of the traversal stack: seven siblings per level, depth limited by the builder.
  static constexpr int kStack = 1024;
};

}  // namespace baywright
