#pragma once

#include "bay/bay.hpp"

namespace baywright::checks {

/// Whether cr.edge looks at edges of parts of this class: not of those that stand for the space something sweeps, or
/// that is kept free.
bool edges_count(bay::PartClass part_class);

}  // namespace baywright::checks
