#include "geometry/clearance/tree_search.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace baywright {
namespace {

using Impl = TriTree::Impl;

double depth_of(const PlacedShape& shape) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return s->radius_mm;
  if (const auto* s = std::get_if<SweptArc>(&shape)) return s->radius_mm;
  return ConeProfile(std::get<Cone>(shape)).greatest_depth_mm();
}

/// The shape cut into parts with a tight hull each (arcs), and that hull.
struct PlacedPart {
  PlacedShape shape;
  Target target;
};

std::vector<PlacedPart> parts_of(const PlacedShape& shape) {
  std::vector<PlacedPart> out;
  const auto add = [&](const PlacedShape& part, std::initializer_list<Hull::Node> nodes, bool flat) {
    PlacedPart p;
    p.shape = part;
    p.target.hull.nodes = nodes;
    p.target.hull.discs = flat;
    p.target.hull.finish();
    p.target.flat = flat;
    p.target.greatest_depth_mm = depth_of(part);
    p.target.radius_mm = flat ? 0 : p.target.greatest_depth_mm;
    out.push_back(std::move(p));
  };
  const Vec3 o = Vec3::Zero();
  if (const auto* s = std::get_if<Cylinder>(&shape)) {
    add(*s, {{s->a, o, o, 0, 0}, {s->b, o, o, 0, 0}}, false);
  } else if (const auto* arc = std::get_if<SweptArc>(&shape)) {
    const int count = 1 + static_cast<int>(arc->angle_rad / (0.25 * std::numbers::pi));
    for (int i = 0; i < count; ++i) {
      const double from = arc->angle_rad * i / count, angle = arc->angle_rad / count;
      SweptArc part = *arc;
      part.u = std::cos(from) * arc->u + std::sin(from) * arc->v;
      part.v = std::cos(from) * arc->v - std::sin(from) * arc->u;
      part.angle_rad = angle;
      const Vec3 crossing = part.center + (part.axis_point(0.5 * angle) - part.center) / std::cos(0.5 * angle);
      add(part, {{part.axis_point(0), o, o, 0, 0}, {crossing, o, o, 0, 0}, {part.axis_point(angle), o, o, 0, 0}},
          false);
    }
  } else {
    const Cone& c = std::get<Cone>(shape);
    const Vec3 n = (c.b - c.a).normalized(), x = any_perpendicular(n), y = n.cross(x);
    add(c, {{c.a, c.radius_a_mm * x, c.radius_a_mm * y, 0, 0}, {c.b, c.radius_b_mm * x, c.radius_b_mm * y, 0, 1}},
        true);
  }
  return out;
}

}  // namespace

Contact contact_with(const PlacedShape& shape, const Corners3& v) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return cylinder_to_triangle(*s, v);
  if (const auto* s = std::get_if<SweptArc>(&shape)) return arc_to_triangle(*s, v);
  return cone_to_triangle(std::get<Cone>(shape), v);
}

void bound_children(const Impl::Node& node, const Target& target, double limit_mm, double (&bound)[Impl::kWidth]) {
  const Aabb& box = target.hull.box;
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
    bound[i] = target.bound(std::sqrt(gap2[i]));
    if (node.child[i] == Impl::kNone || bound[i] > limit_mm) continue;
    const Vec3 lo(node.lo[0][i], node.lo[1][i], node.lo[2][i]), hi(node.hi[0][i], node.hi[1][i], node.hi[2][i]);
    const Vec3 c = 0.5 * (lo + hi);
    Vec3 w = c - target.hull.near(c);
    // From the box's point nearest to the hull rather than from its centre: long boxes are separated sideways.
    const Vec3 q = target.hull.near(c);
    w = q.cwiseMax(lo).cwiseMin(hi) - q;
    const double l = w.norm();
    if (!(l > 0)) continue;
    w /= l;
    const double box_near = w.dot(c) - 0.5 * w.cwiseAbs().dot(hi - lo);
    const double plane = target.bound(box_near - target.hull.reach(w));
    if (plane > bound[i]) bound[i] = plane;
  }
}

double quick_bound(const Target& target, const Corners3& v) {
  const Vec3 centroid = (v[0] + v[1] + v[2]) / 3.0;
  const Vec3 q = target.hull.near(centroid);
  Vec3 w = nearest_on_triangle(q, v) - q;
  const double l = w.norm();
  if (!(l > 0)) return -target.greatest_depth_mm;
  w /= l;
  return target.bound(std::min({w.dot(v[0]), w.dot(v[1]), w.dot(v[2])}) - target.hull.reach(w));
}

namespace {

/// Bound below zero for a flat-ended solid: a triangle that stays clear of the points at least d deep is nowhere deeper
/// than d. Finds the least such d by bisection from `least_mm`, and parameters at which it is about that deep.
double deepest_bound(const Target& target, const Corners3& v, double least_mm, double tolerance_mm, int parameters,
                     const std::function<std::optional<Target>(double)>& eroded, std::vector<double>& e) {
  const auto clear = [&](double depth_mm) {
    const std::optional<Target> core = eroded(depth_mm);
    if (!core) return true;
    const Separation gap = separation(core->hull, v, core->hull.rest_mm, 0.0, parameters);
    if (gap.lower_mm >= core->hull.rest_mm) return true;
    if (!gap.e.empty()) e = gap.e;
    return false;
  };
  if (clear(least_mm)) return -least_mm;
  double touched = least_mm, cleared = target.greatest_depth_mm;
  while (cleared - touched > tolerance_mm) {
    const double middle = 0.5 * (touched + cleared);
    (clear(middle) ? cleared : touched) = middle;
  }
  return -cleared;
}

/// Lower bound over the cell for one reference, at most `limit_mm` of effort.
CellBound bound_of_reference(const Impl& tree, const Target& target, std::uint32_t ref, double limit_mm,
                             double tolerance_mm, int parameters,
                             const std::function<std::optional<Target>(double)>& eroded) {
  const Corners3 v = corners_of(tree, ref);
  const double ball = tree.radius_of(ref), need = limit_mm + ball;
  CellBound out;
  out.ref = ref;
  const double enough = need + target.radius_mm + target.hull.rest_mm;
  const Separation gap = separation(target.hull, v, std::max(enough, target.hull.rest_mm), tolerance_mm, parameters);
  out.e = gap.e;
  double bound = target.bound(gap.lower_mm);
  if (target.flat && !(bound > 0)) {
    bound = deepest_bound(target, v, std::max(0.0, -need), tolerance_mm, parameters, eroded, out.e);
  }
  out.lower_mm = bound - ball;
  if (!(out.lower_mm > -target.greatest_depth_mm)) out.lower_mm = -target.greatest_depth_mm;  // not a number: unknown
  return out;
}

}  // namespace

CellBound bound_over_cell(const Impl& tree, const Target& target, double limit_mm, double tolerance_mm, int parameters,
                          const std::function<std::optional<Target>(double)>& eroded) {
  CellBound best;
  best.lower_mm = limit_mm;
  double limit = limit_mm;
  if (-target.greatest_depth_mm >= limit_mm) return best;
  search(tree, target, limit, [&](std::uint32_t ref) {
    if (quick_bound(target, corners_of(tree, ref)) - tree.radius_of(ref) > limit) return;
    CellBound found = bound_of_reference(tree, target, ref, limit, tolerance_mm, parameters, eroded);
    if (!(found.lower_mm < best.lower_mm)) return;
    best = std::move(found);
    limit = best.lower_mm;
  });
  return best;
}

Nearby value_of(const Impl& tree, const PlacedShape& shape, std::uint32_t ref) {
  Nearby out;
  out.contact = contact_with(shape, corners_of(tree, ref));
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

std::optional<Nearby> nearest_to(const Impl& tree, const PlacedShape& shape, double limit_mm) {
  std::optional<Nearby> best;
  double limit = limit_mm;
  for (const PlacedPart& part : parts_of(shape)) {
    search(tree, part.target, limit, [&](std::uint32_t ref) {
      if (quick_bound(part.target, corners_of(tree, ref)) - tree.radius_of(ref) > limit) return;
      const Nearby found = value_of(tree, part.shape, ref);
      if (!(found.distance_mm <= limit)) return;
      if (best && found.distance_mm == best->distance_mm && found.source >= best->source) return;
      best = found;
      limit = found.distance_mm;
    });
  }
  return best;
}

void collect_within(const Impl& tree, const PlacedShape& shape, double limit_mm, std::vector<std::uint32_t>& sources) {
  double limit = limit_mm;
  for (const PlacedPart& part : parts_of(shape)) {
    search(tree, part.target, limit, [&](std::uint32_t ref) {
      if (quick_bound(part.target, corners_of(tree, ref)) - tree.radius_of(ref) > limit) return;
      if (value_of(tree, part.shape, ref).distance_mm <= limit) sources.push_back(tree.source[ref]);
    });
  }
}

}  // namespace baywright
