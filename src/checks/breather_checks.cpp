#include <algorithm>

#include "checks/asked_checks.hpp"
#include "checks/check_groups.hpp"
#include "checks/subjects.hpp"
#include "checks/welded_bends.hpp"
#include "geometry/base/words.hpp"
#include "measure/along_duct.hpp"
#include "measure/breather_measures.hpp"

namespace baywright::checks {
namespace {

using measure::Measured;
using measure::NotAssessed;

CheckDef of_breather(const std::string& id, const std::string& title) {
  CheckDef c;
  c.id = id;
  c.title = title;
  c.services = {duct::Service::breather};
  return c;
}

/// The intake says that nothing enters it, or lacks what does.
std::vector<Subject> without_branch_port(const Context& context) {
  Subject s = subject("branch port", measure::lacking(context.duct, "branch port", "breather"));
  if (context.duct.spec.no_breather) s.left_out = "the job says that the duct has no breather";
  return {s};
}

std::vector<Subject> measure_slopes(const Context& context) {
  Subject level = subject("level", measure::least_fall_level(context.duct));
  Subject tilted = subject("every attitude", measure::least_fall_in_attitudes(context.duct, context.bay));
  auto* fall = std::get_if<Measured>(&tilted.outcome);
  if (!fall) return {level, tilted};
  const auto limit = context.sheet.limits.find("br.slope.attitudes");
  if (limit == context.sheet.limits.end()) {
    tilted.outcome = NotAssessed{"the sheet has no limit for the fall in the attitudes of the vehicle",
                                 {"sheet/limits/br.slope.attitudes"}};
    return {level, tilted};
  }
  tilted.limit = limit->second;
  if (const std::string stands = measure::sag(context.duct, context.bay); !stands.empty()) {
    tilted.fails = true;
    fall->note += "; " + stands;
  }
  return {level, tilted};
}

CheckDef slope() {
  CheckDef c = of_breather("br.slope", "Breather falls to the intake");
  c.question = "Does the breather fall all the way to the intake?";
  c.definition =
      "Least fall of the centerline along the flow, in degrees below the horizon; negative where it rises. Twice: in "
      "the level vehicle, and in the attitude where it is least, against br.slope.attitudes. Not met in the attitudes "
      "either where water stands in one of them though the centerline falls (sn.pool): at a step up in the floor.";
  c.unit = Unit::degree;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.further_limits = {"br.slope.attitudes"};
  c.inputs = {"ducts/route", "attitudes"};
  c.hint = "raise the outlet end or shorten the run, and hold a hose so that it does not hang";
  c.measure = measure_slopes;
  return c;
}

/// Whether a breather goes from a port to this branch port.
Subject judged_branch(const Context& context, const duct::PlacedFitting& port) {
  Measured m = measure::at_station(context.duct, 0, Unit::none, port.station_from_mm);
  m.note = "no breather ends on it";
  for (const duct::Duct& duct : context.ducts) {
    if (duct.spec.to.duct != context.duct.spec.id || duct.spec.to.fitting != port.id) continue;
    const std::string name = named("duct", duct.spec.id.value);
    if (duct.spec.service != duct::Service::breather) {
      m.note = name + " ends on it and is no breather";
    } else if (duct.spec.from.port.empty()) {
      m.note = name + " ends on it and starts at no port";
    } else {
      m.lo = m.hi = 1;
      m.note = name + " from port " + duct.spec.from.port.value;
      break;
    }
  }
  return subject(named("branch port", port.id.value), m);
}

/// Whether a breather ends on an intake.
Subject judged_end(const Context& context) {
  const duct::PortRef& to = context.duct.spec.to;
  const auto into = std::find_if(context.ducts.begin(), context.ducts.end(),
                                 [&](const duct::Duct& d) { return !to.duct.empty() && d.spec.id == to.duct; });
  const bool returned = into != context.ducts.end() && into->spec.service == duct::Service::intake;
  Measured m = measure::at_station(context.duct, returned ? 1 : 0, Unit::none, context.duct.layout.length_mm);
  m.note = returned ? "ends on " + named("duct", to.duct.value) : "does not end on an intake";
  return subject("end of the breather", m);
}

std::vector<Subject> measure_closed(const Context& context) {
  if (context.duct.spec.service == duct::Service::breather) return {judged_end(context)};
  const auto ports = measure::branch_ports(context.duct.layout);
  const bool drawn = std::any_of(context.ducts.begin(), context.ducts.end(),
                                 [](const duct::Duct& d) { return d.spec.service == duct::Service::breather; });
  if (ports.empty() && (drawn || !context.duct.spec.no_breather)) return without_branch_port(context);
  if (ports.empty()) {  // an engine breathes all the same
    Subject s = asked_subject(context.answers, "br.closed", context.duct.spec.id,
                              "is the crankcase closed without it, with no end left open?");
    if (auto* open = std::get_if<NotAssessed>(&s.outcome)) {
      open->reason = "the job says that no breather enters the intake and draws none; " + open->reason;
    }
    return {s};
  }
  if (!drawn) {  // nobody has drawn where the crankcase breathes: who knows the engine may say
    Subject s = asked_subject(context.answers, "br.closed", context.duct.spec.id,
                              "does the crankcase breathe into the intake, with no end left open?");
    if (auto* open = std::get_if<NotAssessed>(&s.outcome)) {
      open->reason = "the job draws no breather; " + open->reason;
      open->missing.insert(open->missing.begin(), "ducts: breather");
    }
    return {s};
  }
  std::vector<Subject> subjects;
  for (const duct::PlacedFitting* port : ports) subjects.push_back(judged_branch(context, *port));
  return subjects;
}

CheckDef closed() {
  CheckDef c = of_breather("br.closed", "Breather returned to the intake");
  c.question = "Does the crankcase breathe into the intake, with no end left open?";
  c.definition =
      "Yes for a branch port of the intake on which a duct for the breather ends that starts at a port; yes for a "
      "breather that ends on a duct for the intake. Where the job draws no breather at all a person is asked, also "
      "where it says that none enters the intake. Crankcase gas does not go to the open.";
  c.unit = Unit::none;
  c.comparison = Comparison::at_least;
  c.severity = Severity::blocker;
  c.services = {duct::Service::intake, duct::Service::breather};
  c.inputs = {"ducts/fittings: branch port", "answers: br.closed"};
  c.hint = "lead a breather from the crankcase's outlet to the branch port; do not vent it";
  c.measure = measure_closed;
  return c;
}

std::vector<Subject> measure_entries(const Context& context) {
  const auto ports = measure::branch_ports(context.duct.layout);
  if (ports.empty()) return without_branch_port(context);
  std::vector<Subject> subjects;
  for (const duct::PlacedFitting* port : ports) {
    measure::Entry entry = measure::entry_of(context.duct, context.bay, *port);
    Subject s = subject(named("branch port", port->id.value), entry.intrusion);
    constexpr double kRounding_deg = 1e-9, kSquare_deg = 90, kSide_deg = 90;
    const bool against = to_degrees(entry.angle) > kSquare_deg + kRounding_deg;
    const bool below = entry.clock_deg > kSide_deg + kRounding_deg;
    const auto limit = limit_of(context.sheet, "br.entry");
    const bool too_deep = limit && entry.intrusion.lo > limit->value;
    if (against || below) {
      s.fails = true;
      s.hint = against ? "turn the nipple so that it enters with the flow or square to it"
                       : "turn the nipple about the tube into the upper half";
    } else if (!entry.missing.empty() && !too_deep) {  // what is known to be wrong fails, whatever is not stated
      s.outcome = entry.missing.front() == "attitudes"
                      ? measure::no_attitude()
                      : NotAssessed{"nobody said how the nipple enters the tube", entry.missing};
    }
    subjects.push_back(std::move(s));
  }
  return subjects;
}

CheckDef entry() {
  CheckDef c = of_breather("br.entry", "Breather enters cleanly");
  c.question = "Does the breather enter with the flow, from above and without reaching into the tube?";
  c.definition =
      "How far the nipple of each branch port reaches into the bore. Not met either where the nipple's axis, inward, "
      "stands at more than 90 degrees to the flow, or where the nipple stands more than 90 degrees from up in any "
      "attitude, as drawn; a tube within 15 degrees of vertical has no top and is not judged by that.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_most;
  c.severity = Severity::minor;
  c.services = {duct::Service::intake};
  c.inputs = {"ducts/fittings: branch port", "branch port/angle_deg", "branch port/intrusion_mm", "attitudes"};
  c.hint = "cut the nipple flush with the bore";
  c.measure = measure_entries;
  return c;
}

CheckDef breather_bore() {
  CheckDef c = of_breather("br.bore", "Breather not throttled");
  c.question = "Is the breather as wide as the outlet it starts from all the way?";
  c.definition =
      "Narrowest bore along the breather, the nipple it ends on included, divided by the bore of the port it starts "
      "from (the outlet of the separator). A hose has the bore of the tube ahead of it.";
  c.unit = Unit::ratio;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.inputs = {"ducts/tube", "ports"};
  c.hint = "use a wider hose, nipple or tube";
  c.measure = [](const Context& context) {
    return std::vector{subject("whole duct", measure::narrowest_bore_ratio(context.duct))};
  };
  return c;
}

std::vector<Subject> measure_exposed(const Context& context) {
  const duct::DuctSpec& spec = context.duct.spec;
  const std::string path = "ducts/" + spec.id.value + "/";
  if (spec.insulated && *spec.insulated) {
    Measured m = Measured::exact(0, Unit::mm);
    m.note = "insulated or heated where it is exposed";
    return {subject("whole duct", m)};
  }
  if (!spec.exposed_mm) {
    return {subject("whole duct",
                    NotAssessed{"nobody said how much of the breather stands in the wind", {path + "exposed_mm"}})};
  }
  const auto limit = context.sheet.limits.find("br.length");
  const bool within = limit == context.sheet.limits.end() || *spec.exposed_mm <= limit->second.value;
  if (!within && !spec.insulated) {
    return {subject("whole duct", NotAssessed{"too long to stay bare, and nobody said whether it is insulated",
                                              {path + "insulated"}})};
  }
  return {subject("whole duct", Measured::exact(*spec.exposed_mm, Unit::mm))};
}

CheckDef length() {
  CheckDef c = of_breather("br.length", "Breather does not freeze");
  c.question = "Is little of the breather left bare in the wind?";
  c.definition =
      "Length of the breather that stands in the wind and is neither insulated nor heated (exposed_mm, insulated). 0 "
      "where that length is insulated; not checked where it is over the limit and nobody said.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_most;
  c.severity = Severity::minor;
  c.inputs = {"breather/exposed_mm"};
  c.hint = "insulate it or shorten it";
  c.measure = measure_exposed;
  return c;
}

/// Lengths that have to follow one another between filter and compressor, as the sheet asks for them.
struct Needed {
  double sum_mm = 0;
  std::string of;                    ///< "sn.up 101.6 mm, br.after 228.6 mm, ..."
  std::optional<Origin> origin;      ///< of the longest
  std::vector<std::string> missing;  ///< limits that the sheet does not state
};

Needed needed_length(const Context& context) {
  Needed needed;
  double longest_mm = 0;
  const auto need = [&](const std::string& id, const Limit& limit) {
    needed.sum_mm += limit.value;
    needed.of += (needed.of.empty() ? "" : ", ") + id + " " + length_text(limit.value, context.bay.units);
    if (needed.origin && limit.value <= longest_mm) return;
    longest_mm = limit.value;
    needed.origin = limit.origin;
  };
  const auto asked = [&](const char* id) {
    const auto limit = limit_of(context.sheet, id);
    const bool waived = context.sheet.not_required.contains(id);
    if (!limit && !waived) needed.missing.push_back(std::string("sheet/limits/") + id);
    return waived ? std::nullopt : limit;
  };
  const auto up = asked("sn.up"), down = asked("sn.down"), after = asked("br.after"), before = asked("br.before");
  if (up) need("sn.up", *up);
  // The straight behind the sensor lies within the way to the breather.
  if (after && (!down || after->value >= down->value)) {
    need("br.after", *after);
  } else if (down) {
    need("sn.down", *down);
  }
  if (before) need("br.before", *before);
  return needed;
}

/// The whole length against the sum of what the sheet asks for, or against its own figure where that is more.
Subject whole_length(const Context& context) {
  Subject s = subject("whole duct", measure::whole_length(context.duct));
  const duct::DuctSpec& spec = context.duct.spec;
  if (spec.no_sensor || spec.no_breather) {
    s.left_out = "the job says that the duct has no " + std::string(spec.no_sensor ? "sensor" : "breather");
    return s;
  }
  const Needed needed = needed_length(context);
  const auto own = limit_of(context.sheet, "br.fit");
  if (!own && !needed.missing.empty()) {
    s.outcome = NotAssessed{"what has to fit into it is not in the sheet", needed.missing};
    return s;
  }
  if (!needed.origin || (own && own->value >= needed.sum_mm)) return s;
  s.limit = Limit{Comparison::at_least, needed.sum_mm, Unit::mm, *needed.origin};
  if (auto* m = std::get_if<Measured>(&s.outcome)) m->note = "has to hold " + needed.of;
  return s;
}

CheckDef fit() {
  CheckDef c = of_breather("br.fit", "Room for sensor and breather");
  c.question = "Is the intake long enough for sensor and breather at all?";
  c.definition =
      "Length of the centerline from the filter outlet to the compressor face, against the sum of the sheet's limits "
      "for the straight ahead of the sensor (sn.up), the way from there to the breather (br.after, or sn.down where "
      "that is more) and on to the compressor (br.before), which have to fit into it one behind the other; against "
      "br.fit where the sheet states one and it is more.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::info;
  c.services = {duct::Service::intake};
  c.inputs = {"ducts/route"};
  c.hint = "move the filter away from the compressor, or lead the duct another way round";
  c.measure = [](const Context& context) { return std::vector{whole_length(context)}; };
  return c;
}

}  // namespace

std::vector<CheckDef> breather_checks() {
  return {of_bent_tube(slope()), closed(), entry(), breather_bore(), length(), fit()};
}

}  // namespace baywright::checks
