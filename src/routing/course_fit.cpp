#include "routing/course_fit.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <Eigen/Dense>

#include "geometry/base/expects.hpp"
#include "geometry/base/quantity.hpp"

namespace baywright::routing {
namespace {

/// Points of a corridor a fit looks at, at most.
constexpr std::size_t kMostPoints = 120;
/// A layout allows an end leg 1 degree against its port's axis (duct/ends.hpp).
constexpr double kOffAxis_rad = 0.5 * M_PI / 180;
/// A missing mm of straight counts as much as this many mm beside the corridor.
constexpr double kStraightWeight = 3;

std::vector<Vec3> thinned(const Corridor& corridor) {
  std::vector<Vec3> out;
  const std::size_t n = corridor.size(), count = std::min(n, kMostPoints);
  if (count < 2) return corridor;
  for (std::size_t i = 0; i < count; ++i) out.push_back(corridor[i * (n - 1) / (count - 1)]);
  return out;
}

/// Sum of squared distances of points i..j from the line through both, for all i < j.
Eigen::MatrixXd line_errors(const std::vector<Vec3>& p) {
  const auto n = static_cast<Eigen::Index>(p.size());
  Eigen::MatrixXd errors = Eigen::MatrixXd::Zero(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = i + 1; j < n; ++j) {
      const Vec3& a = p[static_cast<std::size_t>(i)];
      const Vec3 way = (p[static_cast<std::size_t>(j)] - a).normalized();
      double sum = 0;
      for (Eigen::Index k = i + 1; k < j; ++k) {
        const Vec3 q = p[static_cast<std::size_t>(k)] - a;
        sum += (q - q.dot(way) * way).squaredNorm();
      }
      errors(i, j) = sum;
    }
  }
  return errors;
}

/// Corners, as indices of points, of the polyline with that many corners which misses the points least.
std::vector<std::size_t> best_corners(const std::vector<Vec3>& p, int corners) {
  const Eigen::MatrixXd errors = line_errors(p);
  const auto n = static_cast<Eigen::Index>(p.size());
  constexpr double kFar = std::numeric_limits<double>::infinity();
  Eigen::MatrixXd best = Eigen::MatrixXd::Constant(corners + 2, n, kFar);
  Eigen::MatrixXi before = Eigen::MatrixXi::Zero(corners + 2, n);
  best(0, 0) = 0;
  for (int c = 1; c <= corners + 1; ++c) {
    for (Eigen::Index j = 1; j < n; ++j) {
      for (Eigen::Index i = 0; i < j; ++i) {
        const double sum = best(c - 1, i) + errors(i, j);
        if (sum >= best(c, j)) continue;
        best(c, j) = sum;
        before(c, j) = static_cast<int>(i);
      }
    }
  }
  std::vector<std::size_t> out;
  Eigen::Index at = n - 1;
  for (int c = corners + 1; c > 1; --c) {
    at = before(c, at);
    out.push_back(static_cast<std::size_t>(at));
  }
  std::reverse(out.begin(), out.end());
  return out;
}

Eigen::VectorXd residuals(const std::vector<Vec3>& p, const Course& course, double least_straight) {
  const CourseShape shape = shape_of(course);
  const auto n = static_cast<Eigen::Index>(p.size()), legs = static_cast<Eigen::Index>(shape.legs.size());
  Eigen::VectorXd out(3 * n + legs);
  for (Eigen::Index i = 0; i < n; ++i) {
    const CourseShape::Place place = shape.nearest(p[static_cast<std::size_t>(i)]);
    out.segment<3>(3 * i) =
        std::isfinite(place.distance_mm) ? Vec3(p[static_cast<std::size_t>(i)] - place.p) : Vec3(Vec3::Constant(1e3));
  }
  for (Eigen::Index k = 0; k < legs; ++k) {
    const double least = k == 0 || k + 1 == legs ? 1.0 : least_straight;
    const double lacks = least - shape.legs[static_cast<std::size_t>(k)].spare_mm;
    out[3 * n + k] = kStraightWeight * std::max(lacks, 0.0);
  }
  return out;
}

/// Least squares by steps of Levenberg and Marquardt with differences for derivatives.
Course fitted(const std::vector<Vec3>& p, Course course, const Freedom& freedom, double least_straight) {
  constexpr int kSteps = 25;
  constexpr double kDifference_mm = 0.05, kLongestStep_mm = 60;
  const int count = freedom.count();
  Eigen::VectorXd r = residuals(p, course, least_straight);
  double damping = 1;
  for (int step = 0; step < kSteps; ++step) {
    Eigen::MatrixXd J(r.size(), count);
    for (int k = 0; k < count; ++k) {
      const Eigen::VectorXd dx = kDifference_mm * Eigen::VectorXd::Unit(count, k);
      J.col(k) = (residuals(p, freedom.moved(course, dx), least_straight) - r) / kDifference_mm;
    }
    const Eigen::MatrixXd A = J.transpose() * J;
    bool better = false;
    for (int attempt = 0; attempt < 5 && !better; ++attempt) {
      const Eigen::MatrixXd damped = A + damping * Eigen::MatrixXd::Identity(count, count);
      Eigen::VectorXd dx = damped.ldlt().solve(-J.transpose() * r);
      const double longest = dx.cwiseAbs().maxCoeff();
      if (longest > kLongestStep_mm) dx *= kLongestStep_mm / longest;
      const Course next = freedom.on_axes(freedom.moved(course, dx), 1);
      const Eigen::VectorXd r_next = residuals(p, next, least_straight);
      better = r_next.squaredNorm() < r.squaredNorm();
      damping = better ? std::max(0.3 * damping, 1e-3) : 8 * damping;
      if (!better) continue;
      const double gain = r.squaredNorm() - r_next.squaredNorm();
      course = next;
      r = r_next;
      if (gain < 1e-4 * (r.squaredNorm() + 1)) return course;
    }
    if (!better) break;
  }
  return course;
}

}  // namespace

std::optional<Course> fit_course(const Corridor& corridor, const CourseEnd& from, const CourseEnd& to,
                                 const FitOptions& options) {
  if (options.bends < 2) return only_course(from, to, options.bends, options.radius_mm);
  const std::vector<Vec3> points = thinned(corridor);
  if (static_cast<int>(points.size()) < options.bends + 3) return std::nullopt;
  Course course;
  course.radius_mm = options.radius_mm;
  course.points.push_back(from.center);
  for (const std::size_t i : best_corners(points, options.bends)) course.points.push_back(points[i]);
  course.points.push_back(to.center);
  const Freedom freedom(from, to, options.bends);
  return fitted(points, freedom.on_axes(course, 10), freedom, options.least_straight_mm);
}

std::optional<Course> only_course(const CourseEnd& from, const CourseEnd& to, int bends, double radius_mm) {
  EXPECTS(bends == 0 || bends == 1);
  const auto off = [](const Vec3& way, const Vec3& axis) { return std::atan2(way.cross(axis).norm(), way.dot(axis)); };
  Course course{{from.center, to.center}, radius_mm};
  if (bends == 0) {
    const Vec3 way = to.center - from.center;
    if (off(way, from.axis) > kOffAxis_rad || off(-way, to.axis) > kOffAxis_rad) return std::nullopt;
    return course;
  }
  // Where the two axes come nearest to one another.
  const Vec3 between = to.center - from.center;
  const double c = from.axis.dot(to.axis), square = 1 - c * c;
  if (square < 1e-4) return std::nullopt;
  const double s = (between.dot(from.axis) - c * between.dot(to.axis)) / square;
  const double t = (c * between.dot(from.axis) - between.dot(to.axis)) / square;
  if (s <= 0 || t <= 0) return std::nullopt;
  const Vec3 corner = 0.5 * (from.center + s * from.axis + to.center + t * to.axis);
  if (off(corner - from.center, from.axis) > kOffAxis_rad || off(corner - to.center, to.axis) > kOffAxis_rad)
    return std::nullopt;
  course.points.insert(course.points.begin() + 1, corner);
  return course;
}

}  // namespace baywright::routing
