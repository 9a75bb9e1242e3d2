#pragma once

#include <string>

#include "checks/sheet.hpp"
#include "flow/flow_model.hpp"
#include "measure/measured.hpp"

namespace baywright::checks {

/// How much is too much, and where most of it is lost; `general`: what helps against that. Where uncertainty is most of
/// the doubt, that first.
std::string loss_hint(const measure::Measured& m, const Limit& limit, const flow::Restriction& restriction,
                      const std::string& general, const DisplayUnits& units);

}  // namespace baywright::checks
