#include <tuple>
#include <utility>

#include "checks/check_groups.hpp"
#include "checks/hose_ends.hpp"
#include "checks/subjects.hpp"
#include "checks/weight_on.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"

namespace baywright::checks {
namespace {

using measure::Measured;

/// "held by port filter-out and hump-1; weighs 0.62 kg".
std::string holders_text(const Context& context, const measure::Beam& beam) {
  std::vector<std::string> names;
  for (const measure::Support& s : beam.supports) names.push_back(s.by);
  std::string words = names.empty() ? "held by nothing" : "held by " + joined(names, " and ");
  if (beam.mass) words += "; weighs " + format(beam.mass->lo, Unit::kilogram, context.bay.units);
  return words;
}

/// The longest free stretch of a beam; not met, whatever its length, where nothing holds it.
Subject free_length(const Context& context, const measure::Beam& beam) {
  Subject s;
  s.subject = beam.name;
  Measured m = beam.longest_free;
  m.note = holders_text(context, beam);
  if (!beam.loose.empty()) {
    m.note += "; " + beam.loose;
    s.fails = true;
    s.hint = "put a bracket on it";
  }
  s.outcome = std::move(m);
  return s;
}

/// The whole weight of a floating beam, which rubber alone carries.
Subject floating(const Context& context, const measure::Beam& beam) {
  Subject s;
  s.subject = beam.name + ", in its joints";
  s.hint = "carry it by a bracket on one of the two bodies";
  Measured carried = *beam.mass;
  carried.note = "floats: rubber alone carries it";
  s.outcome = std::move(carried);
  against(context, "fx.held.floating", s);
  return s;
}

bool is_charge(const duct::DuctSpec& spec) {
  return spec.service == duct::Service::charge_hot || spec.service == duct::Service::charge_cold;
}
bool waived(const Context& context, const char* check) { return context.sheet.not_required.contains(check); }

std::vector<Subject> free_lengths(const Context& context, const measure::DuctSupport& support) {
  std::vector<Subject> subjects;
  for (const measure::Beam& beam : support.beams) subjects.push_back(free_length(context, beam));
  return subjects;
}

/// The port whose weight ch.load tells; "" where it is told here.
std::string told_by_load(const Context& context) {
  const duct::DuctSpec& spec = context.duct.spec;
  const bool told = spec.service == duct::Service::charge_hot && !spec.from.port.empty() && !waived(context, "ch.load");
  return told ? named("port", spec.from.port.value) : "";
}

std::vector<Subject> measure_held(const Context& context) {
  const measure::DuctSupport support = measure::support_of(context.duct);
  std::vector<Subject> subjects;
  // Each length and each weight is told once: lengths of charge tube by ch.support, the compressor's load by ch.load.
  if (!is_charge(context.duct.spec) || waived(context, "ch.support")) subjects = free_lengths(context, support);
  for (const measure::Beam& beam : support.beams) {
    if (beam.floats && beam.loose.empty() && beam.mass) subjects.push_back(floating(context, beam));
  }
  if (support.unweighed) {
    subjects.push_back(not_assessed("weights", support.unweighed->reason, support.unweighed->missing));
    return subjects;
  }
  const std::string elsewhere = told_by_load(context);
  for (const measure::Support& at : support.rigid) {
    if (at.by == elsewhere) continue;
    Subject s = weight_on(context, at, "fx.held.load");
    s.subject = "on " + at.by;
    s.hint = "carry the tube by a bracket on the same body near here";
    subjects.push_back(std::move(s));
  }
  return subjects;
}

CheckDef charge_support() {
  CheckDef c;
  c.id = "ch.support";
  c.title = "Tube between its supports";
  c.question = "Is every length of charge tube held?";
  c.definition =
      "Of each beam of a charge duct, which is a rigid tube or several across joints that do not part, the longest "
      "stretch along its centerline between two supports, or between a support and an end: ports, brackets, soft "
      "joints that part, from their gap. Not met where a beam and the one next to it both hang between soft joints.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_most;
  c.severity = Severity::minor;
  c.services = {duct::Service::charge_hot, duct::Service::charge_cold};
  c.inputs = {"ducts/route"};
  c.hint = "add a bracket";
  c.measure = [](const Context& context) { return free_lengths(context, measure::support_of(context.duct)); };
  return c;
}

CheckDef held() {
  CheckDef c;
  c.id = "fx.held";
  c.title = "Every tube is held";
  c.question = "Does something hold every tube, near enough and without too much weight on one spigot?";
  c.definition =
      "For each beam, which is a rigid tube or several across joints that do not part, the longest stretch along its "
      "centerline between two supports, or between a support and an end: ports, brackets, soft joints that part. Not "
      "met where a beam and the one next to it both hang between soft joints. Of charge ducts ch.support tells this. "
      "Further the weight of a beam that soft joints alone carry, against fx.held.floating, and the weight on each "
      "port and bracket, level vehicle at rest, against fx.held.load; not that on the compressor outlet, which ch.load "
      "tells. A tube weighs what its metal weighs (steel 7850, stainless steel 7900, aluminium 2700 kg/m3) and half of "
      "each hose on it (1250 kg/m3); its weight is shared by the lever rule, in plan, between the two ports or "
      "brackets nearest along the tube, and where that pulls one upward it counts as much; a beam without any leaves "
      "its weight to the soft joints at its ends, which pass it on. What other ducts hang on this one is not counted; "
      "beside a beam that nothing holds the weight is not checked. In the uncertainty: walls within 10 %, clamps and "
      "sensor that nobody weighed.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_most;
  c.severity = Severity::minor;
  c.further_limits = {{"fx.held.floating", Unit::kilogram}, {"fx.held.load", Unit::kilogram}};
  c.services = all_services();
  c.inputs = {"ducts/metal", "ducts/tube"};
  c.hint = "put a bracket where the stretch is longest, on the body that carries the tube";
  c.measure = measure_held;
  return c;
}

}  // namespace

Subject weight_on(const Context& context, const measure::Support& support, const char* limit_id) {
  Subject s;
  Measured m = *support.carries;
  if (m.lo < 0) {  // a tube that reaches far beyond the next support lifts this one: as bad for a spigot
    Band band;
    for (Contribution c : m.band.contributions()) {
      std::swap(c.low, c.high);
      band.add(std::move(c));
    }
    m.band = std::move(band);
    std::tie(m.lo, m.hi) = std::pair(-m.hi, -m.lo);
    m.note = "pulls it upward";
  }
  s.outcome = std::move(m);
  against(context, limit_id, s);
  // What is known to be too much already fails.
  const bool known = s.limit && decide(s.outcome, s.limit) == Verdict::not_met;
  if (support.at_least && !known) {
    s.outcome =
        measure::NotAssessed{"a tube hangs beside it that nothing holds: how much of it rests here is not known",
                             {"ducts/" + context.duct.spec.id.value + "/fittings: bracket"}};
  }
  return s;
}

std::vector<CheckDef> support_checks() { return {charge_support(), held()}; }

}  // namespace baywright::checks
