#include <algorithm>
#include <cmath>

#include "checks/check.hpp"
#include "geometry/base/near_word.hpp"

namespace baywright::checks {
namespace {

struct LimitId {
  std::string id;
  const CheckDef* check;
  Unit unit;
  Comparison comparison;
};

std::vector<LimitId> known_limits() {
  std::vector<LimitId> known;
  for (const CheckDef& check : registry()) {
    known.push_back({check.id, &check, check.unit, check.comparison});
    for (const FurtherLimit& f : check.further_limits) {
      known.push_back({f.id, &check, f.unit.value_or(check.unit), f.comparison.value_or(check.comparison)});
    }
  }
  return known;
}

std::string quoted(const std::string& text) { return '"' + text + '"'; }
std::string words(Comparison c) { return std::string(name(c)); }

std::vector<std::string> problems_of_limit(const std::string& id, const Limit& limit,
                                           const std::vector<LimitId>& known) {
  const auto found = std::find_if(known.begin(), known.end(), [&](const LimitId& k) { return k.id == id; });
  const std::string where = "limit " + quoted(id) + ": ";
  if (found == known.end()) {
    const auto nearest = std::min_element(known.begin(), known.end(), [&](const LimitId& a, const LimitId& b) {
      return edit_distance(id, a.id) < edit_distance(id, b.id);
    });
    return {where + "there is no such check; the nearest known one is " + quoted(nearest->id)};
  }
  const CheckDef& check = *found->check;
  if (check.limits == LimitPlace::by_class && id == check.id) {
    return {where + "this check takes its limits from the clearance rows, one for each class of part; remove it here"};
  }
  std::vector<std::string> problems;
  if (limit.unit != found->unit) {
    problems.push_back(where + "is in " + quoted(std::string(file_name(limit.unit))) + ", the check measures in " +
                       quoted(std::string(file_name(found->unit))));
  }
  if (limit.comparison != found->comparison) {
    problems.push_back(where + "says " + words(limit.comparison) + ", the check needs " + words(found->comparison));
  }
  if (!std::isfinite(limit.value)) problems.push_back(where + "the value is not a number");
  if (limit.origin.text.empty()) {
    problems.push_back(where + "has no origin; name the document and page, or write \"common practice, no source\"");
  }
  return problems;
}

void add_problems(const ClearanceNeed& need, const std::string& where, std::vector<std::string>& problems) {
  for (const double value : {need.same_body_mm, need.at_rest_mm, need.over_motion_mm}) {
    if (!std::isfinite(value) || value < 0) problems.push_back(where + "clearances must be 0 mm or more");
  }
  if (need.origin.text.empty()) {
    problems.push_back(where + "has no origin; name the document and page, or write \"common practice, no source\"");
  }
}

std::vector<std::string> problems_of_rows(const std::vector<ClearanceRow>& rows) {
  std::vector<std::string> problems;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const ClearanceRow& row = rows[i];
    const std::string where = "clearance row " + std::to_string(i) + ": ";
    add_problems(row.tube(), where, problems);
    if (row.hose) add_problems(*row.hose, where + "hose: ", problems);
    if (row.clamp) add_problems(*row.clamp, where + "clamp: ", problems);
    const bool twice = std::any_of(rows.begin(), rows.begin() + static_cast<std::ptrdiff_t>(i),
                                   [&](const ClearanceRow& other) { return other.part_class == row.part_class; });
    if (twice) problems.push_back(where + "its class of part has a row already");
  }
  return problems;
}

}  // namespace

std::vector<std::string> problems_of(const Sheet& sheet) {
  std::vector<std::string> problems;
  const std::vector<LimitId> known = known_limits();
  for (const auto& [id, limit] : sheet.limits) {
    for (std::string& problem : problems_of_limit(id, limit, known)) problems.push_back(std::move(problem));
  }
  for (const auto& entry : sheet.not_required) {
    const std::string &id = entry.first, &reason = entry.second;
    const std::string where = "not required " + quoted(id) + ": ";
    if (!find_check(id)) {
      const auto nearest = std::min_element(known.begin(), known.end(), [&](const LimitId& a, const LimitId& b) {
        return edit_distance(id, a.id) < edit_distance(id, b.id);
      });
      problems.push_back(where + "there is no such check; the nearest known one is " + quoted(nearest->check->id));
    } else if (sheet.limits.contains(id)) {
      problems.push_back(where + "the sheet has a limit for it; remove one of the two");
    }
    if (reason.empty()) problems.push_back(where + "says no reason");
  }
  for (std::string& problem : problems_of_rows(sheet.clearance)) problems.push_back(std::move(problem));
  if (sheet.restriction && sheet.restriction->station.empty()) {
    problems.emplace_back("restriction: names no station; give \"compressor face\" or the id of a restriction tap");
  }
  return problems;
}

}  // namespace baywright::checks
