#include "session/tightest.hpp"

#include <limits>

#include "checks/clearance_subjects.hpp"

namespace baywright::session {

std::optional<Tightest> tightest_of(const bay::Bay& bay, const duct::Duct& duct, const checks::Sheet& sheet,
                                    const measure::ClearanceReport& report, bool over_motion) {
  const measure::PairClearance* best = nullptr;
  std::optional<checks::Limit> best_limit;
  double best_room = 0;
  for (const measure::PairClearance& pair : report.pairs) {
    if (pair.beyond_range && !pair.inside) continue;
    const auto limit = checks::clearance_limit(bay, duct, sheet, pair, over_motion);
    double room = limit ? pair.value.lowest() - limit->value : pair.value.lo;
    if (pair.inside) room = -std::numeric_limits<double>::infinity();
    const bool better =
        best == nullptr || (limit && !best_limit) || (limit.has_value() == best_limit.has_value() && room < best_room);
    if (!better) continue;
    best = &pair;
    best_limit = limit;
    best_room = room;
  }
  if (best == nullptr) return std::nullopt;
  Tightest out{*best, best_limit, checks::Verdict::not_applicable};
  if (best_limit) out.verdict = best->inside ? checks::Verdict::not_met : checks::decide(best->value, *best_limit);
  return out;
}

}  // namespace baywright::session
