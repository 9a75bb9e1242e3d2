#include "geometry/triangle_kernels.hpp"

#include <algorithm>
#include <limits>

#include <Eigen/Geometry>

namespace baywright {

double nearest_on_segment(const Vec3& p, const Vec3& a, const Vec3& b) {
  const Vec3 d = b - a;
  const double l2 = d.squaredNorm();
  if (!(l2 > 0)) return 0;
  return std::clamp((p - a).dot(d) / l2, 0.0, 1.0);
}

namespace {

Vec3 nearest_on_edges(const Vec3& p, const Corners3& v) {
  Vec3 best = v[0];
  double best2 = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < 3; ++i) {
    const Vec3 &a = v[i], &b = v[(i + 1) % 3];
    const double t = nearest_on_segment(p, a, b);
    const Vec3 q = t == 1 ? b : Vec3(a + t * (b - a));
    const double d2 = (q - p).squaredNorm();
    if (d2 < best2) {
      best2 = d2;
      best = q;
    }
  }
  return best;
}

}  // namespace

Vec3 nearest_on_triangle(const Vec3& p, const Corners3& v) {
  const Vec3 ab = v[1] - v[0], ac = v[2] - v[0], ap = p - v[0];
  const double d1 = ab.dot(ap), d2 = ac.dot(ap);
  if (d1 <= 0 && d2 <= 0) return v[0];
  const Vec3 bp = p - v[1];
  const double d3 = ab.dot(bp), d4 = ac.dot(bp);
  if (d3 >= 0 && d4 <= d3) return v[1];
  const Vec3 cp = p - v[2];
  const double d5 = ab.dot(cp), d6 = ac.dot(cp);
  if (d6 >= 0 && d5 <= d6) return v[2];
  // Weights from cross products keep their digits on slivers, where the usual d3 d6 - d5 d4 loses them.
  const Vec3 n = ab.cross(ac);
  const double n2 = n.squaredNorm();
  if (!(n2 > 1e-24 * ab.squaredNorm() * ac.squaredNorm())) return nearest_on_edges(p, v);
  const double wa = n.dot((v[2] - v[1]).cross(bp)), wb = -n.dot(ac.cross(cp)), wc = n.dot(ab.cross(ap));
  if (!(wa > 0) || !(wb > 0) || !(wc > 0)) return nearest_on_edges(p, v);
  const double sum = wa + wb + wc;
  return v[0] + (wb / sum) * ab + (wc / sum) * ac;
}

PointPair nearest_segments(const Vec3& a, const Vec3& b, const Vec3& c, const Vec3& d) {
  PointPair best;
  best.squared_mm2 = std::numeric_limits<double>::infinity();
  const auto offer = [&](double s, double t) {
    const Vec3 p = s == 1 ? b : Vec3(a + s * (b - a));
    const Vec3 q = t == 1 ? d : Vec3(c + t * (d - c));
    const double d2 = (p - q).squaredNorm();
    if (d2 < best.squared_mm2) best = {d2, p, q, s};
  };
  // The minimum is at an end of one of them, or inside both; all five are tried, so nearly parallel ones are safe.
  offer(0, nearest_on_segment(a, c, d));
  offer(1, nearest_on_segment(b, c, d));
  offer(nearest_on_segment(c, a, b), 0);
  offer(nearest_on_segment(d, a, b), 1);
  const Vec3 u = b - a, w = d - c, r = a - c;
  const double uu = u.squaredNorm(), ww = w.squaredNorm(), uw = u.dot(w);
  const double det = uu * ww - uw * uw;
  if (det > 1e-14 * uu * ww) {
    const double ur = u.dot(r), wr = w.dot(r);
    const double s = (uw * wr - ur * ww) / det;
    if (s > 0 && s < 1) {
      const double t = nearest_on_segment(a + s * u, c, d);
      offer(nearest_on_segment(c + t * w, a, b), t);
    }
  }
  return best;
}

PointPair nearest_segment_triangle(const Vec3& a, const Vec3& b, const Corners3& v) {
  PointPair best;
  const Vec3 qa = nearest_on_triangle(a, v), qb = nearest_on_triangle(b, v);
  best = {(qa - a).squaredNorm(), a, qa, 0};
  if (const double d2 = (qb - b).squaredNorm(); d2 < best.squared_mm2) best = {d2, b, qb, 1};
  const Vec3 n = (v[1] - v[0]).cross(v[2] - v[0]);
  const double ha = n.dot(a - v[0]), hb = n.dot(b - v[0]);
  if (ha != hb && (ha <= 0) != (hb <= 0)) {  // ends on both sides of the plane: piercing is the nearest possible
    const double t = std::clamp(ha / (ha - hb), 0.0, 1.0);
    const Vec3 p = a + t * (b - a);
    const Vec3 q = nearest_on_triangle(p, v);
    if (const double d2 = (q - p).squaredNorm(); d2 < best.squared_mm2) best = {d2, p, q, t};
  }
  for (std::size_t i = 0; i < 3; ++i) {
    const PointPair edge = nearest_segments(a, b, v[i], v[(i + 1) % 3]);
    if (edge.squared_mm2 < best.squared_mm2) best = edge;
  }
  return best;
}

}  // namespace baywright
