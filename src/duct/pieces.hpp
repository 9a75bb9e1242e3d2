#pragma once

#include "duct/layout.hpp"
#include "duct/trouble.hpp"

namespace baywright::duct {

/// Tubes and couplers of a layout whose fittings and holds are placed, with carriers and shapes; marks the couplers
/// that separate. `end_diameter_mm`: outer diameters of what the duct's two ends are attached to (spigots under a
/// hose).
void make_pieces(Layout& layout, std::pair<double, double> end_diameter_mm, Trouble& trouble);

}  // namespace baywright::duct
