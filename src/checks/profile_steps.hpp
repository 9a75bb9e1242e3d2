#pragma once

#include <limits>
#include <optional>
#include <vector>

#include "checks/check.hpp"

namespace baywright::checks {

/// A stretch of the duct's length, and what is nearest and tightest there among the pieces that share it.
struct ProfileStep {
  double from_mm = 0, to_mm = 0;                               ///< stations
  double rest_mm = std::numeric_limits<double>::infinity();    ///< to the nearest part at rest, attained
  double moving_mm = std::numeric_limits<double>::infinity();  ///< to the nearest part over the motion, proven
  std::optional<measure::SliceTightest> tightest;              ///< least room over the motion
  int piece = -1;                                              ///< of the tightest; -1: none
};

/// The profiles at rest and over the motion as one row of stretches along the duct, without gaps where slices are.
std::vector<ProfileStep> profile_steps(const DuctMeasures& measures);

}  // namespace baywright::checks
