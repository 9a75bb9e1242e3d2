#pragma once

#include "access/travel.hpp"

namespace baywright::access {

// The same proofs for room that need be known only as far as it proves something: a search that may stop there is many
// times quicker than one for the room itself.

/// Room left at a parameter, mm; zero or less: blocked. Exact below `enough_mm` (> 0), which proves all that is asked;
/// may be cut off there, or at any other positive value.
using RoomUpTo = std::function<double(double at, double enough_mm)>;

bool free_way(const RoomUpTo& room, double length_mm);
std::vector<Arc> free_arcs(const RoomUpTo& room, double reach_mm);

}  // namespace baywright::access
