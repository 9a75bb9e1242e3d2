#include "access/opening_view.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "geometry/base/expects.hpp"
#include "geometry/shape_kernels.hpp"

namespace baywright::access {
namespace {

/// Points of a solid with the radius of the ball around each: the solid lies in the hull of the balls, which lies
/// little beyond it.
struct HullBall {
  Vec3 center;
  double radius_mm;
};

std::vector<HullBall> hull_of(const StandingShape& shape) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return {{s->a, s->radius_mm}, {s->b, s->radius_mm}};
  if (const auto* s = std::get_if<Collar>(&shape)) return {{s->a, s->radius_mm}, {s->b, s->radius_mm}};
  std::vector<HullBall> corners;
  for (unsigned i = 0; i < 8; ++i) corners.push_back({corner(std::get<Box>(shape), i), 0});
  return corners;
}

}  // namespace

OpeningView::OpeningView(const bay::AccessOpening& opening, const Vec3& inside) : id_(opening.id), name_(opening.name) {
  const std::vector<Vec3>& v = opening.outline_mm;
  EXPECTS(v.size() >= 3);
  Vec3 normal = Vec3::Zero();
  for (std::size_t i = 0; i < v.size(); ++i) {
    normal += v[i].cross(v[(i + 1) % v.size()]);
    middle_ += v[i] / static_cast<double>(v.size());
  }
  if (normal.norm() > 0) outward_ = normal.normalized();
  if (outside_mm(inside) > 0) outward_ = -outward_;
  ex_ = any_perpendicular(outward_);
  ey_ = outward_.cross(ex_);
  for (const Vec3& p : v) outline_.push_back(flat(p));
}

double OpeningView::inside_mm(const Eigen::Vector2d& q) const {
  bool in = false;
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0, j = outline_.size() - 1; i < outline_.size(); j = i++) {
    const Eigen::Vector2d &a = outline_[i], &b = outline_[j], d = b - a;
    if ((a.y() > q.y()) != (b.y() > q.y()) && q.x() < a.x() + (q.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x())) {
      in = !in;
    }
    const double l2 = d.squaredNorm(), t = l2 > 0 ? std::clamp((q - a).dot(d) / l2, 0.0, 1.0) : 0;
    nearest = std::min(nearest, (q - a - t * d).norm());
  }
  return in ? nearest : -nearest;
}

double OpeningView::inside_where_crossing_mm(const Vec3& p, const Vec3& direction) const {
  const double rise = outward_.dot(direction);
  EXPECTS(rise != 0);
  return inside_mm(flat(p - outside_mm(p) / rise * direction));
}

std::vector<Vec3> OpeningView::targets(double margin_mm, int rows) const {
  EXPECTS(rows >= 3 && rows % 2 == 1);
  Eigen::Vector2d lo = outline_.front(), hi = lo;
  for (const Eigen::Vector2d& q : outline_) {
    lo = lo.cwiseMin(q);
    hi = hi.cwiseMax(q);
  }
  lo.array() += margin_mm;
  hi.array() -= margin_mm;
  std::vector<Vec3> out;
  const auto offer = [&](const Eigen::Vector2d& q) {
    if (inside_mm(q) >= margin_mm) out.push_back(lifted(q));
  };
  offer(0.5 * (lo + hi));
  for (int i = 0; i < rows; ++i) {
    for (int j = 0; j < rows; ++j) {
      const Eigen::Vector2d share(i / (rows - 1.0), j / (rows - 1.0));
      if (2 * i + 1 != rows || 2 * j + 1 != rows) offer(lo + share.cwiseProduct(hi - lo));
    }
  }
  return out;
}

std::optional<double> OpeningView::way_out(std::span<const StandingShape> shapes, const Vec3& direction) const {
  const double rise = outward_.dot(direction);
  double way = 0;
  for (const StandingShape& shape : shapes) {
    for (const HullBall& ball : hull_of(shape)) {
      const double below = ball.radius_mm - outside_mm(ball.center);
      if (below <= 0) continue;
      if (!(rise > 1e-3)) return std::nullopt;
      const double s = -outside_mm(ball.center) / rise;
      // A ball that moves aslant through the plane leaves an ellipse there.
      if (inside_mm(flat(ball.center + s * direction)) < ball.radius_mm / rise) return std::nullopt;
      way = std::max(way, below / rise);
    }
  }
  return way;
}

}  // namespace baywright::access
