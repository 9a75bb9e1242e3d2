#include "routing/course.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <set>
#include <string>
#include <utility>

#include "geometry/base/expects.hpp"

namespace baywright::routing {
namespace {

/// Below it a change of direction is none (duct::kStraightAngle is coarser, but the search must be smooth).
constexpr double kNoAngle_rad = 1e-6;
/// Beyond it a bend is no bend: the set-back grows without end.
constexpr double kMostAngle_rad = 2.9;

/// As it is written into a job, and made: what is checked must be what is written.
Vec3 as_written(const Vec3& p) {
  return {std::round(p.x() * 100) / 100, std::round(p.y() * 100) / 100, std::round(p.z() * 100) / 100};
}

CourseArc arc_at(const Vec3& p, const Vec3& u, const Vec3& w, double radius, double& set_back) {
  CourseArc arc;
  arc.radius_mm = radius;
  const Vec3 across = u.cross(w);
  const double angle = std::min(std::atan2(across.norm(), u.dot(w)), kMostAngle_rad);
  arc.angle_rad = angle;
  arc.e1 = u;
  if (angle < kNoAngle_rad || across.norm() < 1e-9) {
    arc.e0 = u.unitOrthogonal();
    arc.angle_rad = 0;
    set_back = 0;
    arc.center = p - radius * arc.e0;
    return arc;
  }
  set_back = radius * std::tan(0.5 * angle);
  arc.e0 = -across.normalized().cross(u);
  arc.center = p - set_back * u - radius * arc.e0;
  return arc;
}

}  // namespace

Course Course::with_radius(std::size_t bend, double radius) const {
  Course out = *this;
  if (out.radii_mm.empty()) out.radii_mm.assign(points.size() - 2, radius_mm);
  out.radii_mm[bend] = radius;
  return out;
}

CourseShape shape_of(const Course& course) {
  EXPECTS(course.points.size() >= 2);
  CourseShape shape;
  const auto& p = course.points;
  std::vector<double> set_backs(p.size(), 0.0);
  std::vector<Vec3> directions;
  for (std::size_t i = 0; i + 1 < p.size(); ++i) {
    const Vec3 way = p[i + 1] - p[i];
    directions.push_back(way.norm() > 1e-9    ? Vec3(way.normalized())
                         : directions.empty() ? Vec3(Vec3::UnitX())
                                              : directions.back());
  }
  for (std::size_t i = 1; i + 1 < p.size(); ++i) {
    shape.arcs.push_back(arc_at(p[i], directions[i - 1], directions[i], course.radius_of(i - 1), set_backs[i]));
  }
  for (std::size_t i = 0; i + 1 < p.size(); ++i) {
    CourseLeg leg;
    leg.direction = directions[i];
    leg.from = p[i] + set_backs[i] * directions[i];
    leg.to = p[i + 1] - set_backs[i + 1] * directions[i];
    leg.spare_mm = (p[i + 1] - p[i]).norm() - set_backs[i] - set_backs[i + 1];
    shape.legs.push_back(leg);
  }
  return shape;
}

double CourseShape::length_of(int element) const {
  const auto i = static_cast<std::size_t>(element / 2);
  return element % 2 == 0 ? std::max(legs[i].spare_mm, 0.0) : arcs[i].radius_mm * arcs[i].angle_rad;
}

double CourseShape::length_mm() const {
  double sum = 0;
  for (int e = 0; e < elements(); ++e) sum += length_of(e);
  return sum;
}

double CourseShape::turning_rad() const {
  double sum = 0;
  for (const CourseArc& arc : arcs) sum += arc.angle_rad;
  return sum;
}

std::vector<double> CourseShape::angles_rad() const {
  std::vector<double> angles;
  for (const CourseArc& arc : arcs) angles.push_back(arc.angle_rad);
  return angles;
}

Vec3 CourseShape::point(int element, double share) const {
  const auto i = static_cast<std::size_t>(element / 2);
  if (element % 2 == 0) return legs[i].from + share * (legs[i].to - legs[i].from);
  const double t = share * arcs[i].angle_rad;
  return arcs[i].center + arcs[i].radius_mm * (std::cos(t) * arcs[i].e0 + std::sin(t) * arcs[i].e1);
}

CourseShape::Place CourseShape::nearest(const Vec3& p) const {
  Place best;
  best.distance_mm = std::numeric_limits<double>::infinity();
  for (int e = 0; e < elements(); ++e) {
    const auto i = static_cast<std::size_t>(e / 2);
    double share = 0;
    if (e % 2 == 0) {
      if (legs[i].spare_mm <= 0) continue;
      share = std::clamp((p - legs[i].from).dot(legs[i].direction) / legs[i].spare_mm, 0.0, 1.0);
    } else {
      if (arcs[i].angle_rad <= 0) continue;
      const Vec3 out = p - arcs[i].center;
      double t = std::atan2(out.dot(arcs[i].e1), out.dot(arcs[i].e0));
      const double beyond = 0.5 * (2 * std::numbers::pi - arcs[i].angle_rad);
      if (t < -beyond) t += 2 * std::numbers::pi;
      share = std::clamp(t / arcs[i].angle_rad, 0.0, 1.0);
    }
    const Vec3 q = point(e, share);
    const double distance = (q - p).norm();
    if (distance < best.distance_mm) best = {e, share, q, distance};
  }
  return best;
}

CourseShape::Place CourseShape::at(double station_mm) const {
  double left = std::max(station_mm, 0.0);
  for (int e = 0; e < elements(); ++e) {
    const double length = length_of(e);
    if (left <= length && length > 0) return {e, left / length, point(e, left / length), 0};
    left -= length;
  }
  const int last = elements() - 1;
  return {last, 1, point(last, 1), 0};
}

Freedom::Freedom(const CourseEnd& from, const CourseEnd& to, int bends, std::vector<char> fixed)
    : from_(from), to_(to), bends_(bends), fixed_(std::move(fixed)) {
  if (bends_ < 2) return;
  if (!is_fixed(0)) coordinates_.push_back({1, from_.axis});
  if (!is_fixed(bends_ - 1)) coordinates_.push_back({static_cast<std::size_t>(bends_), to_.axis});
  for (int bend = 1; bend + 1 < bends_; ++bend) {
    if (is_fixed(bend)) continue;
    for (int k = 0; k < 3; ++k) coordinates_.push_back({static_cast<std::size_t>(bend + 1), Vec3::Unit(k)});
  }
}

Course Freedom::moved(const Course& course, const Eigen::VectorXd& dx) const {
  Course out = course;
  for (std::size_t i = 0; i < coordinates_.size(); ++i)
    out.points[coordinates_[i].point] += dx[static_cast<Eigen::Index>(i)] * coordinates_[i].along;
  return out;
}

Course Freedom::on_axes(Course course, double least_mm) const {
  if (bends_ < 2) return course;
  const auto onto = [least_mm](const CourseEnd& end, Vec3& p) {
    p = end.center + std::max((p - end.center).dot(end.axis), least_mm) * end.axis;
  };
  if (!is_fixed(0)) onto(from_, course.points[1]);
  if (!is_fixed(bends_ - 1)) onto(to_, course.points[course.points.size() - 2]);
  return course;
}

duct::Route route_of(const Course& course, const duct::Route& old) {
  duct::Route route;
  const std::size_t n = course.points.size();
  const auto same_place = [&](const Vec3& p) -> const duct::RoutePoint* {
    for (std::size_t i = 1; i + 1 < old.points.size(); ++i) {
      if (old.points[i].p_mm == p) return &old.points[i];
    }
    return nullptr;
  };
  std::set<duct::PointId> taken = {old.points.front().id, old.points.back().id};
  for (std::size_t i = 1; i + 1 < n; ++i) {
    if (const auto* kept = same_place(course.points[i])) taken.insert(kept->id);
  }
  std::set<duct::PointId> used;
  int number = 0;
  for (std::size_t i = 0; i < n; ++i) {
    duct::RoutePoint point;
    const bool end = i == 0 || i + 1 == n;
    const auto* kept = end ? nullptr : same_place(course.points[i]);
    point.p_mm = end || kept ? course.points[i] : as_written(course.points[i]);
    if (end) {
      point.id = i == 0 ? old.points.front().id : old.points.back().id;
    } else {
      point.bend_radius_mm = course.radius_of(i - 1);
      if (kept && used.insert(kept->id).second) point.id = kept->id;
      while (point.id.empty()) {
        std::string id = "P";
        id += std::to_string(++number);
        if (taken.insert(duct::PointId(id)).second) point.id = duct::PointId(std::move(id));
      }
    }
    route.points.push_back(point);
  }
  return route;
}

}  // namespace baywright::routing
