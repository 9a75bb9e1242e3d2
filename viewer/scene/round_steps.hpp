#pragma once

#include <string>

#include "geometry/base/unit.hpp"

namespace baywright::viewer {

/// Smallest of 1, 2, 5, 10, 20 ... millimetres or inches (as the job shows lengths) that is at least `least_mm`; in mm.
double round_step_up_mm(double least_mm, const DisplayUnits& units);
/// Largest of them that is at most `most_mm`; in mm.
double round_step_down_mm(double most_mm, const DisplayUnits& units);
/// A length on a scale, without idle decimals and without its unit: "200", "0.5".
std::string scale_number(double mm, const DisplayUnits& units);
/// The same with its unit: "200 mm".
std::string scale_text(double mm, const DisplayUnits& units);

}  // namespace baywright::viewer
