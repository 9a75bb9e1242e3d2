#include "checks/profile_steps.hpp"

#include <algorithm>
#include <iterator>
#include <set>

namespace baywright::checks {

std::vector<ProfileStep> profile_steps(const DuctMeasures& measures) {
  constexpr double kLeast_mm = 1e-6;  // slices of neighbours that end at one place, but for rounding
  const auto& moving = measures.profile_over_motion.slices;
  const auto& resting = measures.profile_at_rest.slices;
  std::set<double> cuts;
  for (const measure::ProfileSlice& slice : moving) cuts.insert({slice.station_from_mm, slice.station_to_mm});
  std::vector<ProfileStep> steps;
  for (auto at = cuts.begin(); at != cuts.end() && std::next(at) != cuts.end(); ++at) {
    ProfileStep step;
    step.from_mm = *at;
    step.to_mm = *std::next(at);
    if (step.to_mm - step.from_mm < kLeast_mm) continue;
    const double middle = 0.5 * (step.from_mm + step.to_mm);
    for (std::size_t i = 0; i < moving.size() && i < resting.size(); ++i) {
      if (middle < moving[i].station_from_mm || middle > moving[i].station_to_mm) continue;
      if (!resting[i].nearest.beyond_range()) step.rest_mm = std::min(step.rest_mm, resting[i].nearest.hi_mm);
      if (!moving[i].nearest.beyond_range()) step.moving_mm = std::min(step.moving_mm, moving[i].nearest.lo_mm);
      const auto& t = moving[i].tightest;
      if (!t || (step.tightest && t->lo_mm - t->need_mm >= step.tightest->lo_mm - step.tightest->need_mm)) continue;
      step.tightest = t;
      step.piece = moving[i].piece;
    }
    steps.push_back(step);
  }
  return steps;
}

}  // namespace baywright::checks
