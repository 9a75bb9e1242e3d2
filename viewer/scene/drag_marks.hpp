#pragma once

#include <memory>
#include <optional>
#include <string>

#include "session/drag.hpp"
#include "viewer/scene/point_handles.hpp"

namespace baywright::viewer {

/// A point on its way: where it is held, and what is known of it by now.
struct HeldPoint {
  int duct = 0;
  PointHandle handle;           ///< where it is held
  std::optional<Vec3> lock_mm;  ///< unit axis it is held to
  std::string lock;             ///< that axis in words
  /// Newest step that was measured; the duct shown is its duct. Null before the first.
  std::shared_ptr<const session::DragStep> step;
  bool measuring = false;  ///< the handle has been elsewhere than the step for longer than a blink
  Vec3 refused_mm = Vec3::Zero();
  std::string refusal;  ///< why the route cannot be made at `refused_mm`; "" when the newest answer is a step
};

/// "leg before 120.0, after 210.4 mm, bend 32.6°, R 76.2", of a point of a duct that is laid out.
std::string legs_text(const duct::Duct& duct, const duct::PointId& point, const DisplayUnits& units);
/// What is tightest, in two: "at rest 12.3 to 12.4 mm: met, needs 10.0 mm" and "tube 2 - Alternator".
struct TightestText {
  std::string value, place;
};
TightestText tightest_text(const job::Installation& installation, const duct::Duct& duct,
                           const std::optional<session::Tightest>& tightest, const std::string& when);
/// All of it in one line, for the status bar. Of the step's own duct.
std::string step_text(const job::Installation& installation, const duct::PointId& point, const session::DragStep& step);

/// Where the board with the readings stands: in a corner away from the handle and from `keep_off`.
Box2 board_of(Overlay& overlay, const job::Installation& installation, const HeldPoint& held, const Box2& page,
              const std::vector<Box2>& keep_off);
/// What must be seen around the handle while it is held.
Box2 room_of(const Overlay& overlay, const HeldPoint& held);
/// The handle, the axis it is held to, the tightest place at rest with its dimension, and the board.
void draw_held_point(Overlay& overlay, const job::Installation& installation, const HeldPoint& held, const Box2& board,
                     const Box2& page, const std::vector<Box2>& keep_off);

}  // namespace baywright::viewer
