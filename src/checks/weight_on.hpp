#pragma once

#include "checks/check.hpp"
#include "measure/tube_support.hpp"

namespace baywright::checks {

/// What rests on a port or bracket against a limit of the sheet; not assessed where more may rest on it than is known,
/// unless that is too much already. Without a subject's name. EXPECTS a weight.
Subject weight_on(const Context& context, const measure::Support& support, const char* limit_id);

}  // namespace baywright::checks
