#include "viewer/window/turntable.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Geometry>

namespace baywright::viewer {

namespace {

/// The up direction of the picture for a sight line: vertical, or forward when looking straight down.
Vec3 upright(const Vec3& toward, const Vec3& last_right) {
  const Vec3 right = Vec3::UnitZ().cross(toward);
  const Vec3 axis = right.norm() > 1e-6 ? Vec3(right.normalized()) : last_right;
  return toward.cross(axis).normalized();
}

constexpr double kSmallest_mm = 0.5, kLargest_mm = 20000;

}  // namespace

Shot orbited(const Shot& shot, const Vec3& pivot, double turn_rad, double tilt_rad) {
  constexpr double kPole_rad = 1.5533;  // 89 degrees: the picture must not flip over the pole
  const Vec3 right = shot.up.cross(shot.toward).normalized();
  const double height = std::asin(std::clamp(shot.toward.z(), -1.0, 1.0));
  const double tilted = std::clamp(height + tilt_rad, -kPole_rad, kPole_rad) - height;
  const Eigen::Quaterniond turn(Eigen::AngleAxisd(turn_rad, Vec3::UnitZ()));
  const Eigen::Quaterniond tilt(Eigen::AngleAxisd(-tilted, right));
  const Eigen::Quaterniond both = turn * tilt;
  Shot next = shot;
  next.toward = (both * shot.toward).normalized();
  next.up = upright(next.toward, both * right);
  next.focal_mm = pivot + both * (shot.focal_mm - pivot);
  return next;
}

Shot panned(const Shot& shot, double dx_px, double dy_px, double height_px) {
  const double mm_per_px = 2 * shot.half_height_mm / height_px;
  Shot next = shot;
  next.focal_mm -= mm_per_px * (dx_px * shot.up.cross(shot.toward) + dy_px * shot.up);
  return next;
}

Shot zoomed(const Shot& shot, double factor, double x_px, double y_px, double height_px) {
  Shot next = shot;
  next.half_height_mm = std::clamp(shot.half_height_mm * factor, kSmallest_mm, kLargest_mm);
  const double kept = 1 - next.half_height_mm / shot.half_height_mm;
  const double mm_per_px = 2 * shot.half_height_mm / height_px;
  next.focal_mm += kept * mm_per_px * (x_px * shot.up.cross(shot.toward) + y_px * shot.up);
  return next;
}

}  // namespace baywright::viewer
