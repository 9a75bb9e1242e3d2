#pragma once

#include <optional>
#include <string>

#include "checks/evaluation.hpp"
#include "job/assemble.hpp"

namespace baywright::report {

struct TextOptions {
  bool color = false;  ///< terminal colours; the verdict is always also a word
  bool brief = false;  ///< leave out what is met
};

/// The findings as an aligned table for a terminal, worst first, in the job's units.
std::string findings_text(const job::Installation& installation, const checks::Evaluation& evaluation,
                          const TextOptions& options);
/// One line: "Tarn 40, first try: 9 not met, 2 undecided, 0 not checked, 61 met".
std::string summary_line(const job::Installation& installation, const checks::Evaluation& evaluation);

/// "5.3 mm", "-5.9 ± 1.0 mm", "beyond 60.0 mm", "not checked: ..." — one measured outcome in the job's units.
/// `more`: decimals beyond the usual ones.
std::string outcome_text(const measure::Outcome& outcome, const DisplayUnits& units, int more = 0);
/// "at least 20.0 mm"; "" without a limit.
std::string limit_text(const std::optional<checks::Limit>& limit, const DisplayUnits& units, int more = 0);

}  // namespace baywright::report
