#pragma once

#include <vector>

#include "checks/check.hpp"

namespace baywright::checks {

/// Subjects of cr.static (`over_motion` false) and cr.motion from the measured pairs: for each part its worst pair and
/// every pair that is not met or undecided. One subject that is not assessed for each reason why pairs cannot be
/// judged: no parts at all, parts without geometry, bodies whose motion nobody stated.
std::vector<Subject> clearance_subjects(const Context& context, bool over_motion);

/// What the sheet asks of one pair; none where it has no row for the part's class, or the row no value for such a
/// piece. A part whose size is in doubt is judged by nothing.
std::optional<Limit> clearance_limit(const bay::Bay& bay, const duct::Duct& duct, const Sheet& sheet,
                                     const measure::PairClearance& pair, bool over_motion);

}  // namespace baywright::checks
