#pragma once

#include <array>
#include <functional>
#include <vector>

#include "geometry/clearance/moving_points.hpp"
#include "geometry/triangle_kernels.hpp"

namespace baywright {

/// A convex set that stands still: support point for a direction.
class StandingTriangle {
 public:
  explicit StandingTriangle(const Corners3& v) : v_(v) {}
  Vec3 middle() const { return (v_[0] + v_[1] + v_[2]) / 3.0; }
  /// The point with the greatest w.x.
  Vec3 support(const Vec3& w) const;

 private:
  const Corners3& v_;
};

/// Hull of up to four discs across z.
class StandingDiscs {
 public:
  void add(double z, double radius) {
    z_[count_] = z;
    radius_[count_++] = radius;
  }
  Vec3 middle() const { return {0, 0, 0.5 * (z_[0] + z_[count_ - 1])}; }
  Vec3 support(const Vec3& w) const;

 private:
  std::size_t count_ = 0;
  std::array<double, 4> z_{}, radius_{};
};

/// Most points that separation() takes: the differences of two flat-ended solids' sectors.
inline constexpr std::size_t kMostMovingPoints = 64;

/// How far two convex sets are apart, and where they come nearest.
struct Separation {
  double lower_mm = 0;                      ///< proven: a plane leaves this gap; below zero: none was found
  bool near = false;                        ///< whether the following are filled: not when the gap was more than enough
  Vec3 w = Vec3::Zero();                    ///< unit, from the moving to the standing set: the plane of lower_mm
  std::array<double, kMostParameters> e{};  ///< parameters at which they come nearest
  /// Of the moving points in the nearest point; those that there are.
  std::array<double, kMostMovingPoints> weight;
  /// By how much the nearest point is off because its parts take a parameter at different values, mm.
  std::array<double, kMostParameters> spread{};
  /// By how much nearer it is because pairs of the parameter with others count as free, mm.
  std::array<double, kMostParameters> free_pairs{};
};
/// Gilbert, Johnson and Keerthi 1988; every step's support plane is a proof, the best one counts. Stops when the gap
/// reaches `enough_mm` or is known to `tolerance_mm`. EXPECTS 1 to kMostMovingPoints moving points.
Separation separation(const MovingPoints& moving, const StandingTriangle& standing, double enough_mm,
                      double tolerance_mm);
Separation separation(const MovingPoints& moving, const StandingDiscs& standing, double enough_mm, double tolerance_mm);

}  // namespace baywright
