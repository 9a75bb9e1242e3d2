#pragma once

#include <optional>

#include "geometry/base/quantity.hpp"

namespace baywright::flow {

// Total-pressure loss K of an inlet that draws from still air, on the velocity in the tube behind it. Formulas, ranges
// and sources in docs/flow.md.

/// Sharp, flush with a wall: 0.5 (Idelchik diagram 3-1, Crane).
inline constexpr double kFlushEntryLoss = 0.5;

/// Tube that reaches into still air by half a bore or more: 1.0 for a lip without thickness, .72 at a wall of 2 % of
/// the bore, .50 from 5 % on, linear between (Idelchik diagram 3-1). @param wall_ratio wall / bore, >= 0
double reentrant_entry_loss(double wall_ratio);

/// Rounded lip (Idelchik diagram 3-4, tables, linear between): in a wall, or standing free as on a snorkel.
/// @param radius_ratio radius of the lip / bore, >= 0; from 0.20 on no less is lost
double bellmouth_loss(double radius_ratio, bool in_wall);

/// Cone of 60 degrees flush with a wall (Idelchik diagram 3-7), linear between rows; nothing for other angles than 50
/// to 70 degrees, for which no table was found. @param length_ratio length along the axis / bore, >= 0
std::optional<double> cone_entry_loss(double length_ratio, Angle full_angle);

}  // namespace baywright::flow
