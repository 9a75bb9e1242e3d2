#include "geometry/shape_kernels.hpp"

#include <algorithm>
#include <array>
#include <limits>
#include <numbers>

#include <Eigen/Geometry>

#include "geometry/base/expects.hpp"

namespace baywright {
namespace {

constexpr double kKernelError_mm = 2e-6;  // what the iterative kernels may miss; a fifth of what is promised

/// Contact of a tube whose axis is nearest to the triangle at `on_axis`.
Contact tube_contact(const Vec3& on_axis, const Vec3& on_triangle, const Vec3& along_axis, double radius_mm) {
  const Vec3 away = on_triangle - on_axis;
  const double d = away.norm();
  Vec3 direction = away;
  if (!(d > 2 * kKernelError_mm)) {  // on the axis the direction is noise: any one across the tube leads to the surface
    const double along2 = along_axis.squaredNorm();
    if (along2 > 0) direction -= away.dot(along_axis) / along2 * along_axis;
    if (!(direction.norm() > 1e-12)) direction = any_perpendicular(along_axis);
  }
  direction.normalize();
  return {d - radius_mm, on_axis + radius_mm * direction, on_triangle};
}

}  // namespace

Vec3 any_perpendicular(const Vec3& n) {
  int smallest = 0;
  n.cwiseAbs().minCoeff(&smallest);
  const Vec3 across = n.cross(Vec3::Unit(smallest));
  const double length = across.norm();
  return length > 0 ? Vec3(across / length) : Vec3(Vec3::UnitX());
}

SweptArc swept_arc(const TorusSegment& bend) {
  return {bend.center, bend.bend_radius_mm * bend.e0, bend.bend_radius_mm * bend.e1, bend.angle_rad, bend.radius_mm};
}

double SweptArc::greatest_radius_mm() const {
  const double uu = u.squaredNorm(), vv = v.squaredNorm(), uv = u.dot(v);
  return std::sqrt(0.5 * (uu + vv) + std::hypot(0.5 * (uu - vv), uv));
}

Contact cylinder_to_triangle(const Cylinder& shape, const Corners3& v) {
  const PointPair pair = nearest_segment_triangle(shape.a, shape.b, v);
  return tube_contact(pair.first, pair.second, shape.b - shape.a, shape.radius_mm);
}

// Branch and bound over the arc's parameter. A part of the arc lies within its sagitta of its chord, and in the
// triangle of its ends and the crossing of its end tangents; the first gives distance(chord) - sagitta, the second a
// separating plane, which is exact where the arc runs parallel to the triangle.
Contact arc_to_triangle(const SweptArc& shape, const Corners3& v, double enough_mm) {
  struct Part {
    double from, to;
  };
  const double bend = shape.greatest_radius_mm();
  double best = std::numeric_limits<double>::infinity(), best_t = 0;
  Vec3 best_q = v[0];
  const auto offer = [&](double t) {
    const Vec3 p = shape.axis_point(t), q = nearest_on_triangle(p, v);
    if (const double d = (p - q).norm(); d < best) {
      best = d;
      best_t = t;
      best_q = q;
    }
  };
  struct Bounded {
    double bound;
    Part part;
  };
  const auto bound_of = [&](const Part& part) {
    const double half = 0.5 * (part.to - part.from), middle = 0.5 * (part.to + part.from);
    const Vec3 a = shape.axis_point(part.from), b = shape.axis_point(part.to);
    const PointPair pair = nearest_segment_triangle(a, b, v);
    offer(part.from + pair.t * (part.to - part.from));
    const double d = std::sqrt(pair.squared_mm2);
    const double by_chord = d - 0.5 * bend * half * half;
    if (!(d > 0)) return by_chord;
    const Vec3 w = (pair.first - pair.second) / d;
    const Vec3 m = shape.center + (shape.axis_point(middle) - shape.center) / std::cos(half);
    const double near = std::min({w.dot(a), w.dot(b), w.dot(m)});
    return std::max(by_chord, near - std::max({w.dot(v[0]), w.dot(v[1]), w.dot(v[2])}));
  };
  std::array<Bounded, 96> stack;  // depth-first: at most one waiting sibling per level, and levels end at 1e-16 rad
  std::size_t top = 0;
  const int first = 1 + static_cast<int>(shape.angle_rad / (std::numbers::pi / 4));
  for (int i = 0; i < first; ++i) {
    const Part part{shape.angle_rad * i / first, shape.angle_rad * (i + 1) / first};
    stack[top++] = {bound_of(part), part};
  }
  while (top > 0) {
    const Bounded now = stack[--top];
    if (now.bound >= best - kKernelError_mm || now.bound >= enough_mm + shape.radius_mm) continue;
    const double middle = 0.5 * (now.part.from + now.part.to);
    if (!(now.part.from < middle && middle < now.part.to)) continue;
    EXPECTS(top + 2 <= stack.size());
    const Part left{now.part.from, middle}, right{middle, now.part.to};
    const Bounded l{bound_of(left), left}, r{bound_of(right), right};
    stack[top++] = l.bound < r.bound ? r : l;  // the nearer one on top
    stack[top++] = l.bound < r.bound ? l : r;
  }
  const Vec3 tangent = std::cos(best_t) * shape.v - std::sin(best_t) * shape.u;
  return tube_contact(shape.axis_point(best_t), best_q, tangent, shape.radius_mm);
}

Vec3 SweptCubic::axis_point(double t) const {
  const double a = 1 - t;
  return a * a * a * p[0] + 3 * a * a * t * p[1] + 3 * a * t * t * p[2] + t * t * t * p[3];
}

double SweptCubic::deviation_mm() const {
  const Vec3 third = (p[3] - p[0]) / 3;
  return 0.75 * std::max((p[1] - p[0] - third).norm(), (p[3] - p[2] - third).norm());
}

// As for the arc, with the hull of the control points for the separating plane; parts by de Casteljau's halving.
Contact cubic_to_triangle(const SweptCubic& shape, const Corners3& v, double enough_mm) {
  struct Part {
    double bound, from, to;
    SweptCubic curve;
  };
  double best = std::numeric_limits<double>::infinity(), best_t = 0;
  Vec3 best_q = v[0];
  const auto bound = [&](Part& part) {
    const auto& p = part.curve.p;
    const PointPair pair = nearest_segment_triangle(p[0], p[3], v);
    const double t = part.from + pair.t * (part.to - part.from);
    const Vec3 at = shape.axis_point(t), q = nearest_on_triangle(at, v);
    if (const double d = (at - q).norm(); d < best) {
      best = d;
      best_t = t;
      best_q = q;
    }
    const double d = std::sqrt(pair.squared_mm2);
    part.bound = d - part.curve.deviation_mm();
    if (!(d > 0)) return;
    const Vec3 w = (pair.first - pair.second) / d;
    const double near = std::min({w.dot(p[0]), w.dot(p[1]), w.dot(p[2]), w.dot(p[3])});
    part.bound = std::max(part.bound, near - std::max({w.dot(v[0]), w.dot(v[1]), w.dot(v[2])}));
  };
  std::array<Part, 64> stack;  // depth-first: one waiting sibling per level, and levels end where halving does, at 54
  std::size_t top = 0;
  stack[top] = {0, 0, 1, shape};
  bound(stack[top++]);
  while (top > 0) {
    const Part now = stack[--top];
    if (now.bound >= best - kKernelError_mm || now.bound >= enough_mm + shape.radius_mm) continue;
    const double middle = 0.5 * (now.from + now.to);
    if (!(now.from < middle && middle < now.to)) continue;
    EXPECTS(top + 2 <= stack.size());
    const auto& p = now.curve.p;
    const Vec3 ab = 0.5 * (p[0] + p[1]), bc = 0.5 * (p[1] + p[2]), cd = 0.5 * (p[2] + p[3]);
    const Vec3 abc = 0.5 * (ab + bc), bcd = 0.5 * (bc + cd), halfway = 0.5 * (abc + bcd);
    Part left{0, now.from, middle, {{p[0], ab, abc, halfway}, 0}},
        right{0, middle, now.to, {{halfway, bcd, cd, p[3]}, 0}};
    bound(left);
    bound(right);
    const bool left_nearer = left.bound < right.bound;
    stack[top++] = left_nearer ? right : left;
    stack[top++] = left_nearer ? left : right;
  }
  const double a = 1 - best_t, t = best_t;
  const Vec3 tangent =
      a * a * (shape.p[1] - shape.p[0]) + 2 * a * t * (shape.p[2] - shape.p[1]) + t * t * (shape.p[3] - shape.p[2]);
  return tube_contact(shape.axis_point(best_t), best_q, tangent, shape.radius_mm);
}

ConeProfile::ConeProfile(const Cone& cone)
    : length_mm((cone.b - cone.a).norm()), radius_a_mm(cone.radius_a_mm), radius_b_mm(cone.radius_b_mm) {
  EXPECTS(length_mm > 0);
  const double side = std::hypot(length_mm, radius_b_mm - radius_a_mm);
  cosine = length_mm / side;
  sine = (radius_b_mm - radius_a_mm) / side;
}

ConeProfile::Surface ConeProfile::nearest(double q, double z) const {
  const double below = -z, above = z - length_mm, beside = (q - radius_a_mm) * cosine - z * sine;
  if (below <= 0 && above <= 0 && beside <= 0) {
    if (beside >= below && beside >= above) return {beside, q - beside * cosine, z + beside * sine};
    if (below >= above) return {below, q, 0};
    return {above, q, length_mm};
  }
  const double side2 = length_mm * length_mm + (radius_b_mm - radius_a_mm) * (radius_b_mm - radius_a_mm);
  const double t = std::clamp(((q - radius_a_mm) * (radius_b_mm - radius_a_mm) + z * length_mm) / side2, 0.0, 1.0);
  Surface best{0, radius_a_mm + t * (radius_b_mm - radius_a_mm), t * length_mm};
  double best2 = (q - best.q) * (q - best.q) + (z - best.z) * (z - best.z);
  const auto offer_end = [&](double radius, double at) {
    const double end_q = std::min(q, radius);
    const double d2 = (q - end_q) * (q - end_q) + (z - at) * (z - at);
    if (d2 < best2) {
      best2 = d2;
      best = {0, end_q, at};
    }
  };
  offer_end(radius_a_mm, 0);
  offer_end(radius_b_mm, length_mm);
  best.distance_mm = std::sqrt(best2);
  return best;
}

double ConeProfile::distance(double q, double z) const { return nearest(q, z).distance_mm; }

double ConeProfile::greatest_depth_mm() const {
  // On the axis the depth is min(z, L - z, (ra cos + z sin)): concave, so greatest where two of them balance.
  double best = 0;
  for (const double z : {0.5 * length_mm, radius_a_mm * cosine / std::max(1e-300, 1 - sine),
                         (length_mm - radius_a_mm * cosine) / std::max(1e-300, 1 + sine)}) {
    if (z >= 0 && z <= length_mm) best = std::max(best, -distance(0, z));
  }
  return best;
}

namespace {

/// The cone's own frame: x and y across, z along the axis from the centre of end a.
struct ConeFrame {
  Vec3 a, ex, ey, ez;
  explicit ConeFrame(const Cone& cone) : a(cone.a), ez((cone.b - cone.a).normalized()) {
    ex = any_perpendicular(ez);
    ey = ez.cross(ex);
  }
  Vec3 into(const Vec3& p) const { return {ex.dot(p - a), ey.dot(p - a), ez.dot(p - a)}; }
  Vec3 out_of(const Vec3& p) const { return a + p.x() * ex + p.y() * ey + p.z() * ez; }
};

/// A convex solid's signed distance is at least w.p - reach for any unit w, and as much where w is its own slope.
struct Minorant {
  Vec3 w;
  double reach;
  double at(const Vec3& p) const { return w.dot(p) - reach; }
};

double across_of(const Vec3& p) { return std::sqrt(p.x() * p.x() + p.y() * p.y()); }

/// Signed distance of a point in the cone's frame, and the minorant that touches there.
struct Touched {
  double distance_mm;
  Minorant below;
};

Touched touched(const ConeProfile& profile, const Vec3& p) {
  const double q = across_of(p);
  const ConeProfile::Surface s = profile.nearest(q, p.z());
  // Outside the slope leads away from the nearest point, inside towards it. On the surface that is noise: a face then.
  double wq = q - s.q, wz = p.z() - s.z;
  double l = std::sqrt(wq * wq + wz * wz);
  if (l < 1e-9) {
    const double below = -p.z(), above = p.z() - profile.length_mm,
                 beside = (q - profile.radius_a_mm) * profile.cosine - p.z() * profile.sine;
    const bool side = beside >= below && beside >= above;
    wq = side ? profile.cosine : 0;
    wz = side ? -profile.sine : (below >= above ? -1 : 1);
    l = 1;
  } else if (s.distance_mm < 0) {
    l = -l;
  }
  wq = std::max(wq / l, 0.0);
  wz /= l;
  const double unit = std::sqrt(wq * wq + wz * wz);
  wq /= unit;
  wz /= unit;
  const double reach = std::max(profile.radius_a_mm * wq, profile.radius_b_mm * wq + profile.length_mm * wz);
  // On the axis any direction across is a slope; none at all is one too, but not of unit length.
  const Vec3 outward = q > 0 ? Vec3(p.x() / q, p.y() / q, 0) : Vec3(1, 0, 0);
  return {s.distance_mm, {wq * outward + Vec3(0, 0, wz), reach}};
}

struct OnLine {
  double value, s;
};

/// Minimum of the signed distance over a + s (b - a), s in 0..1, where it is below `enough`: the minorants that touch
/// at the ends of what is left cross at a lower bound, and there it is looked at next.
OnLine least_on_edge(const ConeProfile& profile, const Vec3& a, const Vec3& b, const Touched& at_a, const Touched& at_b,
                     double enough) {
  const Vec3 d = b - a;
  struct End {
    double s, value, slope;  ///< of the minorant along the edge
  };
  const auto end_at = [&](double s, const Vec3& p, const Touched& t) {
    return End{s, t.below.at(p), t.below.w.dot(d)};
  };
  OnLine best = at_a.distance_mm <= at_b.distance_mm ? OnLine{at_a.distance_mm, 0} : OnLine{at_b.distance_mm, 1};
  End lo = end_at(0, a, at_a), hi = end_at(1, b, at_b);
  for (int step = 0; step < 200; ++step) {
    if (lo.slope >= 0 || hi.slope <= 0) return best;  // an end is the minimum
    const double fall = hi.slope - lo.slope;
    double s = (lo.value - hi.value + hi.slope * hi.s - lo.slope * lo.s) / fall;
    s = std::clamp(s, lo.s, hi.s);
    const double bound = std::max(lo.value + lo.slope * (s - lo.s), hi.value + hi.slope * (s - hi.s));
    if (bound >= std::min(best.value - kKernelError_mm, enough)) return best;
    if (step % 3 == 2) s = 0.5 * (lo.s + hi.s);  // halves at least every third time, however flat it is
    if (!(lo.s < s && s < hi.s)) return best;
    const Vec3 p = a + s * d;
    const Touched t = touched(profile, p);
    if (t.distance_mm < best.value) best = {t.distance_mm, s};
    (t.below.w.dot(d) < 0 ? lo : hi) = end_at(s, p, t);
  }
  return best;
}

/// Where the signed distance is least over the plane m.p = c (m of unit length), in closed form.
Vec3 least_on_plane(const ConeProfile& profile, const Vec3& m, double c) {
  const double mq = across_of(m);
  const Vec3 across = mq > 0 ? Vec3(m.x() / mq, m.y() / mq, 0) : Vec3(1, 0, 0);
  // All in the plane through the axis and the normal: a quadrilateral with corners (+-ra, 0) and (+-rb, L).
  const double a = profile.radius_a_mm * mq, b = profile.radius_b_mm * mq, top = profile.length_mm * m.z();
  for (const int side : {1, -1}) {
    // Its farthest corner towards the plane on either side. None of it crosses: the corner's foot.
    const double at_a = a, at_b = b + side * top, beyond = side * c - std::max(at_a, at_b);
    if (beyond < 0) continue;
    const bool is_a = at_a >= at_b;
    const Vec3 corner =
        side * (is_a ? profile.radius_a_mm : profile.radius_b_mm) * across + Vec3(0, 0, is_a ? 0.0 : profile.length_mm);
    return corner + side * beyond * m;
  }
  // It crosses: the depth along the line is the least of four straight ones, greatest where two of them meet.
  const Vec3 foot = c * m, along = mq * Vec3::UnitZ() - m.z() * across;  // along is of unit length
  struct Face {
    double value, slope;
  };
  const double x = foot.dot(across), dx = along.dot(across);
  const std::array<Face, 4> faces = {Face{-foot.z(), -along.z()}, Face{foot.z() - profile.length_mm, along.z()},
                                     Face{(x - profile.radius_a_mm) * profile.cosine - foot.z() * profile.sine,
                                          dx * profile.cosine - along.z() * profile.sine},
                                     Face{(-x - profile.radius_a_mm) * profile.cosine - foot.z() * profile.sine,
                                          -dx * profile.cosine - along.z() * profile.sine}};
  double most = -std::numeric_limits<double>::infinity(), where = 0;
  for (const Face& falling : faces) {
    if (!(falling.slope < 0)) continue;
    for (const Face& rising : faces) {
      if (rising.slope < 0) continue;
      const double s = (rising.value - falling.value) / (falling.slope - rising.slope);
      if (const double value = falling.value + falling.slope * s; value > most) {
        most = value;
        where = s;
      }
    }
  }
  return foot + where * along;
}

/// Barycentric weights of a point of the plane when it lies in the triangle.
bool inside_triangle(const Vec3& p, const Corners3& v, const Vec3& n, double n2, Vec3& weights) {
  weights.x() = n.dot((v[2] - v[1]).cross(p - v[1])) / n2;
  weights.y() = n.dot((v[0] - v[2]).cross(p - v[2])) / n2;
  weights.z() = n.dot((v[1] - v[0]).cross(p - v[0])) / n2;
  return weights.minCoeff() >= 0;
}

}  // namespace

// The signed distance f of a convex solid is convex, so its minimum over the triangle is its minimum over the
// triangle's plane when that lies inside, and on an edge otherwise. Over the plane, by symmetry, it is attained on the
// line in which the plane meets the plane through the axis and its normal.
Contact cone_to_triangle(const Cone& shape, const Corners3& world, double enough_mm) {
  const ConeProfile profile(shape);
  const ConeFrame frame(shape);
  const Corners3 v = {frame.into(world[0]), frame.into(world[1]), frame.into(world[2])};

  std::array<Touched, 3> at;
  Vec3 best_p = v[0];
  double best = std::numeric_limits<double>::infinity(), lower = -best;
  for (std::size_t i = 0; i < 3; ++i) {
    at[i] = touched(profile, v[i]);
    lower = std::max(lower, std::min({at[i].below.at(v[0]), at[i].below.at(v[1]), at[i].below.at(v[2])}));
    if (at[i].distance_mm < best) {
      best = at[i].distance_mm;
      best_p = v[i];
    }
  }
  const auto contact = [&] {
    const double q = across_of(best_p);
    const auto surface = profile.nearest(q, best_p.z());
    const Vec3 outward = q > 0 ? Vec3(best_p.x() / q, best_p.y() / q, 0) : Vec3(1, 0, 0);
    return Contact{best, frame.out_of(surface.q * outward + Vec3(0, 0, surface.z)), frame.out_of(best_p)};
  };
  if (lower >= std::min(best - 0.5 * kKernelError_mm, enough_mm)) return contact();
  const Vec3 n = (v[1] - v[0]).cross(v[2] - v[0]);
  const double n2 = n.squaredNorm();
  if (n2 > 1e-24 * (v[1] - v[0]).squaredNorm() * (v[2] - v[0]).squaredNorm()) {
    const Vec3 m = n / std::sqrt(n2);
    Vec3 weights;
    if (inside_triangle(least_on_plane(profile, m, m.dot(v[0])), v, n, n2, weights)) {
      weights /= weights.sum();
      const Vec3 p = weights.x() * v[0] + weights.y() * v[1] + weights.z() * v[2];
      if (const double value = profile.distance(across_of(p), p.z()); value <= best) {
        best = value;
        best_p = p;
        return contact();
      }
    }
  }
  for (std::size_t i = 0; i < 3; ++i) {
    const std::size_t j = (i + 1) % 3;
    const OnLine low = least_on_edge(profile, v[i], v[j], at[i], at[j], std::min(best - kKernelError_mm, enough_mm));
    if (low.value < best) {
      best = low.value;
      best_p = v[i] + low.s * (v[j] - v[i]);
    }
  }
  return contact();
}

}  // namespace baywright
