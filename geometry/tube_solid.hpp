#pragma once

#include <vector>

#include "geometry/base/result.hpp"
#include "geometry/primitive.hpp"
#include "geometry/solid.hpp"

namespace baywright {

/// Exact solid of a round tube run: consecutive shapes (cylinders, torus segments, cones, collars) end to end, outer
/// surface as given, inner surface `wall_mm` inside (0: filled), also behind the flat ring where the radius steps. One
/// valid solid.
/// Fails: kernel_failed, bad_value when consecutive shapes do not meet within 1e-6 mm
/// or kink, the wall eats the radius, or a step has no straight shape on its wide side.
Result<Solid> tube_solid(const std::vector<Shape>& run, double wall_mm);

}  // namespace baywright
