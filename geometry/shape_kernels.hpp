#pragma once

#include <array>
#include <limits>

#include "geometry/primitive.hpp"
#include "geometry/triangle_kernels.hpp"

namespace baywright {

/// Points within `radius_mm` of the arc center + cos(t) u + sin(t) v, t in 0..angle. A bend when u and v are
/// perpendicular and of one length; a bend whose points follow a mixture of two motions otherwise.
struct SweptArc {
  Vec3 center, u, v;
  double angle_rad = 0;
  double radius_mm = 0;
  Vec3 axis_point(double t_rad) const { return center + std::cos(t_rad) * u + std::sin(t_rad) * v; }
  /// Greatest length of cos(t) u + sin(t) v: bounds the arc's second derivative.
  double greatest_radius_mm() const;
};
SweptArc swept_arc(const TorusSegment& bend);

/// Points within `radius_mm` of the cubic Bezier curve of four control points: a flexible joint between two tubes.
struct SweptCubic {
  std::array<Vec3, 4> p;
  double radius_mm = 0;
  Vec3 axis_point(double t) const;
  /// No point of the curve is farther than this from the chord of its ends: bound by the inner control points, whose
  /// weights sum to 3/4 at most, and their distance from the thirds of the chord.
  double deviation_mm() const;
};

/// Any unit vector perpendicular to n; n need not be unit, zero gives x.
Vec3 any_perpendicular(const Vec3& n);

// Signed distance to a triangle, as distance_to_triangle() defines it. Where it is `enough_mm` or more the answer may
// be any distance of that much between points that are near, with these points: a search that has found something
// nearer asks for no more.
Contact cylinder_to_triangle(const Cylinder& shape, const Corners3& v);
/// Within 2e-6 mm of the minimum.
Contact arc_to_triangle(const SweptArc& shape, const Corners3& v,
                        double enough_mm = std::numeric_limits<double>::infinity());
/// Within 2e-6 mm of the minimum.
Contact cubic_to_triangle(const SweptCubic& shape, const Corners3& v,
                          double enough_mm = std::numeric_limits<double>::infinity());
/// Collars and cones; within 2e-6 mm of the minimum. EXPECTS a != b.
Contact cone_to_triangle(const Cone& shape, const Corners3& v,
                         double enough_mm = std::numeric_limits<double>::infinity());

/// Signed distance of a flat-ended solid of revolution and its nearest surface point, both in its half-plane.
struct ConeProfile {
  double length_mm = 0, radius_a_mm = 0, radius_b_mm = 0;
  double cosine = 1, sine = 0;  ///< of the side's slope

  explicit ConeProfile(const Cone& cone);
  struct Surface {
    double distance_mm, q, z;
  };
  /// @param q distance from the axis, >= 0; @param z along it from the centre of end a.
  double distance(double q, double z) const;
  Surface nearest(double q, double z) const;
  /// Depth of the deepest point: where the three planes a + z, b - z and the side balance.
  double greatest_depth_mm() const;
};

}  // namespace baywright
