#pragma once

#include "geometry/clearance/forms.hpp"

namespace baywright {

// Functions of Taylor models: f(c + d) = f(c) + f'(c) d + f''(c)(d, d) / 2 + error, |error| <= sup|f'''| |d|^3 / 6.
// d = L + Q + r is the linear part, the pairs and what is missed; the form keeps f'(L + Q) and f''(L, L) / 2 and so
// misses f' r and f''(Q + r, 2 L + Q + r) / 2 besides.

/// Value and derivatives of a function of one variable at c, and a bound of its third derivative around it.
struct Derivatives {
  double value, first, second, third_bound;
};
inline ScalarForm composed(const ScalarForm& a, const Derivatives& f) {
  ScalarForm out;
  out.n = a.n;
  out.c = f.value;
  for (int k = 0; k < a.n; ++k) out.generator(k) = f.first * a.generator(k);
  for (int l = 0, i = 0; l < a.n; ++l) {
    for (int k = 0; k <= l; ++k, ++i) {
      const double share = k < l ? f.second : 0.5 * f.second;
      out.pair(i) = f.first * a.pair(i) + share * a.generator(k) * a.generator(l);
    }
  }
  const double linear = a.linear_size(), beyond = a.pair_size() + a.rest, d = linear + beyond;
  out.rest = std::abs(f.first) * a.rest + 0.5 * std::abs(f.second) * beyond * (2 * linear + beyond) +
             f.third_bound * d * d * d / 6;
  return out;
}
inline ScalarForm sine(const ScalarForm& a) { return composed(a, {std::sin(a.c), std::cos(a.c), -std::sin(a.c), 1}); }
inline ScalarForm cosine(const ScalarForm& a) {
  return composed(a, {std::cos(a.c), -std::sin(a.c), -std::cos(a.c), 1});
}

template <class T>
Form<T> unbounded(int n, const T& value) {
  Form<T> out(n, value);
  out.rest = std::numeric_limits<double>::infinity();
  return out;
}

/// 1 / a.
inline ScalarForm inverse(const ScalarForm& a) {
  const double least = std::abs(a.c) - a.radius();
  if (!(least > 0)) return unbounded(a.n, 0.0);
  const double i = 1 / a.c;
  return composed(a, {i, -i * i, 2 * i * i * i, 6 / (least * least * least * least)});
}

/// What a form misses of a function of several variables, whose second and third derivatives are bounded by `second`
/// at the centre and `third` over the cell.
inline double missed(double linear, double beyond, double rest_first, double second, double third) {
  const double d = linear + beyond;
  return rest_first + 0.5 * second * beyond * (2 * linear + beyond) + third * d * d * d / 6;
}

/// Angle of the vector (x, y) = r e^(i phi). Along a unit vector at the angle alpha from it the angle's derivatives
/// are sin(alpha) / r, -sin(2 alpha) / r^2 and 2 sin(3 alpha) / r^3.
inline ScalarForm angle_of(const ScalarForm& y, const ScalarForm& x) {
  const double r = std::hypot(x.c, y.c), least = r - std::hypot(x.radius(), y.radius());
  if (!(least > 0)) return unbounded(x.n, 0.0);
  const double ux = x.c / r, uy = y.c / r;
  const auto out_by = [&](double dx, double dy) { return (ux * dx + uy * dy) / r; };
  const auto aside_by = [&](double dx, double dy) { return (ux * dy - uy * dx) / r; };
  ScalarForm out;
  out.n = x.n;
  out.c = std::atan2(y.c, x.c);
  for (int k = 0; k < x.n; ++k) out.generator(k) = aside_by(x.generator(k), y.generator(k));
  for (int l = 0, i = 0; l < x.n; ++l) {
    const double out_l = out_by(x.generator(l), y.generator(l)), aside_l = out.generator(l);
    for (int k = 0; k <= l; ++k, ++i) {
      const double out_k = out_by(x.generator(k), y.generator(k)), aside_k = out.generator(k);
      const double bent = out_k * aside_l + out_l * aside_k;
      out.pair(i) = aside_by(x.pair(i), y.pair(i)) - (k < l ? bent : 0.5 * bent);
    }
  }
  const double linear = std::hypot(x.linear_size(), y.linear_size());
  const double beyond = std::hypot(x.pair_size() + x.rest, y.pair_size() + y.rest);
  out.rest = missed(linear, beyond, std::hypot(x.rest, y.rest) / r, 1 / (r * r), 2 / (least * least * least));
  return out;
}

/// |a|: second derivative across a only, 1 / |a|; the third is at most 2 / sqrt(3) / |a|^2 (3 p t^2 with p^2 + t^2 =
/// 1).
inline ScalarForm length(const VectorForm& a) {
  const double l = a.c.norm(), linear = a.linear_size(), beyond = a.pair_size() + a.rest, least = l - linear - beyond;
  if (!(least > 0)) return unbounded(a.n, l);
  const Vec3 n = a.c / l;
  ScalarForm out;
  out.n = a.n;
  out.c = l;
  for (int k = 0; k < a.n; ++k) out.generator(k) = n.dot(a.generator(k));
  for (int j = 0, i = 0; j < a.n; ++j) {
    for (int k = 0; k <= j; ++k, ++i) {
      const double across = (a.generator(k).dot(a.generator(j)) - out.generator(k) * out.generator(j)) / l;
      out.pair(i) = n.dot(a.pair(i)) + (k < j ? across : 0.5 * across);
    }
  }
  out.rest = missed(linear, beyond, a.rest, 1 / l, 1.1548 / (least * least));
  return out;
}

/// a / |a|. Along a unit vector with the share p along a and t across: first derivative t / |a|, second
/// -(2 p t + |t|^2 n) / |a|^2, at most 2 / sqrt(3) / |a|^2; third at most 3 / |a|^3 (sqrt((2 sin 3x - sin^3 x)^2 +
/// 9 sin^2 x sin^2 2x), greatest at a right angle).
inline VectorForm direction(const VectorForm& a) {
  const double l = a.c.norm(), linear = a.linear_size(), beyond = a.pair_size() + a.rest, least = l - linear - beyond;
  if (!(least > 0)) return unbounded(a.n, Vec3(Vec3::UnitX()));
  const Vec3 n = a.c / l;
  VectorForm out;
  out.n = a.n;
  out.c = n;
  std::array<double, kMostParameters> forward;
  for (int k = 0; k < a.n; ++k) {
    const Vec3 g = a.generator(k) / l;
    forward[static_cast<std::size_t>(k)] = n.dot(g);
    out.generator(k) = g - n.dot(g) * n;
  }
  for (int j = 0, i = 0; j < a.n; ++j) {
    const double forward_j = forward[static_cast<std::size_t>(j)];
    for (int k = 0; k <= j; ++k, ++i) {
      const Vec3 q = a.pair(i) / l;
      const Vec3 bent = forward[static_cast<std::size_t>(k)] * out.generator(j) + forward_j * out.generator(k) +
                        out.generator(k).dot(out.generator(j)) * n;
      out.pair(i) = q - n.dot(q) * n - (k < j ? 1.0 : 0.5) * bent;
    }
  }
  out.rest = missed(linear, beyond, a.rest / l, 1.1548 / (l * l), 3 / (least * least * least));
  return out;
}

/// v turned about the unit vector `axis` through the origin by the angle middle + half e_k: after R(middle), with
/// A = axis x v and B = axis x A, v + d A + d^2 B / 2 + error, |error| <= |d|^3 |A| / 6. What v misses is turned, not
/// stretched.
inline VectorForm turned(const VectorForm& v, const Vec3& axis, double middle, double half, int k) {
  const Eigen::Matrix3d R = Eigen::AngleAxisd(middle, axis).toRotationMatrix();
  VectorForm out = mapped<Vec3>(v, 1, [&](const Vec3& x) { return Vec3(R * x); });
  if (half == 0) return out;
  const Vec3 A = axis.cross(out.c), B = axis.cross(A);
  double linear = 0, pairs = 0;
  for (int l = 0; l < v.n; ++l) linear += axis.cross(out.generator(l)).norm();
  for (int i = 0; i < pair_count(v.n); ++i) pairs += axis.cross(out.pair(i)).norm();
  const double d = std::abs(half);
  out.rest += d * pairs + 0.5 * d * d * (linear + pairs) + d * d * d / 6 * (A.norm() + linear + pairs);
  for (int l = 0; l < v.n; ++l) out.pair(k, l) += half * axis.cross(out.generator(l));
  out.pair(k, k) += 0.5 * half * half * B;
  out.generator(k) += half * A;
  return out;
}
/// The same by an angle that depends on several parameters.
inline VectorForm turned(const VectorForm& v, const Vec3& axis, const ScalarForm& angle) {
  const Eigen::Matrix3d R = Eigen::AngleAxisd(angle.c, axis).toRotationMatrix();
  VectorForm out = mapped<Vec3>(v, 1, [&](const Vec3& x) { return Vec3(R * x); });
  const double rest = out.rest;
  out.rest = 0;
  ScalarForm d = angle;
  d.c = 0;
  const VectorForm A = cross(axis, out);
  const VectorForm turn = composed(d, {0, 1, 0, 1}) * A + composed(d, {0, 0, 1, 1}) * cross(axis, A);
  out = out + turn;
  out.rest += rest;
  return out;
}
/// v turned by the smallest rotation that carries the unit vector `from` onto the unit vector `to`:
/// c v + w x v + w (w.v) / (1 + c) with c = from.to, w = from x to.
inline VectorForm turned_between(const VectorForm& v, const Vec3& from, const VectorForm& to) {
  const ScalarForm c = dot(from, to);
  const VectorForm w = cross(from, to);
  return c * v + cross(w, v) + (dot(w, v) * inverse(c + 1.0)) * w;
}

}  // namespace baywright
