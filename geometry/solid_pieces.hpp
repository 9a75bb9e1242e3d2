#pragma once

#include <vector>

#include "geometry/solid.hpp"

namespace baywright {

/// A shape taken apart: each of its solids, in the order of the kernel, then all faces that belong to no solid as one
/// shape. A shape of one piece comes back as it is.
std::vector<Solid> pieces_of(const Solid& shape);

}  // namespace baywright
