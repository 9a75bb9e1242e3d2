#include <algorithm>

#include "checks/check.hpp"
#include "checks/check_groups.hpp"

namespace baywright::checks {
namespace {

std::vector<CheckDef> all_checks() {
  std::vector<CheckDef> all;
  for (auto* group : {path_checks, restriction_checks, sensor_checks, clearance_checks, making_checks}) {
    for (CheckDef& check : group()) all.push_back(std::move(check));
  }
  return all;
}

}  // namespace

const std::vector<CheckDef>& registry() {
  static const std::vector<CheckDef> checks = all_checks();
  return checks;
}

const CheckDef* find_check(const std::string& id) {
  const auto& all = registry();
  const auto found = std::find_if(all.begin(), all.end(), [&](const CheckDef& c) { return c.id == id; });
  return found == all.end() ? nullptr : &*found;
}

}  // namespace baywright::checks
