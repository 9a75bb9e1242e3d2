#include "geometry/clearance/moving_points.hpp"

#include <algorithm>

namespace baywright {
namespace {

constexpr std::size_t kMostTerms = kMostParameters + pair_count(kMostParameters);

}  // namespace

std::vector<ParameterPair> pairs_in(std::span<const VectorForm* const> forms) {
  std::vector<ParameterPair> out;
  const int n = forms.empty() ? 0 : forms.front()->n;
  for (int l = 0, i = 0; l < n; ++l) {
    for (int k = 0; k <= l; ++k, ++i) {
      const bool used =
          std::any_of(forms.begin(), forms.end(), [i](const VectorForm* form) { return !form->pair(i).isZero(0); });
      if (used) out.push_back({static_cast<std::uint8_t>(k), static_cast<std::uint8_t>(l)});
    }
  }
  return out;
}

MovingPoints::MovingPoints(std::span<const VectorForm* const> forms)
    : n_(forms.empty() ? 0 : forms.front()->n), pairs_(pairs_in(forms)) {
  for (const VectorForm* form : forms) add(*form);
}

MovingPoints MovingPoints::standing(std::span<const Vec3> points) {
  MovingPoints out;
  out.centers_.assign(points.begin(), points.end());
  return out;
}

double MovingPoints::support_of_terms(const double* terms, double* e) const {
  std::array<double, kMostParameters> bend;
  std::fill_n(bend.begin(), n_, 0.0);
  const double* pair = terms + n_;
  for (const ParameterPair& at : pairs_) {
    const double term = *pair++;
    if (at.k == at.l) {
      bend[at.k] += term;
    } else {
      const double half = 0.5 * std::abs(term);
      bend[at.k] += half;
      bend[at.l] += half;
    }
  }
  double value = 0;
  for (int k = 0; k < n_; ++k) {
    const Highest at = highest(terms[k], bend[static_cast<std::size_t>(k)]);
    value += at.value;
    if (e) e[k] = at.at;
  }
  return value;
}

std::size_t MovingPoints::add() {
  centers_.emplace_back(Vec3::Zero());
  const std::size_t size = centers_.size() * static_cast<std::size_t>(terms());
  if (x_.size() < size) {
    x_.resize(size);
    y_.resize(size);
    z_.resize(size);
  }
  return centers_.size() - 1;
}

void MovingPoints::add(const VectorForm& p) {
  const std::size_t i = add();
  centers_[i] = p.c;
  for (int k = 0; k < n_; ++k) set_term(i, k, p.generator(k));
  int at = n_;
  for (const ParameterPair& pair : pairs_) set_term(i, at++, p.pair(pair.k, pair.l));
}

Vec3 MovingPoints::term(std::size_t i, int j) const {
  const std::size_t at = i * static_cast<std::size_t>(terms()) + static_cast<std::size_t>(j);
  return {x_[at], y_[at], z_[at]};
}

void MovingPoints::set_term(std::size_t i, int j, const Vec3& value) {
  const std::size_t at = i * static_cast<std::size_t>(terms()) + static_cast<std::size_t>(j);
  x_[at] = value.x();
  y_[at] = value.y();
  z_[at] = value.z();
}

void MovingPoints::project(std::size_t i, const Vec3& w, double* out) const {
  const auto count = static_cast<std::size_t>(terms());
  const double *x = x_.data() + i * count, *y = y_.data() + i * count, *z = z_.data() + i * count;
  const double wx = w.x(), wy = w.y(), wz = w.z();
  for (std::size_t j = 0; j < count; ++j) out[j] = wx * x[j] + wy * y[j] + wz * z[j];
}

double MovingPoints::reach(const Vec3& w) const {
  std::array<double, kMostTerms> terms;
  double best = -std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < count(); ++i) {
    project(i, w, terms.data());
    best = std::max(best, w.dot(centers_[i]) + support_of_terms(terms.data(), nullptr));
  }
  return best;
}

MovingPoints::Support MovingPoints::support(const Vec3& w) const {
  std::array<double, kMostTerms> terms;
  std::array<double, kMostParameters> e;
  Support best;
  best.value = -std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < count(); ++i) {
    project(i, w, terms.data());
    const double value = w.dot(centers_[i]) + support_of_terms(terms.data(), e.data());
    if (!(value > best.value)) continue;
    best.value = value;
    best.index = i;
    std::copy_n(e.begin(), n_, best.e.begin());
  }
  // The point itself: a pair counts with the sign that helps.
  project(best.index, w, terms.data());
  best.point = centers_[best.index];
  for (int k = 0; k < n_; ++k) best.point += best.e[static_cast<std::size_t>(k)] * term(best.index, k);
  int at = n_;
  for (const ParameterPair& pair : pairs_) {
    const double ek = best.e[pair.k], el = best.e[pair.l];
    const double weight =
        pair.k == pair.l ? ek * ek : std::copysign(0.5 * (ek * ek + el * el), terms[static_cast<std::size_t>(at)]);
    best.point += weight * term(best.index, at++);
  }
  return best;
}

}  // namespace baywright
