#pragma once

#include <optional>
#include <string>

#include "geometry/base/unit.hpp"
#include "session/point_freedom.hpp"
#include "viewer/scene/views.hpp"

namespace baywright::viewer {

/// Turns the way of the pointer into a place for an intersection point: in the plane of the picture through the point,
/// or along an axis. The camera must not move meanwhile.
class PointDrag {
 public:
  /// @param height_px  of the picture
  PointDrag(const Vec3& start_mm, session::PointFreedom freedom, const Shot& shot, double height_px,
            const DisplayUnits& units);

  /// Holds the point to a vehicle axis (0 x, 1 y, 2 z), or lets it go when it was held to that one. Of no effect on a
  /// point that goes along a line anyway.
  void toggle_axis(int axis);
  /// Holds it to the vehicle axis nearest to the way of the pointer, as long as it is on.
  void hold_nearest(bool on) { nearest_ = on; }

  /// Where the point is when the pointer has gone (right, up) pixels. Coordinates that change are rounded (0.1 mm,
  /// 0.005 in), off the vehicle axes to 0.001 mm.
  Vec3 at(double right_px, double up_px) const;
  /// Axis it is held to for that way: unit, vehicle frame.
  std::optional<Vec3> axis(double right_px, double up_px) const;
  /// That axis in words: "along y", "goes along the axis of port in"; "" when the point is free.
  std::string axis_text(double right_px, double up_px) const;

 private:
  std::optional<int> vehicle_axis(double right_px, double up_px) const;

  Vec3 start_mm_;
  session::PointFreedom freedom_;
  Vec3 right_, up_;
  double mm_per_px_;
  double round_mm_;
  std::optional<int> held_;
  bool nearest_ = false;
};

}  // namespace baywright::viewer
