#pragma once

#include <optional>
#include <vector>

#include <Eigen/Core>

#include "duct/layout.hpp"
#include "routing/course.hpp"

namespace baywright::routing {

// Bends that come in steps of their angle: stock bends that are cut, a bender with stops.

/// By how much a bend may miss its step: what the rounding of the points to 0.01 mm leaves open on a leg of 40 mm.
inline constexpr Angle kStepOpen = degrees(0.03);

/// Multiples of the step for each bend, none of them 0 and none a reversal: the nearest ones first, then with one bend
/// on the step at its other side, the one that is nearest to it first.
std::vector<std::vector<double>> angles_on_steps(const std::vector<double>& angles_rad, double step_rad);

/// The course nearby whose bends have these angles, by least moves. None: they lead nowhere, or there is nothing to
/// move and the angles differ.
std::optional<Course> with_angles(const Course& course, const Freedom& freedom, const std::vector<double>& angles_rad);

/// Projection of a move of the coordinates onto those that leave all angles, to first order.
Eigen::MatrixXd moves_that_keep_angles(const Course& course, const Freedom& freedom);

/// Whether every bend of a route is within kStepOpen of a multiple of the step; a step of 0: always.
bool on_steps(const duct::Layout& route, Angle step);

}  // namespace baywright::routing
