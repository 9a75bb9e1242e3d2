#include "checks/clearance_subjects.hpp"

#include <algorithm>
#include <limits>
#include <map>
#include <set>

#include "checks/clearance_hint.hpp"
#include "checks/subjects.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"

namespace baywright::checks {
namespace {

using measure::Measured;
using measure::NotAssessed;
using measure::PairClearance;

std::vector<std::string> words_of(const std::vector<bay::PartClass>& classes) {
  std::vector<std::string> words;
  for (const bay::PartClass c : classes) words.emplace_back(bay::name(c));
  return words;
}

/// Bodies but the vehicle that a piece and a part ride on.
std::set<BodyIndex> moving_bodies(const Context& context, const PairClearance& pair) {
  std::set<BodyIndex> bodies = bodies_of(piece_of(context, pair).carriage);
  bodies.insert(part_of(context, pair).body);
  bodies.erase(0);
  return bodies;
}

/// How far past closed a bonnet goes on its hinge: the smaller of its two ways, where its farthest point moves.
std::string slam_text(const Context& context, const bay::Part& part, const bay::HingeMotion& hinge) {
  const double past = std::min(std::abs(hinge.from.si()), std::abs(hinge.to.si()));
  if (!(past > 0)) return "its motion stops where it is closed: nothing is left for a slam";
  double arm_mm = 0;
  const Aabb box = part.tree.bounds();
  for (int corner = 0; corner < 8 && !box.empty(); ++corner) {
    const Vec3 p((corner & 1) ? box.hi.x() : box.lo.x(), (corner & 2) ? box.hi.y() : box.lo.y(),
                 (corner & 4) ? box.hi.z() : box.lo.z());
    const Vec3 r = p - hinge.axis.point_mm;
    arm_mm = std::max(arm_mm, (r - r.dot(hinge.axis.direction) * hinge.axis.direction).norm());
  }
  if (!(arm_mm > 0)) return "";
  return "its motion goes " + length_text(past * arm_mm, context.bay.units) + " past closed at its far edge";
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

/// Judges a pair that is too near to a hot part by its distance to the shield that stands between them.
void judge_by_shield(const Context& context, const ClearanceScope& scope, const PairClearance& pair, bool over_motion,
                     Subject& s) {
  const bay::Part& hot = part_of(context, pair);
  const auto& shields = context.surroundings.shields;
  const bool any = std::any_of(shields.begin(), shields.end(), [&](const Shield& one) { return one.hot == hot.id; });
  if (scope.shield_limit.empty() || !any || s.fails || !s.limit || decide(s.outcome, s.limit) == Verdict::met) return;
  const auto add_note = [](Measured& m, const std::string& text) { m.note += (m.note.empty() ? "" : "; ") + text; };
  const auto shield = crossed_shield(context, pair.value, hot.id);
  const auto& pairs = (over_motion ? context.measures.over_motion : context.measures.at_rest).pairs;
  const auto to_shield = std::find_if(pairs.begin(), pairs.end(), [&](const PairClearance& other) {
    return shield && other.piece == pair.piece && other.part == *shield;
  });
  if (to_shield == pairs.end()) {
    add_note(std::get<Measured>(s.outcome), "its shield does not stand between the two at this place");
    return;
  }
  Measured m = to_shield->value;
  add_note(m, "measured to the shield, which the nearest way to " + name_of(hot) + " crosses");
  s.subject = s.pair = piece_of(context, pair).name + " - " +
                       name_of(context.bay.parts[static_cast<std::size_t>(*shield)]) + ", shield of " + name_of(hot);
  s.outcome = std::move(m);
  s.fails = to_shield->inside;
  const auto limit = context.sheet.limits.find(scope.shield_limit);
  s.limit = limit == context.sheet.limits.end() ? std::nullopt : std::optional(limit->second);
  if (!s.limit) {
    s.hint = "the sheet has no limit for what is shielded (sheet/limits/" + scope.shield_limit + ")";
  } else {
    s.hint = decide(s.outcome, s.limit) == Verdict::met ? "" : clearance_hint(context, *to_shield, *s.limit);
  }
}

Subject pair_subject(const Context& context, const ClearanceScope& scope, const PairClearance& pair, bool over_motion) {
  Subject s;
  const bay::Part& part = part_of(context, pair);
  s.subject = s.pair = piece_of(context, pair).name + " - " + name_of(part);
  s.over_motion = over_motion;
  s.part = part.id;
  s.outcome = pair.value;
  s.limit = clearance_limit(context.bay, context.duct, context.sheet, pair, over_motion);
  s.fails = pair.inside;
  if (s.limit) {
    // Only what is not met is told how to help; the way out is searched among all parts.
    if (s.fails || decide(s.outcome, s.limit) != Verdict::met) {
      s.hint = clearance_hint(context, pair, *s.limit);
      if (!scope.further_hint.empty()) s.hint += "; or " + scope.further_hint;
    }
  } else {
    s.hint = missing_row(context, pair);
  }
  judge_by_shield(context, scope, pair, over_motion, s);
  return s;
}

Verdict verdict_of(const Subject& s) { return s.fails ? Verdict::not_met : decide(s.outcome, s.limit); }

/// Guarded distance less what is needed; a part with no limit is judged by its distance alone.
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

Sorted sorted_pairs(const Context& context, const ClearanceScope& scope, const measure::ClearanceReport& report,
                    bool over_motion) {
  Sorted sorted;
  for (const PairClearance& pair : report.pairs) {
    if (!scope.holds(part_of(context, pair)) || !scope.holds(piece_of(context, pair).kind)) continue;
    if (over_motion && pair.same_carrier) continue;
    if (part_of(context, pair).doubted()) continue;
    if (over_motion) {
      const auto bodies = unstated_motions(context.bay, moving_bodies(context, pair));
      if (!bodies.empty()) {
        sorted.unstated[bodies].insert(name_of(part_of(context, pair)));
        continue;
      }
    }
    Subject subject = pair_subject(context, scope, pair, over_motion);
    if (over_motion) note_motions(context, pair, subject);
    sorted.by_part[pair.part].push_back(std::move(subject));
  }
  return sorted;
}

}  // namespace

void note_motions(const Context& context, const PairClearance& pair, Subject& subject) {
  auto* measured = std::get_if<Measured>(&subject.outcome);
  if (!measured) return;
  for (const BodyIndex index : moving_bodies(context, pair)) {
    const bay::Body& body = context.bay.bodies[static_cast<std::size_t>(index)];
    const std::string name = body.name.empty() ? body.id.value : body.name;
    std::string line;
    if (bay::for_service(body.spec)) line = name + " moves for service only, which is no part of this";
    if (!body.motion.moves()) line = "the motion stated for " + name + " is zero";
    const bay::Part& part = part_of(context, pair);
    const auto* hinge = std::get_if<bay::HingeMotion>(&body.spec);
    if (line.empty() && hinge && part.part_class == bay::PartClass::bonnet && part.body == index) {
      line = slam_text(context, part, *hinge);
    }
    if (line.empty()) continue;
    if (!measured->note.empty()) measured->note += "; ";
    measured->note += line;
  }
}

std::optional<Subject> shape_unknown(const bay::Part& part) {
  Subject s;
  if (!part.incomplete.empty()) {
    s = not_assessed(name_of(part), "its file " + part.incomplete, {"parts/" + part.id.value + "/file"});
  } else if (!part.doubt.empty()) {
    s = not_assessed(name_of(part), "the size of the part is in doubt: " + part.doubt,
                     {"parts/" + part.id.value + "/size_confirmed"});
  } else if (part.tree.empty()) {
    s = not_assessed(name_of(part), "the part has no geometry to measure against", {"parts/file"});
  } else {
    return std::nullopt;
  }
  s.part = part.id;
  return s;
}

std::vector<Subject> parts_not_judged(const Context& context, const ClearanceScope& scope,
                                      const measure::ClearanceReport& report) {
  std::vector<Subject> subjects;
  std::set<int> measured;
  for (const PairClearance& pair : report.pairs) measured.insert(pair.part);
  std::set<int> excepted;
  for (const measure::ContactException& exception : report.exceptions) excepted.insert(exception.part);
  for (std::size_t i = 0; i < context.bay.parts.size(); ++i) {
    const bay::Part& part = context.bay.parts[i];
    const int index = static_cast<int>(i);
    if (!scope.holds(part)) continue;
    if (!part.doubted() && excepted.contains(index) && !measured.contains(index)) {
      subjects.push_back(not_assessed(name_of(part), "every piece of the duct lies within the contact length of a port",
                                      {"ports/contact_length_mm"}));
      subjects.back().part = part.id;
    } else if (auto unknown = shape_unknown(part); unknown && (part.doubted() || !measured.contains(index))) {
      subjects.push_back(*std::move(unknown));
    }
  }
  return subjects;
}

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

bool ClearanceScope::holds(const bay::Part& part) const {
  return std::find(classes.begin(), classes.end(), part.part_class) != classes.end();
}

bool ClearanceScope::holds(duct::Piece::Kind kind) const {
  return kinds.empty() || std::find(kinds.begin(), kinds.end(), kind) != kinds.end();
}

std::set<BodyIndex> bodies_of(const Carriage& carriage) {
  std::set<BodyIndex> bodies = {carriage.first.a, carriage.first.b};
  if (carriage.second) bodies.insert({carriage.second->a, carriage.second->b});
  return bodies;
}

std::set<std::string> unstated_motions(const bay::Bay& bay, const std::set<BodyIndex>& bodies) {
  std::set<std::string> unstated;
  for (const BodyIndex index : bodies) {
    const bay::Body& body = bay.bodies[static_cast<std::size_t>(index)];
    const bool stated = body.motion.moves() || !std::holds_alternative<std::monostate>(body.spec);
    if (index != 0 && !stated) unstated.insert(body.id.value);
  }
  return unstated;
}

std::optional<int> crossed_shield(const Context& context, const Measured& value, const bay::PartId& hot) {
  if (!value.witness || !value.pose) return std::nullopt;
  const Kinematics kinematics = context.bay.kinematics();
  for (const Shield& shield : context.surroundings.shields) {
    if (shield.hot != hot) continue;
    for (std::size_t i = 0; i < context.bay.parts.size(); ++i) {
      const bay::Part& part = context.bay.parts[i];
      if (part.id != shield.shield || part.doubted() || part.tree.empty()) continue;
      const auto body = static_cast<std::size_t>(part.body);
      const bool posed = body < value.pose->bodies.size();
      const Pose back = posed ? pose_at(kinematics.bodies[body], value.pose->bodies[body]).inverse() : Pose();
      const Vec3 from = back * value.witness->on_duct_mm, way = back * value.witness->on_other_mm - from;
      const double length = way.norm();
      if (length > 0 && part.tree.first_hit(from, way / length, length)) return static_cast<int>(i);
    }
  }
  return std::nullopt;
}

void say_poses(Subject& subject) { subject.subject += subject.over_motion ? ", over the motion" : ", at rest"; }

std::vector<Subject> clearance_subjects(const Context& context, const ClearanceScope& scope, bool over_motion) {
  const measure::ClearanceReport& report = over_motion ? context.measures.over_motion : context.measures.at_rest;
  if (context.bay.parts.empty() && scope.general)
    return {not_assessed("whole duct", "the bay has no parts", {"parts"})};
  std::vector<Subject> subjects = parts_not_judged(context, scope, report);
  if (over_motion && scope.general) {
    for (Subject& s : empty_bodies(context)) subjects.push_back(std::move(s));
  }
  const Sorted sorted = sorted_pairs(context, scope, report, over_motion);
  for (const auto& [bodies, parts] : sorted.unstated) {
    std::vector<std::string> missing;
    for (const std::string& body : bodies) missing.push_back("bodies/" + body + "/motion");
    subjects.push_back(not_assessed(joined(parts), "no motion is stated for " + joined(bodies), missing));
    subjects.back().over_motion = true;
  }
  for (const auto& [part, of_part] : sorted.by_part) {
    // Of pieces without a limit the nearest stands for all, beside the worst of those that have one.
    const Subject *worst = nullptr, *open = nullptr;
    for (const Subject& s : of_part) {
      const Subject*& least = s.limit || s.fails ? worst : open;
      if (!least || left_of(s) < left_of(*least)) least = &s;
    }
    for (const Subject& s : of_part) {
      const Verdict verdict = verdict_of(s);
      const bool always = verdict == Verdict::not_met || verdict == Verdict::undecided;
      if (always || &s == worst || &s == open) subjects.push_back(s);
    }
  }
  return subjects;
}

std::vector<Subject> clearance_subjects(const Context& context, const ClearanceScope& scope) {
  const auto& parts = context.bay.parts;
  if (scope.always_there &&
      std::none_of(parts.begin(), parts.end(), [&](const bay::Part& part) { return scope.holds(part); })) {
    return {none_of_class(joined(words_of(scope.classes), " or "))};
  }
  std::vector<Subject> subjects = clearance_subjects(context, scope, false);
  for (Subject& s : clearance_subjects(context, scope, true)) {
    // A part of which nothing is known is said once.
    const bool again = s.pair.empty() && !s.over_motion;
    if (!again) subjects.push_back(std::move(s));
  }
  for (Subject& s : subjects) {
    if (!s.pair.empty() || s.over_motion) say_poses(s);
  }
  return subjects;
}

}  // namespace baywright::checks
