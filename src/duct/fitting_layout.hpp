#pragma once

#include <utility>

#include "duct/layout.hpp"
#include "duct/trouble.hpp"

namespace baywright::duct {

/// Problems of a duct's values that need no layout: sizes, lengths, ids, unknown legs and bodies.
void check_values(const DuctSpec& spec, const bay::Bay& bay, Trouble& trouble);

/// Puts every fitting at its station, in order, into a layout that has its legs; adds every problem of place.
void place_fittings(const DuctSpec& spec, Layout& layout, Trouble& trouble);

/// Stations a hose covers: its length centred on the gap.
std::pair<double, double> hose_stations(const PlacedFitting& fitting, const Coupler& coupler);

/// "coupler C1"
std::string fitting_name(const FittingId& id, const FittingKind& kind);

}  // namespace baywright::duct
