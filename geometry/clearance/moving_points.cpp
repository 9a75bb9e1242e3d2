#include "geometry/clearance/moving_points.hpp"

namespace baywright {
namespace {

constexpr std::size_t kMostTerms = kMostParameters + pair_count(kMostParameters);

}  // namespace

double support_of_terms(const double* terms, int n, double* e) {
  std::array<double, kMostParameters> bend;
  for (int k = 0; k < n; ++k) bend[static_cast<std::size_t>(k)] = 0;
  const double* pair = terms + n;
  for (int l = 0; l < n; ++l) {
    double own = 0;
    for (int k = 0; k < l; ++k) {
      const double half = 0.5 * std::abs(pair[k]);
      bend[static_cast<std::size_t>(k)] += half;
      own += half;
    }
    bend[static_cast<std::size_t>(l)] += own + pair[l];
    pair += l + 1;
  }
  double value = 0;
  for (int k = 0; k < n; ++k) {
    const Highest at = highest(terms[k], bend[static_cast<std::size_t>(k)]);
    value += at.value;
    if (e) e[k] = at.at;
  }
  return value;
}

std::size_t MovingPoints::add() {
  centers_.push_back(Vec3::Zero());
  const std::size_t size = centers_.size() * static_cast<std::size_t>(terms());
  x_.resize(size);
  y_.resize(size);
  z_.resize(size);
  return centers_.size() - 1;
}

void MovingPoints::add(const VectorForm& p) {
  const std::size_t i = add();
  centers_[i] = p.c;
  for (int k = 0; k < n_; ++k) set_term(i, k, p.generator(k));
  for (int k = 0; k < pair_count(n_); ++k) set_term(i, n_ + k, p.pair(k));
}

void MovingPoints::shift(const Vec3& by) {
  for (Vec3& c : centers_) c += by;
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
    best = std::max(best, w.dot(centers_[i]) + support_of_terms(terms.data(), n_, nullptr));
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
    const double value = w.dot(centers_[i]) + support_of_terms(terms.data(), n_, e.data());
    if (!(value > best.value)) continue;
    best.value = value;
    best.index = i;
    best.e = e;
  }
  // The point itself: a pair counts with the sign that helps.
  project(best.index, w, terms.data());
  best.point = centers_[best.index];
  for (int l = 0; l < n_; ++l) {
    const double el = best.e[static_cast<std::size_t>(l)];
    best.point += el * term(best.index, l) + el * el * term(best.index, n_ + pair_index(l, l));
    for (int k = 0; k < l; ++k) {
      const double ek = best.e[static_cast<std::size_t>(k)];
      const int at = n_ + pair_index(k, l);
      const double weight = std::copysign(0.5 * (ek * ek + el * el), terms[static_cast<std::size_t>(at)]);
      best.point += weight * term(best.index, at);
    }
  }
  return best;
}

}  // namespace baywright
