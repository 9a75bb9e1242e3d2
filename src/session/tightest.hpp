#pragma once

#include <optional>
#include <vector>

#include "bay/bay.hpp"
#include "checks/finding.hpp"
#include "checks/sheet.hpp"
#include "measure/clearance_measure.hpp"

namespace baywright::session {

/// The pair of a duct with the least room, as the findings would judge it.
struct Tightest {
  measure::PairClearance pair;
  std::optional<checks::Limit> limit;                         ///< what the sheet asks of it; none: nothing
  checks::Verdict verdict = checks::Verdict::not_applicable;  ///< of this pair; without a limit not applicable
};

/// Of all pairs within the range the one whose guarded value is least above its limit (lies deepest inside, when one
/// is wholly inside); when no pair has a limit, the nearest one. nullopt: nothing is within the range.
std::optional<Tightest> tightest_of(const bay::Bay& bay, const duct::Duct& duct, const checks::Sheet& sheet,
                                    const measure::ClearanceReport& report, bool over_motion);

}  // namespace baywright::session
