#pragma once

#include <string>

#include "access/ways_out.hpp"
#include "geometry/base/unit.hpp"

namespace baywright::access {

/// One move as somebody with the piece in hand follows it, in the vehicle's frame: "carried 45.0 mm up (+z)", "coupler
/// hump-1 slid 38.2 mm back (-x)", "turned 15.0° about +z through (0.0, 0.0, 120.0)".
std::string words_of(const WayStep& step, const DisplayUnits& units);

}  // namespace baywright::access
