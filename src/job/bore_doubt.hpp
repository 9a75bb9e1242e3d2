#pragma once

#include <string>

#include "geometry/base/unit.hpp"

namespace baywright::job {

/// What is wrong with a bore (above 0) inside an outer diameter (above 0): not smaller, or so much smaller that a unit
/// other than mm must have been meant, which is named. "" when nothing is.
std::string bore_mistake(double bore_mm, double outer_diameter_mm);

/// Why a bore that can be is still to be looked at: the wall is thicker than the bore is wide. "" when it is not.
std::string bore_doubt(double bore_mm, double outer_diameter_mm, const DisplayUnits& units);

}  // namespace baywright::job
