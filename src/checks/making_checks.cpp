#include "checks/check_groups.hpp"
#include "checks/uncertainty_hint.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"
#include "measure/path_measures.hpp"

namespace baywright::checks {
namespace {

std::string body_name(const bay::BodyId& id) { return id.empty() ? std::string("the other duct") : id.value; }

std::vector<Subject> measure_crossings(const Context& context) {
  std::vector<Subject> subjects;
  for (const measure::GroupCrossing& crossing : measure::group_crossings(context.duct, context.bay)) {
    measure::Measured m = measure::Measured::exact(crossing.has_soft_joint ? 1 : 0, Unit::none);
    m.station_mm = crossing.station_mm;
    m.at_mm = context.duct.layout.at(crossing.station_mm).p_mm;
    m.note = crossing.has_soft_joint ? named("soft joint", crossing.joint) : "no soft joint between the two bodies";
    Subject s;
    s.subject = body_name(crossing.from) + " to " + body_name(crossing.to);
    s.outcome = m;
    if (!crossing.has_soft_joint) {
      s.hint = "put a hump coupler between " + crossing.from_hold + " and " + crossing.to_hold;
    }
    if (crossing.has_soft_joint && !crossing.unstated.empty()) {
      s.outcome = measure::NotAssessed{
          "soft joint " + crossing.joint + ": no movement is stated that it can take, so it may be no joint at all",
          crossing.unstated};
    }
    subjects.push_back(s);
  }
  return subjects;
}

/// By how much a straight is too short for the grip; "" when it is not, or no limit says so.
std::string grip_hint(const Context& context, const measure::Outcome& outcome) {
  const auto* measured = std::get_if<measure::Measured>(&outcome);
  const auto limit = context.sheet.limits.find("fb.grip");
  if (!measured || limit == context.sheet.limits.end() || measured->lowest() >= limit->second.value) return "";
  if (std::string first = uncertainty_hint(*measured, limit->second, context.bay.units); !first.empty()) return first;
  const double outer = context.duct.layout.tube_at(*measured->station_mm).outer_diameter_mm;
  return "lengthen this straight by " +
         length_text((limit->second.value - measured->lowest()) * outer, context.bay.units) +
         ", merge the two bends, or weld cut bends";
}

std::vector<Subject> measure_grips(const Context& context) {
  std::vector<Subject> subjects;
  for (const measure::Outcome& outcome : measure::grip_lengths(context.duct)) {
    const auto* measured = std::get_if<measure::Measured>(&outcome);
    Subject s;
    s.subject = measured ? measured->note : "straight";
    s.outcome = outcome;
    s.hint = grip_hint(context, outcome);
    subjects.push_back(s);
  }
  return subjects;
}

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
      "is held by both. A coupler that does not state what movement it takes along its axis, sideways and in angle "
      "(all above 0) is not checked. Whether that is enough for the movement it will see is not part of this check.";
  c.unit = Unit::none;
  c.comparison = Comparison::at_least;
  c.severity = Severity::blocker;
  c.inputs = {"ducts/route", "ports", "bodies", "ducts/fittings: coupler"};
  c.hint = "put a hump coupler between the two bodies";
  c.measure = measure_crossings;
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
  c.measure = measure_grips;
  return c;
}

}  // namespace

std::vector<CheckDef> making_checks() { return {every_crossing(), grip()}; }

}  // namespace baywright::checks
