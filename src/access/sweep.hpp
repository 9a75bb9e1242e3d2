#pragma once

#include <optional>
#include <span>
#include <vector>

#include "geometry/clearance/tri_tree.hpp"
#include "geometry/pose.hpp"
#include "geometry/primitive.hpp"

namespace baywright::access {

// Proofs that something rigid, made of the analytic solids of a duct, is moved past what stands without coming too
// near anywhere on the way.

/// A straight slide, or a turn about a line.
struct WayMove {
  bool turns = false;
  Vec3 along = Vec3::UnitX();  ///< unit: the way it slides, or the axis it turns about (right-hand rule)
  Vec3 point = Vec3::Zero();   ///< any point of that axis
  double amount = 0;           ///< mm or rad, >= 0
  Pose at(double share) const;
  Pose whole() const { return at(1); }
};

/// A surface that stays where it is.
struct InWay {
  TriTree tree;
  Pose X;              ///< from where the tree has it to where it is
  double room_mm = 0;  ///< nothing may come as near as this
  int of = -1;         ///< whose it is, handed back
};

/// Whether something is where its tree has it, as nearly everything is: nothing need be turned then.
bool stands_as_drawn(const Pose& X);

/// Balls that hold all of a shape: none is larger than its own radius and a few millimetres.
struct Ball {
  Vec3 center;
  double radius_mm = 0;
};
std::vector<Ball> balls_around(std::span<const Shape> shapes);

/// Whose surface hinders, `InWay::of`; nothing: the shapes, first carried by `from`, keep more than the room of each
/// all along the move. Proven for the whole way, not by samples: the room found at one place proves a stretch about it
/// (travel.hpp). Less than kLeastRoom_mm to spare counts as hindered. What lies wholly inside a closed surface meets it
/// nowhere: that is for the caller to rule out once, at any place of the way.
std::optional<int> hindered(std::span<const Shape> shapes, const Pose& from, const WayMove& move,
                            std::span<const InWay> in_way);

}  // namespace baywright::access
