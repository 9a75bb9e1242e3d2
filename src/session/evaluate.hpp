#pragma once

#include <set>
#include <string>

#include "checks/evaluation.hpp"
#include "geometry/base/progress.hpp"
#include "geometry/base/result.hpp"
#include "job/assemble.hpp"

namespace baywright::session {

/// Measures every duct of a job; ducts of `previous` whose id is not in `changed` are taken over unmeasured.
/// Clamps of unchanged ducts are looked at again when another duct changed, and so is the clearance between the two.
/// `whole_charts` as in access::AccessInputs; without them no ways out are searched either. Fails: cancelled.
Result<checks::Evaluation> evaluate(const job::Installation& installation, const checks::Evaluation* previous = nullptr,
                                    const std::set<std::string>& changed = {}, const Progress& progress = {},
                                    bool whole_charts = true);

}  // namespace baywright::session
