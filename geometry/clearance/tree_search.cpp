#include "geometry/clearance/tree_search.hpp"

#include <algorithm>
#include <cmath>

namespace baywright {
namespace {

using Impl = TriTree::Impl;

double depth_of(const PlacedShape& shape) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return s->radius_mm;
  if (const auto* s = std::get_if<SweptArc>(&shape)) return s->radius_mm;
  return ConeProfile(std::get<Cone>(shape)).greatest_depth_mm();
}

/// Whether a triangle is certainly not nearer than the limit, by planes that are known or quickly guessed.
bool ruled_out(const Impl& tree, const Enclosure& enclosure, const KnownPlanes& planes, const Corners3& v, double ball,
               double limit_mm) {
  const double enough = enclosure.gap_for(limit_mm + ball);
  return planes.gap(v) > enough || quick_gap(enclosure, v, depth_for(tree, enclosure, limit_mm)) > enough;
}

}  // namespace

Contact contact_with(const PlacedShape& shape, const Corners3& v, double enough_mm) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return cylinder_to_triangle(*s, v);
  if (const auto* s = std::get_if<SweptArc>(&shape)) return arc_to_triangle(*s, v, enough_mm);
  return cone_to_triangle(std::get<Cone>(shape), v, enough_mm);
}

void gaps_of_children(const Impl::Node& node, const Enclosure& enclosure, const KnownPlanes& planes, double enough_mm,
                      double depth_mm, double (&gap)[Impl::kWidth]) {
  const Aabb& box = enclosure.box();
  double gap2[Impl::kWidth] = {};
  for (int k = 0; k < 3; ++k) {
    const double lo = box.lo[k], hi = box.hi[k];
    for (int i = 0; i < Impl::kWidth; ++i) {
      const double out =
          std::max(std::max(static_cast<double>(node.lo[k][i]) - hi, lo - static_cast<double>(node.hi[k][i])), 0.0);
      gap2[i] += out * out;
    }
  }
  for (int i = 0; i < Impl::kWidth; ++i) {
    gap[i] = std::sqrt(gap2[i]);
    if (node.child[i] == Impl::kNone || gap[i] > enough_mm) continue;
    const Vec3 lo(node.lo[0][i], node.lo[1][i], node.lo[2][i]), hi(node.hi[0][i], node.hi[1][i], node.hi[2][i]);
    const Vec3 c = 0.5 * (lo + hi), half = 0.5 * (hi - lo);
    gap[i] = std::max(gap[i], planes.gap(c, half));
    if (gap[i] > enough_mm) continue;
    // From the box's point nearest to the hull rather than from its centre: long boxes are separated sideways.
    const Vec3 q = enclosure.near(c);
    Vec3 w = q.cwiseMax(lo).cwiseMin(hi) - q;
    const double l = w.norm();
    if (!(l > 0)) continue;
    w /= l;
    const double plane = w.dot(c) - w.cwiseAbs().dot(half) - enclosure.reach(w, depth_mm);
    if (plane > gap[i]) gap[i] = plane;
  }
}

double quick_gap(const Enclosure& enclosure, const Corners3& v, double depth_mm) {
  const Vec3 centroid = (v[0] + v[1] + v[2]) / 3.0;
  const Vec3 q = enclosure.near(centroid);
  Vec3 w = nearest_on_triangle(q, v) - q;
  const double l = w.norm();
  if (!(l > 0)) return -std::numeric_limits<double>::infinity();
  w /= l;
  return std::min({w.dot(v[0]), w.dot(v[1]), w.dot(v[2])}) - enclosure.reach(w, depth_mm);
}

namespace {

double plane_gap(const Enclosure& enclosure, const Corners3& v, const Vec3& w, double depth_mm) {
  return std::min({w.dot(v[0]), w.dot(v[1]), w.dot(v[2])}) - enclosure.reach(w, depth_mm);
}

/// Bounds of single references over a cell; keeps its working room.
class ReferenceBounds {
 public:
  ReferenceBounds(const Impl& tree, const Enclosure& enclosure, const CellQuery& query)
      : tree_(tree), enclosure_(enclosure), query_(query) {}

  /// Exact as far as it matters: at least `limit_mm` or the reference's own bound.
  CellBound of(std::uint32_t ref, double limit_mm) {
    const Corners3 v = corners_of(tree_, ref);
    const double ball = tree_.radius_of(ref);
    CellBound out = enclosure_.flat() ? flat(v, limit_mm + ball) : tube(v, limit_mm + ball);
    out.ref = ref;
    out.lower_mm -= ball;
    // Not a number: nothing is known.
    if (!(out.lower_mm > -enclosure_.greatest_depth_mm())) out.lower_mm = -enclosure_.greatest_depth_mm();
    return out;
  }

 private:
  CellBound tube(const Corners3& v, double need_mm) const {
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
    if (gap.near) out.gain = gain_at(enclosure_.axis(), gap, enclosure_.rest_mm(), query_.arc);
    return out;
  }

  CellBound flat(const Corners3& v, double need_mm) {
    rest_mm_ = enclosure_.solid().carry_back(v, corners_);
    CellBound out;
    const auto whole = enclosure_.solid().core(0);
    const Separation gap =
        separation(corners_, enclosure_.solid().discs(*whole), std::max(need_mm, 0.0) + rest_mm_, query_.tolerance_mm);
    take(gap, out);
    out.lower_mm = std::max(gap.lower_mm - rest_mm_, plane_gap(enclosure_, v, out.w, 0) - enclosure_.rest_mm());
    if (!(out.lower_mm > 0)) out.lower_mm = deepest(v, std::max(0.0, -need_mm), out);
    return out;
  }

  void take(const Separation& gap, CellBound& out) const {
    out.w = -enclosure_.solid().outward(gap.w).normalized();
    out.e = gap.e;
    if (gap.near) out.gain = gain_at(corners_, gap, rest_mm_, false);
    out.gain.along_axis = 0;  // it is the triangle that moves, and that stays whole
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
    if (plane_gap(enclosure_, v, out.w, depth_mm) > enclosure_.rest_mm()) return true;
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
};

}  // namespace

CellBound bound_over_cell(const Impl& tree, const Enclosure& enclosure, const CellQuery& query) {
  CellBound best;
  best.lower_mm = query.limit_mm;
  if (-enclosure.greatest_depth_mm() >= query.limit_mm) return best;
  double limit = query.limit_mm;
  KnownPlanes planes;
  ReferenceBounds bounds(tree, enclosure, query);
  const auto remember = [&](const Vec3& w) {
    if (w.squaredNorm() > 0.5) planes.add(w, enclosure.reach(w, depth_for(tree, enclosure, limit)));
  };
  const auto look = [&](std::uint32_t ref) {
    CellBound found = bounds.of(ref, limit);
    if (found.lower_mm < best.lower_mm) {
      best = found;
      limit = best.lower_mm;
    }
    remember(found.w);
  };
  remember(query.w);
  if (query.first) look(*query.first);
  search(tree, enclosure, planes, limit, [&](std::uint32_t ref) {
    if (query.first && ref == *query.first) return;
    if (-enclosure.greatest_depth_mm() >= limit) return;
    if (!ruled_out(tree, enclosure, planes, corners_of(tree, ref), tree.radius_of(ref), limit)) look(ref);
  });
  return best;
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
