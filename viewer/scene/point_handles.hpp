#pragma once

#include <optional>
#include <vector>

#include "session/point_freedom.hpp"
#include "viewer/scene/overlay.hpp"
#include "viewer/scene/posed.hpp"

namespace baywright::viewer {

/// The sign of an intersection point, to be taken hold of.
struct PointHandle {
  int duct = 0;
  duct::PointId point;
  Vec3 p_mm = Vec3::Zero();  ///< vehicle frame, at rest
  std::optional<Vec3> before_mm, after_mm;
  session::PointFreedom freedom;
};

/// Those of one duct, in the order of its route. `duct` may be one that is being moved.
std::vector<PointHandle> handles_of(const duct::Duct& duct, int index);

/// Reach of a handle, pixels: wider than it is drawn, so that it is hit without aiming.
inline constexpr double kHandleReach_px = 14;

/// Index of the handle at a place of the picture: of those within reach the nearest, one that can be moved before one
/// that cannot; -1: none.
int handle_at(const Overlay& overlay, const std::vector<PointHandle>& handles, const Pixel& at);

struct HandleLooks {
  int pointed = -1;  ///< index of the one under the pointer; -1: none
  int chosen = -1;   ///< of the one chosen in the table
};
/// Every handle but the pointed one: a diamond for a point that can go anywhere, one with arrows for one that goes
/// along a line, a square for one that stays. The chosen one is larger and ringed.
void draw_handles(Overlay& overlay, const std::vector<PointHandle>& handles, const HandleLooks& looks);
/// What they cover of the picture, for labels to keep off.
std::vector<Box2> boxes_of(const Overlay& overlay, const std::vector<PointHandle>& handles);
/// The one under the pointer: larger, ringed and named, with dashed lines to its neighbours.
void draw_pointed_handle(Overlay& overlay, const PointHandle& handle, const DisplayUnits& units, const Box2& page,
                         const std::vector<Box2>& keep_off);
/// One handle as it is drawn where it is held.
void draw_held_handle(Overlay& overlay, const PointHandle& handle, const Rgb& color);

/// "x 12.3  y 45.6  z 78.9 mm".
std::string place_text(const Vec3& p_mm, const DisplayUnits& units);

}  // namespace baywright::viewer
