#pragma once

#include <vector>

#include <Eigen/Core>

#include "bay/bay.hpp"
#include "duct/route.hpp"
#include "geometry/vec.hpp"

namespace baywright::routing {

/// A centreline while it is searched for: intersection points, ends included, and bend radii. Unlike duct::Route it may
/// be impossible: set-backs longer than their leg are a measure here of how far it is from possible.
struct Course {
  std::vector<Vec3> points;
  double radius_mm = 0;               ///< of every bend, where they have none of their own
  std::vector<double> radii_mm = {};  ///< of each bend; empty: radius_mm
  int bends() const { return static_cast<int>(points.size()) - 2; }
  double radius_of(std::size_t bend) const { return radii_mm.empty() ? radius_mm : radii_mm[bend]; }
  /// With another radius at one bend.
  Course with_radius(std::size_t bend, double radius) const;
};

struct CourseLeg {
  Vec3 from, to;        ///< tangent points
  Vec3 direction;       ///< unit, from intersection point to intersection point
  double spare_mm = 0;  ///< length between the tangent points; below zero where the bends do not fit
};
struct CourseArc {
  Vec3 center, e0, e1;  ///< as TorusSegment
  double radius_mm = 0;
  double angle_rad = 0;
};
/// Legs and arcs in turn: element 2 i is leg i, element 2 i + 1 is the arc behind it.
struct CourseShape {
  std::vector<CourseLeg> legs;
  std::vector<CourseArc> arcs;

  int elements() const { return static_cast<int>(legs.size() + arcs.size()); }
  double length_of(int element) const;
  double length_mm() const;
  double turning_rad() const;
  std::vector<double> angles_rad() const;  ///< of the bends
  Vec3 point(int element, double share) const;
  /// Nearest point of the centreline, clear of any tree.
  struct Place {
    int element = 0;
    double share = 0;
    Vec3 p;
    double distance_mm = 0;
  };
  Place nearest(const Vec3& p) const;
  /// Element and share at a station; the ends where it lies beyond them.
  Place at(double station_mm) const;
};
CourseShape shape_of(const Course& course);

/// Port the duct starts or ends at, as the search sees it.
struct CourseEnd {
  Vec3 center, axis;  ///< axis: unit, out of the port
};

/// Which coordinates of a course may change: the points next to the ends slide on the ports' axes, the others move
/// freely, and those that are fixed stay. A course with fewer than two bends has none.
class Freedom {
 public:
  /// `fixed`: of each bend; empty: none is.
  Freedom(const CourseEnd& from, const CourseEnd& to, int bends, std::vector<char> fixed = {});
  int count() const { return static_cast<int>(coordinates_.size()); }
  /// The course with its coordinates changed by `dx`.
  Course moved(const Course& course, const Eigen::VectorXd& dx) const;
  /// The course with the points beside its ends brought onto the axes, at least `least_mm` out of the ports.
  Course on_axes(Course course, double least_mm) const;

 private:
  struct Coordinate {
    std::size_t point = 0;
    Vec3 along;
  };
  bool is_fixed(int bend) const { return !fixed_.empty() && fixed_[static_cast<std::size_t>(bend)] != 0; }

  CourseEnd from_, to_;
  int bends_;
  std::vector<char> fixed_;
  std::vector<Coordinate> coordinates_;
};

/// As a route, with the ids of `old` at both ends. An inner point that stands where one of `old` does keeps its id and
/// every digit; the others are rounded to 0.01 mm and called P1, P2, ... (names that are not taken).
duct::Route route_of(const Course& course, const duct::Route& old);

}  // namespace baywright::routing
