#include "geometry/clearance/tree_search.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "geometry/clearance/moving_kernel.hpp"
#include "geometry/clearance/tree_kernels.hpp"

namespace baywright {
namespace {

using Impl = TriTree::Impl;

double depth_of(const PlacedShape& shape) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return s->radius_mm;
  if (const auto* s = std::get_if<SweptArc>(&shape)) return s->radius_mm;
  if (const auto* s = std::get_if<SweptCubic>(&shape)) return s->radius_mm;
  if (std::holds_alternative<Box>(shape)) return 0;
  return ConeProfile(std::get<Cone>(shape)).greatest_depth_mm();
}

/// Depth of the points that decide whether something of `tree` may be nearer than the limit. A ball inside a solid
/// counts as its centre's depth and its radius, which may be more than the depth of any of its points: no use of depths
/// there.
double depth_for(const Impl& tree, const Enclosure& enclosure, double limit_mm) {
  return tree.radius.empty() ? enclosure.depth_for(limit_mm) : 0;
}

}  // namespace

Contact contact_with(const PlacedShape& shape, const Corners3& v, double enough_mm) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return cylinder_to_triangle(*s, v);
  if (const auto* s = std::get_if<SweptArc>(&shape)) return arc_to_triangle(*s, v, enough_mm);
  if (const auto* s = std::get_if<SweptCubic>(&shape)) return cubic_to_triangle(*s, v, enough_mm);
  if (const auto* s = std::get_if<Box>(&shape)) return box_to_triangle(*s, v, enough_mm);
  return cone_to_triangle(std::get<Cone>(shape), v, enough_mm);
}

namespace {

double plane_gap(const Enclosure& enclosure, const Corners3& v, const Vec3& w, double depth_mm) {
  return std::min({w.dot(v[0]), w.dot(v[1]), w.dot(v[2])}) - enclosure.reach(w, depth_mm);
}

/// Bounds of single references over a cell; keeps its working room.
class ReferenceBounds {
 public:
  ReferenceBounds(const Impl& tree, const Enclosure& enclosure, const CellQuery& query)
      : tree_(tree), enclosure_(enclosure), query_(query) {
    if (enclosure.flat()) corners_ = enclosure.solid().room_for_corners();
  }

  /// Exact as far as it matters: at least `limit_mm` or the reference's own bound.
  CellBound of(std::uint32_t ref, double limit_mm) {
    near_.reset();
    const Corners3 v = corners_of(tree_, ref);
    const double ball = tree_.radius_of(ref);
    CellBound out = enclosure_.flat() ? flat(v, limit_mm + ball) : tube(v, limit_mm + ball);
    out.ref = ref;
    out.lower_mm -= ball;
    // Not a number: nothing is known.
    if (!(out.lower_mm > -enclosure_.greatest_depth_mm())) out.lower_mm = -enclosure_.greatest_depth_mm();
    return out;
  }

  /// What splitting wins, seen from the reference that was bounded last.
  SplitGain gain() const {
    if (!near_) return {};
    if (!enclosure_.flat()) return gain_at(enclosure_.axis(), *near_, enclosure_.rest_mm(), query_.curved);
    SplitGain out = gain_at(corners_, *near_, rest_mm_, false);
    out.along_axis = 0;  // it is the triangle that moves, and that stays whole
    return out;
  }

 private:
  CellBound tube(const Corners3& v, double need_mm) {
    CellBound out;
    const Separation gap =
        separation(enclosure_.axis(), StandingTriangle(v), enclosure_.gap_for(need_mm), query_.tolerance_mm);
    double apart_mm = gap.lower_mm;
    out.w = gap.w;
    // The direction in which they lay at a true pose: proves nearly all in a small cell, whatever the iteration did.
    if (const double known = query_.w.squaredNorm() > 0.5 ? plane_gap(enclosure_, v, query_.w, 0) : apart_mm;
        known > apart_mm) {
      apart_mm = known;
      out.w = query_.w;
    }
    out.lower_mm = std::max(apart_mm - enclosure_.rest_mm(), 0.0) - enclosure_.greatest_depth_mm();
    out.e = gap.e;
    if (gap.near) near_ = gap;
    return out;
  }

  CellBound flat(const Corners3& v, double need_mm) {
    rest_mm_ = enclosure_.solid().carry_back(v, corners_);
    CellBound out;
    if (need_mm < 0 && clear(v, -need_mm, out)) {  // something was found that reaches deeper
      out.lower_mm = need_mm;
      return out;
    }
    const auto whole = enclosure_.solid().core(0);
    const Separation gap =
        separation(corners_, enclosure_.solid().discs(*whole), std::max(need_mm, 0.0) + rest_mm_, query_.tolerance_mm);
    take(gap, out);
    out.lower_mm = std::max(gap.lower_mm - rest_mm_, plane_gap(enclosure_, v, out.w, 0) - enclosure_.rest_mm());
    if (!(out.lower_mm > 0)) out.lower_mm = deepest(v, std::max(0.0, -need_mm), out);
    return out;
  }

  void take(const Separation& gap, CellBound& out) {
    out.w = -enclosure_.solid().outward(gap.w).normalized();
    out.e = gap.e;
    if (gap.near) near_ = gap;
  }

  /// A triangle that stays clear of the points at least d deep is nowhere deeper than d. Finds the least such d by
  /// bisection from `least_mm`, and parameters at which it is about that deep.
  double deepest(const Corners3& v, double least_mm, CellBound& out) {
    if (clear(v, least_mm, out)) return -least_mm;
    double touched = least_mm, cleared = enclosure_.greatest_depth_mm();
    while (cleared - touched > query_.tolerance_mm) {
      const double middle = 0.5 * (touched + cleared);
      (clear(v, middle, out) ? cleared : touched) = middle;
    }
    return -cleared;
  }

  bool clear(const Corners3& v, double depth_mm, CellBound& out) {
    const auto core = enclosure_.solid().core(depth_mm);
    if (!core) return true;
    if (out.w.squaredNorm() > 0.5 && plane_gap(enclosure_, v, out.w, depth_mm) > enclosure_.rest_mm()) return true;
    if (query_.w.squaredNorm() > 0.5 && plane_gap(enclosure_, v, query_.w, depth_mm) > enclosure_.rest_mm())
      return true;
    const Separation gap = separation(corners_, enclosure_.solid().discs(*core), rest_mm_, 0.0);
    if (gap.near) take(gap, out);
    return gap.lower_mm >= rest_mm_;
  }

  const Impl& tree_;
  const Enclosure& enclosure_;
  const CellQuery& query_;
  MovingPoints corners_;
  double rest_mm_ = 0;
  std::optional<Separation> near_;
};

/// One search of a cell: what is nearest so far, and how the tree's kernels are told.
class CellSearch {
 public:
  CellSearch(const Impl& tree, const Enclosure& enclosure, const CellQuery& query)
      : tree_(tree), enclosure_(enclosure), query_(query), bounds_(tree, enclosure, query), kernel_(enclosure) {
    best_.lower_mm = query.limit_mm;
    note_limit();
    kernel_.add_plane(query.w);
  }

  CellBound run() {
    if (query_.first) look(*query_.first);
    const KernelVisit visit = [](void* at, std::uint32_t ref, double) {
      return static_cast<CellSearch*>(at)->visited(ref);
    };
    tree_kernels().near_moving(kernel_view(tree_), kernel_.view(),
                               tree_.slack(kernel_.reach_mm()) + kernel_.rounding_mm(), gap_limit(), visit, this);
    return best_;
  }

 private:
  /// Greatest gap of what may still matter.
  double gap_limit() const {
    if (-enclosure_.greatest_depth_mm() >= best_.lower_mm) return -std::numeric_limits<double>::infinity();
    return enclosure_.gap_for(best_.lower_mm);
  }
  double visited(std::uint32_t ref) {
    if (query_.first && ref == *query_.first) return gap_limit();
    // What the newest plane separates was not known when its box was looked at.
    if (kernel_.newest_gap_mm(corners_of(tree_, ref)) > enclosure_.gap_for(best_.lower_mm + tree_.radius_of(ref))) {
      return gap_limit();
    }
    look(ref);
    return gap_limit();
  }
  void look(std::uint32_t ref) {
    CellBound found = bounds_.of(ref, best_.lower_mm);
    const Vec3 w = found.w;
    if (found.lower_mm < best_.lower_mm) {
      best_ = found;
      best_.gain = bounds_.gain();
      note_limit();
    }
    kernel_.add_plane(w);
  }
  void note_limit() {
    const double depth_mm = depth_for(tree_, enclosure_, best_.lower_mm);
    if (depth_mm > kernel_.depth_mm()) kernel_.count_from_depth(depth_mm);
  }

  const Impl& tree_;
  const Enclosure& enclosure_;
  const CellQuery& query_;
  ReferenceBounds bounds_;
  MovingKernel kernel_;
  CellBound best_;
};

}  // namespace

CellBound bound_over_cell(const Impl& tree, const Enclosure& enclosure, const CellQuery& query) {
  if (tree.nodes.empty() || -enclosure.greatest_depth_mm() >= query.limit_mm) {
    CellBound out;
    out.lower_mm = query.limit_mm;
    return out;
  }
  return CellSearch(tree, enclosure, query).run();
}

Nearby value_of(const Impl& tree, const PlacedShape& shape, std::uint32_t ref, double enough_mm) {
  Nearby out;
  out.contact = contact_with(shape, corners_of(tree, ref), enough_mm + tree.radius_of(ref));
  out.source = tree.source[ref];
  out.distance_mm = out.contact.distance_mm;
  if (const double ball = tree.radius_of(ref); ball > 0) {
    out.distance_mm = std::max(out.distance_mm - ball, -depth_of(shape));
    const Vec3 away = out.contact.on_shape - out.contact.on_triangle;
    const double l = away.norm();
    if (l > 0) out.contact.on_triangle += std::copysign(ball, out.contact.distance_mm) / l * away;
    out.contact.distance_mm = out.distance_mm;
  }
  return out;
}

}  // namespace baywright
