#include "checks/edges.hpp"

#include <algorithm>
#include <limits>
#include <map>

#include "checks/asked_checks.hpp"
#include "checks/check_groups.hpp"
#include "checks/clearance_hint.hpp"
#include "checks/clearance_subjects.hpp"
#include "checks/subjects.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"
#include "measure/edge_clearance.hpp"

namespace baywright::checks {
namespace {

using bay::PartClass;
using measure::ClearanceReport;
using measure::Measured;
using measure::PairClearance;

/// Edges are told one by one as far as this many times the limit.
constexpr double kTold = 2;

/// Things that have edges of their own.
ClearanceScope of_edges() {
  ClearanceScope scope;
  for (const PartClass c : bay::kPartClasses) {
    if (edges_count(c)) scope.classes.push_back(c);
  }
  return scope;
}

/// Pairs of the scope whose motion is stated; of the others what is known at rest, and bodies -> names of parts.
struct Known {
  ClearanceReport report, at_rest;
  std::map<std::set<std::string>, std::set<std::string>> unstated;
};
Known known_pairs(const Context& context, const ClearanceScope& scope) {
  Known known;
  std::set<std::pair<int, int>> waiting;  // piece, part
  for (const PairClearance& pair : context.measures.over_motion.pairs) {
    const bay::Part& part = part_of(context, pair);
    if (!scope.holds(part) || part.doubted()) continue;
    std::set<BodyIndex> bodies = bodies_of(piece_of(context, pair).carriage);
    bodies.insert(part.body);
    const auto unstated = pair.same_carrier ? std::set<std::string>() : unstated_motions(context.bay, bodies);
    if (unstated.empty()) {
      known.report.pairs.push_back(pair);
    } else {
      known.unstated[unstated].insert(name_of(part));
      waiting.emplace(pair.piece, pair.part);
    }
  }
  for (const PairClearance& pair : context.measures.at_rest.pairs) {
    if (waiting.contains({pair.piece, pair.part})) known.at_rest.pairs.push_back(pair);
  }
  return known;
}

Subject edge_subject(const Context& context, const PairClearance& pair, const std::optional<Limit>& limit,
                     bool over_motion) {
  Subject s;
  const bay::Part& part = part_of(context, pair);
  s.subject = s.pair = piece_of(context, pair).name + " - edges of " + name_of(part);
  s.over_motion = over_motion;
  s.part = part.id;
  s.outcome = pair.value;
  s.limit = limit;
  if (limit && decide(s.outcome, limit) != Verdict::met) {
    s.hint = clearance_hint(context, pair, *limit) + "; or put trim on the edge, or a grommet where the duct passes";
  }
  if (over_motion) note_motions(context, pair, s);
  return s;
}

/// A scan that comes too near: only who looks at the vehicle can tell what of it is an edge.
Subject scan_subject(const Context& context, int index, double nearest_mm, const Limit& limit) {
  const bay::Part& part = context.bay.parts[static_cast<std::size_t>(index)];
  const std::string name = name_of(part), asked = length_text(limit.value, context.bay.units);
  Subject s = asked_subject(context.answers, "cr.edge", context.duct.spec.id,
                            "does the duct keep " + asked + " from every sharp edge of " + name +
                                " over the motion, or is the edge covered?");
  s.subject = "edges of " + name + (s.subject == "asked" ? "" : ", " + s.subject);
  s.part = part.id;
  s.over_motion = true;
  s.limit = Limit{Comparison::at_least, 1, Unit::none, limit.origin};
  if (auto* open = std::get_if<measure::NotAssessed>(&s.outcome)) {
    open->reason = "edges cannot be told from the noise of a scan, and its surface comes to " +
                   length_text(nearest_mm, context.bay.units) + ", less than " + asked + "; " + open->reason;
  }
  return s;
}

/// The nearest of what need not be told one by one: a lower bound for all of it.
class Rest {
 public:
  explicit Rest(const Context& context) : context_(context) {}
  void add(const PairClearance& pair, bool to_edges) {
    parts_.insert(pair.part);
    if (least_ && least_->value.lowest() <= pair.value.lowest()) return;
    least_ = pair;
    to_edges_ = to_edges;
  }
  std::optional<Subject> subject() const {
    if (!least_) return std::nullopt;
    const bay::Part& part = part_of(context_, *least_);
    Measured m;
    m.unit = Unit::mm;
    m.lo = least_->value.lo;
    m.hi = std::numeric_limits<double>::infinity();
    m.band = least_->value.band;
    m.assumed_motion = least_->value.assumed_motion;
    m.note = "nearest of " + std::to_string(parts_.size()) + (parts_.size() == 1 ? " part: " : " parts: ") +
             name_of(part) + ", to " + piece_of(context_, *least_).name + "; " +
             (to_edges_ ? "measured to its edges" : "no edge is nearer than the surface it belongs to");
    Subject s;
    s.subject = "all other edges";
    s.part = part.id;
    s.over_motion = true;
    s.outcome = std::move(m);
    return s;
  }

 private:
  const Context& context_;
  std::optional<PairClearance> least_;
  bool to_edges_ = false;
  std::set<int> parts_;
};

bool contains(const std::vector<int>& all, int one) { return std::find(all.begin(), all.end(), one) != all.end(); }

/// Of each part with edges its worst pair, as far as edges are told, and all that are not met or undecided. The parts
/// told.
std::set<int> add_edges(const Context& context, const std::vector<PairClearance>& pairs,
                        const std::optional<Limit>& limit, double told_mm, std::vector<Subject>& subjects) {
  std::set<int> told;
  std::map<int, const PairClearance*> worst;
  for (const PairClearance& pair : pairs) {
    const PairClearance*& least = worst[pair.part];
    if (!least || pair.value.lowest() < least->value.lowest()) least = &pair;
  }
  for (const PairClearance& pair : pairs) {
    const Verdict verdict = decide(measure::Outcome(pair.value), limit);
    const bool wrong = verdict == Verdict::not_met || verdict == Verdict::undecided;
    if (wrong || (worst[pair.part] == &pair && pair.value.lowest() < told_mm)) {
      subjects.push_back(edge_subject(context, pair, limit, true));
      told.insert(pair.part);
    }
  }
  return told;
}

/// Parts -> the least distance of their surface, of those that are scans.
using Scans = std::map<int, double>;
void add_scans(const std::vector<PairClearance>& pairs, const std::vector<int>& scanned, Scans& scans) {
  for (const PairClearance& pair : pairs) {
    if (!contains(scanned, pair.part)) continue;
    const auto [at, is_new] = scans.emplace(pair.part, pair.value.lo);
    at->second = std::min(at->second, pair.value.lo);
  }
}

/// Of pairs whose motion nobody stated: an edge that is too near at rest is too near over any motion.
void add_failures_at_rest(const Context& context, const ClearanceReport& at_rest, const std::optional<Limit>& limit,
                          const ClearanceOptions& options, Scans& scans, std::vector<Subject>& subjects) {
  if (!limit || at_rest.pairs.empty()) return;
  const measure::EdgeClearance edges = measure::measure_edge_clearance(
      context.bay, context.duct, at_rest, false, limit->value, options, [](const bay::Part&) { return true; });
  for (const PairClearance& pair : edges.pairs) {
    if (decide(measure::Outcome(pair.value), limit) != Verdict::not_met) continue;
    Subject s = edge_subject(context, pair, limit, false);
    auto& note = std::get<Measured>(s.outcome).note;
    note +=
        (note.empty() ? "" : "; ") + std::string("its motion is not stated: over it the edge may come nearer still");
    say_poses(s);
    subjects.push_back(std::move(s));
  }
  add_scans(at_rest.pairs, edges.scanned, scans);
}

std::vector<Subject> measure_edges(const Context& context) {
  if (context.bay.parts.empty()) return {not_assessed("whole duct", "the bay has no parts", {"parts"})};
  const ClearanceScope scope = of_edges();
  std::vector<Subject> subjects = parts_not_judged(context, scope, context.measures.over_motion);
  const Known known = known_pairs(context, scope);
  for (const auto& [bodies, parts] : known.unstated) {
    std::vector<std::string> missing;
    for (const std::string& body : bodies) missing.push_back("bodies/" + body + "/motion");
    subjects.push_back(not_assessed(joined(parts), "no motion is stated for " + joined(bodies), missing));
    subjects.back().over_motion = true;
  }
  const std::optional<Limit> limit = limit_of(context.sheet, "cr.edge");
  const double need_mm = limit ? limit->value : -std::numeric_limits<double>::infinity();
  const double told_mm = limit ? kTold * limit->value : 0;
  const ClearanceOptions options{context.measures.over_motion.width_mm, told_mm + kForUncertainty_mm};
  const measure::EdgeClearance edges = measure::measure_edge_clearance(
      context.bay, context.duct, known.report, true, need_mm, options, [](const bay::Part&) { return true; });
  std::set<int> told = add_edges(context, edges.pairs, limit, told_mm, subjects);
  Scans scans;
  add_scans(known.report.pairs, edges.scanned, scans);
  add_failures_at_rest(context, known.at_rest, limit, options, scans, subjects);
  for (const auto& [part, nearest_mm] : scans) told.insert(part);
  Rest rest(context);
  for (const PairClearance& pair : edges.pairs) {
    if (!told.contains(pair.part)) rest.add(pair, true);
  }
  for (const PairClearance& pair : known.report.pairs) {
    if (!told.contains(pair.part) && !(pair.value.lowest() < need_mm)) rest.add(pair, false);
  }
  for (const auto& [part, nearest_mm] : scans) subjects.push_back(scan_subject(context, part, nearest_mm, *limit));
  if (scans.empty()) {  // a no counts, whatever was measured
    Subject said = asked_subject(context.answers, "cr.edge", context.duct.spec.id, "");
    const auto* answer = std::get_if<Measured>(&said.outcome);
    if (answer && answer->lo < 0.5) {
      said.limit = Limit{Comparison::at_least, 1, Unit::none, limit ? limit->origin : Origin{}};
      subjects.push_back(std::move(said));
    }
  }
  if (auto others = rest.subject()) {
    subjects.push_back(*std::move(others));
  } else if (subjects.empty() && !edges.edgeless.empty()) {
    Subject s;
    s.subject = "all edges";
    s.over_motion = true;
    Measured m = Measured::exact(told_mm, Unit::mm);
    m.hi = std::numeric_limits<double>::infinity();
    m.note = "none of the parts that come near has a sharp edge";
    s.outcome = std::move(m);
    subjects.push_back(std::move(s));
  }
  return subjects;
}

}  // namespace

bool edges_count(bay::PartClass part_class) {
  return part_class != PartClass::rotating && part_class != PartClass::reserved;
}

std::vector<CheckDef> edge_checks() {
  CheckDef c;
  c.id = "cr.edge";
  c.title = "No chafe on edges";
  c.question = "Does the duct keep clear of sharp edges?";
  c.definition =
      "Least distance over the whole motion, a proven bracket as in cr.motion, from the outer surface of a piece of "
      "the duct to the sharp edges of a part: lines of its triangles across which the outline, cut square to the edge, "
      "turns by more than 60 degrees towards the material about a radius below {1 mm} (the length of outline between "
      "the first and the last fold of the turn, divided by the angle), and edges with a surface on one side only, "
      "where a sheet was cut. Where it is not known which side is material, folds either way count. No edge is nearer "
      "than its surface: a pair whose surface keeps the limit is met by that. Pairs that touch by design are left out "
      "as in cr.static. All parts but those of the classes rotating and reserved, which stand for a space; lines and "
      "hoses have edges where they end. Where a motion is not stated the pair is not checked over it, and an edge that "
      "is too near at rest is not met all the same. In a scan edges cannot be told from noise: where its surface comes "
      "nearer than the limit, a person is asked (1 when every edge keeps the limit or is covered), and without an "
      "answer it is not checked; a no counts everywhere. Edges farther than twice the limit are told together.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.services = all_services();
  c.inputs = {"ducts/route", "ducts/tube", "parts", "bodies/motion", "answers: cr.edge"};
  c.hint = "put trim on the edge, or a grommet where the duct passes";
  c.measure = measure_edges;
  return {c};
}

}  // namespace baywright::checks
