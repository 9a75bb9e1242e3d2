#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include "geometry/clearance/forms.hpp"

namespace baywright {

/// Value of max over e in [-1, 1] of a e + b e^2, and the e that gives it.
struct Highest {
  double value, at;
};
inline Highest highest(double a, double b) {
  const double size = std::abs(a);
  if (b < 0 && size < -2 * b) return {-a * a / (4 * b), -a / (2 * b)};
  return {size + b, a < 0 ? -1.0 : 1.0};
}

/// A pair of parameters k <= l.
struct ParameterPair {
  std::uint8_t k, l;
};
/// Pairs that some of the forms bend with. Translations bend nothing, so most pairs are usually missing.
std::vector<ParameterPair> pairs_in(std::span<const VectorForm* const> forms);

/// A few points that move with n parameters e in [-1, 1], each known to second order; laid out for support queries.
/// What the models miss is kept by the caller as one radius around the whole.
class MovingPoints {
 public:
  MovingPoints() = default;
  MovingPoints(int parameters, std::vector<ParameterPair> pairs) : n_(parameters), pairs_(std::move(pairs)) {}
  /// Of these forms; their rests are not kept.
  explicit MovingPoints(std::span<const VectorForm* const> forms);
  /// Points that stand still.
  static MovingPoints standing(std::span<const Vec3> points);

  /// Takes all points out.
  void clear() { centers_.clear(); }
  /// Adds a point; its rest is not kept. Pairs that are not among pairs() must be zero.
  void add(const VectorForm& p);
  /// Room for one more; `center()` and `term()` are to be filled.
  std::size_t add();

  int parameters() const { return n_; }
  const std::vector<ParameterPair>& pairs() const { return pairs_; }
  int terms() const { return n_ + static_cast<int>(pairs_.size()); }
  std::size_t count() const { return centers_.size(); }
  const Vec3& center(std::size_t i) const { return centers_[i]; }
  Vec3& center(std::size_t i) { return centers_[i]; }
  /// Terms: the n generators, then those of pairs().
  Vec3 term(std::size_t i, int j) const;
  void set_term(std::size_t i, int j, const Vec3& value);

  /// w . (terms of point i) into `out`, terms() of them.
  void project(std::size_t i, const Vec3& w, double* out) const;

  struct Support {
    double value = 0;
    Vec3 point = Vec3::Zero();
    std::size_t index = 0;
    std::array<double, kMostParameters> e;
  };
  /// Greatest w.x over all points and parameters, where a product e_k e_l (k < l) counts as anything within
  /// (e_k^2 + e_l^2) / 2: an upper bound of the true one, convex in w.
  double reach(const Vec3& w) const;
  Support support(const Vec3& w) const;
  /// Support of w.(g, q) as above from projected terms. Fills e when given.
  double support_of_terms(const double* terms, double* e) const;

 private:
  int n_ = 0;
  std::vector<ParameterPair> pairs_;
  std::vector<Vec3> centers_;
  std::vector<double> x_, y_, z_;  ///< terms() per point
};

}  // namespace baywright
