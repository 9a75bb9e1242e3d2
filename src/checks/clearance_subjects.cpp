#include "checks/clearance_subjects.hpp"

#include <algorithm>
#include <limits>
#include <map>
#include <set>

#include "checks/clearance_hint.hpp"
#include "geometry/base/words.hpp"

namespace baywright::checks {
namespace {

using measure::Measured;
using measure::NotAssessed;
using measure::PairClearance;

const duct::Piece& piece_of(const Context& context, const PairClearance& pair) {
  return context.duct.layout.pieces[static_cast<std::size_t>(pair.piece)];
}
const bay::Part& part_of(const Context& context, const PairClearance& pair) {
  return context.bay.parts[static_cast<std::size_t>(pair.part)];
}
std::string name_of(const bay::Part& part) { return part.name.empty() ? part.id.value : part.name; }

/// Bodies but the vehicle that a piece and a part ride on, in the order of the job.
std::vector<const bay::Body*> bodies_of(const Context& context, const PairClearance& pair) {
  const Carriage& carriage = piece_of(context, pair).carriage;
  std::set<BodyIndex> indices = {part_of(context, pair).body, carriage.first.a, carriage.first.b};
  if (carriage.second) indices.insert({carriage.second->a, carriage.second->b});
  indices.erase(0);
  std::vector<const bay::Body*> bodies;
  for (const BodyIndex i : indices) bodies.push_back(&context.bay.bodies[static_cast<std::size_t>(i)]);
  return bodies;
}

/// What a finding over the motion must say about the motions it does not hold: those for service, those of no extent.
void note_motions(const Context& context, const PairClearance& pair, Subject& subject) {
  auto* measured = std::get_if<Measured>(&subject.outcome);
  if (!measured) return;
  for (const bay::Body* body : bodies_of(context, pair)) {
    const std::string name = body->name.empty() ? body->id.value : body->name;
    std::string line;
    if (bay::for_service(body->spec)) line = name + " moves for service only, which is no part of this";
    if (!body->motion.moves()) line = "the motion stated for " + name + " is zero";
    if (line.empty()) continue;
    if (!measured->note.empty()) measured->note += "; ";
    measured->note += line;
  }
}

/// Why the sheet has no limit for a pair.
std::string missing_row(const Context& context, const PairClearance& pair) {
  const bay::PartClass part_class = part_of(context, pair).part_class;
  const std::string name(bay::name(part_class));
  const auto& rows = context.sheet.clearance;
  const bool known =
      std::any_of(rows.begin(), rows.end(), [&](const ClearanceRow& r) { return r.part_class == part_class; });
  if (!known) return "the sheet has no clearance row for parts of class " + name + " (sheet/clearance)";
  return "the sheet's clearance row for parts of class " + name +
         " has no value for hoses, and what metal tube needs does not do for rubber (sheet/clearance: hose)";
}

Subject subject_of(const Context& context, const PairClearance& pair, bool over_motion) {
  Subject s;
  const bay::Part& part = part_of(context, pair);
  s.subject = piece_of(context, pair).name + " - " + name_of(part);
  s.part = part.id;
  s.outcome = pair.value;
  s.limit = clearance_limit(context.bay, context.duct, context.sheet, pair, over_motion);
  s.fails = pair.inside;
  if (s.limit) {
    // Only what is not met is told how to help; the way out is searched among all parts.
    if (s.fails || decide(s.outcome, s.limit) != Verdict::met) s.hint = clearance_hint(context, pair, *s.limit);
  } else {
    s.hint = missing_row(context, pair);
  }
  return s;
}

Verdict verdict_of(const Subject& s) { return s.fails ? Verdict::not_met : decide(s.outcome, s.limit); }

/// Guarded distance less what is needed; a part with no limit is judged by its distance alone.
double room(const Subject& s) {
  const double lowest = std::get<Measured>(s.outcome).lowest();
  return s.fails ? -std::numeric_limits<double>::infinity() : s.limit ? lowest - s.limit->value : lowest;
}

Subject not_assessed(std::string subject, std::string reason, std::vector<std::string> missing) {
  Subject s;
  s.subject = std::move(subject);
  s.outcome = NotAssessed{std::move(reason), std::move(missing)};
  return s;
}

/// Bodies that a piece and a part ride on whose motion nobody stated. The vehicle is the reference and never moves.
std::set<std::string> unstated_motions(const Context& context, const PairClearance& pair) {
  std::set<std::string> unstated;
  for (const bay::Body* body : bodies_of(context, pair)) {
    const bool stated = body->motion.moves() || !std::holds_alternative<std::monostate>(body->spec);
    if (!stated) unstated.insert(body->id.value);
  }
  return unstated;
}

/// Parts whose size is not believed, and parts every piece of the duct is left out against: nothing is known of them.
std::vector<Subject> not_judged(const Context& context, const measure::ClearanceReport& report) {
  std::vector<Subject> subjects;
  std::set<int> measured;
  for (const PairClearance& pair : report.pairs) measured.insert(pair.part);
  std::set<int> excepted;
  for (const measure::ContactException& exception : report.exceptions) excepted.insert(exception.part);
  for (std::size_t i = 0; i < context.bay.parts.size(); ++i) {
    const bay::Part& part = context.bay.parts[i];
    const int index = static_cast<int>(i);
    if (!part.incomplete.empty()) {
      subjects.push_back(
          not_assessed(name_of(part), "its file " + part.incomplete, {"parts/" + part.id.value + "/file"}));
    } else if (!part.doubt.empty()) {
      subjects.push_back(not_assessed(name_of(part), "the size of the part is in doubt: " + part.doubt,
                                      {"parts/" + part.id.value + "/size_confirmed"}));
    } else if (excepted.contains(index) && !measured.contains(index)) {
      subjects.push_back(not_assessed(name_of(part), "every piece of the duct lies within the contact length of a port",
                                      {"ports/contact_length_mm"}));
    } else {
      continue;
    }
    subjects.back().part = part.id;
  }
  return subjects;
}

/// Bodies that are said to move and that nothing rides on: some part or port has lost its body, and would be judged as
/// if it stood still.
std::vector<Subject> empty_bodies(const Context& context) {
  std::vector<Subject> subjects;
  for (std::size_t i = 1; i < context.bay.bodies.size(); ++i) {
    const bay::Body& body = context.bay.bodies[i];
    if (!body.motion.moves() || bay::for_service(body.spec)) continue;
    const auto rides = [&](const auto& thing) { return thing.body == static_cast<BodyIndex>(i); };
    if (std::any_of(context.bay.parts.begin(), context.bay.parts.end(), rides)) continue;
    if (std::any_of(context.bay.ports.begin(), context.bay.ports.end(), rides)) continue;
    subjects.push_back(not_assessed(body.name.empty() ? body.id.value : body.name,
                                    "it is said to move, but no part and no port rides on it",
                                    {"parts/body", "ports/body"}));
  }
  return subjects;
}

struct Sorted {
  std::map<int, std::vector<Subject>> by_part;                      ///< subjects that can be judged
  std::map<std::set<std::string>, std::set<std::string>> unstated;  ///< bodies -> names of parts
};

Sorted sorted_pairs(const Context& context, const measure::ClearanceReport& report, bool over_motion) {
  Sorted sorted;
  for (const PairClearance& pair : report.pairs) {
    if (over_motion && pair.same_carrier) continue;
    if (part_of(context, pair).doubted()) continue;
    if (over_motion) {
      const auto bodies = unstated_motions(context, pair);
      if (!bodies.empty()) {
        sorted.unstated[bodies].insert(name_of(part_of(context, pair)));
        continue;
      }
    }
    Subject subject = subject_of(context, pair, over_motion);
    if (over_motion) note_motions(context, pair, subject);
    sorted.by_part[pair.part].push_back(std::move(subject));
  }
  return sorted;
}

}  // namespace

std::optional<Limit> clearance_limit(const bay::Bay& bay, const duct::Duct& duct, const Sheet& sheet,
                                     const PairClearance& pair, bool over_motion) {
  const bay::Part& part = bay.parts[static_cast<std::size_t>(pair.part)];
  if (part.doubted()) return std::nullopt;
  const auto row = std::find_if(sheet.clearance.begin(), sheet.clearance.end(),
                                [&](const ClearanceRow& r) { return r.part_class == part.part_class; });
  if (row == sheet.clearance.end()) return std::nullopt;
  const auto need = row->of(duct.layout.pieces[static_cast<std::size_t>(pair.piece)].kind);
  if (!need) return std::nullopt;
  const double value = pair.same_carrier ? need->same_body_mm : over_motion ? need->over_motion_mm : need->at_rest_mm;
  return Limit{Comparison::at_least, value, Unit::mm, need->origin};
}

std::vector<Subject> clearance_subjects(const Context& context, bool over_motion) {
  const measure::ClearanceReport& report = over_motion ? context.measures.over_motion : context.measures.at_rest;
  if (context.bay.parts.empty()) return {not_assessed("whole duct", "the bay has no parts", {"parts"})};
  std::vector<Subject> subjects;
  for (const std::string& line : report.not_measured) {
    subjects.push_back(not_assessed(line, "the part has no geometry to measure against", {"parts/file"}));
  }
  for (Subject& s : not_judged(context, report)) subjects.push_back(std::move(s));
  if (over_motion) {
    for (Subject& s : empty_bodies(context)) subjects.push_back(std::move(s));
  }
  const Sorted sorted = sorted_pairs(context, report, over_motion);
  for (const auto& [bodies, parts] : sorted.unstated) {
    std::vector<std::string> missing;
    for (const std::string& body : bodies) missing.push_back("bodies/" + body + "/motion");
    subjects.push_back(not_assessed(joined(parts), "no motion is stated for " + joined(bodies), missing));
  }
  for (const auto& [part, of_part] : sorted.by_part) {
    // Of pieces without a limit the nearest stands for all, beside the worst of those that have one.
    const Subject *worst = nullptr, *open = nullptr;
    for (const Subject& s : of_part) {
      const Subject*& least = s.limit || s.fails ? worst : open;
      if (!least || room(s) < room(*least)) least = &s;
    }
    for (const Subject& s : of_part) {
      const Verdict verdict = verdict_of(s);
      const bool always = verdict == Verdict::not_met || verdict == Verdict::undecided;
      if (always || &s == worst || &s == open) subjects.push_back(s);
    }
  }
  return subjects;
}

}  // namespace baywright::checks
