#pragma once

#include <vector>

#include "geometry/base/progress.hpp"
#include "routing/room.hpp"

namespace baywright::routing {

/// A way through the bay for the tube's section, from port to port, without regard to what can be bent: points about a
/// grid step apart, the first ones on the one port's axis, the last ones on the other's, in the middle of the room
/// there is.
using Corridor = std::vector<Vec3>;

struct CorridorOptions {
  double step_mm = Room::kGrid_mm;
  double bend_radius_mm = 0;         ///< near the ports only what a bend of this radius comes to is a way
  double accept_mm = -6;             ///< room is taken as a way down to this much to spare: a route may still find it
  double avoid_within_mm = 60;       ///< of earlier corridors...
  double avoid_factor = 3;           ///< ...a length counts as this much longer
  double haste = 1.5;                ///< how much the straight distance left counts: 1 finds the cheapest way, slowly
  std::size_t most_cells = 250'000;  ///< looked at, before the search is given up
};

/// A cheap way, narrow room counting as longer, and ways near `used` too; empty: there is none, or it was
/// cancelled. A-star on a grid; room is measured only where the search comes. Cost: some microseconds for each cell and
/// part that is near.
Corridor find_corridor(Room& room, const std::vector<Corridor>& used, const CorridorOptions& options,
                       const Progress& progress = {});

}  // namespace baywright::routing
