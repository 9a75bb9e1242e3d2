#pragma once

#include <functional>
#include <vector>

#include "geometry/base/quantity.hpp"

namespace baywright::access {

// What is proven free along a motion with one parameter. The room that is left (distance less what is demanded) at one
// place proves a stretch around it, since no point travels faster than `speed` (conservative advancement, Mirtich
// 1996): nothing between the places looked at is taken on trust.

/// Room left at a parameter, mm; zero or less: blocked. May be cut off at any positive value.
using RoomAlong = std::function<double(double)>;

/// Whether all of [0, length_mm] is free, for a motion on which the parameter is the way in mm that the fastest point
/// travels. A free way counts as blocked where less than `kLeastRoom_mm` is left.
bool free_way(const RoomAlong& room, double length_mm);
inline constexpr double kLeastRoom_mm = 0.25;

/// Stretch of a full turn that is free, from an angle on to a greater one; the whole turn is [0, 2 pi].
struct Arc {
  Angle from, to;
  Angle width() const { return to - from; }
  Angle middle() const { return 0.5 * (from + to); }
};
/// Free stretches of a turn, in order, each proven. `reach_mm`: no point is farther from the axis. Blocked ones are
/// looked at every five degrees and their ends found to about a sixth of a degree: what is free but narrower than five
/// degrees may be passed over, and a free arc may be stated too short where less than reach * kLeastTurn is left.
std::vector<Arc> free_arcs(const RoomAlong& room, double reach_mm);
inline constexpr Angle kLeastTurn = degrees(0.3125);

}  // namespace baywright::access
