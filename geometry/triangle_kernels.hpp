#pragma once

#include <array>

#include "geometry/vec.hpp"

namespace baywright {

/// Corners of one triangle, mm. Two or three may coincide: it is a segment or a point then.
using Corners3 = std::array<Vec3, 3>;

/// Point of the triangle nearest to p (Ericson 2005, section 5.1.5). Falls back to the three edges wherever the
/// area is too small for the face's own case.
Vec3 nearest_on_triangle(const Vec3& p, const Corners3& v);
/// Point of the segment a-b nearest to p, as parameter 0..1.
double nearest_on_segment(const Vec3& p, const Vec3& a, const Vec3& b);

struct PointPair {
  double squared_mm2 = 0;
  Vec3 first = Vec3::Zero();
  Vec3 second = Vec3::Zero();
  double t = 0;  ///< parameter of `first` along its segment
};
/// Nearest points of two segments (each may be a point). `first` lies on a-b.
PointPair nearest_segments(const Vec3& a, const Vec3& b, const Vec3& c, const Vec3& d);
/// Nearest points of a segment and a triangle: 0 when they cross. `first` lies on the segment.
PointPair nearest_segment_triangle(const Vec3& a, const Vec3& b, const Corners3& v);

}  // namespace baywright
