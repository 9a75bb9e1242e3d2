#include "checks/uncertainty_hint.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "geometry/base/unit_step.hpp"

namespace baywright::checks {
namespace {

struct Share {
  std::string source;
  double amount = 0;
};

/// The cause that widens one side of the interval most; causes of one group count together, under the name of the
/// largest of them.
Share largest_share(const measure::Measured& m, double Contribution::*side) {
  struct Group {
    double sum = 0;
    Share largest;
  };
  std::map<std::string, Group> groups;
  int lone = 0;
  for (const Contribution& c : m.band.contributions()) {
    const double amount = (c.kind == Contribution::Kind::standard ? 2 : 1) * (c.*side);
    std::string key = c.group;
    // A blank cannot begin the name of a group, so these stay apart.
    if (key.empty()) key.append(" ").append(std::to_string(lone++));
    Group& group = groups[key];
    group.sum += amount;
    if (amount > group.largest.amount || group.largest.source.empty()) group.largest = {c.source, amount};
  }
  Share share{"the search, which has not closed in on the value", m.hi - m.lo};
  for (const auto& [name, group] : groups) {
    if (group.sum > share.amount) share = {group.largest.source, group.sum};
  }
  return share;
}

}  // namespace

std::string uncertainty_hint(const measure::Measured& m, const Limit& limit, const DisplayUnits& units) {
  const bool at_least = limit.comparison == Comparison::at_least;
  const double lacking = at_least ? limit.value - m.hi : m.lo - limit.value;
  const double doubt = at_least ? m.hi - m.lowest() : m.highest() - m.lo;
  if (!std::isfinite(doubt) || doubt <= std::max(lacking, 0.0) || doubt < std::abs(limit.value)) return "";
  const Share share = largest_share(m, at_least ? &Contribution::low : &Contribution::high);
  const Unit step = step_of(m.unit);
  return "make the uncertainty of " + format(doubt, step, units) +
         ", which decides here, smaller before anything is changed; most of it is " + share.source + " (" +
         format(share.amount, step, units) + ")";
}

}  // namespace baywright::checks
