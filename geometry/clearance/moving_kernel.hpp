#pragma once

#include <algorithm>
#include <cstdint>
#include <limits>
#include <vector>

#include "geometry/clearance/enclosure.hpp"
#include "geometry/clearance/tree_kernels.hpp"

namespace baywright {

/// An enclosure as the tree's kernels take it, with a few planes beyond which nothing of it reaches: one that separates
/// a triangle usually separates its neighbours.
class MovingKernel {
 public:
  /// Keeps a reference to `enclosure`.
  explicit MovingKernel(const Enclosure& enclosure);
  MovingKernel(const MovingKernel&) = delete;
  MovingKernel& operator=(const MovingKernel&) = delete;

  const KernelMoving& view() const { return view_; }
  /// Greatest coordinate of anything in it, for TriTree::Impl::slack(), and what rounding of its terms adds.
  double reach_mm() const { return reach_mm_; }
  double rounding_mm() const { return rounding_mm_; }

  /// From now on only points at least that deep count.
  void count_from_depth(double depth_mm);
  double depth_mm() const { return depth_mm_; }
  /// Nothing that counts lies beyond w.x = reach(w).
  void add_plane(const Vec3& w);
  /// Gap that the newest of them leaves.
  double newest_gap_mm(const Corners3& v) const {
    return std::min({newest_.dot(v[0]), newest_.dot(v[1]), newest_.dot(v[2])}) - newest_reach_mm_;
  }

 private:
  const Enclosure& enclosure_;
  KernelMoving view_;
  std::vector<float> terms_;
  std::vector<std::uint8_t> pairs_;
  double reach_mm_ = 0, rounding_mm_ = 0, depth_mm_ = 0;
  int next_plane_ = 0;
  Vec3 newest_ = Vec3::Zero();
  double newest_reach_mm_ = std::numeric_limits<double>::infinity();
};

}  // namespace baywright
