#include "checks/check_groups.hpp"
#include "checks/uncertainty_hint.hpp"
#include "geometry/base/unit.hpp"
#include "measure/path_measures.hpp"

namespace baywright::checks {
namespace {

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

CheckDef grip() {
  CheckDef c;
  c.id = "fb.grip";
  c.services = all_services();
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

std::vector<CheckDef> making_checks() { return {grip()}; }

}  // namespace baywright::checks
