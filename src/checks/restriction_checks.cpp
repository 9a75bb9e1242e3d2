#include "checks/check_groups.hpp"

namespace baywright::checks {
namespace {

CheckDef loss(const std::string& state, const std::string& definition) {
  CheckDef c;
  c.id = "in.loss_" + state;
  c.title = "Restriction, " + state + " filter";
  c.definition = definition;
  c.unit = Unit::pascal;
  c.comparison = Comparison::at_most;
  c.severity = Severity::blocker;
  c.services = {duct::Service::intake};
  c.inputs = {"ducts/route",      "ducts/tube",           "flow/rated_kg_per_s",
              "flow/ambient",     "flow/filter/" + state, "flow/raw_air_loss_kPa",
              "sheet/restriction"};
  return c;
}

CheckDef clean() {
  CheckDef c =
      loss("clean",
           "Restriction of the intake at rated mass flow and job ambient with a clean filter element. The sheet "
           "says what it means: `total` is the total-pressure loss from outside air to the named station, "
           "`static` is what a gauge on a wall tap there shows below outside pressure, which is the loss plus "
           "the dynamic pressure in the tube at the tap.");
  c.question = "Is the restriction within budget with a clean filter?";
  c.hint = "larger tube or filter, fewer or wider bends, a gentler cone";
  return c;
}

CheckDef dirty() {
  CheckDef c = loss("dirty", "As in.loss_clean, with the filter element at the point where it is changed.");
  c.question = "Is the restriction within budget when the filter is due for change?";
  c.hint = "change the element earlier, or fit a larger filter";
  return c;
}

}  // namespace

std::vector<CheckDef> restriction_checks() { return {clean(), dirty()}; }

}  // namespace baywright::checks
