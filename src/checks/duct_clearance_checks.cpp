#include <algorithm>
#include <map>

#include "checks/check_groups.hpp"
#include "checks/clearance_subjects.hpp"
#include "checks/subjects.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"

namespace baywright::checks {
namespace {

using measure::DuctPairClearance;
using measure::DuctPairReport;
using measure::Measured;

struct Between {
  const Context& context;
  const DuctPairReport& report;
  const duct::Duct& other;
  bool itself() const { return &other == &context.duct; }
};

const duct::Piece& piece_at(const duct::Duct& duct, int piece) {
  return duct.layout.pieces[static_cast<std::size_t>(piece)];
}

const ClearanceRow* row_of(const Sheet& sheet) {
  const auto row = std::find_if(sheet.clearance.begin(), sheet.clearance.end(),
                                [](const ClearanceRow& r) { return r.part_class == bay::PartClass::plain; });
  return row == sheet.clearance.end() ? nullptr : &*row;
}

/// What the two pieces need of one another: the greater of what either kind asks.
std::optional<Limit> pair_limit(const Between& b, const DuctPairClearance& pair, bool over_motion) {
  const ClearanceRow* row = row_of(b.context.sheet);
  if (!row) return std::nullopt;
  std::optional<Limit> out;
  for (const duct::Piece* piece : {&piece_at(b.context.duct, pair.piece), &piece_at(b.other, pair.other_piece)}) {
    const auto need = row->of(piece->kind);
    if (!need) return std::nullopt;
    const double value = pair.same_carrier ? need->same_body_mm : over_motion ? need->over_motion_mm : need->at_rest_mm;
    if (!out || value > out->value) out = Limit{Comparison::at_least, value, Unit::mm, need->origin};
  }
  return out;
}

std::string pair_name(const Between& b, const DuctPairClearance& pair) {
  const std::string second = piece_at(b.other, pair.other_piece).name;
  return piece_at(b.context.duct, pair.piece).name + " - " +
         (b.itself() ? second : "duct " + b.other.spec.id.value + ": " + second);
}

std::string hint_of(const Between& b, const DuctPairClearance& pair, const Limit& limit) {
  const Measured& m = pair.value;
  const double short_by = limit.value - m.lowest();
  if (pair.beyond_range)
    return "the limit lies beyond the range that was searched: raise the clearance range of the job";
  std::string hint = "move " + piece_at(b.context.duct, pair.piece).name + " and " +
                     (b.itself() ? "" : "duct " + b.other.spec.id.value + ": ") +
                     piece_at(b.other, pair.other_piece).name + (m.hi <= 0 ? " at least " : " ") +
                     length_text(short_by, b.context.bay.units) + " apart";
  if (pair.other_station_mm) hint += ", at station " + length_text(*pair.other_station_mm, b.context.bay.units);
  if (pair.other_station_mm) hint += b.itself() ? " and this one" : " of that duct";
  if (m.highest() >= limit.value) hint += "; or measure this place on the vehicle";
  return hint;
}

Subject between_subject(const Between& b, const DuctPairClearance& pair, bool over_motion) {
  Subject s;
  s.pair = s.subject = pair_name(b, pair);
  s.over_motion = over_motion;
  say_poses(s);
  s.outcome = pair.value;
  s.limit = pair_limit(b, pair, over_motion);
  if (!s.limit) {
    s.hint = "the sheet has no clearance row for parts of class plain, which holds between ducts too (sheet/clearance)";
  } else if (decide(s.outcome, s.limit) != Verdict::met) {
    s.hint = hint_of(b, pair, *s.limit);
  }
  return s;
}

/// The worst pair, and all that are not met or undecided.
void add_judged(const std::vector<Subject>& all, std::vector<Subject>& subjects) {
  const auto worst = std::min_element(all.begin(), all.end(),
                                      [](const Subject& a, const Subject& b) { return left_of(a) < left_of(b); });
  for (auto s = all.begin(); s != all.end(); ++s) {
    const Verdict verdict = decide(s->outcome, s->limit);
    if (s == worst || verdict == Verdict::not_met || verdict == Verdict::undecided) subjects.push_back(*s);
  }
}

void add_at_rest(const Between& b, std::vector<Subject>& subjects) {
  std::vector<Subject> all;
  for (const DuctPairClearance& pair : b.report.at_rest) all.push_back(between_subject(b, pair, false));
  add_judged(all, subjects);
}

void add_over_motion(const Between& b, std::vector<Subject>& subjects) {
  std::vector<Subject> all;
  std::map<std::set<std::string>, std::set<std::string>> unstated;  // bodies -> pieces
  for (const DuctPairClearance& pair : b.report.over_motion) {
    if (pair.same_carrier) continue;  // they keep their distance
    const duct::Piece &one = piece_at(b.context.duct, pair.piece), &other = piece_at(b.other, pair.other_piece);
    std::set<BodyIndex> bodies = bodies_of(one.carriage);
    bodies.merge(bodies_of(other.carriage));
    if (const auto missing = unstated_motions(b.context.bay, bodies); !missing.empty()) {
      unstated[missing].insert(other.name);
    } else {
      all.push_back(between_subject(b, pair, true));
    }
  }
  for (const auto& [bodies, pieces] : unstated) {
    Subject s;
    s.subject = (b.itself() ? "itself: " : "duct " + b.other.spec.id.value + ": ") + joined(pieces);
    s.over_motion = true;
    say_poses(s);
    std::vector<std::string> missing;
    for (const std::string& body : bodies) missing.push_back("bodies/" + body + "/motion");
    s.outcome = measure::NotAssessed{"no motion is stated for " + joined(bodies), missing};
    subjects.push_back(std::move(s));
  }
  add_judged(all, subjects);
}

std::vector<Subject> measure_ducts(const Context& context) {
  std::vector<Subject> subjects;
  for (const DuctPairReport& report : context.measures.between) {
    const auto other = std::find_if(context.ducts.begin(), context.ducts.end(),
                                    [&](const duct::Duct& d) { return d.spec.id == report.other; });
    if (other == context.ducts.end()) continue;
    const duct::Duct& second = report.other == context.duct.spec.id ? context.duct : *other;
    const Between between{context, report, second};
    add_at_rest(between, subjects);
    add_over_motion(between, subjects);
  }
  return subjects;
}

}  // namespace

std::vector<CheckDef> duct_clearance_checks() {
  CheckDef c;
  c.id = "cr.ducts";
  c.title = "Clear of other ducts and of itself";
  c.question = "Do ducts keep clear of one another, and a duct of itself?";
  c.definition =
      "Smallest distance between the outer surfaces of a piece of this duct and a piece of a duct listed after it in "
      "the job file, or of the duct itself, everything at rest and over the whole motion of both, one finding for each "
      "of the two; a proven bracket with both sides moving, as in cr.motion. Left out: pieces of one duct that are "
      "nowhere farther apart along it than two of their greater outer diameter (they are joined), and the first outer "
      "diameter of a branch beside the tube whose branch port it sits on. The limit is the greater of what the kinds "
      "of the two pieces ask in the clearance row of class plain: the same-body value when both ride on one body, else "
      "the value at rest or over the motion. Two lengths with flat ends (hose, clamps) that meet give 0, whatever "
      "their depth.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::blocker;
  c.limits = LimitPlace::by_class;
  c.services = all_services();
  c.inputs = {"ducts/route", "ducts/tube", "bodies/motion", "sheet/clearance"};
  c.measure = measure_ducts;
  return {c};
}

}  // namespace baywright::checks
