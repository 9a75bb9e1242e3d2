#pragma once

#include <array>

#include "geometry/pose.hpp"
#include "geometry/vec.hpp"

namespace baywright::bay {

/// Rigid pose that carries three rest points nearest to three moved points, in the least-squares sense.
struct MarkFit {
  Vec3 axis = Vec3::UnitX();     ///< unit; of the turn about `centroid`
  double angle_rad = 0;          ///< 0..pi
  Vec3 centroid = Vec3::Zero();  ///< of the rest points, mm
  Vec3 shift = Vec3::Zero();     ///< of the centroid, mm
  double residual_mm = 0;        ///< largest distance by which the pose misses a moved point

  Pose pose() const { return Pose::translation(shift) * Pose::rotation(axis, centroid, angle_rad); }
};

/// Smallest height of the triangle over its longest side: 0 for collinear points, 0.87 for an even triangle; 0 too when
/// the points coincide.
double flatness(const std::array<Vec3, 3>& points);

/// W. Kabsch, "A solution for the best rotation to relate two sets of vectors", Acta Cryst. A32 (1976) 922, by singular
/// value decomposition with the determinant kept at +1 (three points lie in a plane, so that a reflection would fit as
/// well). EXPECTS rest points that are not collinear.
MarkFit fit_marks(const std::array<Vec3, 3>& rest, const std::array<Vec3, 3>& moved);

}  // namespace baywright::bay
