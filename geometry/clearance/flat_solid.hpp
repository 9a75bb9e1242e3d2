#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "geometry/clearance/carried.hpp"
#include "geometry/clearance/separation.hpp"
#include "geometry/primitive.hpp"

namespace baywright {

/// Range of the length of a flat-ended solid over a cell: a mixture of two turns is shorter than either, and the ends
/// of one that lies in a flexible joint move on their own.
struct LengthRange {
  double least_mm = 0, most_mm = 0;
};

/// What is left of a flat-ended solid at a depth: of every length of the range.
struct Core {
  double erosion_mm = 0;
  double radius_a_mm = 0, radius_b_mm = 0;  ///< at the ends of what is left; below zero: already vanished there
};
/// nullopt: nothing is that deep.
std::optional<Core> core_of(const Cone& cone, const LengthRange& length, double erosion_mm);

/// A flat-ended solid that moves over a cell: in the surface's frame as two discs across a turning axis, for boxes and
/// large triangles, and the other way round, with the solid standing still and triangles moving, for small ones.
class FlatSolid {
 public:
  FlatSolid(const Cone& cone, const CarriedForms& forms, const Vec3& origin);
  /// The same standing still.
  explicit FlatSolid(const Cone& cone);

  double greatest_depth_mm() const;
  double rest_mm() const { return rest_mm_; }
  /// Greatest w.x over all points at least `depth_mm` deep, at all parameters, without the rest: an upper bound.
  double reach(const Vec3& w, double depth_mm) const;
  const MovingPoints& centers() const { return centers_; }
  /// One point: the unit vector along the axis. It is off by at most `along_rest()` and turns by at most
  /// `along_size()`.
  const MovingPoints& along() const { return along_; }
  double along_rest() const { return along_rest_; }
  double along_size() const { return along_size_; }

  /// Room for carry_back().
  MovingPoints room_for_corners() const { return corners_; }
  /// Corners of a triangle in the solid's own frame (z along the axis from end a). Returns their rest.
  double carry_back(const Corners3& v, MovingPoints& out) const;
  StandingDiscs discs(const Core& core) const;
  std::optional<Core> core(double depth_mm) const { return core_of(cone_, length_, depth_mm); }
  /// A direction of the solid's own frame, seen from the surface at the middle of the cell.
  Vec3 outward(const Vec3& w) const { return axes_.front().transpose() * w; }

 private:
  Cone cone_;
  LengthRange length_;
  MovingPoints centers_;  ///< of the two ends
  MovingPoints along_;    ///< one: the unit vector along the axis
  double along_rest_ = 0, along_size_ = 0;
  double rest_mm_ = 0;  ///< of the centres
  // Own frame: x -> axes (x - from) - offset, both with their terms; empty for one that stands still.
  Vec3 from_ = Vec3::Zero();
  std::vector<Eigen::Matrix3d> axes_;
  std::vector<Vec3> offset_;
  MovingPoints corners_;  ///< none, of these terms
  Vec3 axes_rest_ = Vec3::Zero(), offset_rest_ = Vec3::Zero();
};

}  // namespace baywright
