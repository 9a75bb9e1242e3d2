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

struct OnLine {
  double value, s;
};

/// Minimum of a convex function with slopes in +-`slope` over [from, to] by golden section, to kKernelError_mm.
template <class F>
OnLine least_on_line(const F& f, double from, double to, double slope) {
  constexpr double kGolden = 0.6180339887498949;
  double lo = from, hi = to;
  double s1 = hi - kGolden * (hi - lo), s2 = lo + kGolden * (hi - lo);
  double f1 = f(s1), f2 = f(s2);
  while ((hi - lo) * slope > kKernelError_mm && lo < s1 && s1 < s2 && s2 < hi) {
    if (f1 <= f2) {
      hi = s2;
      s2 = s1;
      f2 = f1;
      s1 = hi - kGolden * (hi - lo);
      f1 = f(s1);
    } else {
      lo = s1;
      s1 = s2;
      f1 = f2;
      s2 = lo + kGolden * (hi - lo);
      f2 = f(s2);
    }
  }
  OnLine best = f1 <= f2 ? OnLine{f1, s1} : OnLine{f2, s2};
  for (const double s : {from, to}) {
    if (const double value = f(s); value < best.value) best = {value, s};
  }
  return best;
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
// line in which the plane meets the plane through the axis and its normal; on that line and on the edges f is a
// convex function of one variable.
Contact cone_to_triangle(const Cone& shape, const Corners3& world, double enough_mm) {
  const ConeProfile profile(shape);
  const ConeFrame frame(shape);
  const Corners3 v = {frame.into(world[0]), frame.into(world[1]), frame.into(world[2])};
  const auto f = [&](const Vec3& p) { return profile.distance(std::hypot(p.x(), p.y()), p.z()); };

  std::array<double, 3> at;
  Vec3 best_p = v[0];
  double best = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < 3; ++i) {
    at[i] = f(v[i]);
    if (at[i] < best) {
      best = at[i];
      best_p = v[i];
    }
  }
  const auto contact = [&] {
    const double q = std::hypot(best_p.x(), best_p.y());
    const auto surface = profile.nearest(q, best_p.z());
    const Vec3 outward = q > 0 ? Vec3(best_p.x() / q, best_p.y() / q, 0) : Vec3(1, 0, 0);
    return Contact{best, frame.out_of(surface.q * outward + Vec3(0, 0, surface.z)), frame.out_of(best_p)};
  };
  // No point of a triangle is farther from its nearest corner than the longest side over the root of three.
  const double longest2 =
      std::max({(v[1] - v[0]).squaredNorm(), (v[2] - v[1]).squaredNorm(), (v[0] - v[2]).squaredNorm()});
  if (best - std::sqrt(longest2 / 3) >= enough_mm) return contact();
  bool inside = false;
  const Vec3 n = (v[1] - v[0]).cross(v[2] - v[0]);
  const double n2 = n.squaredNorm();
  if (n2 > 1e-24 * (v[1] - v[0]).squaredNorm() * (v[2] - v[0]).squaredNorm()) {
    const Vec3 m = n / std::sqrt(n2);
    const double mq = std::hypot(m.x(), m.y()), c = m.dot(v[0]);
    const Vec3 across = mq > 1e-12 ? Vec3(m.x() / mq, m.y() / mq, 0) : Vec3(1, 0, 0);
    const Vec3 foot = mq > 1e-12 ? Vec3(mq * c * across + Vec3(0, 0, m.z() * c)) : Vec3(0, 0, c / m.z());
    const Vec3 along = Vec3(-m.z() * across + Vec3(0, 0, mq)).normalized();
    const Vec3 middle(0, 0, 0.5 * profile.length_mm);
    const double reach = std::hypot(std::max(profile.radius_a_mm, profile.radius_b_mm), 0.5 * profile.length_mm);
    const double s0 = along.dot(middle - foot);
    const auto g = [&](double s) { return f(foot + s * along); };
    const OnLine low = least_on_line(g, s0 - reach, s0 + reach, 1.0);
    Vec3 weights;
    if (inside_triangle(foot + low.s * along, v, n, n2, weights)) {
      weights /= weights.sum();
      const Vec3 p = weights.x() * v[0] + weights.y() * v[1] + weights.z() * v[2];
      if (const double value = f(p); value <= best) {
        best = value;
        best_p = p;
        inside = true;
      }
    }
  }
  for (std::size_t i = 0; i < 3 && !inside; ++i) {
    const std::size_t j = (i + 1) % 3;
    const double length = (v[j] - v[i]).norm();
    if (0.5 * (at[i] + at[j] - length) >= best) continue;  // slopes are at most one
    const auto g = [&](double s) { return f(v[i] + s * (v[j] - v[i])); };
    const OnLine low = least_on_line(g, 0.0, 1.0, length);
    if (low.value < best) {
      best = low.value;
      best_p = v[i] + low.s * (v[j] - v[i]);
    }
  }
  return contact();
}

}  // namespace baywright
