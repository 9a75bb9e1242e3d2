#pragma once

#include <set>
#include <string>

#include "checks/evaluation.hpp"
#include "geometry/base/progress.hpp"
#include "geometry/base/result.hpp"
#include "job/assemble.hpp"

namespace baywright::session {

/// What takes seconds and is not needed everywhere.
struct Extent {
  bool whole_charts = true;  ///< as in access::AccessInputs
  bool ways_out = true;      ///< checks::measure_ways
};
inline constexpr Extent kFindingsAlone{false, false};

/// Measures every duct of a job; ducts of `previous` whose id is not in `changed` are taken over unmeasured.
/// Clamps of unchanged ducts are looked at again when another duct changed, and so is the clearance between the two.
/// Ways out that `previous` holds are taken over while nothing changed. Fails: cancelled.
Result<checks::Evaluation> evaluate(const job::Installation& installation, const checks::Evaluation* previous = nullptr,
                                    const std::set<std::string>& changed = {}, const Progress& progress = {},
                                    const Extent& extent = {});

}  // namespace baywright::session
