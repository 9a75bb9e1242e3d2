#include "checks/check_groups.hpp"
#include "checks/clearance_subjects.hpp"

namespace baywright::checks {
namespace {

using bay::PartClass;
using duct::Piece;

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

/// Classes that no check of their own judges.
ClearanceScope remaining() {
  ClearanceScope scope;
  scope.classes = {PartClass::plain, PartClass::edge, PartClass::electrical, PartClass::structure, PartClass::reserved};
  scope.general = true;
  return scope;
}

CheckDef at_rest() {
  CheckDef c = clearance("cr.static", "Clearance at rest");
  c.question = "Is the duct free of every part with everything at rest?";
  c.definition =
      "Smallest distance between the outer surface of a piece of the duct and a part, everything at rest, negative "
      "when they interfere. The limit comes from the clearance row of the part's class, for the kind of the piece "
      "(rigid tube, hose, clamps): the same-body value when piece and part ride on one body, else the value at rest. "
      "Pairs that touch by design are left out and listed. Parts of the classes plain, edge, electrical, structure and "
      "reserved; the others have checks of their own, which measure the same.";
  c.inputs = {"ducts/route", "ducts/tube", "parts", "sheet/clearance"};
  c.measure = [](const Context& context) { return clearance_subjects(context, remaining(), false); };
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
      "distance and have no subject here. Parts of the same classes as cr.static.";
  c.inputs = {"ducts/route", "ducts/tube", "parts", "bodies/motion", "sheet/clearance"};
  c.measure = [](const Context& context) { return clearance_subjects(context, remaining(), true); };
  return c;
}

/// A check of one or a few classes, at rest and over the motion.
CheckDef of_classes(CheckDef c, ClearanceScope scope) {
  c.inputs = {"ducts/route", "ducts/tube", "parts", "bodies/motion", "sheet/clearance"};
  if (!scope.always_there) std::erase(c.inputs, "parts");  // without such a part there is nothing to look at
  c.measure = [scope = std::move(scope)](const Context& context) { return clearance_subjects(context, scope); };
  return c;
}

CheckDef rotating() {
  CheckDef c = clearance("cr.rotating", "Clear of fan and belts");
  c.question = "Is the duct clear of everything that turns?";
  c.definition =
      "The distances of cr.static and cr.motion to the parts of class rotating, one finding for each of the two. A "
      "part that turns is to be modelled as the space it sweeps, a belt with {10 mm} of slack.";
  return of_classes(std::move(c),
                    {{PartClass::rotating}, {}, false, true, "", "put a guard between them and measure to that"});
}

CheckDef lines() {
  CheckDef c = clearance("cr.lines", "Clear of brake, fuel and steering");
  c.question = "Is the duct clear of brake and fuel lines and of the steering?";
  c.definition =
      "The distances of cr.static and cr.motion to the parts of the classes fluid line and steering, one finding for "
      "each of the two. Shafts, joints, pedals and linkage count over their travel where their body states it.";
  return of_classes(std::move(c),
                    {{PartClass::fluid_line, PartClass::steering}, {}, false, true, "", "clip the line elsewhere"});
}

/// The end of a bonnet's hinge at which its travel stops shut, as the job's key names it: nothing is said of its slam,
/// or of its opening. None where it goes on both ways.
std::optional<std::string> end_without_slam(const Context& context, const Subject& s) {
  const bay::Part* part = s.part ? context.bay.find_part(*s.part) : nullptr;
  if (!part || !s.over_motion) return std::nullopt;
  const bay::Body& body = context.bay.bodies[static_cast<std::size_t>(part->body)];
  const auto* hinge = std::get_if<bay::HingeMotion>(&body.spec);
  if (!hinge || (hinge->from.si() != 0 && hinge->to.si() != 0)) return std::nullopt;
  return "bodies/" + body.id.value + "/motion/" + (hinge->to.si() == 0 ? "to_deg" : "from_deg");
}

std::vector<Subject> bonnet_subjects(const Context& context, const ClearanceScope& scope) {
  std::vector<Subject> subjects = clearance_subjects(context, scope);
  for (Subject& s : subjects) {
    const std::optional<std::string> end = end_without_slam(context, s);
    if (!end || s.fails || decide(s.outcome, s.limit) != Verdict::met) continue;
    s.outcome = measure::NotAssessed{
        "the bonnet's motion stops where it is shut: how far a slam takes it past that, or "
        "that it opens, is not stated",
        {*end}};
  }
  return subjects;
}

CheckDef bonnet() {
  CheckDef c = clearance("cr.bonnet", "Bonnet shuts");
  c.question = "Does the bonnet shut and slam without touching the duct?";
  c.definition =
      "The distances of cr.static and cr.motion to the parts of class bonnet, one finding for each of the two: closed, "
      "and at the least of the whole sweep of its hinge, from open to as far past closed as it goes when it is "
      "slammed. That overtravel, {6 mm} at the latch unless something else is measured, is part of the motion stated "
      "for its body; the finding over the motion says how far past closed the motion reaches. Where it stops at the "
      "shut pose, what is free so far is not checked: nothing is known of the slam.";
  const ClearanceScope scope = {
      {PartClass::bonnet}, {}, false, false, "", "lower the duct's crest; try it with clay under the bonnet"};
  c = of_classes(std::move(c), scope);
  c.measure = [scope](const Context& context) { return bonnet_subjects(context, scope); };
  return c;
}

CheckDef exhaust() {
  CheckDef c = clearance("ht.exhaust", "Rubber far from the exhaust");
  c.question = "Is every hose far enough from hot parts?";
  c.definition =
      "The distances of cr.static and cr.motion from hoses (couplers of any shape) to the parts of class hot, one "
      "finding for each of the two, against the hose value of the sheet's row for hot parts. What metal tube needs "
      "does not do for rubber: without a hose value the finding is not checked. Where that is too little and the "
      "straight line between the two nearest points crosses the part that shields the hot one (in the pose of the "
      "least distance), the hose's distance to the shield counts instead, against the limit for what is shielded; "
      "where it does not cross, the bare limit holds.";
  c.further_limits = {"ht.exhaust.shield"};
  return of_classes(std::move(c), {{PartClass::hot},
                                   {Piece::Kind::coupler},
                                   false,
                                   true,
                                   "ht.exhaust.shield",
                                   "put a shield between, or sleeve the hose"});
}

CheckDef turbo() {
  CheckDef c = clearance("ht.turbo", "Tube clear of hot parts");
  c.question = "Is the metal tube clear of turbine, manifold and downpipe?";
  c.definition =
      "The distances of cr.static and cr.motion from rigid tubes and clamps to the parts of class hot, one finding for "
      "each of the two.";
  return of_classes(std::move(c), {{PartClass::hot}, {Piece::Kind::tube, Piece::Kind::clamps}, false, true, "", ""});
}

}  // namespace

std::vector<CheckDef> clearance_checks() {
  return {at_rest(), over_motion(), rotating(), lines(), bonnet(), exhaust(), turbo()};
}

}  // namespace baywright::checks
