#pragma once

#include <set>
#include <vector>

#include "bay/bay.hpp"
#include "duct/layout.hpp"
#include "geometry/base/result.hpp"
#include "job/assemble.hpp"

namespace baywright::job {

/// The ducts of a job in its order, those that end on another one laid out after it. All errors together: those of
/// duct::lay_out, and ducts that end on one another in a ring. Ducts to `leave_out`, and what ends on them, are passed
/// over without a word.
ResultAll<std::vector<duct::Duct>> lay_out_ducts(const std::vector<duct::DuctSpec>& specs, const bay::Bay& bay,
                                                 const std::set<duct::DuctId>& leave_out = {});

/// The installation with the ducts of `job`, which must be its own job but for them: nothing is read from files. What
/// the sheet or the parts gave rise to (warnings) stays. Cost: the ducts' layout; geometry is shared.
ResultAll<Installation> with_ducts_of(const Installation& installation, const Job& job);

}  // namespace baywright::job
