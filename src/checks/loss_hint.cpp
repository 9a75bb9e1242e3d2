#include "checks/loss_hint.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "checks/uncertainty_hint.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"

namespace baywright::checks {

std::string loss_hint(const measure::Measured& m, const Limit& limit, const flow::Restriction& restriction,
                      const std::string& general, const DisplayUnits& units, const std::vector<LossChange>& changes) {
  if (std::string first = uncertainty_hint(m, limit, units); !first.empty()) return first + "; then: " + general;
  constexpr std::size_t kShares = 3, kChanges = 4;
  const auto text = [&](double pascal) { return format(pascal, Unit::pascal, units); };
  std::vector<const flow::ElementLoss*> largest;
  for (const flow::ElementLoss& element : restriction.elements) largest.push_back(&element);
  std::stable_sort(largest.begin(), largest.end(), [](const auto* a, const auto* b) { return b->loss < a->loss; });
  largest.resize(std::min(largest.size(), kShares));
  std::vector<std::string> shares;
  const auto percent = [&](double part) {
    return restriction.total.si() > 0
               ? ", " + std::to_string(static_cast<int>(std::lround(100 * part / restriction.total.si()))) + " %"
               : std::string();
  };
  for (const flow::ElementLoss* element : largest) {
    const Band band(element->band);
    shares.push_back(element->name + " " + text(element->loss.si()) + " (" +
                     format_number(element->loss.si() - band.low(), Unit::pascal, units) + " to " +
                     format_number(element->loss.si() + band.high(), Unit::pascal, units) +
                     percent(element->loss.si()) + ")");
  }
  std::string hint =
      "to be sure it must be " + text(m.highest() - limit.value) + " less; most is lost in " + joined(shares);
  std::vector<std::string> savings;
  for (std::size_t i = 0; i < std::min(changes.size(), kChanges); ++i) {
    savings.push_back(changes[i].what + " " + text(changes[i].saves.si()));
  }
  if (!savings.empty())
    hint += "; each on its own would save: " + joined(savings) + " (room and bending are not looked at)";
  return hint + (savings.empty() ? ": " : "; else: ") + general;
}

}  // namespace baywright::checks
