#pragma once

#include <optional>
#include <vector>

#include "geometry/aabb.hpp"
#include "geometry/clearance/flat_solid.hpp"

namespace baywright {

/// Part of a shape between the fractions `from` and `to` of its axis.
struct Span {
  double from = 0, to = 1;
};
/// Parts an axis is cut into before anything else: arcs of at most 45 degrees.
int first_parts(const Shape& shape);

/// A box of one scenario's parameters.
struct Cell {
  std::vector<double> center, half;
};
/// Everything besides the cell that says where things are.
struct Carried {
  const Kinematics& kinematics;
  const Carriage& carriage;  ///< of this shape, see carriage_of()
  BodyIndex surface_body = 0;
  Vec3 origin = Vec3::Zero();  ///< results are relative to it
};

/// Every place of (a part of) a shape over a cell of motion, seen from the surface's body. Tubes: within
/// radius_mm + rest_mm of the hull of moving axis points. Flat-ended solids: see FlatSolid.
class Enclosure {
 public:
  Enclosure(const Shape& shape, const Span& part, const Carried& carried, const Scenario& scenario, const Cell& cell);
  /// Standing still: a tube within `radius_mm` of the hull of `axis`, or a flat-ended solid.
  Enclosure(const std::vector<Vec3>& axis, double radius_mm);
  explicit Enclosure(const Cone& solid);

  bool flat() const { return flat_.has_value(); }
  const FlatSolid& solid() const { return *flat_; }
  /// Points of the axis; of a flat-ended solid the centres of its ends.
  const MovingPoints& axis() const { return flat_ ? flat_->centers() : axis_; }
  double rest_mm() const { return rest_mm_; }
  /// The signed distance is never below minus this.
  double greatest_depth_mm() const { return greatest_depth_mm_; }
  const Aabb& box() const { return box_; }

  /// Depth of the points whose reach decides whether a surface may be nearer than `limit_mm`.
  double depth_for(double limit_mm) const { return flat_ && limit_mm < 0 ? -limit_mm : 0; }
  /// Gap to them that proves "not nearer than limit_mm".
  double gap_for(double limit_mm) const {
    return flat_ ? std::max(limit_mm, 0.0) + rest_mm_ : limit_mm + greatest_depth_mm_ + rest_mm_;
  }
  double reach(const Vec3& w, double depth_mm) const { return flat_ ? flat_->reach(w, depth_mm) : axis_.reach(w); }
  /// A point of it near p: where to look from when guessing a separating direction.
  Vec3 near(const Vec3& p) const;

 private:
  void finish();

  MovingPoints axis_;
  std::optional<FlatSolid> flat_;
  double rest_mm_ = 0;
  double greatest_depth_mm_ = 0;
  Aabb box_;  ///< without the rest
};

/// How much each way of splitting a cell can tighten what is known of it, mm.
struct SplitGain {
  double along_axis = 0;
  std::array<double, kMostParameters> parameter{};
  std::array<double, kMostParameters> travel{};  ///< of any of the points
};
/// From where moving points and a standing set come nearest: what is lost because points take their parameters
/// one by one, because pairs of parameters count as if they were free, because of what the models miss, and because a
/// curve is less than the hull of its points (`curved`: an arc's three, a flexible joint's four).
SplitGain gain_at(const MovingPoints& points, const Separation& at, double rest_mm, bool curved);
}  // namespace baywright
