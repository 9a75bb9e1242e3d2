#include "geometry/clearance/flat_solid.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/shape_kernels.hpp"

namespace baywright {
namespace {

/// slope - sqrt(1 + slope^2): how fast a radius falls with the depth, at the end from which the side rises by `slope`.
double radius_per_depth(double slope) {
  return slope > 0 ? -1 / (slope + std::hypot(1, slope)) : slope - std::hypot(1, slope);
}

LengthRange length_range(const Cone& cone, const CarriedForms& forms, const VectorForm& between) {
  const double rest_mm = (cone.b - cone.a).norm();
  if (!forms.mixed() && !forms.flexible()) return {rest_mm, rest_mm};
  const ScalarForm carried = length(between);
  const double radius = carried.radius();
  // Neither motion stretches anything, so a mixture does not either; the ends of a flexible joint may move apart.
  const double most = forms.flexible() ? between.c.norm() + between.radius() : rest_mm;
  if (!std::isfinite(radius)) return {0, most};
  return {std::max(0.0, carried.c - radius), std::min(most, carried.c + radius)};
}

constexpr std::size_t kMostTerms = kMostParameters + pair_count(kMostParameters);

}  // namespace

std::optional<Core> core_of(const Cone& cone, const LengthRange& length, double erosion_mm) {
  if (!(length.most_mm - 2 * erosion_mm >= 0)) return std::nullopt;
  // The radius left at either end grows with the slope from there: the steepest rise, the gentlest fall.
  const double rise = cone.radius_b_mm - cone.radius_a_mm;
  const auto left = [&](double radius_mm, double climb_mm) {
    const double over_mm = std::max(climb_mm > 0 ? length.least_mm : length.most_mm, 1e-9);
    return radius_mm + erosion_mm * radius_per_depth(climb_mm / over_mm);
  };
  const Core out{erosion_mm, left(cone.radius_a_mm, rise), left(cone.radius_b_mm, -rise)};
  if (out.radius_a_mm < 0 && out.radius_b_mm < 0) return std::nullopt;
  return out;
}

FlatSolid::FlatSolid(const Cone& cone, const CarriedForms& forms, const Vec3& origin) : cone_(cone) {
  const Vec3 n = (cone.b - cone.a).normalized(), x = any_perpendicular(n);
  VectorForm a = forms.point(cone.a), b = forms.point(cone.b);
  const VectorForm between = b - a;
  length_ = length_range(cone, forms, between);
  a.c -= origin;
  b.c -= origin;
  const CarriedForms::Frame frame = forms.flexible() ? forms.frame_along(between) : forms.frame(n, x, n.cross(x));
  const std::array<const VectorForm*, 3> ends = {&a, &b, &frame.along};
  centers_ = MovingPoints(forms.count(), pairs_in(ends));
  along_ = centers_;
  centers_.add(a);
  centers_.add(b);
  along_.add(frame.along);
  rest_mm_ = a.rest >= b.rest ? a.rest : b.rest;
  if (!std::isfinite(a.rest + b.rest + frame.along.rest + frame.ex.rest + frame.ey.rest)) {
    rest_mm_ = std::numeric_limits<double>::infinity();
  }
  along_rest_ = frame.along.rest;
  along_size_ = frame.along.radius();
  from_ = a.c;
  a.c.setZero();
  const std::array<const VectorForm*, 3> axis = {&frame.ex, &frame.ey, &frame.along};
  const std::array<ScalarForm, 3> offset = {dot(frame.ex, a), dot(frame.ey, a), dot(frame.along, a)};
  std::vector<ParameterPair> pairs;
  for (int l = 0; l < forms.count(); ++l) {
    for (int k = 0; k <= l; ++k) {
      bool used = false;
      for (std::size_t r = 0; r < 3; ++r) {
        used = used || !axis[r]->pair(k, l).isZero(0) || offset[r].pair(k, l) != 0;
      }
      if (used) pairs.push_back({static_cast<std::uint8_t>(k), static_cast<std::uint8_t>(l)});
    }
  }
  const auto n_terms = static_cast<std::size_t>(forms.count()) + pairs.size();
  axes_.resize(n_terms + 1);
  offset_.resize(n_terms + 1);
  for (int r = 0; r < 3; ++r) {
    const VectorForm& form = *axis[static_cast<std::size_t>(r)];
    const ScalarForm& off = offset[static_cast<std::size_t>(r)];
    axes_[0].row(r) = form.c.transpose();
    offset_[0][r] = off.c;
    std::size_t at = 1;
    for (int k = 0; k < form.n; ++k, ++at) {
      axes_[at].row(r) = form.generator(k).transpose();
      offset_[at][r] = off.generator(k);
    }
    for (const ParameterPair& pair : pairs) {
      axes_[at].row(r) = form.pair(pair.k, pair.l).transpose();
      offset_[at++][r] = off.pair(pair.k, pair.l);
    }
    axes_rest_[r] = form.rest;
    offset_rest_[r] = off.rest;
  }
  corners_ = MovingPoints(forms.count(), std::move(pairs));
}

FlatSolid::FlatSolid(const Cone& cone) : cone_(cone) {
  const double l = (cone.b - cone.a).norm();
  length_ = {l, l};
  centers_ = MovingPoints::standing(std::array<Vec3, 2>{cone.a, cone.b});
  along_ = MovingPoints::standing(std::array<Vec3, 1>{Vec3((cone.b - cone.a) / l)});
}

double FlatSolid::greatest_depth_mm() const {
  if (!(length_.most_mm > 0)) return 0;
  return ConeProfile({Vec3::Zero(), length_.most_mm * Vec3::UnitZ(), cone_.radius_a_mm, cone_.radius_b_mm})
      .greatest_depth_mm();
}

double FlatSolid::reach(const Vec3& w, double depth_mm) const {
  const auto core = core_of(cone_, length_, depth_mm);
  if (!core) return -std::numeric_limits<double>::infinity();
  // A disc across n reaches r sqrt(1 - (w.n)^2) beyond its centre. With w.n = s + d, for any m > 0:
  // sqrt(1 - (w.n)^2) <= (1 - s^2 - 2 s d + m^2) / (2 m), and d is known to second order.
  std::array<double, kMostTerms> turn, terms;
  along_.project(0, w, turn.data());
  const double s = w.dot(along_.center(0)), across2 = std::max(0.0, 1 - s * s);
  const double m = std::max(std::sqrt(std::max(across2, along_size_ * along_size_)), 1e-6);
  double best = -std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < 2; ++i) {
    const double radius = std::max(0.0, i == 0 ? core->radius_a_mm : core->radius_b_mm);
    const double inward = i == 0 ? depth_mm : -depth_mm;
    const double lean = inward - radius * s / m;
    centers_.project(i, w, terms.data());
    for (std::size_t j = 0; j < static_cast<std::size_t>(centers_.terms()); ++j) terms[j] += lean * turn[j];
    const double value = w.dot(centers_.center(i)) + inward * s + radius * (across2 + m * m) / (2 * m) +
                         centers_.support_of_terms(terms.data(), nullptr) + std::abs(lean) * along_rest_;
    best = std::max(best, value);
  }
  return best;
}

double FlatSolid::carry_back(const Corners3& v, MovingPoints& out) const {
  out.clear();
  double rest2 = 0;
  for (const Vec3& corner : v) {
    const Vec3 d = corner - from_;
    const std::size_t i = out.add();
    out.center(i) = axes_[0] * d - offset_[0];
    for (std::size_t j = 1; j < axes_.size(); ++j) out.set_term(i, static_cast<int>(j) - 1, axes_[j] * d - offset_[j]);
    rest2 = std::max(rest2, (d.norm() * axes_rest_ + offset_rest_).squaredNorm());
  }
  return std::sqrt(rest2);
}

StandingDiscs FlatSolid::discs(const Core& core) const {
  // Where the radius has vanished the solid ends in a tip: part of the way to the other end.
  double from = 0, to = 1;
  const double ra = core.radius_a_mm, rb = core.radius_b_mm;
  if (ra < 0) from = ra / (ra - rb);
  if (rb < 0) to = ra / (ra - rb);
  StandingDiscs out;
  const auto add = [&](double length_mm, double share) {
    const double span = std::max(0.0, length_mm - 2 * core.erosion_mm);
    out.add(core.erosion_mm + share * span, std::max(0.0, (1 - share) * ra + share * rb));
  };
  add(length_.most_mm, from);
  add(length_.most_mm, to);
  if (length_.least_mm < length_.most_mm) {
    add(length_.least_mm, from);
    add(length_.least_mm, to);
  }
  return out;
}

}  // namespace baywright
