#pragma once

#include <array>
#include <cmath>
#include <limits>

#include <Eigen/Geometry>

#include "geometry/vec.hpp"

namespace baywright {

// First-order Taylor models: a quantity that depends on n parameters e_k in [-1, 1] is a centre value, one generator
// per parameter and a bound on what that misses:  |x - (c + sum g_k e_k)| <= rest  for all e. Every operation below
// keeps this true, so whatever is composed of them is a proven enclosure. A quantity that cannot be enclosed over the
// whole cell (a direction whose length may vanish) gets rest = infinity: the caller splits the cell.

inline constexpr int kMostParameters = 32;

struct ScalarForm {
  int n = 0;
  double c = 0;
  std::array<double, kMostParameters> g;
  double rest = 0;

  ScalarForm() = default;
  ScalarForm(int count, double value) : n(count), c(value) {
    for (int k = 0; k < n; ++k) g[static_cast<std::size_t>(k)] = 0;
  }
  double generator(int k) const { return g[static_cast<std::size_t>(k)]; }
  double& generator(int k) { return g[static_cast<std::size_t>(k)]; }
  /// Greatest |x - c|.
  double radius() const {
    double sum = rest;
    for (int k = 0; k < n; ++k) sum += std::abs(generator(k));
    return sum;
  }
};

struct VectorForm {
  int n = 0;
  Vec3 c = Vec3::Zero();
  std::array<Vec3, kMostParameters> g;
  double rest = 0;

  VectorForm() = default;
  VectorForm(int count, const Vec3& value) : n(count), c(value) {
    for (int k = 0; k < n; ++k) generator(k).setZero();
  }
  const Vec3& generator(int k) const { return g[static_cast<std::size_t>(k)]; }
  Vec3& generator(int k) { return g[static_cast<std::size_t>(k)]; }
  double radius() const {
    double sum = rest;
    for (int k = 0; k < n; ++k) sum += generator(k).norm();
    return sum;
  }
};

/// Value, generators by `each(k)`, rest.
template <class F>
ScalarForm scalar_form(int n, double c, double rest, const F& each) {
  ScalarForm out(n, c);
  for (int k = 0; k < n; ++k) out.generator(k) = each(k);
  out.rest = rest;
  return out;
}
template <class F>
VectorForm vector_form(int n, const Vec3& c, double rest, const F& each) {
  VectorForm out(n, c);
  for (int k = 0; k < n; ++k) out.generator(k) = each(k);
  out.rest = rest;
  return out;
}

inline ScalarForm operator+(const ScalarForm& a, const ScalarForm& b) {
  return scalar_form(a.n, a.c + b.c, a.rest + b.rest, [&](int k) { return a.generator(k) + b.generator(k); });
}
inline ScalarForm operator+(const ScalarForm& a, double b) {
  ScalarForm out = a;
  out.c += b;
  return out;
}
inline ScalarForm operator*(double s, const ScalarForm& a) {
  return scalar_form(a.n, s * a.c, std::abs(s) * a.rest, [&](int k) { return s * a.generator(k); });
}
inline ScalarForm operator-(const ScalarForm& a, const ScalarForm& b) { return a + -1.0 * b; }
inline VectorForm operator+(const VectorForm& a, const VectorForm& b) {
  return vector_form(a.n, a.c + b.c, a.rest + b.rest, [&](int k) { return Vec3(a.generator(k) + b.generator(k)); });
}
inline VectorForm operator+(const VectorForm& a, const Vec3& b) {
  VectorForm out = a;
  out.c += b;
  return out;
}
inline VectorForm operator*(double s, const VectorForm& a) {
  return vector_form(a.n, s * a.c, std::abs(s) * a.rest, [&](int k) { return Vec3(s * a.generator(k)); });
}
inline VectorForm operator-(const VectorForm& a, const VectorForm& b) { return a + -1.0 * b; }

// Products: (a + A)(b + B) = ab + aB + Ab + AB; the last and the rests are what the form misses.
inline ScalarForm operator*(const ScalarForm& a, const ScalarForm& b) {
  const double missed = std::abs(a.c) * b.rest + std::abs(b.c) * a.rest + a.radius() * b.radius();
  return scalar_form(a.n, a.c * b.c, missed, [&](int k) { return a.c * b.generator(k) + b.c * a.generator(k); });
}
inline VectorForm operator*(const ScalarForm& a, const VectorForm& b) {
  const double missed = std::abs(a.c) * b.rest + b.c.norm() * a.rest + a.radius() * b.radius();
  return vector_form(a.n, a.c * b.c, missed, [&](int k) { return Vec3(a.c * b.generator(k) + a.generator(k) * b.c); });
}
inline ScalarForm dot(const VectorForm& a, const VectorForm& b) {
  const double missed = a.c.norm() * b.rest + b.c.norm() * a.rest + a.radius() * b.radius();
  return scalar_form(a.n, a.c.dot(b.c), missed,
                     [&](int k) { return a.c.dot(b.generator(k)) + a.generator(k).dot(b.c); });
}
inline VectorForm cross(const VectorForm& a, const VectorForm& b) {
  const double missed = a.c.norm() * b.rest + b.c.norm() * a.rest + a.radius() * b.radius();
  return vector_form(a.n, a.c.cross(b.c), missed,
                     [&](int k) { return Vec3(a.c.cross(b.generator(k)) + a.generator(k).cross(b.c)); });
}

// Functions: f(c + d) = f(c) + f'(c) d + error, |error| <= sup|f''| |d|^2 / 2.
inline ScalarForm sine(const ScalarForm& a) {
  const double d = a.radius();
  return scalar_form(a.n, std::sin(a.c), a.rest + 0.5 * d * d, [&](int k) { return std::cos(a.c) * a.generator(k); });
}
inline ScalarForm cosine(const ScalarForm& a) {
  const double d = a.radius();
  return scalar_form(a.n, std::cos(a.c), a.rest + 0.5 * d * d, [&](int k) { return -std::sin(a.c) * a.generator(k); });
}
/// 1 / a.
inline ScalarForm inverse(const ScalarForm& a) {
  const double d = a.radius(), least = std::abs(a.c) - d;
  const double missed =
      least > 0 ? a.rest / (a.c * a.c) + d * d / (least * least * least) : std::numeric_limits<double>::infinity();
  const double slope = least > 0 ? -1 / (a.c * a.c) : 0;
  return scalar_form(a.n, least > 0 ? 1 / a.c : 0, missed, [&](int k) { return slope * a.generator(k); });
}
/// Angle of the vector (x, y); the second derivative of an angle is at most 1 / r^2.
inline ScalarForm angle_of(const ScalarForm& y, const ScalarForm& x) {
  const double r = std::hypot(x.c, y.c), d = std::hypot(x.radius(), y.radius()), least = r - d;
  if (!(least > 0)) return scalar_form(x.n, 0, std::numeric_limits<double>::infinity(), [](int) { return 0.0; });
  const double missed = std::hypot(x.rest, y.rest) / r + 0.5 * d * d / (least * least);
  return scalar_form(x.n, std::atan2(y.c, x.c), missed,
                     [&](int k) { return (x.c * y.generator(k) - y.c * x.generator(k)) / (r * r); });
}
/// |a|; its second derivative is at most 1 / |a|.
inline ScalarForm length(const VectorForm& a) {
  const double l = a.c.norm(), d = a.radius(), least = l - d;
  const double missed = least > 0 ? a.rest + 0.5 * d * d / least : std::numeric_limits<double>::infinity();
  return scalar_form(a.n, l, missed, [&](int k) { return least > 0 ? a.c.dot(a.generator(k)) / l : 0.0; });
}
/// a / |a|; its second derivative along a unit vector is at most 2 / sqrt(3) / |a|^2 (from differentiating twice:
/// sqrt(4 s (1 - s) + s^2) with s the squared share of the vector across a, greatest at s = 2/3).
inline VectorForm direction(const VectorForm& a) {
  const double l = a.c.norm(), d = a.radius(), least = l - d;
  if (!(least > 0)) {
    return vector_form(a.n, Vec3::UnitX(), std::numeric_limits<double>::infinity(), [](int) { return Vec3(0, 0, 0); });
  }
  const Vec3 n = a.c / l;
  return vector_form(a.n, n, a.rest / l + 0.58 * d * d / (least * least),
                     [&](int k) { return Vec3((a.generator(k) - n.dot(a.generator(k)) * n) / l); });
}
/// v turned by `angle` about the unit vector `axis` through the origin. With angle = a + d the turn is
/// R(a) (1 + d [axis] + error), |error| <= d^2 / 2, all acting on what of v lies across the axis.
inline VectorForm turned(const VectorForm& v, const Vec3& axis, const ScalarForm& angle) {
  const Eigen::Matrix3d R = Eigen::AngleAxisd(angle.c, axis).toRotationMatrix();
  const Vec3 c = R * v.c, slope = axis.cross(c);
  const double d = angle.radius();
  double across = v.rest;
  for (int k = 0; k < v.n; ++k) across += axis.cross(v.generator(k)).norm();
  const double missed = v.rest + slope.norm() * angle.rest + d * across + 0.5 * d * d * (slope.norm() + across);
  return vector_form(v.n, c, missed, [&](int k) { return Vec3(R * v.generator(k) + angle.generator(k) * slope); });
}
/// v turned by the smallest rotation that carries the unit vector `from` onto the unit vector `to`:
/// c v + w x v + w (w.v) / (1 + c) with c = from.to, w = from x to.
inline VectorForm turned_between(const VectorForm& v, const Vec3& from, const VectorForm& to) {
  const ScalarForm c = dot(VectorForm(v.n, from), to);
  const VectorForm w = cross(VectorForm(v.n, from), to);
  return c * v + cross(w, v) + (dot(w, v) * inverse(c + 1.0)) * w;
}

}  // namespace baywright
