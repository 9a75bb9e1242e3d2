#include <algorithm>
#include <array>
#include <limits>

#include "checks/check_groups.hpp"
#include "checks/clearance_subjects.hpp"
#include "checks/subjects.hpp"
#include "duct/piece_shapes.hpp"
#include "geometry/base/words.hpp"
#include "measure/clearance_pairs.hpp"
#include "measure/tolerances.hpp"

namespace baywright::checks {
namespace {

using measure::Measured;
using measure::NotAssessed;

/// Bare metal of 65 to 70 degrees burns within a second, 55 within ten (from memory, ISO 13732-1).
constexpr double kBurns_C = 60;
/// How far around a service point hot surfaces are looked for.
constexpr double kLookedAround_mm = 500;

bool burns(const bay::Part& part) {
  if (part.surface_temperature) return *part.surface_temperature > celsius(kBurns_C);
  return part.part_class == bay::PartClass::hot;
}

/// Whether a part that shields the hot one stands in the straight line to it, everything at rest.
bool shielded(const Judged& job, const bay::PartId& hot, const Vec3& from, const Vec3& to) {
  const Vec3 way = to - from;
  const double length = way.norm();
  if (!(length > 0)) return false;
  const auto stands_between = [&](const bay::Part& part) {
    return !part.doubted() && !part.tree.empty() && part.tree.first_hit(from, way / length, length).has_value();
  };
  const auto& shields = job.surroundings.shields;
  return std::any_of(shields.begin(), shields.end(), [&](const Shield& s) {
    const bay::Part* shield = s.hot == hot ? job.bay.find_part(s.shield) : nullptr;
    return shield && stands_between(*shield);
  });
}

struct Place {
  double distance_mm = 0;
  Vec3 at_mm = Vec3::Zero();
};

/// The points nearest to `from` of the pieces of a facet, cut in halves until none is longer than this: a shield hides
/// some of a large facet only.
constexpr double kPiece_mm = 10;
void add_places(const Vec3& from, const std::array<Vec3, 3>& facet, double within_mm, std::vector<Place>& places) {
  const Contact c = distance_to_triangle(Cylinder{from, from, 0}, facet[0], facet[1], facet[2]);
  if (!(c.distance_mm < within_mm)) return;
  const auto edge = [&](std::size_t i) { return (facet[(i + 1) % 3] - facet[i]).norm(); };
  const std::size_t longest = edge(0) >= edge(1) && edge(0) >= edge(2) ? 0 : edge(1) >= edge(2) ? 1 : 2;
  if (edge(longest) <= kPiece_mm) {
    places.push_back({c.distance_mm, c.on_triangle});
    return;
  }
  const Vec3 &a = facet[longest], &b = facet[(longest + 1) % 3], &apex = facet[(longest + 2) % 3];
  const Vec3 middle = 0.5 * (a + b);
  add_places(from, {a, middle, apex}, within_mm, places);
  add_places(from, {middle, b, apex}, within_mm, places);
}

/// The nearest place of a hot part that no shield of it stands before.
std::optional<Place> nearest_bare(const Judged& job, const bay::Part& part, const Vec3& from, double within_mm) {
  const auto found = part.tree.nearest(from, within_mm);
  if (!found) return std::nullopt;
  if (!shielded(job, part.id, from, found->point)) return Place{found->distance_mm, found->point};
  std::vector<Place> places;
  if (part.mesh) {
    for (const TriMesh::Triangle& t : part.mesh->triangles) {
      add_places(from, {part.mesh->vertex(t[0]), part.mesh->vertex(t[1]), part.mesh->vertex(t[2])}, within_mm, places);
    }
  } else if (part.cloud) {
    for (const Vec3f& p : part.cloud->points) {
      const Vec3 at = part.cloud->origin_mm + p.cast<double>();
      if ((at - from).norm() < within_mm) places.push_back({(at - from).norm(), at});
    }
  }
  std::sort(places.begin(), places.end(), [](const Place& a, const Place& b) { return a.distance_mm < b.distance_mm; });
  const auto bare = std::find_if(places.begin(), places.end(),
                                 [&](const Place& place) { return !shielded(job, part.id, from, place.at_mm); });
  return bare == places.end() ? std::nullopt : std::optional(*bare);
}

/// What of a hot surface is nearest to a service point.
struct NearHot {
  double distance_mm = kLookedAround_mm;
  std::string name;
  Vec3 at_mm = Vec3::Zero();
  const bay::Part* part = nullptr;
  std::vector<std::string> unknown;  ///< hot parts whose shape is not believed, or that have none
};

NearHot nearest_hot(const Judged& job, const Vec3& from) {
  NearHot out;
  for (const bay::Part& part : job.bay.parts) {
    if (!burns(part)) continue;
    if (part.doubted() || part.tree.empty()) {
      out.unknown.push_back(name_of(part));
      continue;
    }
    const auto found = nearest_bare(job, part, from, out.distance_mm);
    if (!found) continue;
    out.distance_mm = found->distance_mm;
    out.at_mm = found->at_mm;
    out.name = name_of(part);
    out.part = &part;
  }
  for (const duct::Duct& duct : job.ducts) {
    if (duct.spec.service != duct::Service::charge_hot) continue;  // 150 degrees and more
    for (const duct::Piece& piece : duct.layout.pieces) {
      for (const Primitive& shape : piece.shapes) {
        const Contact contact = distance_to_triangle(shape.shape, from, from, from);
        if (!(contact.distance_mm < out.distance_mm)) continue;
        out.distance_mm = contact.distance_mm;
        out.at_mm = contact.on_shape;
        out.name = "duct " + duct.spec.id.value + ": " + piece.name;
        out.part = nullptr;
      }
    }
  }
  return out;
}

bool anything_hot(const Judged& job) {
  return std::any_of(job.bay.parts.begin(), job.bay.parts.end(), burns) ||
         std::any_of(job.ducts.begin(), job.ducts.end(),
                     [](const duct::Duct& d) { return d.spec.service == duct::Service::charge_hot; });
}

std::vector<Subject> measure_touch(const Judged& job, std::span<const Finding>) {
  std::vector<Subject> subjects;
  // A hot duct alone does not tell where the exhaust is.
  if (std::none_of(job.bay.parts.begin(), job.bay.parts.end(), burns)) subjects.push_back(none_of_class("hot"));
  if (!anything_hot(job)) return subjects;
  if (job.surroundings.service_points.empty()) {
    subjects.push_back(
        not_assessed("service points", "the job does not say where hands go on a warm vehicle", {"service_points"}));
    return subjects;
  }
  for (const ServicePoint& point : job.surroundings.service_points) {
    const NearHot near = nearest_hot(job, point.at_mm);
    if (!near.unknown.empty()) {  // what is known counts all the same
      subjects.push_back(
          not_assessed(point.name, "hot, and their shape is not known: " + joined(near.unknown), {"parts/file"}));
    }
    Subject s;
    Measured m = Measured::exact(near.distance_mm, Unit::mm);
    m.at_mm = point.at_mm;
    m.pose_name = "at rest";
    if (near.name.empty()) {
      s.subject = point.name;
      m.hi = std::numeric_limits<double>::infinity();
    } else {
      s.subject = point.name + " - " + near.name;
      m.witness = measure::Witness{point.at_mm, near.at_mm};
      if (near.part) {
        s.part = near.part->id;
        m.band = measure::part_uncertainty(*near.part, near.at_mm, job.bay.units);
      }
    }
    s.outcome = std::move(m);
    subjects.push_back(std::move(s));
  }
  return subjects;
}

CheckDef touch() {
  CheckDef c;
  c.id = "ht.touch";
  c.title = "No burns at service points";
  c.question = "Is nothing hot within reach of where hands go?";
  c.definition =
      "Distance, everything at rest, from each service point of the job to the nearest surface above {60 \u00B0C}: a "
      "part whose stated surface temperature is above that, a part of class hot that states none, or a duct for hot "
      "charge air. Of a part that has a shield, places are left out to which the straight line crosses that: its "
      "facets are cut into pieces of at most {10 mm}, and the nearest of the pieces' nearest points that is bare "
      "counts. Followed as far as {500 mm}. A job in which "
      "nothing is hot is not checked: it has not said what is.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::minor;
  c.inputs = {"service_points", "parts"};
  c.hint = "sleeve or shield the hot surface, or label it";
  c.measure_job = measure_touch;
  return c;
}

/// The piece that carries the sensor, as far as the sensor tube goes, with the boss on it.
std::optional<measure::PairTask> sensor_task(const duct::Duct& duct, const duct::PlacedFitting& sensor) {
  for (std::size_t i = 0; i < duct.layout.pieces.size(); ++i) {
    const duct::Piece& piece = duct.layout.pieces[i];
    const double middle = 0.5 * (sensor.station_from_mm + sensor.station_to_mm);
    if (piece.kind != duct::Piece::Kind::tube || middle < piece.station_from_mm || middle > piece.station_to_mm)
      continue;
    measure::PairTask task;
    task.piece = static_cast<int>(i);
    task.shapes = duct::cut_to(piece.shapes, sensor.station_from_mm, sensor.station_to_mm);
    task.from_mm = sensor.station_from_mm;
    task.to_mm = sensor.station_to_mm;
    if (!task.shapes.empty()) return task;
  }
  return std::nullopt;
}

measure::PairClearance measured_to(const Context& context, measure::PairTask task, int part, bool over_motion,
                                   double range_mm) {
  task.part = part;
  const Kinematics kinematics = measure::running_kinematics(context.bay);
  const measure::PairSetting setting = measure::pair_setting(context.bay, kinematics, context.duct, task, over_motion);
  const Bracket bracket =
      measure::pair_bracket(kinematics, setting, task.shapes, {context.measures.over_motion.width_mm, range_mm});
  return measure::pair_clearance(context.bay, kinematics, context.duct, task, setting, bracket);
}

/// From the sensor tube to a hot part, or to its shield where that stands between.
Subject sensor_to_hot(const Context& context, const measure::PairTask& task, const std::string& sensor, int part,
                      bool over_motion, double range_mm) {
  const bay::Part& hot = context.bay.parts[static_cast<std::size_t>(part)];
  Subject s;
  s.subject = sensor + " - " + name_of(hot);
  s.part = hot.id;
  const measure::PairClearance pair = measured_to(context, task, part, over_motion, range_mm);
  s.outcome = pair.value;
  s.fails = pair.inside;
  s.limit = limit_of(context.sheet, "sn.heat");
  if (!s.limit || decide(s.outcome, s.limit) == Verdict::met) return s;
  const auto shield = crossed_shield(context, pair.value, hot.id);
  if (!shield) return s;
  const measure::PairClearance to_shield = measured_to(context, task, *shield, over_motion, range_mm);
  Measured m = to_shield.value;
  m.note +=
      (m.note.empty() ? "" : "; ") + ("measured to the shield, which the nearest way to " + name_of(hot) + " crosses");
  s.subject =
      sensor + " - " + name_of(context.bay.parts[static_cast<std::size_t>(*shield)]) + ", shield of " + name_of(hot);
  s.outcome = std::move(m);
  s.limit = limit_of(context.sheet, "sn.heat.shield");
  if (!s.limit) s.hint = "the sheet has no limit for what is shielded (sheet/limits/sn.heat.shield)";
  return s;
}

Subject sensor_subject(const Context& context, const measure::PairTask& task, const std::string& sensor, int part,
                       double range_mm) {
  const bay::Part& hot = context.bay.parts[static_cast<std::size_t>(part)];
  if (hot.doubted() || hot.tree.empty()) {
    Subject s = not_assessed(sensor + " - " + name_of(hot), "the shape of " + name_of(hot) + " is not known",
                             {"parts/" + hot.id.value + "/file"});
    s.part = hot.id;
    return s;
  }
  std::set<BodyIndex> bodies = bodies_of(context.duct.layout.pieces[static_cast<std::size_t>(task.piece)].carriage);
  bodies.insert(hot.body);
  const auto unstated = bodies.size() > 1 ? unstated_motions(context.bay, bodies) : std::set<std::string>();
  Subject s = sensor_to_hot(context, task, sensor, part, unstated.empty(), range_mm);
  if (unstated.empty()) return s;
  if (s.fails || decide(s.outcome, s.limit) == Verdict::not_met) {  // too near at rest is too near over any motion
    auto& note = std::get<Measured>(s.outcome).note;
    note += (note.empty() ? "" : "; ") + ("at rest: no motion is stated for " + joined(unstated));
    return s;
  }
  std::vector<std::string> missing;
  for (const std::string& body : unstated) missing.push_back("bodies/" + body + "/motion");
  s.outcome = NotAssessed{"no motion is stated for " + joined(unstated), missing};
  return s;
}

std::vector<Subject> measure_sensor(const Context& context) {
  double range_mm = kForUncertainty_mm;
  for (const char* id : {"sn.heat", "sn.heat.shield"}) {
    if (const auto limit = limit_of(context.sheet, id))
      range_mm = std::max(range_mm, limit->value + kForUncertainty_mm);
  }
  std::vector<Subject> subjects;
  bool any = false;
  for (const duct::PlacedFitting& fitting : context.duct.layout.fittings) {
    if (!std::holds_alternative<duct::SensorTube>(fitting.kind)) continue;
    any = true;
    const auto task = sensor_task(context.duct, fitting);
    if (!task) continue;
    for (std::size_t i = 0; i < context.bay.parts.size(); ++i) {
      if (context.bay.parts[i].part_class != bay::PartClass::hot) continue;
      subjects.push_back(sensor_subject(context, *task, fitting.id.value, static_cast<int>(i), range_mm));
    }
  }
  if (any && subjects.empty()) subjects.push_back(none_of_class("hot"));
  if (!any && !context.duct.spec.no_sensor) {
    subjects.push_back(not_assessed("sensor", "the duct has no sensor tube",
                                    {"ducts/" + context.duct.spec.id.value + "/fittings: sensor tube"}));
  }
  return subjects;
}

CheckDef sensor_heat() {
  CheckDef c;
  c.id = "sn.heat";
  c.title = "Sensor away from heat";
  c.question = "Is the sensor far enough from hot parts?";
  c.definition =
      "Least distance over the whole motion from the sensor tube with its boss and connector to each part of class "
      "hot, as cr.motion measures it. Where that is too little and the straight line between the two nearest points "
      "crosses the part's shield (in the pose of the least distance), the distance to the shield counts instead, "
      "against the limit for what is shielded. Where a motion is not stated it is not checked, but not met where it is "
      "too near at rest already. A job without a part of class hot is not checked.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.further_limits = {"sn.heat.shield"};
  c.services = {duct::Service::intake};
  c.inputs = {"ducts/fittings: sensor tube", "parts", "bodies/motion"};
  c.hint = "move the sensor along the duct, or put a shield between";
  c.measure = measure_sensor;
  return c;
}

}  // namespace

std::vector<CheckDef> heat_checks() { return {touch(), sensor_heat()}; }

}  // namespace baywright::checks
