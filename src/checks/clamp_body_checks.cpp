#include <algorithm>
#include <limits>
#include <map>
#include <tuple>

#include "access/clamp_place.hpp"
#include "checks/check_groups.hpp"
#include "checks/clearance_subjects.hpp"
#include "checks/hose_ends.hpp"
#include "checks/subjects.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"
#include "measure/box_clearance.hpp"

namespace baywright::checks {
namespace {

using access::ClampAccess;
using measure::BoxTask;
using measure::Measured;
using measure::PairClearance;
using measure::RidingBox;

RidingBox riding(const duct::Duct& duct, const ClampAccess& clamp, const access::ScrewPosition& position) {
  RidingBox out;
  out.box = access::body_at(clamp.site, position, 0);
  out.piece = access::clamp_piece(duct, clamp.site.coupler);
  out.station_mm = clamp.site.station_mm;
  out.carriage = access::clamp_carriage(duct, clamp.site.coupler, clamp.site.end);
  return out;
}

/// Whether the band lies where the hose touches the part by design.
bool in_contact(const Context& context, const bay::Part& part, double station_mm) {
  const auto within = [&](const duct::PortRef& end, double from_end_mm) {
    const bay::Port* port = end.port.empty() ? nullptr : context.bay.find_port(end.port);
    return port && port->part == part.id && from_end_mm < port->contact_length_mm;
  };
  return within(context.duct.spec.from, station_mm) ||
         within(context.duct.spec.to, context.duct.layout.length_mm - station_mm);
}

/// What the sheet asks of clamps near a part.
std::optional<Limit> part_limit(const Context& context, const bay::Part& part, bool same_carrier, bool over_motion) {
  const auto& rows = context.sheet.clearance;
  const auto row =
      std::find_if(rows.begin(), rows.end(), [&](const ClearanceRow& r) { return r.part_class == part.part_class; });
  const auto need = row == rows.end() ? std::nullopt : row->of(duct::Piece::Kind::clamps);
  if (!need) return std::nullopt;
  const double value = same_carrier ? need->same_body_mm : over_motion ? need->over_motion_mm : need->at_rest_mm;
  return Limit{Comparison::at_least, value, Unit::mm, need->origin};
}

/// One clamp's body against one part, to be measured.
struct Ask {
  const ClampAccess* clamp = nullptr;
  access::ScrewPosition position;
  std::optional<Limit> limit;
};

/// What is to be measured, and parts that motion is unknown of: bodies -> names of parts.
struct Asked {
  std::vector<Ask> asks;
  std::vector<BoxTask> tasks;
  std::map<std::set<std::string>, std::set<std::string>> unstated;
};

void ask(const Context& context, const ClampAccess& clamp, const access::ScrewPosition& position, Asked& asked) {
  const RidingBox box = riding(context.duct, clamp, position);
  for (std::size_t i = 0; i < context.bay.parts.size(); ++i) {
    const bay::Part& part = context.bay.parts[i];
    if (part.doubted() || part.tree.empty() || in_contact(context, part, clamp.site.station_mm)) continue;
    const bool same_carrier = box.carriage == Carriage::on(part.body);
    for (const bool over_motion : {false, true}) {
      if (over_motion && same_carrier) continue;  // they keep their distance
      if (over_motion) {
        std::set<BodyIndex> bodies = bodies_of(box.carriage);
        bodies.insert(part.body);
        if (const auto unstated = unstated_motions(context.bay, bodies); !unstated.empty()) {
          asked.unstated[unstated].insert(name_of(part));
          continue;
        }
      }
      const auto limit = part_limit(context, part, same_carrier, over_motion);
      asked.asks.push_back({&clamp, position, limit});
      asked.tasks.push_back({box, static_cast<int>(i), over_motion, (limit ? limit->value : 0.0) + kForUncertainty_mm});
    }
  }
}

Subject body_subject(const Context& context, const Ask& ask, const BoxTask& task, const PairClearance& pair) {
  const bay::Part& part = context.bay.parts[static_cast<std::size_t>(task.part)];
  Subject s;
  s.subject = s.pair = "body of the clamp on " + ask.clamp->site.name + " - " + name_of(part);
  s.over_motion = task.over_motion;
  s.part = part.id;
  Measured m = pair.value;
  if (!m.note.empty()) m.note += "; ";
  m.note += "body at " + access::position_words(ask.clamp->site, ask.position) +
            (ask.clamp->clock ? ", as the job states" : ", where cl.reach puts it");
  if (m.hi < 0) m.note += "; how deep it reaches in is not known";
  s.outcome = std::move(m);
  s.limit = ask.limit;
  s.fails = pair.inside;
  const auto& measured = std::get<Measured>(s.outcome);
  if (!s.limit) {
    s.hint = "the sheet has no clearance row for parts of class " + std::string(bay::name(part.part_class)) +
             " (sheet/clearance)";
  } else if (s.fails || decide(s.outcome, s.limit) != Verdict::met) {
    s.hint = "turn the clamp so that its body lies away from " + name_of(part) + ", or move the joint by " +
             length_text(s.limit->value - measured.lowest(), context.bay.units);
  }
  if (task.over_motion) note_motions(context, pair, s);
  say_poses(s);
  return s;
}

/// Of each clamp, at rest and over the motion, the worst part and all that are not met or undecided; without a limit
/// the nearest.
void add_worst(const Asked& asked, std::vector<Subject> all, std::vector<Subject>& subjects) {
  using Key = std::tuple<const ClampAccess*, bool, bool>;
  std::map<Key, std::size_t> worst;
  const auto key = [&](std::size_t i) {
    return Key{asked.asks[i].clamp, asked.tasks[i].over_motion, all[i].limit.has_value()};
  };
  for (std::size_t i = 0; i < all.size(); ++i) {
    const auto [at, is_new] = worst.emplace(key(i), i);
    if (!is_new && left_of(all[i]) < left_of(all[at->second])) at->second = i;
  }
  for (std::size_t i = 0; i < all.size(); ++i) {
    const Verdict verdict = all[i].fails ? Verdict::not_met : decide(all[i].outcome, all[i].limit);
    if (worst.at(key(i)) == i || verdict == Verdict::not_met || verdict == Verdict::undecided) {
      subjects.push_back(std::move(all[i]));
    }
  }
}

std::vector<Subject> measure_bodies(const Context& context) {
  std::vector<Subject> subjects;
  const std::string duct = "ducts/" + context.duct.spec.id.value + "/fittings/";
  for (const Hose& hose : hoses_of(context.duct)) {
    if (!hose.coupler.clamps.empty()) continue;
    subjects.push_back(waits(subject_of(hose), "nothing is stated of the clamps on this hose",
                             {duct + hose.fitting.id.value + "/clamps"}));
  }
  if (context.measures.clamps.empty()) return subjects;
  if (context.bay.parts.empty()) {
    subjects.push_back(not_assessed("all clamps", "the bay has no parts", {"parts"}));
    return subjects;
  }
  Asked asked;
  for (const ClampAccess& clamp : context.measures.clamps) {
    if (const auto position = access::body_position(clamp)) {
      ask(context, clamp, *position, asked);
      continue;
    }
    subjects.push_back(not_assessed("body of the clamp on " + clamp.site.name,
                                    "nobody knows where it lies round the hose: no position of the screw is stated, "
                                    "and cl.reach finds none that could be worked",
                                    {duct + clamp.site.coupler.value + "/clamps: screw_clock_deg"}));
  }
  for (const bay::Part& part : context.bay.parts) {  // said once for all clamps
    if (auto unknown = shape_unknown(part)) subjects.push_back(*std::move(unknown));
  }
  for (const auto& [bodies, parts] : asked.unstated) {
    std::vector<std::string> missing;
    for (const std::string& body : bodies) missing.push_back("bodies/" + body + "/motion");
    subjects.push_back(not_assessed(joined(parts), "no motion is stated for " + joined(bodies), missing));
    subjects.back().over_motion = true;
  }
  const std::vector<PairClearance> pairs =
      measure::box_clearance(context.bay, context.duct, asked.tasks, context.measures.over_motion.width_mm);
  std::vector<Subject> all;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    all.push_back(body_subject(context, asked.asks[i], asked.tasks[i], pairs[i]));
  }
  add_worst(asked, std::move(all), subjects);
  return subjects;
}

}  // namespace

std::vector<CheckDef> clamp_body_checks() {
  CheckDef c;
  c.id = "cl.body";
  c.title = "Clamp's body free";
  c.question = "Is the body of every clamp free of the bay?";
  c.definition =
      "Least distance from the box that a clamp's body takes on its band (its dimensions as the clamp's type states "
      "them, at the screw position that the job declares, else at the one chosen for cl.reach) to each part, "
      "everything at rest, and over the whole motion as the end of the hose moves that it sits on; a proven bracket. "
      "The limit is what the clearance row of the part's class asks of clamps: the same-body value when both ride on "
      "one body, else the value at rest or over the motion. Left out: the part of a port within whose contact length "
      "the band lies (cl.reach tries the body there), and the ducts themselves. Of each clamp the worst part is told, "
      "and every one that is not met or undecided.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.limits = LimitPlace::by_class;
  c.services = all_services();
  c.inputs = {"ducts/fittings: coupler/clamps", "parts", "bodies/motion", "sheet/clearance"};
  c.hint = "turn the clamp, or move the joint";
  c.measure = measure_bodies;
  return {c};
}

}  // namespace baywright::checks
