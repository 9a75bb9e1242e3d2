#include <algorithm>
#include <cmath>

#include "access/clamp_access.hpp"
#include "checks/check_groups.hpp"
#include "geometry/base/words.hpp"

namespace baywright::checks {
namespace {

using access::ClampAccess;
using access::Reach;

constexpr const char* kNoOpening = "no access opening is stated, so nobody knows how a hand gets to the clamp";
constexpr const char* kNoWay =
    "a tool fits the screw, but no way in for it and the arm was found, straight or with one corner; other ways were "
    "not searched: state another opening, or try it on the vehicle";
constexpr const char* kHangsOnReach = "hangs on cl.reach of this clamp, which is not checked";
constexpr const char* kNotReached = "the clamp is not reached: see cl.reach";

std::string place_of(const Context& context, const duct::FittingId& coupler) {
  return "ducts/" + context.duct.spec.id.value + "/fittings/" + coupler.value + "/clamps";
}

/// Couplers that say nothing of their clamps: what is missing, for every check that needs to know.
std::vector<Subject> unstated(const Context& context, const char* what) {
  std::vector<Subject> out;
  for (const duct::PlacedFitting& fitting : context.duct.layout.fittings) {
    const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
    if (!coupler || !coupler->clamps.empty()) continue;
    Subject s;
    s.subject = "coupler " + fitting.id.value;
    s.outcome = measure::NotAssessed{what, {place_of(context, fitting.id)}};
    out.push_back(std::move(s));
  }
  return out;
}

/// By how much a clamp's band reaches past the tube under its end of the hose, mm; negative: it lies on it wholly.
double beyond_tube_mm(const duct::PlacedFitting& fitting, duct::HoseEnd end, const access::ClampSite& site) {
  const double half = 0.5 * site.type.band_width_mm;
  return end == duct::HoseEnd::upstream ? site.station_mm + half - fitting.station_from_mm
                                        : fitting.station_to_mm - (site.station_mm - half);
}

/// A band counts where it can sit: on the tube, and in a place of its own.
void judge_place(const Context& context, const duct::PlacedFitting& fitting, duct::HoseEnd end, std::ptrdiff_t count,
                 Subject& subject) {
  if (count > 1) {
    subject.outcome = measure::NotAssessed{
        "more than one clamp is stated for this end, and all would lie in one place: state the one that holds it",
        {place_of(context, fitting.id)}};
    return;
  }
  for (const ClampAccess& clamp : context.measures.clamps) {
    if (clamp.site.coupler != fitting.id || clamp.site.end != end) continue;
    const double beyond = beyond_tube_mm(fitting, end, clamp.site);
    if (beyond <= 0) continue;
    auto& measured = std::get<measure::Measured>(subject.outcome);
    measured.lo = measured.hi = 0;
    measured.note = "the band would reach " + length_text(beyond, context.bay.units) + " past the end of the tube";
    subject.hint = "let the hose lie on this tube for at least " + length_text(beyond, context.bay.units) +
                   " more, or take a narrower clamp";
  }
}

std::vector<Subject> measure_pairs(const Context& context) {
  std::vector<Subject> subjects = unstated(context, "nothing is stated of the clamps on this hose");
  for (const duct::PlacedFitting& fitting : context.duct.layout.fittings) {
    const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
    if (!coupler || coupler->clamps.empty()) continue;
    for (const duct::HoseEnd end : {duct::HoseEnd::upstream, duct::HoseEnd::downstream}) {
      const auto count = std::count_if(coupler->clamps.begin(), coupler->clamps.end(),
                                       [&](const duct::HoseClamp& c) { return c.end == end; });
      measure::Measured m = measure::Measured::exact(static_cast<double>(count), Unit::count);
      m.station_mm = end == duct::HoseEnd::upstream ? fitting.station_from_mm : fitting.station_to_mm;
      m.at_mm = context.duct.layout.at(*m.station_mm).p_mm;
      Subject s;
      s.subject = fitting.id.value + ", " + std::string(duct::name(end)) + " end";
      s.outcome = m;
      judge_place(context, fitting, end, count, s);
      subjects.push_back(std::move(s));
    }
  }
  return subjects;
}

/// Yes or no at the position that was chosen, or at the declared one.
measure::Measured answer(const ClampAccess& clamp, const access::Choice& choice, bool yes, std::string note) {
  measure::Measured m = measure::Measured::exact(yes ? 1 : 0, Unit::none);
  m.station_mm = clamp.site.station_mm;
  const int at = choice.position >= 0 ? choice.position : static_cast<int>(clamp.declared_from);
  const bool declared = static_cast<std::size_t>(at) < clamp.chart.positions.size();
  m.at_mm = declared ? access::grip_at(clamp.site, clamp.chart.positions[static_cast<std::size_t>(at)].position).head
                     : clamp.site.center;
  m.note = std::move(note);
  return m;
}

std::string position_words(const ClampAccess& clamp, int position) {
  return access::position_words(clamp.site, clamp.chart.positions[static_cast<std::size_t>(position)].position);
}

std::string turn_it(const ClampAccess& clamp) {
  return "turn the " + access::worked_part(clamp.site) + " to " + position_words(clamp, clamp.anywhere.position) +
         ", seen in flow direction";
}

/// Whether positions were declared, and others would do.
bool better_elsewhere(const ClampAccess& clamp) {
  return clamp.declared_from < clamp.chart.positions.size() && clamp.anywhere.position >= 0;
}

std::size_t asked_from(const ClampAccess& clamp) {
  return clamp.declared_from < clamp.chart.positions.size() ? clamp.declared_from : 0;
}

/// Why nothing can be said; nothing when the chart tells.
std::optional<measure::NotAssessed> unknown(const Context& context, const ClampAccess& clamp) {
  const auto& parts = context.bay.parts;
  if (std::all_of(parts.begin(), parts.end(), [](const bay::Part& p) { return p.tree.empty(); })) {
    return measure::NotAssessed{"the bay has no part with a surface, so nothing could be in the way", {"parts"}};
  }
  for (const bay::Part& part : parts) {
    if (!part.doubted()) continue;
    return measure::NotAssessed{
        "part " + part.id.value + " is not believed: " + (part.doubt.empty() ? part.incomplete : part.doubt),
        {"parts/" + part.id.value}};
  }
  if (clamp.chart.tools.empty()) {
    return measure::NotAssessed{"no tool of the table suits " +
                                    std::string(clamp.site.type.has_screw() ? "the screw" : "the tangs") +
                                    " of clamp " + clamp.site.type.id.value,
                                {"tools"}};
  }
  if (clamp.best.reach == Reach::ways_unknown) return measure::NotAssessed{kNoOpening, {"openings"}};
  if (clamp.best.reach == Reach::not_found && !clamp.when_removed) {
    return measure::NotAssessed{kNoWay, {"openings"}};
  }
  return std::nullopt;
}

bool reached(const ClampAccess& clamp) { return access::is_reached(clamp.best.reach); }

/// "with battery and tray out, screw at ...", of a clamp that is reached only so; "" where parts may stay.
std::string parts_out(const ClampAccess& clamp) {
  if (reached(clamp)) return "";
  std::vector<std::string> parts;
  for (const bay::PartId& id : clamp.removed) parts.push_back(id.value);
  return "with " + joined(parts, " and ") + " out";
}

std::string best_words(const ClampAccess& clamp) {
  const auto& tool = clamp.chart.tools[static_cast<std::size_t>(clamp.best.tool)];
  const auto& at = clamp.chart.positions[static_cast<std::size_t>(clamp.best.position)]
                       .tools[static_cast<std::size_t>(clamp.best.tool)];
  std::string text = access::worked_part(clamp.site) + " at " + position_words(clamp, clamp.best.position) + ": ";
  if (clamp.best.reach == Reach::special_tool) text = "only with a special tool, " + text;
  text += tool.name;
  if (at.bent.by.si() > 0) {
    text += ", bent by " + std::to_string(static_cast<int>(std::lround(to_degrees(at.bent.by)))) + "\u00b0";
  }
  if (at.has_corner()) text += ", on a way with one corner";
  if (!tool.swing) return text;
  const double arc = to_degrees(at.arc.width());
  text += ", free arc " + std::to_string(static_cast<int>(arc)) + "\u00b0";
  if (clamp.site.type.turns_to_close) {
    text += ", about " + std::to_string(access::strokes(*clamp.site.type.turns_to_close, at.arc.width())) +
            " strokes to close";
  }
  return text;
}

/// Whether the screw was looked at all round and none of its positions serves: turning the clamp is no help.
bool nowhere_usable(const ClampAccess& clamp) { return clamp.declared_from > 0 && clamp.anywhere.position < 0; }

std::string move_the_joint(const ClampAccess& clamp) {
  const bool declared = clamp.declared_from < clamp.chart.positions.size();
  return declared
             ? "move the joint: no plain tool of the table serves at any position of the clamp, and one that bends, "
               "which was tried at the declared position only, does not serve there"
             : "move the joint: no tool of the table serves at any position of the clamp";
}

Subject reach_of(const Context& context, const ClampAccess& clamp) {
  Subject s;
  s.subject = clamp.site.name;
  if (auto why = unknown(context, clamp)) {
    s.outcome = std::move(*why);
    return s;
  }
  if (reached(clamp)) {
    s.outcome = answer(clamp, clamp.best, true, best_words(clamp));
    return s;
  }
  const bool freed = access::is_reached_when_freed(clamp);
  if (clamp.best.reach == Reach::not_found && !freed) {
    s.outcome = measure::NotAssessed{
        "no way in for tool and arm was found, straight or with one corner, with the parts that come out first out "
        "neither; other ways were not searched: state another opening, or try it on the vehicle",
        {"openings"}};
    return s;
  }
  std::string note = access::hindrances(clamp, asked_from(clamp), clamp.chart.positions.size());
  if (freed) {
    std::vector<std::string> parts;
    for (const bay::PartId& id : clamp.removed) parts.push_back(id.value);
    s.hint = "take out " + joined(parts) + " first (" + std::to_string(parts.size()) +
             (parts.size() == 1 ? " part)" : " parts)");
    s.severity = Severity::major;
    note = "only with parts removed: " + note;
  }
  s.outcome = answer(clamp, clamp.best, false, note);
  if (!freed && nowhere_usable(clamp)) s.hint = move_the_joint(clamp);
  if (better_elsewhere(clamp)) s.hint = turn_it(clamp) + (s.hint.empty() ? "" : "; or " + s.hint);
  return s;
}

/// A check that asks for more at a place that is reached, if only with parts out (`ask`, with what was chosen there);
/// `refuse` says what follows where it surely is not.
template <class Ask, class Refuse>
std::vector<Subject> beyond_reach(const Context& context, const Ask& ask, const Refuse& refuse,
                                  const char* nothing_to_ask_of_tangs = nullptr) {
  std::vector<Subject> subjects = unstated(context, "nothing is stated of the clamps on this hose");
  for (const ClampAccess& clamp : context.measures.clamps) {
    Subject s;
    s.subject = clamp.site.name;
    if (nothing_to_ask_of_tangs && !clamp.site.type.has_screw()) {
      s.left_out = nothing_to_ask_of_tangs;
    } else if (auto why = unknown(context, clamp)) {
      // The reason stands there in full; the inputs stay, for the list of what is missing.
      s.outcome = measure::NotAssessed{kHangsOnReach, std::move(why->missing)};
    } else if (reached(clamp)) {
      ask(clamp, clamp.best, s);
    } else if (access::is_reached_when_freed(clamp)) {
      ask(clamp, *clamp.when_removed, s);
    } else {
      // Where a tool fits, if only with parts out, and no way in for it was found, nobody knows.
      if (clamp.best.reach == Reach::not_found) {
        s.outcome = measure::NotAssessed{kHangsOnReach, {"openings"}};
      } else if (clamp.when_removed && clamp.when_removed->reach == Reach::not_found) {
        s.outcome = measure::NotAssessed{kNoWay, {"openings"}};  // cl.reach says no, which is another matter
      } else {
        refuse(clamp, s);
      }
    }
    subjects.push_back(std::move(s));
  }
  return subjects;
}

std::vector<Subject> measure_reach(const Context& context) {
  std::vector<Subject> subjects = unstated(context, "nothing is stated of the clamps on this hose");
  for (const ClampAccess& clamp : context.measures.clamps) subjects.push_back(reach_of(context, clamp));
  return subjects;
}

std::vector<Subject> measure_torque(const Context& context) {
  const auto ask = [](const ClampAccess& clamp, const access::Choice& choice, Subject& s) {
    const auto& tools = clamp.chart.tools;
    if (std::none_of(tools.begin(), tools.end(), [](const catalog::Tool& t) { return t.torque; })) {
      s.outcome = measure::NotAssessed{
          "no tool of the table that tells the torque suits the screw of clamp " + clamp.site.type.id.value, {"tools"}};
      return;
    }
    std::string note = parts_out(clamp);
    if (!choice.torque) {
      note += (note.empty() ? "" : ": ") + std::string("by calibrated feel");
    } else if (note.empty()) {
      note = best_words(clamp);
    } else {
      note += ", screw at " + position_words(clamp, choice.position) + ": " +
              tools[static_cast<std::size_t>(choice.tool)].name;
    }
    s.outcome = answer(clamp, choice, choice.torque, note);
    if (!choice.torque && better_elsewhere(clamp) && clamp.anywhere.torque) s.hint = turn_it(clamp);
  };
  return beyond_reach(
      context, ask,
      [](const ClampAccess& clamp, Subject& s) { s.outcome = answer(clamp, clamp.best, false, kNotReached); },
      "a spring band sets its own tension: it is tightened to no torque");
}

std::vector<Subject> measure_sight(const Context& context) {
  const auto ask = [](const ClampAccess& clamp, const access::Choice& choice, Subject& s) {
    const bool seen = choice.seen;
    const std::string out = parts_out(clamp);
    s.outcome = answer(clamp, choice, seen, out + (seen ? "" : (out.empty() ? "" : ": ") + std::string("by feel")));
    if (!seen && better_elsewhere(clamp) && clamp.anywhere.seen) s.hint = turn_it(clamp);
  };
  return beyond_reach(context, ask, [](const ClampAccess&, Subject& s) { s.left_out = kNotReached; });
}

CheckDef clamp_check() {
  CheckDef c;
  c.services = all_services();
  c.unit = Unit::none;
  c.comparison = Comparison::at_least;
  c.inputs = {"ducts/fittings: coupler/clamps", "openings", "parts"};
  return c;
}

CheckDef pair() {
  CheckDef c = clamp_check();
  c.id = "cl.pair";
  c.title = "Clamp on every hose end";
  c.question = "Is there a clamp on every end of every hose?";
  c.definition =
      "Clamps stated for each end of each coupler's hose whose band lies on the tube under it. A coupler that states "
      "none at all is not checked, nor is an end that states several: they would lie in one place.";
  c.unit = Unit::count;
  c.severity = Severity::blocker;
  c.inputs = {"ducts/fittings: coupler/clamps"};
  c.hint = "add the clamp";
  c.measure = measure_pairs;
  return c;
}

CheckDef reach() {
  CheckDef c = clamp_check();
  c.id = "cl.reach";
  c.title = "Clamp can be tightened";
  c.question = "Can the clamp be tightened after everything is in?";
  c.definition =
      "1 when at one position of the screw, of the one the job declares or else of every 5 degrees round the hose "
      "and both ways round, a tool of the table fits: body {5 mm} from parts ({10 mm} from hoses and wires), tool "
      "with the hand {3 mm} from everything on the screw, on the way off it, over its least swing and on a way in "
      "through an opening, and room for an arm of {100 mm}. The way is straight; where none is found for any tool at "
      "any of these positions, one with one corner will do, and where there is none either, a tool that bends (a "
      "universal joint, a flexible shaft), which is told as a special tool. A spring band has tangs in place of a "
      "screw, for pliers that come along the radius, at every 5 degrees. The assembly is finished and at rest, the "
      "bonnet open, with the bands as drawn and the bodies of the other clamps whose clock angle is stated; the "
      "clamp's own hose may be touched. 0 when no tool fits the screw at any of these positions, or only with parts "
      "out that the job marks removed_first. Parts count as they are stated: how surely is not in it. Where a tool "
      "fits the screw but no way in or no arm was found it is not checked.";
  c.severity = Severity::blocker;
  c.hint = "turn the clamp, put it on the other way round, or move the joint";
  c.measure = measure_reach;
  return c;
}

CheckDef torque() {
  CheckDef c = clamp_check();
  c.id = "cl.torque";
  c.title = "Torque tool reaches the clamp";
  c.question = "Does a tool that tells the torque reach it too?";
  c.definition =
      "As cl.reach, with the tools of the table that tell the torque, at the position chosen there. A clamp that is "
      "reached only with parts out, which cl.reach says, is looked at with these out; 0 where no tool gets to it at "
      "all. A spring band has no torque and is not looked at.";
  c.severity = Severity::major;
  c.hint = "turn the clamp, or tighten it by calibrated feel";
  c.measure = measure_torque;
  return c;
}

CheckDef sight() {
  CheckDef c = clamp_check();
  c.id = "cl.sight";
  c.title = "Clamp's screw is seen";
  c.question = "Is the screw in sight of whoever tightens it?";
  c.definition =
      "1 when at the position chosen for cl.reach a straight line from the screw's head to a point {300 mm} beyond an "
      "opening, at most 60 degrees from the screw's axis, meets nothing; 25 points of each opening are tried. A clamp "
      "that is reached only with parts out is looked at with these out; one that is not reached has no such position "
      "and is not looked at.";
  c.severity = Severity::minor;
  c.hint = "use a mirror, turn the clamp, or move the joint";
  c.measure = measure_sight;
  return c;
}

}  // namespace

std::vector<CheckDef> clamp_checks() { return {pair(), reach(), torque(), sight()}; }

}  // namespace baywright::checks
