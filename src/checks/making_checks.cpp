#include "checks/check_groups.hpp"

namespace baywright::checks {
namespace {

CheckDef for_all_services() {
  CheckDef c;
  c.services = {duct::Service::raw_air, duct::Service::intake, duct::Service::charge_hot, duct::Service::charge_cold,
                duct::Service::breather};
  return c;
}

CheckDef every_crossing() {
  CheckDef c = for_all_services();
  c.id = "fx.every";
  c.title = "Soft joint at every change of body";
  c.question = "Is there a soft joint wherever the duct passes from one body to another?";
  c.definition =
      "For each change of the body that carries the duct: 1 when a coupler lies between the two, 0 when a rigid tube "
      "is "
      "held by both.";
  c.unit = Unit::none;
  c.comparison = Comparison::at_least;
  c.severity = Severity::blocker;
  c.inputs = {"ducts/route", "ports", "bodies"};
  c.hint = "put a hump coupler between the two bodies";
  return c;
}

CheckDef grip() {
  CheckDef c = for_all_services();
  c.id = "fb.grip";
  c.title = "Straight for the bender's grip";
  c.question = "Can the bender hold the tube between its bends?";
  c.definition =
      "Length of each straight between the tangent points of two bends of one tube, divided by the outer diameter.";
  c.unit = Unit::ratio;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.inputs = {"ducts/route", "ducts/tube"};
  c.hint = "lengthen this straight, merge the two bends, or weld cut bends";
  return c;
}

}  // namespace

std::vector<CheckDef> making_checks() { return {every_crossing(), grip()}; }

}  // namespace baywright::checks
