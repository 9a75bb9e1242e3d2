#pragma once

#include <cstddef>
#include <vector>

#include "geometry/base/progress.hpp"
#include "routing/room_field.hpp"
#include "routing/seeds.hpp"

namespace baywright::routing {

struct GrowOptions {
  SeedOptions seeds;  ///< radius, straights, turning; accept_mm: room a course may lack and still be settled
  int most_bends = 6;
  int directions = 480;    ///< a bend may lead to, spread evenly over the sphere
  unsigned turned = 0;     ///< which of several sets of directions
  bool backwards = false;  ///< way_left is to the duct's start: courses grow from its end
  double greed = 1.3;      ///< how much the way that is left counts, at least 1
  double narrow = 4;       ///< mm of length that a mm less of room counts as, where there is little; not below 0
  double same_mm = 30;     ///< straights that begin this near to one another and go about the same way are taken as one
  double quarter_mm = 120;  ///< cubes of this size share evenly in what is grown: what leads nowhere must not crowd out
                            ///< what leads on
  std::size_t kept = 600;   ///< straights that are grown further, of each number of bends
};

/// Courses grown bend by bend from one end of the duct, way_left.from(), to the other: each straight is followed as far
/// as it has room, and from places on it bends lead to every direction whose arc and next straight have room. Straights
/// from which two more bends lead onto the other port's axis become courses. Of the straights behind the same number of
/// bends those are grown further that differ and have the least gone and left (way_left). The cheapest that differ, at
/// most seeds.most for each number of bends; fewest bends first. Runs in parallel; deterministic on any number of
/// threads. Cost: about 1 ms for each straight grown.
std::vector<Seed> grown_seeds(const RoomField& field, const WayLeft& way_left, const GrowOptions& options,
                              const Progress& progress = {});

}  // namespace baywright::routing
