#pragma once

#include <string>

#include "checks/loss_changes.hpp"
#include "checks/sheet.hpp"
#include "flow/flow_model.hpp"
#include "measure/measured.hpp"

namespace baywright::checks {

/// How much is too much, where most of it is lost, and what each change would save; `general`: what else helps. Where
/// uncertainty is most of the doubt, that first.
std::string loss_hint(const measure::Measured& m, const Limit& limit, const flow::Restriction& restriction,
                      const std::string& general, const DisplayUnits& units,
                      const std::vector<LossChange>& changes = {});

}  // namespace baywright::checks
