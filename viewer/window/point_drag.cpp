#include "viewer/window/point_drag.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace baywright::viewer {

namespace {

using Kind = session::PointFreedom::Kind;

/// An axis of which less than this is seen points at the viewer: the pointer cannot tell how far along it.
constexpr double kLeastSeen = 0.12;

double rounded(double value, double step) { return std::round(value / step) * step; }

/// Without the last digits of a binary fraction: 12.3 and not 12.300000000000001.
double plain(double value) {
  constexpr double kDigits = 1e6;
  return std::round(value * kDigits) / kDigits;
}

}  // namespace

PointDrag::PointDrag(const Vec3& start_mm, session::PointFreedom freedom, const Shot& shot, double height_px,
                     const DisplayUnits& units)
    : start_mm_(start_mm),
      freedom_(std::move(freedom)),
      right_(shot.up.cross(shot.toward).normalized()),
      up_(shot.up.normalized()),
      mm_per_px_(2 * shot.half_height_mm / std::max(1.0, height_px)),
      round_mm_(units.length == LengthUnit::inch ? 0.005 * kMillimetresPerInch : 0.1) {}

void PointDrag::toggle_axis(int axis) {
  if (held_ == axis)
    held_.reset();
  else
    held_ = axis;
}

std::optional<int> PointDrag::vehicle_axis(double right_px, double up_px) const {
  if (freedom_.kind != Kind::free) return std::nullopt;
  if (held_) return held_;
  if (!nearest_) return std::nullopt;
  int best = -1;
  double most = -1;
  for (int k = 0; k < 3; ++k) {
    const Eigen::Vector2d seen(right_[k], up_[k]);
    if (seen.norm() < kLeastSeen) continue;
    const double share = std::abs(seen.normalized().dot(Eigen::Vector2d(right_px, up_px)));
    if (share <= most) continue;
    most = share;
    best = k;
  }
  return best < 0 ? std::nullopt : std::optional(best);
}

std::optional<Vec3> PointDrag::axis(double right_px, double up_px) const {
  if (freedom_.kind == Kind::line) return freedom_.axis;
  if (const auto k = vehicle_axis(right_px, up_px)) return Vec3(Vec3::Unit(*k));
  return std::nullopt;
}

std::string PointDrag::axis_text(double right_px, double up_px) const {
  const auto along = axis(right_px, up_px);
  if (!along) return "";
  constexpr std::array<const char*, 3> kNames = {"along x", "along y", "along z"};
  std::string text = freedom_.why;
  if (const auto k = vehicle_axis(right_px, up_px)) text = kNames[static_cast<std::size_t>(*k)];
  const Eigen::Vector2d seen(right_.dot(*along), up_.dot(*along));
  if (seen.norm() < kLeastSeen) text += ", which points at you here: turn the view";
  return text;
}

Vec3 PointDrag::at(double right_px, double up_px) const {
  const Eigen::Vector2d way = mm_per_px_ * Eigen::Vector2d(right_px, up_px);
  if (freedom_.kind == Kind::fixed || way.norm() == 0) return start_mm_;
  if (const auto along = axis(right_px, up_px)) {
    const Eigen::Vector2d seen(right_.dot(*along), up_.dot(*along));
    if (seen.norm() < kLeastSeen) return start_mm_;
    const double far_mm = way.dot(seen) / seen.squaredNorm();
    Vec3 p = start_mm_ + far_mm * *along;
    for (int k = 0; k < 3; ++k) {
      constexpr double kSame = 1e-9, kOffAxis_mm = 0.001;
      const double part = std::abs((*along)[k]);
      p[k] = part < kSame ? start_mm_[k] : plain(rounded(p[k], part > 1 - kSame ? round_mm_ : kOffAxis_mm));
    }
    return p;
  }
  Vec3 p = start_mm_ + way.x() * right_ + way.y() * up_;
  for (int k = 0; k < 3; ++k) {
    constexpr double kStill_mm = 1e-9;
    p[k] = std::abs(p[k] - start_mm_[k]) < kStill_mm ? start_mm_[k] : plain(rounded(p[k], round_mm_));
  }
  return p;
}

}  // namespace baywright::viewer
