#pragma once

#include <Eigen/Geometry>

#include "geometry/vec.hpp"

namespace baywright {

/// Rigid pose X_AB: frame B seen from frame A; p_AQ = X_AB * p_BQ. Lengths in mm.
struct Pose {
  Eigen::Quaterniond R = Eigen::Quaterniond::Identity();
  Vec3 p = Vec3::Zero();

  Vec3 operator*(const Vec3& q) const { return R * q + p; }
  Pose operator*(const Pose& other) const { return {R * other.R, R * other.p + p}; }
  Pose inverse() const {
    const Eigen::Quaterniond back = R.conjugate();
    return {back, -(back * p)};
  }
  /// Rotation by `angle_rad` about the line through `point` along the unit vector `axis` (right-hand rule).
  static Pose rotation(const Vec3& axis, const Vec3& point, double angle_rad) {
    const Eigen::Quaterniond turn(Eigen::AngleAxisd(angle_rad, axis));
    return {turn, point - turn * point};
  }
  static Pose translation(const Vec3& shift) { return {Eigen::Quaterniond::Identity(), shift}; }
};

}  // namespace baywright
