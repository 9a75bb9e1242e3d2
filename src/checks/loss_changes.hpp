#pragma once

#include <string>
#include <vector>

#include "checks/check.hpp"

namespace baywright::checks {

/// A change to an intake, and what it would save: the estimate of the duct as it is less that of the duct changed.
struct LossChange {
  std::string what;  ///< "a radius of 171.5 mm at P1"
  Pressure saves;
};

/// What helps against a restriction, each change run on its own, most first; those that save nothing are left out:
/// - half a bore more radius at a bend, where its legs have room;
/// - a tube 12.7 mm (half an inch) wider, of the same wall, between ends, sensor tube and cones as they are, and
///   likewise the tube behind a cone or a hose that leads to another size;
/// - a cone twice as long, where its leg has room;
/// - one bend less: its loss left out, with the length of its arc.
/// Of what the sheet's limits mean (total or static, at their station). None where the restriction is not known, or
/// chokes. Changes are not looked at for clearance.
std::vector<LossChange> loss_changes(const Context& context, flow::FilterState state);

}  // namespace baywright::checks
