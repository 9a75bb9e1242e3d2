#include "geometry/box.hpp"

#include <algorithm>
#include <cmath>

namespace baywright {
namespace {

/// Part of a segment inside the box about the origin: whether there is one, and where it begins.
bool enters(const Vec3& p, const Vec3& q, const Vec3& half, Vec3& at) {
  double from = 0, to = 1;
  const Vec3 d = q - p;
  for (int k = 0; k < 3; ++k) {
    if (d[k] == 0) {
      if (std::abs(p[k]) > half[k]) return false;
      continue;
    }
    const double a = (-half[k] - p[k]) / d[k], b = (half[k] - p[k]) / d[k];
    from = std::max(from, std::min(a, b));
    to = std::min(to, std::max(a, b));
  }
  if (from > to) return false;
  at = p + from * d;
  return true;
}

/// Distance of two intervals.
double gap(double lo, double hi, double other_lo, double other_hi) {
  return std::max({0.0, other_lo - hi, lo - other_hi});
}

struct Best {
  double squared_mm2 = std::numeric_limits<double>::infinity();
  Vec3 on_box = Vec3::Zero(), on_triangle = Vec3::Zero();
  void offer(const Vec3& box, const Vec3& triangle, double squared) {
    if (squared >= squared_mm2) return;
    squared_mm2 = squared;
    on_box = box;
    on_triangle = triangle;
  }
};

/// The twelve edges against the triangle; those that cannot be nearer are passed over.
void offer_edges(const Vec3& half, const Corners3& v, const Vec3& lo, const Vec3& hi, Best& best) {
  for (int k = 0; k < 3; ++k) {
    const int i = (k + 1) % 3, j = (k + 2) % 3;
    const double along = gap(-half[k], half[k], lo[k], hi[k]);
    for (int corner = 0; corner < 4; ++corner) {
      Vec3 a;
      a[i] = corner & 1 ? half[i] : -half[i];
      a[j] = corner & 2 ? half[j] : -half[j];
      a[k] = -half[k];
      const double gi = gap(a[i], a[i], lo[i], hi[i]), gj = gap(a[j], a[j], lo[j], hi[j]);
      if (along * along + gi * gi + gj * gj >= best.squared_mm2) continue;
      Vec3 b = a;
      b[k] = half[k];
      const PointPair pair = nearest_segment_triangle(a, b, v);
      best.offer(pair.first, pair.second, pair.squared_mm2);
    }
  }
}

/// Greatest gap that a plane across a side of the triangle and an edge of the box proves: two edges that are nearest
/// to each other lie on both sides of one of these.
double gap_across_edges(const Vec3& half, const Corners3& v, double enough_mm) {
  double best = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    const Vec3 e = v[(i + 1) % 3] - v[i];
    const Vec3 &p = v[i], &r = v[(i + 2) % 3];
    for (int k = 0; k < 3; ++k) {
      const int x = (k + 1) % 3, y = (k + 2) % 3;
      const double wx = e[y], wy = -e[x], length2 = wx * wx + wy * wy;
      const double at_p = wx * p[x] + wy * p[y], at_r = wx * r[x] + wy * r[y];
      const double out =
          std::max(std::min(at_p, at_r), -std::max(at_p, at_r)) - (half[x] * std::abs(wx) + half[y] * std::abs(wy));
      if (!(out > 0) || !(out * out > best * best * length2)) continue;
      best = out / std::sqrt(length2);
      if (best >= enough_mm) return best;
    }
  }
  return best;
}

/// From the triangle to the box and back. A plane square to the way between the two proves how near they can be at
/// most; where that is what was found, or enough, nothing else need be asked.
bool settled(const Vec3& half, const Corners3& v, double enough_mm, Best& best) {
  constexpr int kMostSteps = 8;
  constexpr double kClose_mm = 1e-7;
  Vec3 on_triangle = best.on_triangle;
  for (int step = 0; step < kMostSteps; ++step) {
    const Vec3 on_box = on_triangle.cwiseMin(half).cwiseMax(-half);
    on_triangle = nearest_on_triangle(on_box, v);
    const Vec3 way = on_triangle - on_box;
    const double squared = way.squaredNorm();
    best.offer(on_box, on_triangle, squared);
    if (!(squared > 1e-12)) return false;
    const double length = std::sqrt(squared);
    const Vec3 w = way / length;
    const double reach = w.cwiseAbs().dot(half);
    const double gap = std::min({w.dot(v[0]), w.dot(v[1]), w.dot(v[2])}) - reach;
    if (gap >= enough_mm || gap >= std::sqrt(best.squared_mm2) - kClose_mm) return true;
  }
  return false;
}

}  // namespace

Box moved(const Box& box, const Pose& X) { return {X * box.center, X.R.toRotationMatrix() * box.axes, box.half_mm}; }

Aabb bounds(const Box& box) {
  const Vec3 reach = box.axes.cwiseAbs() * box.half_mm;
  return {box.center - reach, box.center + reach};
}

Vec3 corner(const Box& box, unsigned signs) {
  Vec3 q;
  for (unsigned k = 0; k < 3; ++k) q[k] = (signs >> k) & 1U ? box.half_mm[k] : -box.half_mm[k];
  return box.center + box.axes * q;
}

// Two convex polytopes apart come nearest at a corner of one and a face of the other, or at two edges. An edge of the
// box against the triangle has the box's corners, the triangle's edges and its face; the triangle's corners against
// the box are left. Where they meet, an edge of one goes through the other.
Contact box_to_triangle(const Box& box, const Corners3& v, double enough_mm) {
  const Vec3& half = box.half_mm;
  Corners3 q;
  for (std::size_t i = 0; i < 3; ++i) q[i] = box.axes.transpose() * (v[i] - box.center);
  const Vec3 lo = q[0].cwiseMin(q[1]).cwiseMin(q[2]), hi = q[0].cwiseMax(q[1]).cwiseMax(q[2]);
  Best best;
  for (const Vec3& p : q) {
    const Vec3 on_box = p.cwiseMin(half).cwiseMax(-half);
    best.offer(on_box, p, (p - on_box).squaredNorm());
  }
  const Vec3 apart(gap(-half[0], half[0], lo[0], hi[0]), gap(-half[1], half[1], lo[1], hi[1]),
                   gap(-half[2], half[2], lo[2], hi[2]));
  const double least2 = apart.squaredNorm();
  const bool enough = enough_mm < std::numeric_limits<double>::infinity() && least2 >= enough_mm * enough_mm;
  if (best.squared_mm2 > 0 && !enough && !settled(half, q, enough_mm, best)) {
    Vec3 at;
    if (least2 == 0) {
      for (std::size_t i = 0; i < 3; ++i) {
        if (enters(q[i], q[(i + 1) % 3], half, at)) best.offer(at, at, 0);
      }
    }
    if (best.squared_mm2 > 0 && !(gap_across_edges(half, q, enough_mm) >= enough_mm)) {
      offer_edges(half, q, lo, hi, best);
    }
  }
  return {std::sqrt(best.squared_mm2), box.center + box.axes * best.on_box, box.center + box.axes * best.on_triangle};
}

}  // namespace baywright
