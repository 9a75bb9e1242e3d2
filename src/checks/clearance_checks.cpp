#include "checks/check_groups.hpp"
#include "checks/clearance_subjects.hpp"

namespace baywright::checks {
namespace {

CheckDef clearance(const std::string& id, const std::string& title) {
  CheckDef c;
  c.id = id;
  c.title = title;
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::blocker;
  c.limits = LimitPlace::by_class;
  c.services = all_services();
  return c;
}

CheckDef at_rest() {
  CheckDef c = clearance("cr.static", "Clearance at rest");
  c.question = "Is the duct free of every part with everything at rest?";
  c.definition =
      "Smallest distance between the outer surface of a piece of the duct and a part, everything at rest, negative "
      "when they interfere. The limit comes from the clearance row of the part's class, for the kind of the piece "
      "(rigid tube, hose, clamps): the same-body value when piece and part ride on one body, else the value at rest. "
      "Pairs that touch by design are left out and listed.";
  c.inputs = {"ducts/route", "ducts/tube", "parts", "sheet/clearance"};
  c.measure = [](const Context& context) { return clearance_subjects(context, false); };
  return c;
}

CheckDef over_motion() {
  CheckDef c = clearance("cr.motion", "Clearance over the motion");
  c.question = "Does the duct stay free of every part over all motions?";
  c.definition =
      "The same distance at its smallest over the whole motion of all bodies, hinges and slides included, as a proven "
      "bracket: between sampled poses nothing is left to chance. One body moves while the others rest, unless the job "
      "combines motions. A hinge or slide that the job states to be for service is no part of it; the finding says so. "
      "The limit is the over-motion value of the part's class for the kind of the piece. Pairs on one body keep their "
      "distance and have no subject here.";
  c.inputs = {"ducts/route", "ducts/tube", "parts", "bodies/motion", "sheet/clearance"};
  c.measure = [](const Context& context) { return clearance_subjects(context, true); };
  return c;
}

}  // namespace

std::vector<CheckDef> clearance_checks() { return {at_rest(), over_motion()}; }

}  // namespace baywright::checks
