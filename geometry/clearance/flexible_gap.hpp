#pragma once

#include <array>

#include "geometry/clearance/motion.hpp"
#include "geometry/primitive.hpp"

namespace baywright {

// A flexible joint (Carriage::gap). Its axis is the cubic that starts where one tube ends, in that tube's direction,
// and ends where the other one begins, in the other's: the Bezier curve of four rest points of the straight gap, its
// ends and thirds, of which the first two ride on the first carriage and the last two on the second. Every part of it
// lies in the hull of four fixed mixtures of these points. Nothing about it is free.

/// The control points at rest: the ends of the gap and the thirds between them.
std::array<Vec3, 4> gap_controls(const Gap& gap);

/// Share of the gap's length at which a point lies along its axis; below 0 before it, above 1 behind it. Within 1e-6 mm
/// of an end it is that end. EXPECTS a gap of some length.
double gap_share(const Gap& gap, const Vec3& rest);

using CubicWeights = std::array<double, 4>;
/// Weights of the control points in the point at share s: Bernstein's polynomials.
CubicWeights cubic_weights(double s);
/// Of their slopes by s.
CubicWeights cubic_slopes(double s);
/// Weights of the control points in those of the part between two shares (its blossom); none is negative for shares in
/// 0..1, and every row sums to 1.
std::array<CubicWeights, 4> cubic_part(double from, double to);

/// How one shape of a thing rides. On a flexible joint: before the gap and behind it rigidly on that end, and so does
/// what is not on the gap's axis (within 0.05 mm), on the nearer end. Else the answer is `carriage` itself: a Cylinder
/// in the gap follows the curve, a flat-ended shape that reaches into it lies straight between the places of its two
/// ends. EXPECTS a Cylinder on the axis to lie before, in or behind the gap, not across one of its ends.
Carriage carriage_of(const Carriage& carriage, const Shape& shape);

}  // namespace baywright
