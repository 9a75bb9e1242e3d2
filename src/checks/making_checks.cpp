#include "checks/check_groups.hpp"
#include "checks/uncertainty_hint.hpp"
#include "geometry/base/unit.hpp"
#include "measure/path_measures.hpp"
#include "measure/tube_making.hpp"

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

/// A subject named by its tube: what stands ahead of the first colon or comma of the note.
Subject of_tube(const measure::Outcome& outcome) {
  Subject s;
  const auto* measured = std::get_if<measure::Measured>(&outcome);
  s.subject = measured ? measured->note.substr(0, measured->note.find_first_of(":,")) : "tube";
  s.outcome = outcome;
  return s;
}

std::vector<Subject> measure_dies(const Context& context) {
  std::vector<Subject> subjects;
  for (const measure::Outcome& outcome : measure::dies(context.duct)) subjects.push_back(of_tube(outcome));
  return subjects;
}

std::vector<Subject> measure_walls(const Context& context) {
  std::vector<Subject> subjects;
  const auto& metal = context.duct.spec.metal;
  for (const measure::Outcome& outcome : measure::walls_after_bending(context.duct)) {
    subjects.push_back(of_tube(outcome));
    Subject& s = subjects.back();
    if (!metal) {
      s.outcome = measure::NotAssessed{"what the tube is made of is not stated",
                                       {"ducts/" + context.duct.spec.id.value + "/metal"}};
    } else if (*metal == duct::Metal::aluminium) {
      const auto limit = context.sheet.limits.find("fb.thin.aluminium");
      if (limit != context.sheet.limits.end()) {
        s.limit = limit->second;
      } else {
        s.outcome =
            measure::NotAssessed{"the sheet has no limit for aluminium tube", {"sheet/limits/fb.thin.aluminium"}};
      }
    }
  }
  return subjects;
}

std::vector<Subject> measure_lengths(const Context& context) {
  std::vector<Subject> subjects;
  for (const measure::Outcome& outcome : measure::developed_lengths(context.duct)) subjects.push_back(of_tube(outcome));
  return subjects;
}

std::vector<Subject> measure_landings(const Context& context) {
  std::vector<Subject> subjects;
  const duct::DuctSpec& spec = context.duct.spec;
  for (const measure::Landing& landing : measure::landings(context.duct, context.measures.joints_over_motion)) {
    subjects.emplace_back();
    Subject& s = subjects.back();
    s.subject = landing.tube;
    s.outcome = landing.left;
    if (spec.made == duct::Making::tacked_in_place) {
      s.subject = "bent tubes";
      s.left_out = "its bent tubes are tacked in place on the vehicle, which brings their ends to where they belong";
      return {s};  // once for all tubes
    }
    if (!landing.coupled) {
      s.fails = true;  // whatever the bender holds, nothing takes it up
      s.hint = "put a coupler at one end of this tube, or tack it in place on the vehicle";
    } else if (!spec.made) {
      s.outcome =
          measure::NotAssessed{"how its bent tubes are made is not stated", {"ducts/" + spec.id.value + "/made"}};
    }
  }
  return subjects;
}

/// The bead under one end of a hose; none where the job does not say whether there is one.
std::optional<bool> has_bead(const duct::Duct& duct, const measure::EndStraight& straight) {
  for (const duct::TubeEnd& end : std::get<duct::Coupler>(duct.layout.find(straight.coupler)->kind).tube_ends) {
    if (end.end == straight.under) return !end.no_bead;
  }
  return std::nullopt;
}

std::vector<Subject> measure_ends(const Context& context) {
  std::vector<Subject> subjects;
  for (const measure::EndStraight& straight : measure::end_straights(context.duct)) {
    subjects.emplace_back();
    Subject& s = subjects.back();
    s.subject = "tube under " + straight.coupler.value + ", " + std::string(duct::name(straight.under)) + " end";
    s.outcome = straight.length;
    const std::optional<bool> bead = has_bead(context.duct, straight);
    const char* id = bead && *bead ? "fb.end.bead" : "fb.end";
    const auto limit = context.sheet.limits.find(id);
    if (!bead) {
      s.outcome = measure::NotAssessed{
          "whether this end of the tube gets a bead is not stated",
          {"ducts/" + context.duct.spec.id.value + "/fittings/" + straight.coupler.value + "/tube_ends"}};
    } else if (limit == context.sheet.limits.end()) {
      s.outcome = measure::NotAssessed{"the sheet has no limit for such an end", {std::string("sheet/limits/") + id}};
    } else {
      s.limit = limit->second;
      const double lacks = limit->second.value - straight.length.lowest();
      if (lacks > 0) {
        s.hint = "lengthen this end by " + length_text(lacks, context.bay.units) +
                 (*bead ? ", roll the bead before bending, or weld a beaded stub on" : "");
      }
    }
  }
  return subjects;
}

CheckDef making_check(const char* id, const char* title, const char* question) {
  CheckDef c;
  c.services = all_services();
  c.id = id;
  c.title = title;
  c.question = question;
  c.severity = Severity::major;
  return c;
}

CheckDef end_straight() {
  CheckDef c =
      making_check("fb.end", "Straight end of a bent tube", "Is the end of each tube long enough to be worked?");
  c.definition =
      "Length of the straight at each end of a bent tube that goes into a hose, from the tube's end to where its "
      "nearest bend begins. An end with a bead is held against fb.end.bead: the machine that rolls it needs room; a "
      "plain one against fb.end.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.further_limits = {"fb.end.bead"};
  c.inputs = {"ducts/route", "ducts/fittings: coupler/tube_ends"};
  c.hint = "lengthen the end, or weld a beaded stub on";
  c.measure = measure_ends;
  return c;
}

CheckDef die() {
  CheckDef c = making_check("fb.radius", "One die for a tube", "Is each tube bent over one die?");
  c.definition =
      "Different centerline radii among the bends of each rigid tube. Every one takes a die of its own, and a change "
      "of die in the middle of a tube costs a setting or a weld. Elbow hoses are bought and do not count.";
  c.unit = Unit::count;
  c.comparison = Comparison::at_most;
  c.severity = Severity::minor;
  c.inputs = {"ducts/route"};
  c.hint = "give the bends of this tube one radius";
  c.measure = measure_dies;
  return c;
}

CheckDef wall() {
  CheckDef c = making_check("fb.thin", "Wall left after bending", "Is enough wall left on the outside of the bends?");
  c.definition =
      "Wall left on the outside of the tightest bend of each rigid tube by the benders' rule: wall x (1 - P) with P = "
      "(D / 2) / (R + D / 2), outer diameter D and centerline radius R. A rule of thumb without a stated error. Steel "
      "and stainless steel are held against fb.thin, aluminium against fb.thin.aluminium.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::minor;
  c.further_limits = {"fb.thin.aluminium"};
  c.inputs = {"ducts/metal"};
  c.hint = "take a thicker wall or a larger radius";
  c.measure = measure_walls;
  return c;
}

CheckDef stock() {
  CheckDef c = making_check("fb.stock", "Tube fits the stock length", "Can each tube be bent from one stock length?");
  c.definition =
      "Developed length of each rigid tube along its axis. What the machine holds and what is trimmed afterwards has "
      "to be in the limit: ask the shop.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_most;
  c.severity = Severity::info;
  c.inputs = {"ducts/route"};
  c.hint = "split the tube by a joint";
  c.measure = measure_lengths;
  return c;
}

CheckDef stack() {
  CheckDef c =
      making_check("fb.stack", "Tube lands where it should", "Will the end of each bent tube land in its joint?");
  c.definition =
      "What the couplers at the ends of each bent tube take sideways, less what the motion asks of them, less how far "
      "the end of the tube may lie from its place as it comes from the bender, its other end in place: 95 % of tubes "
      "are nearer, to first order with the bender's tolerances for lengths, turns and angles, independent and normal. "
      "A tube without a coupler at either end is not met. Not applicable where the tubes are tacked in place on the "
      "vehicle.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.inputs = {"ducts/bending", "ducts/made", "ducts/fittings: coupler", "bodies/motion"};
  c.hint = "leave one end long and trim it on the vehicle, tack the tube in place, or have it bent more closely";
  c.measure = measure_landings;
  return c;
}

CheckDef grip() {
  CheckDef c =
      making_check("fb.grip", "Straight for the bender's grip", "Can the bender hold the tube between its bends?");
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

std::vector<CheckDef> making_checks() { return {grip(), end_straight(), die(), wall(), stock(), stack()}; }

}  // namespace baywright::checks
