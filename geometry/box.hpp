#pragma once

#include <limits>

#include "geometry/pose.hpp"
#include "geometry/primitive.hpp"
#include "geometry/triangle_kernels.hpp"

namespace baywright {

/// Box at any angle: points center + axes * q with |q_k| <= half_mm[k]. Columns of `axes` are unit vectors at right
/// angles. It stands still: handles, hands and clamp bodies; what rides on a motion is made of Shapes.
struct Box {
  Vec3 center = Vec3::Zero();
  Eigen::Matrix3d axes = Eigen::Matrix3d::Identity();
  Vec3 half_mm = Vec3::Zero();  ///< each >= 0
};

Box moved(const Box& box, const Pose& X);
Aabb bounds(const Box& box);
/// The corner in the direction of the signs' three bits: bit k set, +half_mm[k].
Vec3 corner(const Box& box, unsigned signs);

/// Distance of the solid box to one triangle and where, exact; 0 when they meet, with no depth. Degenerate triangles
/// count as segments or points. Where it is `enough_mm` or more it may be any distance of that much between points that
/// are near.
Contact box_to_triangle(const Box& box, const Corners3& v, double enough_mm = std::numeric_limits<double>::infinity());

}  // namespace baywright
