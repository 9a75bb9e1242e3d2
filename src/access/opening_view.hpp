#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "bay/bay.hpp"
#include "geometry/clearance/standing.hpp"

namespace baywright::access {

/// A direction that rises less over an opening's plane than this share of its length is no way out.
inline constexpr double kLeastRise = 0.2;

/// An access opening as hands, tools and eyes use it: flat, with a side where the person stands.
class OpeningView {
 public:
  /// Flat through the middle of the corners, square to their mean normal (Newell), which points away from `inside`.
  OpeningView(const bay::AccessOpening& opening, const Vec3& inside);

  const bay::OpeningId& id() const { return id_; }
  const std::string& name() const { return name_; }
  const Vec3& outward() const { return outward_; }
  /// Height over its plane, positive outside, mm.
  double outside_mm(const Vec3& p) const { return outward_.dot(p - middle_); }
  /// Where p, carried along `direction`, goes through its plane: how far inside the outline, negative outside it, mm.
  /// EXPECTS a direction that is not in the plane.
  double inside_where_crossing_mm(const Vec3& p, const Vec3& direction) const;
  /// Points in it at least `margin_mm` from its outline: the middle of the outline's box and a grid of `rows` by `rows`
  /// (odd). None: too small.
  std::vector<Vec3> targets(double margin_mm, int rows) const;

  /// Travel along the unit direction after which all of the shapes lies outside; 0 when it does already. Nothing where
  /// a part of them would pass the plane beside the opening, or never gets there.
  std::optional<double> way_out(std::span<const StandingShape> shapes, const Vec3& direction) const;

 private:
  Eigen::Vector2d flat(const Vec3& p) const { return {ex_.dot(p - middle_), ey_.dot(p - middle_)}; }
  Vec3 lifted(const Eigen::Vector2d& q) const { return middle_ + q.x() * ex_ + q.y() * ey_; }
  /// Distance inside the outline, negative outside, mm.
  double inside_mm(const Eigen::Vector2d& q) const;

  bay::OpeningId id_;
  std::string name_;
  Vec3 middle_ = Vec3::Zero(), outward_ = Vec3::UnitZ(), ex_ = Vec3::UnitX(), ey_ = Vec3::UnitY();
  std::vector<Eigen::Vector2d> outline_;
};

}  // namespace baywright::access
