#pragma once

// The kernels' one source; see tree_kernels.hpp. Included by one file per instruction set, which names its namespace.
// Nothing of the standard library is used here: an inline function of it, compiled for the wider set, might become the
// program's only copy.
#include "geometry/clearance/eight_floats.hpp"
#include "geometry/clearance/tree_kernels.hpp"

namespace baywright::BAYWRIGHT_KERNEL_NAMESPACE {

using Impl = TriTree::Impl;

// The tree's own functions over again, for the same reason.
inline bool is_leaf(std::uint32_t code) { return (code & Impl::kLeafBit) != 0; }
inline int leaf_count(std::uint32_t code) { return static_cast<int>((code >> 28U) & 7U) + 1; }
inline std::uint32_t leaf_begin(std::uint32_t code) { return code & 0x0FFFFFFFU; }

struct Triangles {
  V8 a, b, c;
};

/// About the nearest points of eight triangles to the origin (Ericson 2005, section 5.1.5, without branches). Only
/// where to look along: bounds hold for any direction.
inline V8 about_nearest(const Triangles& t) {
  const F8 zero = all(0.0F), one = all(1.0F);
  const V8 ab = t.b - t.a, ac = t.c - t.a;
  const F8 d1 = zero - dot(ab, t.a), d2 = zero - dot(ac, t.a), d3 = zero - dot(ab, t.b), d4 = zero - dot(ac, t.b),
           d5 = zero - dot(ab, t.c), d6 = zero - dot(ac, t.c);
  const F8 va = d3 * d6 - d5 * d4, vb = d5 * d2 - d1 * d6, vc = d1 * d4 - d3 * d2;
  const F8 scale = one / (va + vb + vc);
  F8 v = vb * scale, w = vc * scale;
  const F8 to_b = d4 - d3, to_c = d5 - d6;
  const F8 on_bc = (va <= zero) & (zero <= to_b) & (zero <= to_c);
  const F8 t_bc = to_b / (to_b + to_c);
  v = where(on_bc, one - t_bc, v);
  w = where(on_bc, t_bc, w);
  const F8 on_ac = (vb <= zero) & (zero <= d2) & (d6 <= zero);
  v = where(on_ac, zero, v);
  w = where(on_ac, d2 / (d2 - d6), w);
  const F8 on_ab = (vc <= zero) & (zero <= d1) & (d3 <= zero);
  v = where(on_ab, d1 / (d1 - d3), v);
  w = where(on_ab, zero, w);
  const F8 at_a = (d1 <= zero) & (d2 <= zero), at_b = (zero <= d3) & (d4 <= d3), at_c = (zero <= d6) & (d5 <= d6);
  v = where(at_a, zero, where(at_b, one, where(at_c, zero, v)));
  w = where(at_a, zero, where(at_b, zero, where(at_c, one, w)));
  return times_plus(v, ab, times_plus(w, ac, t.a));
}

/// Eight boxes of a node.
struct Boxes {
  V8 lo, hi;
  explicit Boxes(const Impl::Node& n)
      : lo{load(n.lo[0]), load(n.lo[1]), load(n.lo[2])}, hi{load(n.hi[0]), load(n.hi[1]), load(n.hi[2])} {}
};

struct Point {
  V8 p;

  F8 gap(const Boxes& box, const F8&) const {
    const F8 zero = all(0.0F);
    const V8 lo = box.lo - p, hi = p - box.hi;
    const V8 out{greatest(greatest(lo.x, hi.x), zero), greatest(greatest(lo.y, hi.y), zero),
                 greatest(greatest(lo.z, hi.z), zero)};
    return root(dot(out, out));
  }
  /// A plane from p towards each triangle: no corner is nearer than the nearest along it.
  F8 gap(const Triangles& t, const F8&) const {
    const Triangles r{t.a - p, t.b - p, t.c - p};
    const V8 q = about_nearest(r);
    return least(least(dot(q, r.a), dot(q, r.b)), dot(q, r.c)) / root(dot(q, q));
  }
};

/// Least w.x over boxes, for unit w.
inline F8 along(const V8& w, const Boxes& box) {
  const F8 zero = all(0.0F);
  const auto side = [&](const F8& s, const F8& l, const F8& h) { return s * where(s > zero, l, h); };
  return side(w.x, box.lo.x, box.hi.x) + side(w.y, box.lo.y, box.hi.y) + side(w.z, box.lo.z, box.hi.z);
}

/// The parts that shapes have in common; `Axis` gives a point near p, from which to look towards it, and the reach
/// along a direction.
template <class Axis>
struct Solid {
  Axis axis;

  F8 gap(const Boxes& box, const F8&) const {
    const F8 half = all(0.5F);
    V8 at = clamped(axis.near(half * (box.lo + box.hi)), box.lo, box.hi);
    at = clamped(axis.near(at), box.lo, box.hi);
    const V8 from = axis.near(at);
    V8 w = at - from;
    w = (all(1.0F) / root(dot(w, w))) * w;
    return along(w, box) - axis.reach(w);
  }
  F8 gap(const Triangles& t, const F8&) const {
    const V8 q = axis.near(all(0.33333334F) * (t.a + (t.b + t.c)));
    const V8 at = q + about_nearest({t.a - q, t.b - q, t.c - q});
    V8 w = at - axis.near(at);
    w = (all(1.0F) / root(dot(w, w))) * w;
    return least(least(dot(w, t.a), dot(w, t.b)), dot(w, t.c)) - axis.reach(w);
  }
};

struct Segment {
  V8 a, b, d;
  F8 scale;  ///< 1 / |d|^2
  explicit Segment(const KernelShape& s) : a(all(s.a)), b(all(s.b)), d(b - a), scale(all(0.0F)) {
    const F8 l2 = dot(d, d);
    scale = where(l2 > all(0.0F), all(1.0F) / l2, all(0.0F));
  }
  V8 near(const V8& p) const { return times_plus(clamped(dot(p - a, d) * scale, all(0.0F), all(1.0F)), d, a); }
  F8 reach(const V8& w) const { return greatest(dot(w, a), dot(w, b)); }
};

struct Arc {
  V8 a, b, center, u, v;
  F8 cosine, sine, half_cosine, half_sine, scale_u, scale_v;
  explicit Arc(const KernelShape& s)
      : a(all(s.a)),
        b(all(s.b)),
        center(all(s.center)),
        u(all(s.u)),
        v(all(s.v)),
        cosine(all(s.cosine)),
        sine(all(s.sine)),
        half_cosine(all(s.half_cosine)),
        half_sine(all(s.half_sine)),
        scale_u(all(1.0F) / dot(u, u)),
        scale_v(all(1.0F) / dot(v, v)) {}
  V8 near(const V8& p) const {
    const F8 zero = all(0.0F);
    const F8 x = dot(p - center, u) * scale_u, y = dot(p - center, v) * scale_v;
    const F8 l = all(1.0F) / root(x * x + y * y);
    const F8 inside = (zero <= y) & (y * cosine <= x * sine) & (zero <= x * half_cosine + y * half_sine);
    const F8 late = y * half_cosine > x * half_sine;
    const F8 c = where(inside, x * l, where(late, cosine, all(1.0F)));
    const F8 s = where(inside, y * l, where(late, sine, zero));
    return times_plus(c, u, times_plus(s, v, center));
  }
  F8 reach(const V8& w) const {
    const F8 wu = dot(w, u), wv = dot(w, v);
    const F8 ends = greatest(dot(w, a), dot(w, b));
    // Rising at the start and falling at the end: the arc turns over between them.
    const F8 between = (all(0.0F) <= wv) & (wv * cosine <= wu * sine);
    return where(between, dot(w, center) + root(wu * wu + wv * wv), ends);
  }
};

/// About the nearest point of a flat-ended solid with the axis direction n, from which to look towards p.
inline V8 near_discs(const V8& a, const V8& n, const F8& length, const F8& radius_a, const F8& radius_b, const V8& p) {
  const F8 zero = all(0.0F), one = all(1.0F), climb = radius_b - radius_a;
  const V8 off = p - a;
  const F8 z = dot(off, n);
  const V8 across = off - z * n;
  const F8 q = root(dot(across, across));
  const F8 share = ((q - radius_a) * climb + z * length) / greatest(climb * climb + length * length, all(1e-30F));
  const F8 t = clamped(share, zero, one), side = times_plus(t, climb, radius_a);
  const F8 beside = q > side;  // else behind an end, or inside
  const F8 scale = where(beside, side / q, one), at = where(beside, t * length, clamped(z, zero, length));
  return times_plus(at, n, times_plus(scale, across, a));
}

struct Discs {
  Segment axis;
  V8 n;
  F8 length, radius_a, radius_b;
  explicit Discs(const KernelShape& s)
      : axis(s), n(all(s.n)), length(root(dot(axis.d, axis.d))), radius_a(all(s.radius_a)), radius_b(all(s.radius_b)) {}
  V8 near(const V8& p) const { return near_discs(axis.a, n, length, radius_a, radius_b, p); }
  F8 reach(const V8& w) const {
    const F8 along = dot(w, n);
    const F8 across = root(greatest(all(1.0F) - along * along, all(0.0F)) + all(2e-6F));  // the sums round: 18 / 2^24
    return greatest(dot(w, axis.a) + radius_a * across, dot(w, axis.b) + radius_b * across);
  }
};

struct Brick {
  V8 center, u, v, n;
  F8 half_u, half_v, half_n;
  explicit Brick(const KernelShape& s)
      : center(all(s.center)),
        u(all(s.u)),
        v(all(s.v)),
        n(all(s.n)),
        half_u(all(s.half[0])),
        half_v(all(s.half[1])),
        half_n(all(s.half[2])) {}
  V8 near(const V8& p) const {
    const V8 off = p - center;
    const auto along = [&](const V8& e, const F8& half) { return clamped(dot(off, e), all(0.0F) - half, half); };
    return times_plus(along(u, half_u), u, times_plus(along(v, half_v), v, times_plus(along(n, half_n), n, center)));
  }
  F8 reach(const V8& w) const {
    return dot(w, center) + half_u * size(dot(w, u)) + half_v * size(dot(w, v)) + half_n * size(dot(w, n));
  }
};

/// A side of a triangle and the corner opposite to it.
struct Side {
  V8 from, along, third;
};
inline Side longest_side(const Triangles& t) {
  const V8 ab = t.b - t.a, ac = t.c - t.a, bc = t.c - t.b;
  const F8 l_ab = dot(ab, ab), l_ac = dot(ac, ac), l_bc = dot(bc, bc);
  const F8 ac_longer = l_ac > l_ab, bc_longest = l_bc > greatest(l_ab, l_ac);
  const auto one = [&](const F8& x, const F8& y, const F8& z) { return where(bc_longest, z, where(ac_longer, y, x)); };
  const auto chosen = [&](const V8& x, const V8& y, const V8& z) {
    return V8{one(x.x, y.x, z.x), one(x.y, y.y, z.y), one(x.z, y.z, z.z)};
  };
  return {chosen(t.a, t.a, t.b), chosen(ab, ac, bc), chosen(t.c, t.b, t.a)};
}

/// Flat-ended rounds: across the longest side of a sliver too, of which a plane that is a little aslant to it says
/// nothing.
struct DiscsSolid {
  Solid<Discs> solid;

  F8 gap(const Boxes& box, const F8& enough) const { return solid.gap(box, enough); }
  F8 gap(const Triangles& t, const F8& enough) const {
    const F8 best = solid.gap(t, enough);
    if (bits(best > enough) == 0xFFU) return best;
    const F8 more = across_longest(t);
    return where(more > best, more, best);  // of what is not a number nothing is known
  }

 private:
  F8 across_longest(const Triangles& t) const {
    const Discs& d = solid.axis;
    const F8 zero = all(0.0F), one = all(1.0F), tiny = all(1e-30F);
    const Side side = longest_side(t);
    const V8& e = side.along;
    const F8 scale = one / greatest(dot(e, e), tiny);
    const auto nearest = [&](const V8& q) {
      return times_plus(clamped(dot(q - side.from, e) * scale, zero, one), e, side.from);
    };
    V8 at = nearest(all(0.5F) * (d.axis.a + d.axis.b));
    for (int again = 0; again < 2; ++again) at = nearest(d.near(at));
    V8 w = at - d.near(at);
    w = w - (dot(w, e) * scale) * e;
    w = (one / root(dot(w, w))) * w;
    return least(least(dot(w, t.a), dot(w, t.b)), dot(w, t.c)) - d.reach(w);
  }
};

/// A box. Triangles are looked at in its own frame, where a plane's reach is a sum and the nearest point a clamp; the
/// turn rounds by less than the slack leaves. The cheapest planes first: along the box's sides, towards the nearest
/// point, and across the longest side of a sliver, of which the others say nothing.
struct BrickSolid {
  Solid<Brick> solid;

  F8 gap(const Boxes& box, const F8& enough) const { return solid.gap(box, enough); }
  F8 gap(const Triangles& t, const F8& enough) const {
    const Triangles own{into(t.a), into(t.b), into(t.c)};
    const F8 spans = along_sides(own);
    if (bits(spans > enough) == 0xFFU) return spans;
    const F8 best = greatest(towards_nearest(own), spans);  // what is not a number gives way to the second
    if (bits(best > enough) == 0xFFU) return best;
    return greatest(across_longest(own), best);
  }

 private:
  V8 into(const V8& p) const {
    const V8 off = p - solid.axis.center;
    return {dot(off, solid.axis.u), dot(off, solid.axis.v), dot(off, solid.axis.n)};
  }
  V8 near(const V8& p) const {
    const F8 zero = all(0.0F);
    const Brick& b = solid.axis;
    return {clamped(p.x, zero - b.half_u, b.half_u), clamped(p.y, zero - b.half_v, b.half_v),
            clamped(p.z, zero - b.half_n, b.half_n)};
  }
  F8 reach(const V8& w) const {
    return times_plus(solid.axis.half_u, size(w.x),
                      times_plus(solid.axis.half_v, size(w.y), solid.axis.half_n * size(w.z)));
  }
  F8 beyond(const Triangles& t, const V8& w) const {
    return least(least(dot(w, t.a), dot(w, t.b)), dot(w, t.c)) - reach(w);
  }

  F8 along_sides(const Triangles& t) const {
    const F8 zero = all(0.0F);
    const auto beside = [&](const F8& x, const F8& y, const F8& z, const F8& half) {
      return greatest(greatest(least(least(x, y), z), zero - greatest(greatest(x, y), z)) - half, zero);
    };
    const F8 u = beside(t.a.x, t.b.x, t.c.x, solid.axis.half_u), v = beside(t.a.y, t.b.y, t.c.y, solid.axis.half_v),
             n = beside(t.a.z, t.b.z, t.c.z, solid.axis.half_n);
    return root(u * u + v * v + n * n);
  }
  F8 towards_nearest(const Triangles& t) const {
    const V8 q = near(all(0.33333334F) * (t.a + (t.b + t.c)));
    const V8 at = q + about_nearest({t.a - q, t.b - q, t.c - q});
    V8 w = at - near(at);
    w = (all(1.0F) / root(dot(w, w))) * w;
    return beyond(t, w);
  }
  F8 across_longest(const Triangles& t) const {
    const Side side = longest_side(t);
    const V8 &e = side.along, &p = side.from, &r = side.third;
    const F8 zero = all(0.0F), one = all(1.0F), tiny = all(1e-30F);
    // Across the side and one edge of the box: where two edges are nearest, one of these three planes tells exactly.
    const auto across = [&](const F8& wx, const F8& wy, const F8& px, const F8& py, const F8& rx, const F8& ry,
                            const F8& half_x, const F8& half_y) {
      const F8 at_p = times_plus(wx, px, wy * py), at_r = times_plus(wx, rx, wy * ry);
      const F8 out = greatest(least(at_p, at_r), zero - greatest(at_p, at_r));
      return (out - times_plus(half_x, size(wx), half_y * size(wy))) / root(greatest(wx * wx + wy * wy, tiny));
    };
    const Brick& b = solid.axis;
    F8 best = across(e.z, zero - e.y, p.y, p.z, r.y, r.z, b.half_v, b.half_n);
    best = greatest(across(e.z, zero - e.x, p.x, p.z, r.x, r.z, b.half_u, b.half_n), best);
    best = greatest(across(e.y, zero - e.x, p.x, p.y, r.x, r.y, b.half_u, b.half_v), best);
    // A corner of the box and the side.
    const F8 scale = one / greatest(dot(e, e), tiny);
    V8 at = times_plus(clamped(zero - dot(p, e) * scale, zero, one), e, p);
    for (int again = 0; again < 2; ++again) {
      at = times_plus(clamped(dot(near(at) - p, e) * scale, zero, one), e, p);
    }
    V8 w = at - near(at);
    w = w - (dot(w, e) * scale) * e;
    w = (one / root(dot(w, w))) * w;
    return greatest(beyond(t, w), best);
  }
};

/// max over e in [-1, 1] of a e + b e^2.
inline F8 highest(const F8& a, const F8& b) {
  const F8 size_a = size(a), four = all(-4.0F) * b;
  const F8 turns_over = all(2.0F) * size_a <= four;  // never with b > 0; with both zero either is right
  return where(turns_over, a * a / greatest(four, all(1e-30F)), size_a + b);
}

/// Points that move with parameters; see KernelMoving.
struct Moving {
  const KernelMoving& m;
  Segment middle;
  F8 length;

  static KernelShape chord(const KernelMoving& m) {
    KernelShape s;
    for (int k = 0; k < 3; ++k) {
      s.a[k] = m.center[0][k];
      s.b[k] = m.center[m.points - 1][k];
    }
    return s;
  }
  explicit Moving(const KernelMoving& moving)
      : m(moving), middle(chord(moving)), length(root(dot(middle.d, middle.d))) {}

  V8 near(const V8& p) const {
    if (!m.discs) return middle.near(p);
    return near_discs(middle.a, all(m.axis), length, all(m.radius[0]), all(m.radius[1]), p);
  }
  F8 reach(const V8& w) const {
    const int each = m.parameters + m.pairs;
    F8 best = all(-1e30F);
    if (!m.discs) {
      for (int i = 0; i < m.points; ++i) {
        const float* term = m.terms + 3 * static_cast<std::size_t>(i * each);
        const auto projected = [&](int j) { return dot(w, all(term + 3 * j)); };
        best = greatest(best, dot(w, all(m.center[i])) + support(projected));
      }
      return best;
    }
    // FlatSolid::reach: any m > 0 will do for the bound of the root.
    const F8 zero = all(0.0F), s = dot(w, all(m.axis));
    const F8 across2 = greatest(all(1.0F) - s * s, zero) + all(2e-6F);  // the sums round: 18 / 2^24
    const F8 mean = greatest(root(across2), all(m.axis_size));
    const F8 swell = (across2 + mean * mean) / (mean + mean), tilt = s / mean;
    const float* turn = m.terms + 3 * static_cast<std::size_t>(2 * each);
    F8 turned[KernelMoving::kMostTerms];
    for (int j = 0; j < each; ++j) turned[j] = dot(w, all(turn + 3 * j));
    for (int i = 0; i < 2; ++i) {
      const F8 radius = all(m.radius[i]), inward = all(i == 0 ? m.inward : -m.inward);
      const F8 lean = inward - radius * tilt;
      const float* term = m.terms + 3 * static_cast<std::size_t>(i * each);
      const auto projected = [&](int j) { return times_plus(lean, turned[j], dot(w, all(term + 3 * j))); };
      const F8 fixed = dot(w, all(m.center[i])) + inward * s + radius * swell + size(lean) * all(m.axis_rest);
      best = greatest(best, fixed + support(projected));
    }
    return best;
  }

 private:
  /// support_of_terms() of moving_points.hpp.
  template <class Projected>
  F8 support(const Projected& projected) const {
    F8 bend[KernelMoving::kMostParameters];
    for (int k = 0; k < m.parameters; ++k) bend[k] = all(0.0F);
    for (int j = 0; j < m.pairs; ++j) {
      const int k = m.pair[2 * j], l = m.pair[2 * j + 1];
      const F8 term = projected(m.parameters + j);
      if (k == l) {
        bend[k] = bend[k] + term;
      } else {
        const F8 share = all(0.5F) * size(term);
        bend[k] = bend[k] + share;
        bend[l] = bend[l] + share;
      }
    }
    F8 sum = all(0.0F);
    for (int k = 0; k < m.parameters; ++k) sum = sum + highest(projected(k), bend[k]);
    return sum;
  }
};

/// A moving solid: what is cheap first, and its reach only where that leaves something.
struct MovingSolid {
  Solid<Moving> solid;

  /// What meets the solid has no gap: the nearer to its axis, the earlier it is looked at. Only an order, all of it is.
  F8 deepest_first(const F8& gap, const V8& p) const {
    const V8 off = p - solid.axis.middle.near(p);
    const F8 zero = all(0.0F),
             depth = root(dot(off, off)) - greatest(all(solid.axis.m.radius[0]), all(solid.axis.m.radius[1]));
    return where(gap > zero, gap, least(depth, zero));
  }

  F8 gap(const Boxes& box, const F8& enough) const {
    const KernelMoving& m = solid.axis.m;
    const F8 zero = all(0.0F);
    const V8 a = box.lo - all(m.hi), b = all(m.lo) - box.hi;
    const V8 out{greatest(greatest(a.x, b.x), zero), greatest(greatest(a.y, b.y), zero),
                 greatest(greatest(a.z, b.z), zero)};
    F8 best = root(dot(out, out));
    for (int i = 0; i < m.planes; ++i) best = greatest(along(all(m.plane[i]), box) - all(m.plane_reach[i]), best);
    if (bits(best > enough) == 0xFFU) return best;
    best = greatest(solid.gap(box, enough), best);  // what is not a number gives way to the second
    return m.discs ? deepest_first(best, all(0.5F) * (box.lo + box.hi)) : best;
  }
  F8 gap(const Triangles& t, const F8& enough) const {
    const KernelMoving& m = solid.axis.m;
    F8 best = all(-1e30F);
    for (int i = 0; i < m.planes; ++i) {
      const V8 w = all(m.plane[i]);
      best = greatest(least(least(dot(w, t.a), dot(w, t.b)), dot(w, t.c)) - all(m.plane_reach[i]), best);
    }
    if (bits(best > enough) == 0xFFU) return best;
    best = greatest(solid.gap(t, enough), best);
    return m.discs ? deepest_first(best, all(0.33333334F) * (t.a + (t.b + t.c))) : best;
  }
};

/// A limit below this ends a search: nothing else is looked at, not even what is not a number.
constexpr double kStop = -1e30;

struct Waiting {
  float gap;
  std::uint32_t code;
};

template <class Query>
inline double leaf(const KernelTree& tree, const Query& query, std::uint32_t code, float slack, double limit_mm,
                   KernelVisit visit, void* context) {
  const std::uint32_t begin = leaf_begin(code);
  const int count = leaf_count(code);
  const std::uint32_t* corner = tree.corner + 3 * static_cast<std::size_t>(begin);
  Triangles t;
  t.a = gathered(tree.vertices, corner, 3, count);
  t.b = tree.radius ? t.a : gathered(tree.vertices, corner + 1, 3, count);
  t.c = tree.radius ? t.a : gathered(tree.vertices, corner + 2, 3, count);
  float gap[8];
  store(query.gap(t, all(static_cast<float>(limit_mm) + slack)), gap);
  if (tree.radius) {
    for (int i = 0; i < count; ++i) gap[i] -= tree.radius[corner[3 * i]];
  }
  unsigned left = (1U << static_cast<unsigned>(count)) - 1U;
  while (left != 0) {
    int next = -1;  // the nearest first: it lowers the limit for the others
    for (int i = 0; i < count; ++i) {
      if ((left >> static_cast<unsigned>(i) & 1U) == 0) continue;
      if (gap[i] > static_cast<float>(limit_mm) + slack) {
        left &= ~(1U << static_cast<unsigned>(i));
      } else if (next < 0 || gap[i] < gap[next]) {
        next = i;
      }
    }
    if (next < 0) break;
    left &= ~(1U << static_cast<unsigned>(next));
    limit_mm = visit(context, begin + static_cast<std::uint32_t>(next), limit_mm);
    if (limit_mm < kStop) break;
  }
  return limit_mm;
}

template <class Query>
inline void search(const KernelTree& tree, const Query& query, double slack_mm, double limit_mm, KernelVisit visit,
                   void* context) {
  const auto slack = static_cast<float>(slack_mm);
  Waiting stack[Impl::kStack];
  int top = 0;
  stack[top++] = {-1e30F, 0};
  while (top > 0) {
    const Waiting now = stack[--top];
    const float enough = static_cast<float>(limit_mm) + slack;
    if (now.gap > enough) continue;
    if (is_leaf(now.code)) {
      limit_mm = leaf(tree, query, now.code, slack, limit_mm, visit, context);
      if (limit_mm < kStop) return;
      continue;
    }
    const Impl::Node& node = tree.nodes[now.code];
    const F8 gaps = query.gap(Boxes(node), all(enough));
    unsigned open = ~bits(gaps > all(enough)) & 0xFFU;
    float gap[8];
    store(gaps, gap);
    const int first = top;
    for (; open != 0; open &= open - 1) {
      const int i = __builtin_ctz(open);
      if (node.child[i] == Impl::kNone) continue;
      int at = top++;  // nearest last, so that it is looked at first
      for (; at > first && stack[at - 1].gap < gap[i]; --at) stack[at] = stack[at - 1];
      stack[at] = {gap[i], node.child[i]};
    }
  }
}

inline void near_point(const KernelTree& tree, const float* p, double slack_mm, double limit_mm, KernelVisit visit,
                       void* context) {
  search(tree, Point{all(p)}, slack_mm, limit_mm, visit, context);
}

inline void near_shape(const KernelTree& tree, const KernelShape& shape, double slack_mm, double limit_mm,
                       KernelVisit visit, void* context) {
  switch (shape.kind) {
    case KernelShape::Kind::segment:
      return search(tree, Solid<Segment>{Segment(shape)}, slack_mm, limit_mm, visit, context);
    case KernelShape::Kind::arc:
      return search(tree, Solid<Arc>{Arc(shape)}, slack_mm, limit_mm, visit, context);
    case KernelShape::Kind::discs:
      return search(tree, DiscsSolid{{Discs(shape)}}, slack_mm, limit_mm, visit, context);
    case KernelShape::Kind::box:
      return search(tree, BrickSolid{{Brick(shape)}}, slack_mm, limit_mm, visit, context);
  }
}

inline void near_moving(const KernelTree& tree, const KernelMoving& moving, double slack_mm, double limit_mm,
                        KernelVisit visit, void* context) {
  search(tree, MovingSolid{{Moving(moving)}}, slack_mm, limit_mm, visit, context);
}

}  // namespace baywright::BAYWRIGHT_KERNEL_NAMESPACE
