#pragma once

#include "checks/check.hpp"

namespace baywright::checks {

/// Whether the air is surely too warm (ht.rise not met) by the time it enters this intake, so that no way of the intake
/// mends it. False where the sheet sets no limit, or an input it needs is missing.
bool too_warm_ahead(const Judged& judged, const duct::Duct& intake);

}  // namespace baywright::checks
