#pragma once

#include <optional>
#include <string>
#include <vector>

#include "bay/bay.hpp"
#include "duct/route.hpp"
#include "geometry/base/band.hpp"

namespace baywright::measure {

// What making the duct and measuring the parts leave open, as contributions to a band. A figure the job does not state
// is unknown, not nothing: a cautious usual one stands in for it, `source` says so and `missing` names the key. A
// stated 0 is taken at its word and stays in the list. `source` states lengths in `units`.

/// What a tube-bending shop publishes for parts of several bends: plus or minus 1.5 degrees and 2.4 mm up to an outer
/// diameter of 63.5 mm (2.5 in), 2 degrees and 4.8 mm above, anything between equally likely. Standard uncertainties.
duct::BendingTolerance usual_bending(double outer_diameter_mm);

/// Where the tube as bent departs from the drawn one, mm. `where` ("bend at P2") goes into the source; may be empty.
/// Stand-in: the lengths of usual_bending.
Contribution bend_tolerance(const duct::DuctSpec& spec, const std::string& where = "", const DisplayUnits& units = {});

/// Where a fitting or a cut end sits, mm along the tube or around its surface. Stand-in: plus or minus 2.4 mm, what the
/// same shop publishes for cut lengths, anything between equally likely.
Contribution fitting_tolerance(const duct::DuctSpec& spec, const std::string& where, const DisplayUnits& units = {});

/// Where the end of a hose lies on the tube under it, mm, one contribution for each cause: where the tube's end sits
/// (fitting_tolerance), half the hose's length (it is fitted evenly), and how far its end is out of square. Stand-ins
/// for the last two: tolerances of a rubber makers' handbook, length 3.2 mm up to 305 mm, 4.8 up to 610, above 1 %
/// (this one from memory); squareness 3.2 mm up to a bore of 51 mm (2 in), 6.4 above.
std::vector<Contribution> hose_end_tolerances(const duct::DuctSpec& spec, const duct::FittingId& id,
                                              const duct::Coupler& coupler, double hose_bore_mm,
                                              const std::string& where, const DisplayUnits& units = {});

/// How surely the surface of a part is where it is stated. Stand-in for a model: 1.16 mm standard, a fit to datum
/// features good to 0.5 mm and 0.1 degrees at 600 mm from their centre; for a scan: 15 mm, the widest of the usual
/// instruments (a telephone's depth sensor), because nothing says that it was a better one. Both from memory.
Contribution surface_uncertainty(const bay::Part& part, const DisplayUnits& units = {});

/// How surely the part lies where it is stated to, at a point of it (vehicle frame at rest): stated, growing with the
/// distance from its datum; none where the stated uncertainty holds it. Without a point: at its farthest corner.
/// Stand-in for a scan that states neither: 0.5 mm and 0.1 degrees about its middle (from memory).
std::optional<Contribution> alignment_uncertainty(const bay::Part& part, const std::optional<Vec3>& at_mm,
                                                  const DisplayUnits& units = {});

/// All three that a distance to a part hangs on: its surface, its place at `at_mm` (as above), its chord error.
Band part_uncertainty(const bay::Part& part, const std::optional<Vec3>& at_mm, const DisplayUnits& units = {});

}  // namespace baywright::measure
