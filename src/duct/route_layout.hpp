#pragma once

#include "duct/layout.hpp"
#include "duct/trouble.hpp"

namespace baywright::duct {

/// Legs, bends and stations of a route. Adds every problem to `trouble`; the layout is usable only when none came.
Layout lay_out_legs(const Route& route, Trouble& trouble);

}  // namespace baywright::duct
