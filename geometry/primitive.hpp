#pragma once

#include <cmath>
#include <variant>
#include <vector>

#include "geometry/aabb.hpp"
#include "geometry/pose.hpp"
#include "geometry/tri_mesh.hpp"
#include "geometry/vec.hpp"

namespace baywright {

// Analytic solids that distance queries are asked about: pieces of ducts today, tools, hands and filters later.
// All lengths mm, all in one frame; radii >= 0, flat-ended shapes with a != b (EXPECTS). Signed distance to a triangle:
// positive outside; inside, minus the depth of the deepest point of the triangle below the solid's surface, so it
// saturates at minus the radius on the axis.

/// Straight round tube: points within `radius` of the segment a-b (round ends, which lie inside the neighbouring
/// piece wherever the tube goes on tangentially; give free ends as a Collar).
struct Cylinder {
  Vec3 a, b;
  double radius_mm = 0;
};

/// Bend: points within `radius` of a circular arc. Arc: center + bend_radius (cos(t) e0 + sin(t) e1), t in 0..angle.
struct TorusSegment {
  Vec3 center;
  Vec3 e0;  ///< unit, from the centre to the arc's start
  Vec3 e1;  ///< unit, direction of travel at the start
  double bend_radius_mm = 0;
  double angle_rad = 0;  ///< 0..pi
  double radius_mm = 0;
  Vec3 axis_point(double t_rad) const {
    return center + bend_radius_mm * (std::cos(t_rad) * e0 + std::sin(t_rad) * e1);
  }
};

/// Frustum with flat ends: radius grows linearly from a to b.
struct Cone {
  Vec3 a, b;
  double radius_a_mm = 0;
  double radius_b_mm = 0;
};

/// Short (or any) cylinder with flat ends: beads, clamps, couplers, free ends.
struct Collar {
  Vec3 a, b;
  double radius_mm = 0;
};

using Shape = std::variant<Cylinder, TorusSegment, Cone, Collar>;

/// A shape and whose it is. `owner` is an index the caller understands (a piece); queries only hand it back.
struct Primitive {
  Shape shape;
  int owner = 0;
  double station_from_mm = 0;  ///< station of the shape's start and end along its owner's centerline; 0, 0 if none
  double station_to_mm = 0;
};

Aabb bounds(const Shape& shape);
/// The shape moved rigidly.
Shape moved(const Shape& shape, const Pose& X);
/// Triangles of the surface for pictures and for checks against other libraries. Every vertex lies on the surface
/// (inscribed); returned chord_error_mm bounds how far the true surface bulges out of the triangles (or, on the
/// hollow side of a bend, the triangles out of the surface).
TriMesh surface_mesh(const Shape& shape, double chord_error_mm);

/// Distance of a shape to one triangle and where.
struct Contact {
  double distance_mm = 0;        ///< signed, see above
  Vec3 on_shape = Vec3::Zero();  ///< surface point of the shape; inside: the deepest point moved out to the surface
  Vec3 on_triangle = Vec3::Zero();
};
/// Exact: error below 1e-5 mm for coordinates under 10 m. Degenerate triangles count as segments or points.
Contact distance_to_triangle(const Shape& shape, const Vec3& v0, const Vec3& v1, const Vec3& v2);
/// Signed distance of a point to the shape's surface (negative inside), mm.
double signed_distance(const Shape& shape, const Vec3& p);

}  // namespace baywright
