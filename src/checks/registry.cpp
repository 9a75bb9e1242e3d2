#include <algorithm>
#include <cstdlib>

#include "checks/check.hpp"
#include "checks/check_groups.hpp"
#include "geometry/base/unit.hpp"

namespace baywright::checks {
namespace {

std::vector<CheckDef> all_checks() {
  std::vector<CheckDef> all;
  for (auto* group :
       {path_checks,       restriction_checks, sensor_checks,         flow_quality_checks, breather_checks,
        water_checks,      clearance_checks,   duct_clearance_checks, edge_checks,         heat_checks,
        inlet_rise_checks, service_checks,     clamp_checks,          clamp_body_checks,   hose_end_checks,
        joint_checks,      clean_side_checks,  charge_checks,         charge_loss_checks,  making_checks,
        support_checks,    assemble_checks,    asked_checks,          job_checks}) {
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

std::string definition_text(const CheckDef& check, const DisplayUnits& units) {
  std::string text;
  const std::string& from = check.definition;
  for (std::size_t at = 0;;) {
    const std::size_t open = from.find('{', at), close = from.find('}', at);
    text.append(from, at, open - at);
    if (open == std::string::npos || close == std::string::npos) return text;
    const std::string value = from.substr(open + 1, close - open - 1);
    const double amount = std::strtod(value.c_str(), nullptr);
    if (value.ends_with("C")) {
      text += units.temperature == TemperatureUnit::celsius ? value : format(celsius(amount).si(), Unit::kelvin, units);
    } else {
      text += units.length == LengthUnit::mm ? value : length_text(amount, units);
    }
    at = close + 1;
  }
}

}  // namespace baywright::checks
