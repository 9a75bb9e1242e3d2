#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <type_traits>

#include <Eigen/Geometry>

#include "geometry/vec.hpp"

namespace baywright {

// Second-order Taylor models: a quantity that depends on n parameters e_k in [-1, 1] is a centre value, one generator
// per parameter, one term per pair of parameters and a bound on what that misses:
//   |x - (c + sum_k g_k e_k + sum_(k <= l) q_kl e_k e_l)| <= rest  for all e.
// Every operation here and in form_functions.hpp keeps this true, so whatever is composed of them is a proven
// enclosure, and what it misses shrinks with the cube of the cell. A quantity that cannot be enclosed over the whole
// cell (a direction whose length may vanish) gets rest = infinity: the caller splits the cell.

inline constexpr int kMostParameters = 32;

/// Where the pair (k, l), k <= l, of n parameters is kept.
constexpr int pair_index(int k, int l) { return l * (l + 1) / 2 + k; }
constexpr int pair_count(int n) { return n * (n + 1) / 2; }

inline double size_of(double x) { return std::abs(x); }
inline double size_of(const Vec3& x) { return x.norm(); }
template <class T>
T zero_of() {
  if constexpr (std::is_same_v<T, double>) {
    return 0;
  } else {
    return T::Zero();
  }
}

template <class T>
struct Form {
  int n = 0;
  double rest = 0;
  T c;
  std::array<T, kMostParameters> g;
  std::array<T, pair_count(kMostParameters)> q;

  Form() : c(zero_of<T>()) {}
  Form(int count, const T& value) : n(count), c(value) {
    for (int k = 0; k < n; ++k) generator(k) = zero_of<T>();
    for (int i = 0; i < pair_count(n); ++i) pair(i) = zero_of<T>();
  }
  Form(const Form& other) { *this = other; }
  /// Copies what is in use only: most of the arrays is not.
  Form& operator=(const Form& other) {
    n = other.n;
    rest = other.rest;
    c = other.c;
    std::copy_n(other.g.begin(), n, g.begin());
    std::copy_n(other.q.begin(), pair_count(n), q.begin());
    return *this;
  }

  const T& generator(int k) const { return g[static_cast<std::size_t>(k)]; }
  T& generator(int k) { return g[static_cast<std::size_t>(k)]; }
  const T& pair(int index) const { return q[static_cast<std::size_t>(index)]; }
  T& pair(int index) { return q[static_cast<std::size_t>(index)]; }
  const T& pair(int k, int l) const { return pair(k <= l ? pair_index(k, l) : pair_index(l, k)); }
  T& pair(int k, int l) { return pair(k <= l ? pair_index(k, l) : pair_index(l, k)); }

  double linear_size() const {
    double sum = 0;
    for (int k = 0; k < n; ++k) sum += size_of(generator(k));
    return sum;
  }
  double pair_size() const {
    double sum = 0;
    for (int i = 0; i < pair_count(n); ++i) sum += size_of(pair(i));
    return sum;
  }
  /// Greatest |x - c|.
  double radius() const { return linear_size() + pair_size() + rest; }
};

using ScalarForm = Form<double>;
using VectorForm = Form<Vec3>;

/// f of every part of a form; what it misses grows by at most `factor`. f must be linear.
template <class R, class T, class F>
Form<R> mapped(const Form<T>& a, double factor, const F& f) {
  Form<R> out;
  out.n = a.n;
  out.c = f(a.c);
  for (int k = 0; k < a.n; ++k) out.generator(k) = f(a.generator(k));
  for (int i = 0; i < pair_count(a.n); ++i) out.pair(i) = f(a.pair(i));
  out.rest = factor * a.rest;
  return out;
}
/// a + factor * b, in place.
template <class T>
void add_scaled(Form<T>& a, double factor, const Form<T>& b) {
  a.c += factor * b.c;
  for (int k = 0; k < a.n; ++k) a.generator(k) += factor * b.generator(k);
  for (int i = 0; i < pair_count(a.n); ++i) a.pair(i) += factor * b.pair(i);
  a.rest += std::abs(factor) * b.rest;
}

template <class T>
Form<T> operator+(Form<T> a, const Form<T>& b) {
  add_scaled(a, 1, b);
  return a;
}
template <class T>
Form<T> operator-(Form<T> a, const Form<T>& b) {
  add_scaled(a, -1, b);
  return a;
}
inline ScalarForm operator+(ScalarForm a, double b) {
  a.c += b;
  return a;
}
inline VectorForm operator+(VectorForm a, const Vec3& b) {
  a.c += b;
  return a;
}
template <class T>
Form<T> operator*(double s, const Form<T>& a) {
  return mapped<T>(a, std::abs(s), [&](const T& x) { return T(s * x); });
}
inline ScalarForm dot(const Vec3& w, const VectorForm& a) {
  return mapped<double>(a, w.norm(), [&](const Vec3& x) { return w.dot(x); });
}
inline VectorForm cross(const Vec3& w, const VectorForm& a) {
  return mapped<Vec3>(a, w.norm(), [&](const Vec3& x) { return Vec3(w.cross(x)); });
}
/// A scalar along a fixed direction.
inline VectorForm along(const ScalarForm& a, const Vec3& w) {
  return mapped<Vec3>(a, w.norm(), [&](double x) { return Vec3(x * w); });
}

/// Any product `op` with |op(x, y)| <= |x| |y|. With a = a0 + L + Q + r the form keeps a0 b, a b0 and L L; it misses
/// the products of third order and those of the rests.
template <class R, class A, class B, class Op>
Form<R> product(const Form<A>& a, const Form<B>& b, const Op& op) {
  Form<R> out;
  out.n = a.n;
  out.c = op(a.c, b.c);
  for (int k = 0; k < a.n; ++k) out.generator(k) = op(a.c, b.generator(k)) + op(a.generator(k), b.c);
  for (int l = 0, i = 0; l < a.n; ++l) {
    for (int k = 0; k <= l; ++k, ++i) {
      R term = op(a.c, b.pair(i)) + op(a.pair(i), b.c) + op(a.generator(k), b.generator(l));
      if (k < l) term += op(a.generator(l), b.generator(k));
      out.pair(i) = term;
    }
  }
  const double la = a.linear_size(), qa = a.pair_size() + a.rest, lb = b.linear_size(), qb = b.pair_size() + b.rest;
  out.rest = size_of(a.c) * b.rest + size_of(b.c) * a.rest + la * qb + qa * lb + qa * qb;
  return out;
}
inline ScalarForm operator*(const ScalarForm& a, const ScalarForm& b) {
  return product<double>(a, b, [](double x, double y) { return x * y; });
}
inline VectorForm operator*(const ScalarForm& a, const VectorForm& b) {
  return product<Vec3>(a, b, [](double x, const Vec3& y) { return Vec3(x * y); });
}
inline ScalarForm dot(const VectorForm& a, const VectorForm& b) {
  return product<double>(a, b, [](const Vec3& x, const Vec3& y) { return x.dot(y); });
}
inline VectorForm cross(const VectorForm& a, const VectorForm& b) {
  return product<Vec3>(a, b, [](const Vec3& x, const Vec3& y) { return Vec3(x.cross(y)); });
}

}  // namespace baywright
