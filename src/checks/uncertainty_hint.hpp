#pragma once

#include <string>

#include "checks/sheet.hpp"
#include "measure/measured.hpp"

namespace baywright::checks {

/// What to say instead of "move it by so much" where the move would be swallowed: the doubt about the value
/// (uncertainty and bracket) is greater than what the value itself lacks, and no smaller than the limit. Names what
/// most of the doubt comes from. "" where a move is worth stating. No full stop at its end: callers go on.
std::string uncertainty_hint(const measure::Measured& m, const Limit& limit, const DisplayUnits& units);

}  // namespace baywright::checks
