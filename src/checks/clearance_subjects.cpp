#include "checks/clearance_subjects.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <limits>
#include <map>
#include <set>

#include "geometry/base/unit.hpp"

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

std::optional<Limit> limit_for(const Context& context, const PairClearance& pair, bool over_motion) {
  const auto& rows = context.sheet.clearance;
  const auto row = std::find_if(rows.begin(), rows.end(), [&](const ClearanceRow& r) {
    return r.part_class == part_of(context, pair).part_class;
  });
  if (row == rows.end()) return std::nullopt;
  const double value = pair.same_carrier ? row->same_body_mm : over_motion ? row->over_motion_mm : row->at_rest_mm;
  return Limit{Comparison::at_least, value, Unit::mm, row->origin};
}

/// "right and up": the vehicle directions that a unit vector follows, strongest first; those it follows by less than
/// a quarter are left out.
std::string along(const Vec3& direction) {
  static constexpr std::array<const char*, 3> kPositive = {"forward", "left", "up"};
  static constexpr std::array<const char*, 3> kNegative = {"back", "right", "down"};
  constexpr double kLeastShare = 0.25;
  std::array<std::size_t, 3> axes = {0, 1, 2};
  const auto share = [&](std::size_t axis) { return std::abs(direction[static_cast<Eigen::Index>(axis)]); };
  std::stable_sort(axes.begin(), axes.end(), [&](std::size_t a, std::size_t b) { return share(a) > share(b); });
  std::string text;
  for (const std::size_t axis : axes) {
    if (!text.empty() && share(axis) < kLeastShare) continue;
    if (!text.empty()) text += " and ";
    text += direction[static_cast<Eigen::Index>(axis)] >= 0 ? kPositive[axis] : kNegative[axis];
  }
  return text;
}

/// Direction in which the duct gains distance. Apart: from the part's witness to the duct's. Interfering: the other way
/// round, because the duct's witness then is the point of its surface that must come out as far as the part's.
std::optional<Vec3> way_out(const Measured& m) {
  if (!m.witness) return std::nullopt;
  Vec3 way = m.witness->on_duct_mm - m.witness->on_other_mm;
  if (m.hi < 0) way = -way;
  const double length = way.norm();
  if (!(length > 1e-9)) return std::nullopt;
  return Vec3(way / length);
}

std::string coordinates(const Vec3& v) {
  const Vec3 shown = (100 * v).array().round() / 100 + 0.0;  // + 0 turns -0 into 0
  char text[64];
  std::snprintf(text, sizeof text, "(%.2f, %.2f, %.2f)", shown.x(), shown.y(), shown.z());
  return text;
}

std::string hint_for(const Context& context, const PairClearance& pair, const Limit& limit) {
  const std::string piece = piece_of(context, pair).name;
  const std::string part = name_of(part_of(context, pair));
  if (pair.inside) return piece + " lies wholly inside " + part + ": route it around, or open the part where it passes";
  const Measured& m = pair.value;
  if (pair.beyond_range && m.lowest() < limit.value) {
    return "the limit lies beyond the range that was searched: raise the clearance range of the job";
  }
  const double short_by = limit.value - m.lowest();
  const auto way = way_out(m);
  std::string hint = "move " + piece + " by " + format(short_by, Unit::mm, DisplayUnits());
  hint += way ? " " + along(*way) + ", direction " + coordinates(*way) + "," + " away from " + part : " away from " + part;
  if (!m.pose_name.empty()) hint += ", closest " + (m.pose_name == "at rest" ? m.pose_name : "at " + m.pose_name);
  if (m.highest() >= limit.value) hint += "; or measure this place on the vehicle";
  return hint;
}

Subject subject_of(const Context& context, const PairClearance& pair, bool over_motion) {
  Subject s;
  const bay::Part& part = part_of(context, pair);
  s.subject = piece_of(context, pair).name + " - " + name_of(part);
  s.part = part.id;
  s.outcome = pair.value;
  s.limit = limit_for(context, pair, over_motion);
  s.fails = pair.inside;
  if (s.limit) {
    s.hint = hint_for(context, pair, *s.limit);
  } else {
    s.hint = "the sheet has no clearance row for parts of class " + std::string(bay::name(part.part_class)) +
             " (sheet/clearance)";
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
  const Carriage& carriage = piece_of(context, pair).carriage;
  std::set<BodyIndex> bodies = {part_of(context, pair).body, carriage.first.a, carriage.first.b};
  if (carriage.second) bodies.insert({carriage.second->a, carriage.second->b});
  std::set<std::string> unstated;
  for (const BodyIndex i : bodies) {
    const bay::Body& body = context.bay.bodies[static_cast<std::size_t>(i)];
    if (i != 0 && !body.motion.moves()) unstated.insert(body.id.value);
  }
  return unstated;
}

struct Sorted {
  std::map<int, std::vector<Subject>> by_part;                      ///< subjects that can be judged
  std::map<std::set<std::string>, std::set<std::string>> unstated;  ///< bodies -> names of parts
};

Sorted sorted_pairs(const Context& context, const measure::ClearanceReport& report, bool over_motion) {
  Sorted sorted;
  for (const PairClearance& pair : report.pairs) {
    if (over_motion && pair.same_carrier) continue;
    if (over_motion) {
      const auto bodies = unstated_motions(context, pair);
      if (!bodies.empty()) {
        sorted.unstated[bodies].insert(name_of(part_of(context, pair)));
        continue;
      }
    }
    sorted.by_part[pair.part].push_back(subject_of(context, pair, over_motion));
  }
  return sorted;
}

std::string joined(const std::set<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : ", ") + word;
  return text;
}

}  // namespace

std::vector<Subject> clearance_subjects(const Context& context, bool over_motion) {
  const measure::ClearanceReport& report = over_motion ? context.measures.over_motion : context.measures.at_rest;
  if (context.bay.parts.empty()) return {not_assessed("whole duct", "the bay has no parts", {"parts"})};
  std::vector<Subject> subjects;
  for (const std::string& line : report.not_measured) {
    subjects.push_back(not_assessed(line, "the part has no geometry to measure against", {"parts/file"}));
  }
  const Sorted sorted = sorted_pairs(context, report, over_motion);
  for (const auto& [bodies, parts] : sorted.unstated) {
    std::vector<std::string> missing;
    for (const std::string& body : bodies) missing.push_back("bodies/" + body + "/motion");
    subjects.push_back(not_assessed(joined(parts), "no motion is stated for " + joined(bodies), missing));
  }
  for (const auto& [part, of_part] : sorted.by_part) {
    const auto worst = std::min_element(of_part.begin(), of_part.end(),
                                        [](const Subject& a, const Subject& b) { return room(a) < room(b); });
    for (const Subject& s : of_part) {
      const Verdict verdict = verdict_of(s);
      if (&s == &*worst || verdict == Verdict::not_met || verdict == Verdict::undecided) subjects.push_back(s);
    }
  }
  return subjects;
}

}  // namespace baywright::checks
