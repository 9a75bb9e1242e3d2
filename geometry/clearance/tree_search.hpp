#pragma once

#include <functional>
#include <optional>
#include <variant>
#include <vector>

#include "geometry/clearance/hull.hpp"
#include "geometry/clearance/tri_tree_impl.hpp"

namespace baywright {

/// A shape at one pose, as its exact kernel takes it.
using PlacedShape = std::variant<Cylinder, SweptArc, Cone>;
Contact contact_with(const PlacedShape& shape, const Corners3& v);

/// Corners of a reference relative to the tree's origin.
inline Corners3 corners_of(const TriTree::Impl& tree, std::uint32_t ref) {
  return {tree.vertex(ref, 0), tree.vertex(ref, 1), tree.vertex(ref, 2)};
}

/// Bounds of all eight children of a node: boxes against the target's box, then a support plane.
void bound_children(const TriTree::Impl::Node& node, const Target& target, double limit_mm,
                    double (&bound)[TriTree::Impl::kWidth]);

/// Visits the references of `tree` whose bound does not exceed the limit that `visit` keeps, nearest boxes first.
/// `visit(ref)` may lower `limit_mm`.
template <class Visit>
void search(const TriTree::Impl& tree, const Target& target, double& limit_mm, const Visit& visit) {
  using Impl = TriTree::Impl;
  struct Entry {
    double bound;
    std::uint32_t code;
  };
  if (tree.nodes.empty()) return;
  Entry stack[Impl::kStack];
  int top = 0;
  stack[top++] = {-std::numeric_limits<double>::infinity(), 0};
  while (top > 0) {
    const Entry entry = stack[--top];
    if (entry.bound > limit_mm) continue;
    if (Impl::is_leaf(entry.code)) {
      const std::uint32_t begin = Impl::leaf_begin(entry.code), end = begin + Impl::leaf_count(entry.code);
      for (std::uint32_t ref = begin; ref < end; ++ref) visit(ref);
      continue;
    }
    const Impl::Node& node = tree.nodes[entry.code];
    double bound[Impl::kWidth];
    bound_children(node, target, limit_mm, bound);
    const int first = top;
    for (int i = 0; i < Impl::kWidth; ++i) {
      if (node.child[i] == Impl::kNone || bound[i] > limit_mm) continue;
      int at = top++;  // nearest last, so that it is visited first
      for (; at > first && stack[at - 1].bound < bound[i]; --at) stack[at] = stack[at - 1];
      stack[at] = {bound[i], node.child[i]};
    }
  }
}

/// Quick lower bound for one triangle: one support plane from the target towards its centroid.
double quick_bound(const Target& target, const Corners3& v);

/// Smallest bound over a cell, and where to try for an upper bound.
struct CellBound {
  double lower_mm = 0;               ///< `limit_mm` when nothing lies below it
  std::optional<std::uint32_t> ref;  ///< the reference that gave it
  std::vector<double> e;             ///< parameters in [-1, 1] at which it is nearest
};
/// @param eroded  enclosure of the points at least that deep; asked only for flat-ended solids below zero
CellBound bound_over_cell(const TriTree::Impl& tree, const Target& target, double limit_mm, double tolerance_mm,
                          int parameters, const std::function<std::optional<Target>(double)>& eroded);

/// Signed distance of one placed shape to the whole tree where it is below `limit_mm`, exact.
struct Nearby {
  double distance_mm = 0;
  Contact contact;  ///< relative to the tree's origin
  std::uint32_t source = 0;
};
std::optional<Nearby> nearest_to(const TriTree::Impl& tree, const PlacedShape& shape, double limit_mm);
/// Appends the source triangles within `limit_mm`.
void collect_within(const TriTree::Impl& tree, const PlacedShape& shape, double limit_mm,
                    std::vector<std::uint32_t>& sources);

/// Value of one reference: its triangle, or its ball (never deeper than the shape's greatest depth).
Nearby value_of(const TriTree::Impl& tree, const PlacedShape& shape, std::uint32_t ref);

}  // namespace baywright
