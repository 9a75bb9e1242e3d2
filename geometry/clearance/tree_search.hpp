#pragma once

#include <array>
#include <limits>
#include <optional>
#include <variant>
#include <vector>

#include "geometry/clearance/enclosure.hpp"
#include "geometry/clearance/tri_tree_impl.hpp"
#include "geometry/shape_kernels.hpp"

namespace baywright {

/// A shape at one pose, as its exact kernel takes it.
using PlacedShape = std::variant<Cylinder, SweptArc, Cone>;
/// `enough_mm` as in shape_kernels.hpp.
Contact contact_with(const PlacedShape& shape, const Corners3& v,
                     double enough_mm = std::numeric_limits<double>::infinity());

/// Corners of a reference relative to the tree's origin.
inline Corners3 corners_of(const TriTree::Impl& tree, std::uint32_t ref) {
  return {tree.vertex(ref, 0), tree.vertex(ref, 1), tree.vertex(ref, 2)};
}

/// A few planes beyond which nothing of an enclosure reaches, tried on boxes and triangles before anything dearer: one
/// that separates a triangle usually separates its neighbours.
class KnownPlanes {
 public:
  KnownPlanes() = default;
  /// Nothing deeper than the depth for which `reach` was asked lies beyond w.x = reach.
  void add(const Vec3& w, double reach) {
    planes_[next_] = {w, reach};
    next_ = (next_ + 1) % planes_.size();
    count_ = std::min(count_ + 1, planes_.size());
  }
  double gap(const Corners3& v) const {
    double best = -std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < count_; ++i) {
      const Vec3& w = planes_[i].w;
      best = std::max(best, std::min({w.dot(v[0]), w.dot(v[1]), w.dot(v[2])}) - planes_[i].reach);
    }
    return best;
  }
  double gap(const Vec3& middle, const Vec3& half) const {
    double best = -std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < count_; ++i) {
      const Vec3& w = planes_[i].w;
      best = std::max(best, w.dot(middle) - w.cwiseAbs().dot(half) - planes_[i].reach);
    }
    return best;
  }

 private:
  struct Plane {
    Vec3 w;
    double reach;
  };
  std::array<Plane, 3> planes_{};
  std::size_t count_ = 0, next_ = 0;
};

/// Depth of the points that decide whether something of `tree` may be nearer than the limit. A ball inside a solid
/// counts as its centre's depth and its radius, which may be more than the depth of any of its points: no use of depths
/// there.
inline double depth_for(const TriTree::Impl& tree, const Enclosure& enclosure, double limit_mm) {
  return tree.radius.empty() ? enclosure.depth_for(limit_mm) : 0;
}

/// Gaps of all eight children of a node: boxes against the enclosure's box, then support planes.
void gaps_of_children(const TriTree::Impl::Node& node, const Enclosure& enclosure, const KnownPlanes& planes,
                      double enough_mm, double depth_mm, double (&gap)[TriTree::Impl::kWidth]);

/// Visits the references of `tree` that may be nearer than the limit that `visit` keeps, nearest boxes first.
/// `visit(ref)` may lower `limit_mm`. Comparisons are such that a NaN means "look closer".
template <class Visit>
void search(const TriTree::Impl& tree, const Enclosure& enclosure, const KnownPlanes& planes, double& limit_mm,
            const Visit& visit) {
  using Impl = TriTree::Impl;
  struct Entry {
    double gap;
    std::uint32_t code;
  };
  if (tree.nodes.empty()) return;
  Entry stack[Impl::kStack];
  int top = 0;
  stack[top++] = {-std::numeric_limits<double>::infinity(), 0};
  while (top > 0) {
    const Entry entry = stack[--top];
    const double enough = enclosure.gap_for(limit_mm);
    if (entry.gap > enough) continue;
    if (Impl::is_leaf(entry.code)) {
      const std::uint32_t begin = Impl::leaf_begin(entry.code), end = begin + Impl::leaf_count(entry.code);
      for (std::uint32_t ref = begin; ref < end; ++ref) visit(ref);
      continue;
    }
    const Impl::Node& node = tree.nodes[entry.code];
    double gap[Impl::kWidth];
    gaps_of_children(node, enclosure, planes, enough, depth_for(tree, enclosure, limit_mm), gap);
    const int first = top;
    for (int i = 0; i < Impl::kWidth; ++i) {
      if (node.child[i] == Impl::kNone || gap[i] > enough) continue;
      int at = top++;  // nearest last, so that it is visited first
      for (; at > first && stack[at - 1].gap < gap[i]; --at) stack[at] = stack[at - 1];
      stack[at] = {gap[i], node.child[i]};
    }
  }
}

/// Gap that one support plane from the enclosure towards the triangle leaves.
double quick_gap(const Enclosure& enclosure, const Corners3& v, double depth_mm);

/// Smallest bound over a cell, and where to try for an upper bound.
struct CellBound {
  double lower_mm = 0;                      ///< `limit_mm` when nothing lies below it
  std::optional<std::uint32_t> ref;         ///< the reference that gave it
  Vec3 w = Vec3::Zero();                    ///< from the enclosure towards it
  std::array<double, kMostParameters> e{};  ///< parameters in [-1, 1] at which it is nearest
  SplitGain gain;
};
struct CellQuery {
  double limit_mm = 0;
  double tolerance_mm = 0;
  bool arc = false;
  std::optional<std::uint32_t> first;  ///< reference to look at before all others
  Vec3 w = Vec3::Zero();               ///< direction in which it lay
};
CellBound bound_over_cell(const TriTree::Impl& tree, const Enclosure& enclosure, const CellQuery& query);

/// Signed distance of one placed shape to the whole tree where it is below `limit_mm`, exact.
struct Nearby {
  double distance_mm = 0;
  Contact contact;  ///< relative to the tree's origin
  std::uint32_t source = 0;
};
std::optional<Nearby> nearest_to(const TriTree::Impl& tree, const PlacedShape& shape, double limit_mm);
/// Distance to some triangle that is likely to be near, from one way down the tree; `limit_mm` when there is none
/// within it. An upper end for little work.
double some_distance(const TriTree::Impl& tree, const PlacedShape& shape, double limit_mm);
struct TreeKernels;
/// nearest_to() with given kernels, for tests and benchmarks.
std::optional<Nearby> nearest_with(const TreeKernels& kernels, const TriTree::Impl& tree, const PlacedShape& shape,
                                   double limit_mm);
/// Adds source triangles within `limit_mm` until `sources` holds two different ones.
void collect_two(const TriTree::Impl& tree, const PlacedShape& shape, double limit_mm,
                 std::vector<std::uint32_t>& sources);

/// Value of one reference: its triangle, or its ball (never deeper than the shape's greatest depth). Exact where it is
/// below `enough_mm`, else that much or more.
Nearby value_of(const TriTree::Impl& tree, const PlacedShape& shape, std::uint32_t ref,
                double enough_mm = std::numeric_limits<double>::infinity());

}  // namespace baywright
