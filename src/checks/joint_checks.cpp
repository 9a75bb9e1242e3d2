#include "checks/check_groups.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"
#include "measure/joint_moves.hpp"
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

/// What the joint is asked to take against what it takes; "" where the share cannot pass the limit.
std::string share_hint(const Context& context, const measure::JointShare& share, const std::string& limit_id,
                       const std::string& what_helps) {
  const auto* measured = std::get_if<measure::Measured>(&share.share);
  const auto limit = context.sheet.limits.find(limit_id);
  if (!measured || limit == context.sheet.limits.end() || measured->highest() <= limit->second.value) return "";
  return "it is asked for up to " + amount(measured->highest() * share.takes, share.give, context.bay.units) + " " +
         std::string(name(share.give)) + " and takes " + amount(share.takes, share.give, context.bay.units) + ": " +
         what_helps;
}

/// Where nothing moves in the joint, making may use more of what it takes: a limit of its own.
void judge_still(const Context& context, Subject& subject) {
  const auto limit = context.sheet.limits.find("fx.align.still");
  if (limit != context.sheet.limits.end()) {
    subject.limit = limit->second;
  } else if (std::holds_alternative<measure::Measured>(subject.outcome)) {
    subject.outcome = measure::NotAssessed{"the sheet has no limit for a joint in which nothing moves",
                                           {"sheet/limits/fx.align.still"}};
  }
}

std::vector<Subject> subjects_of(const Context& context, const std::vector<measure::JointShare>& shares,
                                 const std::string& check, const std::string& what_helps) {
  std::vector<Subject> subjects;
  for (const measure::JointShare& share : shares) {
    Subject s;
    s.subject = share.coupler.value + ", " + std::string(name(share.give));
    s.outcome = share.share;
    const bool still = check == "fx.align" && !share.moves;
    const std::string limit_id = still ? "fx.align.still" : check;
    if (still) judge_still(context, s);
    s.hint = share_hint(context, share, limit_id, what_helps);
    subjects.push_back(std::move(s));
  }
  return subjects;
}

std::vector<Subject> measure_motion(const Context& context) {
  return subjects_of(context, context.measures.joints_over_motion, "fx.motion",
                     "use a hump or a longer hose, put a second joint into the tube, or bring the joint nearer to what "
                     "the engine turns about");
}

std::vector<Subject> measure_rest(const Context& context) {
  if (!context.duct.spec.bending) {
    // One line for all: they wait for the same.
    Subject s;
    s.subject = "every coupler";
    s.outcome = measure::NotAssessed{"what the bender holds is not stated",
                                     {"ducts/" + context.duct.spec.id.value + "/bending"}};
    return measure::has_coupler(context.duct) ? std::vector<Subject>{s} : std::vector<Subject>();
  }
  return subjects_of(
      context, measure::joint_shares_at_rest(context.duct, context.bay), "fx.align",
      "fit the tube on the vehicle and tack it there, leave one end to be trimmed, or have it bent more closely");
}

std::vector<Subject> measure_gaps(const Context& context) {
  std::vector<Subject> subjects;
  const auto limit = context.sheet.limits.find("fx.gap");
  for (const measure::LeastGap& least : measure::least_gaps(context.duct, context.bay)) {
    Subject s;
    s.subject = least.coupler.value;
    s.outcome = least.gap;
    const auto* measured = std::get_if<measure::Measured>(&least.gap);
    if (measured && limit != context.sheet.limits.end() && measured->lowest() < limit->second.value) {
      s.hint = "open the gap by at least " + length_text(limit->second.value - measured->lowest(), context.bay.units);
    }
    subjects.push_back(std::move(s));
  }
  return subjects;
}

CheckDef joint_check() {
  CheckDef c;
  c.services = all_services();
  return c;
}

CheckDef every_crossing() {
  CheckDef c = joint_check();
  c.id = "fx.every";
  c.title = "Soft joint at every change of body";
  c.question = "Is there a soft joint wherever the duct passes from one body to another?";
  c.definition =
      "For each change of the body that carries the duct: 1 when a coupler lies between the two, 0 when a rigid tube "
      "is held by both. A coupler that does not state what movement it takes along its axis, sideways and in angle "
      "(all above 0) is not checked. Whether that is enough for the movement it will see is fx.motion's to say.";
  c.unit = Unit::none;
  c.comparison = Comparison::at_least;
  c.severity = Severity::blocker;
  c.inputs = {"ducts/route", "ports", "bodies", "ducts/fittings: coupler"};
  c.hint = "put a hump coupler between the two bodies";
  c.measure = measure_crossings;
  return c;
}

CheckDef motion() {
  CheckDef c = joint_check();
  c.id = "fx.motion";
  c.title = "Soft joint takes the motion";
  c.question = "Does every coupler take the movement it will see?";
  c.definition =
      "For each coupler between two carriers and each way it gives, the greatest movement between its two tube ends "
      "over the whole motion of all bodies, divided by what the coupler states it takes: change of the gap along the "
      "upstream tube's axis, distance of the downstream end's middle from that axis, angle between the two axes (twist "
      "stands aside, not judged). An elbow's downstream end is turned back through the elbow first. Proven over the "
      "continuous motion, not sampled; a floating tube moves as a rod between the middles of the gaps at its ends. "
      "Bodies that are moved for service stay at rest. What making leaves open of the joint, as in fx.align, is in the "
      "uncertainty.";
  c.unit = Unit::ratio;
  c.comparison = Comparison::at_most;
  c.severity = Severity::blocker;
  c.inputs = {"ducts/fittings: coupler", "bodies/motion"};
  c.hint = "use a hump or a longer hose, or put a second joint into the tube";
  c.measure = measure_motion;
  return c;
}

CheckDef align() {
  CheckDef c = joint_check();
  c.id = "fx.align";
  c.further_limits = {"fx.align.still"};
  c.title = "Soft joint in line at rest";
  c.question = "Does the making of the tubes leave the couplers enough of their movement?";
  c.definition =
      "For each coupler and each way it gives, what bending and cutting leave open between its tube ends at rest, "
      "divided by what the coupler states it takes: of every bend's angle, turn and straight and of every cut twice "
      "the standard uncertainty that is stated (root of squares where the causes differ), with each tube fitted at "
      "both ends, so that nothing is left sideways and the ends stand at an angle instead. As drawn everything is in "
      "line, so this is a sum of tolerances and held as such, however the tube turns out; a usual figure in place of "
      "one that is not stated is in the uncertainty. Where nothing moves in the joint, making may use more of what it "
      "takes: the limit is the sheet's fx.align.still.";
  c.unit = Unit::ratio;
  c.comparison = Comparison::at_most;
  c.severity = Severity::major;
  c.inputs = {"ducts/fittings: coupler", "ducts/bending"};
  c.hint = "fit the tube on the vehicle and tack it there, or leave one end to be trimmed";
  c.measure = measure_rest;
  return c;
}

CheckDef gap() {
  CheckDef c = joint_check();
  c.id = "fx.gap";
  c.title = "Tube ends stay apart";
  c.question = "Do the tube ends inside a coupler never touch?";
  c.definition =
      "Smallest gap between the two tube ends of each coupler over the whole motion, along the upstream tube's axis, "
      "as a proven bracket; what making leaves open is in the uncertainty. Elbows have no gap of their own.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.inputs = {"ducts/route", "bodies/motion"};
  c.hint = "open the gap";
  c.measure = measure_gaps;
  return c;
}

}  // namespace

std::vector<CheckDef> joint_checks() { return {every_crossing(), motion(), align(), gap()}; }

}  // namespace baywright::checks
