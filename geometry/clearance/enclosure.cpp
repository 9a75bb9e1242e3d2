#include "geometry/clearance/enclosure.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "geometry/shape_kernels.hpp"

namespace baywright {
namespace {

constexpr std::size_t kMostTerms = kMostParameters + pair_count(kMostParameters);

Cone as_cone(const Shape& shape) {
  if (const auto* cone = std::get_if<Cone>(&shape)) return *cone;
  const auto& collar = std::get<Collar>(shape);
  return {collar.a, collar.b, collar.radius_mm, collar.radius_mm};
}

/// Axis points of a tube whose hull holds the part of its axis.
std::vector<Vec3> axis_hull(const Shape& shape, const Span& part) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) {
    return {s->a + part.from * (s->b - s->a), s->a + part.to * (s->b - s->a)};
  }
  const auto& s = std::get<TorusSegment>(shape);
  const double from = part.from * s.angle_rad, to = part.to * s.angle_rad;
  const double half = 0.5 * (to - from), middle = 0.5 * (to + from);
  const Vec3 crossing = s.center + (s.axis_point(middle) - s.center) / std::cos(half);  // of the end tangents
  return {s.axis_point(from), crossing, s.axis_point(to)};
}

/// Shares of a flexible joint's gap between which the part lies.
std::pair<double, double> shares_of(const Cylinder& shape, const Gap& gap, const Span& part) {
  const double a = gap_share(gap, shape.a), b = gap_share(gap, shape.b);
  return {std::clamp(a + part.from * (b - a), 0.0, 1.0), std::clamp(a + part.to * (b - a), 0.0, 1.0)};
}

double tube_radius_mm(const Shape& shape) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return s->radius_mm;
  return std::get<TorusSegment>(shape).radius_mm;
}

/// Sizes of the terms at the nearest point, along the direction in which the sets are apart; where they meet, along no
/// direction in particular.
struct TermSizes {
  std::array<double, kMostTerms> whole{};
  std::array<double, kMostTerms> upward{};                 ///< towards the other set
  std::array<double, kMostTerms> apart_from_each_other{};  ///< what is won by points that move on their own

  TermSizes(const MovingPoints& points, const Separation& at) {
    const auto terms = static_cast<std::size_t>(points.terms());
    if (at.lower_mm > 0) {
      along_w(points, at, terms);
    } else {
      everywhere(points, at, terms);
    }
  }

 private:
  void along_w(const MovingPoints& points, const Separation& at, std::size_t terms) {
    std::array<double, kMostTerms> sum{}, projected;
    for (std::size_t i = 0; i < points.count(); ++i) {
      if (!(at.weight[i] > 0)) continue;
      points.project(i, at.w, projected.data());
      for (std::size_t j = 0; j < terms; ++j) {
        whole[j] += at.weight[i] * std::abs(projected[j]);
        sum[j] += at.weight[i] * projected[j];
      }
    }
    for (std::size_t j = 0; j < terms; ++j) {
      upward[j] = std::max(0.0, sum[j]);
      apart_from_each_other[j] = whole[j] - std::abs(sum[j]);
    }
  }
  void everywhere(const MovingPoints& points, const Separation& at, std::size_t terms) {
    for (std::size_t j = 0; j < terms; ++j) {
      Vec3 mean = Vec3::Zero();
      for (std::size_t i = 0; i < points.count(); ++i) mean += at.weight[i] * points.term(i, static_cast<int>(j));
      for (std::size_t i = 0; i < points.count(); ++i) {
        const Vec3 term = points.term(i, static_cast<int>(j));
        whole[j] += at.weight[i] * term.norm();
        apart_from_each_other[j] += at.weight[i] * (term - mean).norm();
      }
      upward[j] = whole[j];
    }
  }
};

bool is_tube(const Shape& shape) {
  return std::holds_alternative<Cylinder>(shape) || std::holds_alternative<TorusSegment>(shape);
}

}  // namespace

int first_parts(const Shape& shape) {
  const auto* s = std::get_if<TorusSegment>(&shape);
  return s ? std::max(1, static_cast<int>(std::ceil(s->angle_rad / (0.25 * std::numbers::pi) - 1e-9))) : 1;
}

Enclosure::Enclosure(const Shape& shape, const Span& part, const Carried& carried, const Scenario& scenario,
                     const Cell& cell) {
  const CarriedForms forms(carried.kinematics, carried.carriage, carried.surface_body, scenario, cell.center,
                           cell.half);
  if (is_tube(shape)) {
    greatest_depth_mm_ = tube_radius_mm(shape);
    std::vector<VectorForm> points;
    const auto add = [&](VectorForm p) {
      p.c -= carried.origin;
      // What a point misses is affine in the point, so its size is convex: greatest at one of these.
      rest_mm_ = p.rest >= 0 ? std::max(rest_mm_, p.rest) : std::numeric_limits<double>::infinity();
      points.push_back(p);
    };
    points.reserve(4);
    if (forms.flexible()) {
      const auto [from, to] = shares_of(std::get<Cylinder>(shape), *carried.carriage.gap, part);
      for (const VectorForm& p : forms.curve(from, to)) add(p);
    } else {
      for (const Vec3& at : axis_hull(shape, part)) add(forms.point(at));
    }
    std::vector<const VectorForm*> all;
    for (const VectorForm& p : points) all.push_back(&p);
    axis_ = MovingPoints(all);
  } else {
    flat_.emplace(as_cone(shape), forms, carried.origin);
    greatest_depth_mm_ = flat_->greatest_depth_mm();
    rest_mm_ = flat_->rest_mm();
  }
  if (std::isfinite(rest_mm_)) finish();
}

Enclosure::Enclosure(const std::vector<Vec3>& axis, double radius_mm)
    : axis_(MovingPoints::standing(axis)), greatest_depth_mm_(radius_mm) {
  finish();
}

Enclosure::Enclosure(const Cone& solid) {
  flat_.emplace(solid);
  greatest_depth_mm_ = flat_->greatest_depth_mm();
  finish();
}

void Enclosure::finish() {
  for (int k = 0; k < 3; ++k) {
    box_.hi[k] = reach(Vec3::Unit(k), 0);
    box_.lo[k] = -reach(-Vec3::Unit(k), 0);
  }
}

Vec3 Enclosure::near(const Vec3& p) const {
  const MovingPoints& points = axis();
  const Vec3 &a = points.center(0), &b = points.center(points.count() - 1);
  return a + nearest_on_segment(p, a, b) * (b - a);
}

namespace {

/// How far the points are from the first of them, wherever they are in their cell.
double extent_mm(const MovingPoints& points) {
  double most = 0;
  for (std::size_t i = 1; i < points.count(); ++i) {
    double apart = (points.center(i) - points.center(0)).norm();
    for (int j = 0; j < points.terms(); ++j) apart += (points.term(i, j) - points.term(0, j)).norm();
    most = std::max(most, apart);
  }
  return most;
}

}  // namespace

SplitGain gain_at(const MovingPoints& points, const Separation& at, double rest_mm, bool curved) {
  SplitGain out;
  const int n = points.parameters();
  const TermSizes size(points, at);
  // Wherever it bulges: seen from above, the hull is nearer than the curve as well.
  if (curved && points.count() == 3) {
    const Vec3 bulge = points.center(1) - 0.5 * (points.center(0) + points.center(2));
    out.along_axis += 0.5 * bulge.norm();
  } else if (curved && points.count() == 4) {
    const Vec3 third = (points.center(3) - points.center(0)) / 3;
    out.along_axis += 0.5 * std::max((points.center(1) - points.center(0) - third).norm(),
                                     (points.center(3) - points.center(2) - third).norm());
  }
  double whole = 0;
  for (int k = 0; k < n; ++k) {
    double& travel = out.travel[static_cast<std::size_t>(k)];
    for (std::size_t i = 0; i < points.count(); ++i) travel = std::max(travel, points.term(i, k).norm());
    whole += travel;
  }
  for (int k = 0; k < n; ++k) {
    const auto j = static_cast<std::size_t>(k);
    const double share = whole > 0 ? out.travel[j] / whole : 0;
    const double own_ways = std::max(size.apart_from_each_other[j], at.spread[j]);
    out.along_axis += 0.5 * own_ways;
    out.parameter[j] = 0.5 * (own_ways + at.free_pairs[j]) + rest_mm * (1 - std::pow(1 - 0.5 * share, 3));
  }
  auto term = static_cast<std::size_t>(n);
  for (const ParameterPair& pair : points.pairs()) {
    if (pair.k == pair.l) {
      out.parameter[pair.k] += 0.75 * size.upward[term];
    } else {
      out.parameter[pair.k] += 0.5 * size.whole[term];
      out.parameter[pair.l] += 0.5 * size.whole[term];
    }
    ++term;
  }
  // No point of a half lies farther from the whole than that: a part that is a point already is not cut again.
  out.along_axis = std::min(out.along_axis, 0.5 * extent_mm(points));
  return out;
}

}  // namespace baywright
