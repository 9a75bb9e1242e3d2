#pragma once

#include "geometry/base/unit.hpp"

namespace baywright {

/// Unit in which a difference of two values, an uncertainty or a margin is told: temperatures lose their zero point.
constexpr Unit step_of(Unit unit) { return unit == Unit::kelvin ? Unit::kelvin_difference : unit; }

}  // namespace baywright
