#include <algorithm>
#include <cmath>

#include "checks/check_groups.hpp"
#include "checks/subjects.hpp"
#include "checks/uncertainty_hint.hpp"
#include "geometry/base/unit.hpp"
#include "measure/path_measures.hpp"

namespace baywright::checks {
namespace {

bool has_bend(const duct::Duct& duct) {
  const auto& bends = duct.layout.bends;
  return std::any_of(bends.begin(), bends.end(), [](const duct::Bend& bend) { return bend.bends(); });
}

/// The note of a measure of one thing says which: "bend at P2", "cone R1".
std::string noted_name(const measure::Outcome& outcome) {
  const auto* measured = std::get_if<measure::Measured>(&outcome);
  return measured ? measured->note : std::string();
}

/// How long the cone has to be for the limit's angle: the tangent of the half-angle goes with one over the length.
std::string cone_hint(const Context& context, const measure::Measured& cone, const Limit& limit) {
  if (limit.unit != Unit::degree || limit.value <= 0 || cone.highest() <= limit.value) return "";
  if (std::string first = uncertainty_hint(cone, limit, context.bay.units); !first.empty()) return first;
  for (const duct::PlacedFitting& fitting : context.duct.layout.fittings) {
    const double length = fitting.station_to_mm - fitting.station_from_mm;
    const bool here = std::abs(0.5 * (fitting.station_from_mm + fitting.station_to_mm) - *cone.station_mm) < 1e-6;
    if (!here || length <= 0) continue;
    const double steepest = std::tan(degrees(std::min(cone.highest(), 89.0)).si());
    return "make the cone at least " +
           length_text(length * steepest / std::tan(degrees(limit.value).si()), context.bay.units) + " long (it is " +
           length_text(length, context.bay.units) + ")";
  }
  return "";
}

/// Which radius the tightest bend needs, and what its legs would take.
std::string radius_hint(const Context& context, const measure::Outcome& outcome) {
  const auto* measured = std::get_if<measure::Measured>(&outcome);
  const auto limit = context.sheet.limits.find("in.radius");
  if (!measured || limit == context.sheet.limits.end() || measured->lowest() >= limit->second.value) return "";
  const duct::Layout& layout = context.duct.layout;
  for (std::size_t i = 0; i < layout.bends.size(); ++i) {
    const duct::Bend& bend = layout.bends[i];
    if (*measured->station_mm < bend.station_from_mm || *measured->station_mm > bend.station_to_mm) continue;
    const auto text = [&](double mm) { return length_text(mm, context.bay.units); };
    const double needed = limit->second.value * layout.tube_at(*measured->station_mm).outer_diameter_mm;
    const double leg = std::min(layout.legs[i].length_mm(), layout.legs[i + 1].length_mm());
    const double most = (bend.set_back_mm + leg) / std::tan(0.5 * bend.angle.si());
    std::string hint = "give " + measured->note + " a radius of at least " + text(needed) + " (it is " +
                       text(bend.radius_mm) + "; its legs, without what sits on them, would take ";
    hint += most >= needed ? text(most) + ")" : "only " + text(most) + ": move its neighbours away from it)";
    return hint + ", or buy a cast elbow whose loss was tested";
  }
  return "";
}

/// A widening cone is held against its own limit, with the sign turned.
Subject expansion(measure::Measured cone, const Context& context) {
  std::swap(cone.lo, cone.hi);
  cone.lo = -cone.lo;
  cone.hi = -cone.hi;
  Band mirrored;
  for (Contribution c : cone.band.contributions()) {
    std::swap(c.low, c.high);
    mirrored.add(std::move(c));
  }
  cone.band = std::move(mirrored);
  Subject s = subject(cone.note + ", widening", cone);
  const auto limit = context.sheet.limits.find("in.taper.expansion");
  if (limit == context.sheet.limits.end()) {
    s.outcome = measure::NotAssessed{"the sheet has no limit for a cone that widens along the flow",
                                     {"sheet/limits/in.taper.expansion"}};
  } else {
    s.limit = limit->second;
    s.hint = cone_hint(context, cone, limit->second);
  }
  return s;
}

std::vector<Subject> measure_cones(const Context& context) {
  std::vector<Subject> subjects;
  for (const measure::Outcome& outcome : measure::cone_half_angles(context.duct)) {
    const auto* measured = std::get_if<measure::Measured>(&outcome);
    const bool widens = measured && measured->hi < 0;
    subjects.push_back(widens ? expansion(*measured, context) : subject(noted_name(outcome), outcome));
    const auto limit = context.sheet.limits.find("in.taper");
    if (measured && !widens && limit != context.sheet.limits.end()) {
      subjects.back().hint = cone_hint(context, *measured, limit->second);
    }
  }
  return subjects;
}

CheckDef bends() {
  CheckDef c;
  c.id = "in.bends";
  c.title = "Number of bends";
  c.question = "Are there few enough bends between filter and compressor?";
  c.definition =
      "Arcs of 10 degrees or more from the filter outlet to the compressor face. Two arcs count as one bend when the "
      "straight between them is shorter than a quarter of the outer diameter, their planes agree within 10 degrees and "
      "they turn the same way.";
  c.unit = Unit::count;
  c.comparison = Comparison::at_most;
  c.severity = Severity::minor;
  c.services = {duct::Service::intake};
  c.inputs = {"ducts/route", "ducts/tube"};
  c.hint = "replace two bends by one of larger angle, or move the filter outlet";
  c.measure = [](const Context& context) {
    return std::vector<Subject>{subject("whole duct", measure::bend_count(context.duct))};
  };
  return c;
}

CheckDef turning() {
  CheckDef c;
  c.id = "in.turn";
  c.title = "Total turning";
  c.question = "Does the intake turn little enough in all?";
  c.definition = "Sum of the angles of all arcs of the duct, small ones included, in degrees of direction change.";
  c.unit = Unit::degree;
  c.comparison = Comparison::at_most;
  c.severity = Severity::minor;
  c.services = {duct::Service::intake};
  c.inputs = {"ducts/route"};
  c.hint = "straighten the first leg, or turn the filter so that its outlet points the way the duct goes";
  c.measure = [](const Context& context) {
    return std::vector<Subject>{subject("whole duct", measure::total_turning(context.duct))};
  };
  return c;
}

CheckDef intake_radius() {
  CheckDef c;
  c.id = "in.radius";
  c.title = "Smallest bend radius";
  c.question = "Are the bends wide enough?";
  c.definition = "Smallest centerline radius of the duct's bends divided by the outer diameter of the tube there.";
  c.unit = Unit::ratio;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.services = {duct::Service::intake};
  c.inputs = {"ducts/route", "ducts/tube"};
  c.hint = "give the tightest bend a larger radius, or buy a cast elbow whose loss was tested";
  c.measure = [](const Context& context) {
    if (!has_bend(context.duct)) return std::vector<Subject>{};
    const measure::Outcome outcome = measure::smallest_radius_ratio(context.duct);
    std::vector<Subject> subjects{subject(noted_name(outcome), outcome)};
    subjects[0].hint = radius_hint(context, outcome);
    return subjects;
  };
  return c;
}

CheckDef taper() {
  CheckDef c;
  c.id = "in.taper";
  c.title = "Half-angle of a cone";
  c.question = "Are the cones gentle enough?";
  c.definition =
      "Half-angle of each cone, atan((D1 - D2) / (2 L)) with the bores D1, D2 at its ends and its length L; a hose of "
      "reducer shape is a cone over its gap. A cone that narrows along the flow is held against in.taper, one that "
      "widens against in.taper.expansion.";
  c.unit = Unit::degree;
  c.comparison = Comparison::at_most;
  c.severity = Severity::major;
  c.further_limits = {"in.taper.expansion"};
  c.services = {duct::Service::intake};
  c.inputs = {"ducts/fittings: reducer", "ducts/tube"};
  c.hint = "make the cone longer";
  c.measure = measure_cones;
  return c;
}

}  // namespace

std::vector<CheckDef> path_checks() { return {bends(), turning(), intake_radius(), taper()}; }

}  // namespace baywright::checks
