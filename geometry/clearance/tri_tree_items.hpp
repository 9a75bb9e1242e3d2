#pragma once

#include <cstdint>
#include <vector>

#include "geometry/clearance/tri_tree.hpp"
#include "geometry/clearance/tri_tree_sah.hpp"

namespace baywright {

/// What a tree is built over: the usable triangles of a mesh, long ones as several slabs, or the usable balls of a
/// cloud. An item's number is that of its triangle or point; slabs follow after the last triangle.
class BuildItems {
 public:
  explicit BuildItems(const TriMesh& mesh);
  BuildItems(const PointCloud& cloud, const std::vector<float>& radius_mm);

  std::size_t count() const { return kept_ + slabs_.size(); }
  const TriTree::Report& report() const { return report_; }
  /// Appends the numbers of all items to `keys`, in ascending order.
  void list(std::vector<std::uint64_t>& keys) const;
  /// The box of one item; never empty, always finite.
  void box(std::uint32_t item, BuildRef& out) const;
  /// Triangle or point an item belongs to, and its corners.
  std::uint32_t source(std::uint32_t item) const { return item < sources_ ? item : slabs_[item - sources_].source; }
  TriMesh::Triangle corners(std::uint32_t source) const {
    return mesh_ ? mesh_->triangles[source] : TriMesh::Triangle{source, source, source};
  }

 private:
  struct Slab {
    Vec3f lo, hi;
    std::uint32_t source;
  };
  enum class Kind : std::uint8_t { left_out, whole, in_slabs };
  /// One of 65,536 neighbouring triangles at a time: what they are, and how many slabs they take.
  struct Block;
  Block look_at(std::size_t begin, std::size_t end);
  void cut_long_ones(std::size_t begin, std::size_t end, Slab* out) const;

  const TriMesh* mesh_ = nullptr;
  const PointCloud* cloud_ = nullptr;
  const std::vector<float>* radius_ = nullptr;
  std::uint32_t sources_ = 0;
  std::size_t kept_ = 0;  ///< items that are not slabs
  float slab_mm_ = 0;
  std::vector<Kind> kind_;  ///< per source
  std::vector<Slab> slabs_;
  TriTree::Report report_;
};

}  // namespace baywright
