#include "routing/trial.hpp"

#include <tbb/parallel_for.h>
#include <tbb/task_arena.h>

#include <algorithm>
#include <cmath>

#include "checks/clearance_subjects.hpp"
#include "checks/edges.hpp"
#include "duct/slices.hpp"
#include "geometry/aabb_gap.hpp"
#include "geometry/base/expects.hpp"
#include "measure/clearance_pairs.hpp"
#include "measure/edge_clearance.hpp"
#include "measure/path_measures.hpp"
#include "measure/tolerances.hpp"
#include "routing/fitting_places.hpp"
#include "routing/regions.hpp"

namespace baywright::routing {
namespace {

constexpr double kTubeStretch_mm = 60;

/// A stretch of one piece against one part.
struct Task {
  const measure::PairTask* pair = nullptr;
  std::vector<Primitive> shapes;
};

/// Stretches of a pair's shapes; those of a joint that bends stay whole.
void add_tasks(const duct::Duct& duct, const measure::PairTask& pair, std::vector<Task>& tasks) {
  const duct::Piece& piece = duct.layout.pieces[static_cast<std::size_t>(pair.piece)];
  const double length = pair.to_mm - pair.from_mm;
  if (piece.carriage.flexible() || piece.kind != duct::Piece::Kind::tube || length <= kTubeStretch_mm) {
    tasks.push_back({&pair, pair.shapes});
    return;
  }
  std::vector<double> stations;
  const int count = static_cast<int>(std::ceil(length / kTubeStretch_mm));
  for (int i = 0; i <= count; ++i) stations.push_back(pair.from_mm + length * i / count);
  for (auto& shapes : duct::cut_into_slices(pair.shapes, stations, piece.carriage)) {
    if (!shapes.empty()) tasks.push_back({&pair, std::move(shapes)});
  }
}

Aabb box_of(const std::vector<Primitive>& shapes) {
  Aabb box;
  for (const Primitive& p : shapes) box.grow(bounds(p.shape));
  return box;
}

/// How far a box of the vehicle may move with a body, at most: at its corners.
double reach(const Kinematics& kinematics, BodyIndex body, const Aabb& box) {
  const MotionSet& set = kinematics.bodies[static_cast<std::size_t>(body)];
  if (!set.moves()) return 0;
  double most = 0;
  for (unsigned c = 0; c < 8; ++c) {
    most = std::max(most, set.reach_mm({c & 1U ? box.hi.x() : box.lo.x(), c & 2U ? box.hi.y() : box.lo.y(),
                                        c & 4U ? box.hi.z() : box.lo.z()}));
  }
  return most;
}

class Contacts {
 public:
  Contacts(const job::Installation& installation, const PartEdges& edges, const duct::Duct& duct,
           const CourseShape& shape, double window)
      : installation_(installation),
        edges_(edges),
        duct_(duct),
        shape_(shape),
        window_(window),
        kinematics_(measure::running_kinematics(installation.bay)) {}

  std::vector<Contact> run(const Progress& progress) const {
    measure::ClearanceReport ignored;
    const auto pairs = measure::pair_tasks(installation_.bay, duct_, ignored);
    std::vector<Task> tasks;
    for (const auto& pair : pairs) add_tasks(duct_, pair, tasks);
    std::vector<std::vector<Contact>> found(tasks.size());
    tbb::parallel_for(std::size_t{0}, tasks.size(), [&](std::size_t i) {
      if (progress.cancelled()) return;
      for (const bool over_motion : {false, true}) {
        if (const auto contact = contact_of(tasks[i], over_motion)) found[i].push_back(*contact);
      }
      if (const auto contact = edge_contact_of(tasks[i])) found[i].push_back(*contact);
    });
    std::vector<Contact> out;
    for (const auto& some : found) out.insert(out.end(), some.begin(), some.end());
    return out;
  }

 private:
  std::optional<double> limit_of(const bay::Part& part, const measure::PairClearance& pair, bool over_motion) const {
    if (is_keep_out(part)) return 0;
    const auto limit = checks::clearance_limit(installation_.bay, duct_, installation_.sheet, pair, over_motion);
    return limit ? std::optional(limit->value) : std::nullopt;
  }

  std::optional<Contact> contact_of(const Task& task, bool over_motion) const {
    const auto setting = measure::pair_setting(installation_.bay, kinematics_, duct_, *task.pair, over_motion);
    if (over_motion && setting.moving.empty()) return std::nullopt;
    measure::PairClearance pair;
    pair.piece = task.pair->piece;
    pair.part = task.pair->part;
    pair.same_carrier = setting.same_carrier;
    const auto limit = limit_of(setting.part, pair, over_motion);
    if (!limit) return std::nullopt;
    return contact_with(task, setting, *limit);
  }

  /// To the edges of the part: over the motion, where anything moves.
  std::optional<Contact> edge_contact_of(const Task& task) const {
    if (!(edges_.limit_mm() > 0)) return std::nullopt;
    const auto of_surface = measure::pair_setting(installation_.bay, kinematics_, duct_, *task.pair, true);
    // No edge is nearer than the surface it belongs to.
    if (!comes_within(task, of_surface, edges_.limit_mm())) return std::nullopt;
    const bay::Part* edges = edges_.of(task.pair->part);
    if (!edges) return std::nullopt;
    const measure::PairSetting setting{of_surface.carriage, *edges, of_surface.same_carrier, of_surface.moving};
    return contact_with(task, setting, edges_.limit_mm());
  }

  /// How far something can be and matter for a limit: what making and measuring leave open is added, as far as it is
  /// known without a place.
  double range_for(const Task& task, const measure::PairSetting& setting, double limit_mm) const {
    return limit_mm + band_of(task, setting, std::nullopt, std::nullopt).low() + window_;
  }

  bool comes_within(const Task& task, const measure::PairSetting& setting, double limit_mm) const {
    const Aabb box = box_of(task.shapes), part_box = setting.part.tree.bounds();
    double moves = 0;
    for (const BodyIndex body : setting.moving) moves += std::max(reach(kinematics_, body, box), 0.0);
    return box_gap_mm(box, part_box) < range_for(task, setting, limit_mm) + moves;
  }

  std::optional<Contact> contact_with(const Task& task, const measure::PairSetting& setting, double limit_mm) const {
    if (!comes_within(task, setting, limit_mm)) return std::nullopt;
    const double range = range_for(task, setting, limit_mm);
    const ClearanceOptions options{.width_mm = 0.2, .range_mm = std::max(range, 0.5)};
    const Bracket bracket = measure::pair_bracket(kinematics_, setting, task.shapes, options);
    if (bracket.beyond_range || !std::isfinite(bracket.hi_mm)) return std::nullopt;
    return contact_at(task, setting, bracket, limit_mm);
  }

  Band band_of(const Task& task, const measure::PairSetting& setting, std::optional<double> station,
               const std::optional<Vec3>& toward) const {
    const duct::Piece& piece = duct_.layout.pieces[static_cast<std::size_t>(task.pair->piece)];
    Band band = measure::part_uncertainty(setting.part, std::nullopt, installation_.bay.units);
    measure::add_making(duct_, piece, station, toward, band);
    measure::add_misfit(installation_.bay, setting.moving, band);
    return band;
  }

  std::optional<Contact> contact_at(const Task& task, const measure::PairSetting& setting, const Bracket& bracket,
                                    double limit_mm) const {
    const CourseShape::Place place = shape_.nearest(bracket.on_shape);
    Vec3 way = bracket.on_surface - bracket.on_shape;
    if (bracket.hi_mm < 0) way = -way;
    if (way.norm() < 1e-3) way = bracket.on_surface - place.p;
    if (way.norm() < 1e-6) way = Vec3::UnitZ();
    const Vec3 outward = way.normalized();
    double station = 0;
    for (int e = 0; e < place.element; ++e) station += shape_.length_of(e);
    station += place.share * shape_.length_of(place.element);
    Contact contact;
    contact.element = place.element;
    contact.share = place.share;
    contact.outward = outward;
    contact.margin_mm = bracket.lo_mm - band_of(task, setting, station, outward).low() - limit_mm;
    contact.part = task.pair->part;
    if (contact.margin_mm >= window_) return std::nullopt;
    return contact;
  }

  const job::Installation& installation_;
  const PartEdges& edges_;
  const duct::Duct& duct_;
  const CourseShape& shape_;
  const double window_;
  const Kinematics kinematics_;
};

/// Turns the sensor towards up where it is clocked farther from it than the sheet allows: by quarters of its angle, as
/// little as will do.
void turn_sensor(const job::Installation& installation, duct::Duct& duct) {
  const auto limit = installation.sheet.limits.find("sn.clock");
  if (limit == installation.sheet.limits.end() || installation.sheet.not_required.contains("sn.clock")) return;
  const auto sensor = std::find_if(duct.spec.fittings.begin(), duct.spec.fittings.end(), [](const duct::Fitting& f) {
    return std::holds_alternative<duct::SensorTube>(f.kind);
  });
  if (sensor == duct.spec.fittings.end()) return;
  const auto within = [&] {
    const auto clock = measure::sensor_clock(duct, installation.bay);
    const auto* measured = std::get_if<measure::Measured>(&clock);
    return !measured || checks::decide(*measured, limit->second) == checks::Verdict::met;
  };
  // The short way round to 0, which is up.
  const double stated_deg = std::remainder(to_degrees(std::get<duct::SensorTube>(sensor->kind).clock), 360.0);
  for (int quarters = 3; quarters >= 0 && !within(); --quarters) {
    std::get<duct::SensorTube>(sensor->kind).clock = degrees(std::round(0.25 * quarters * stated_deg));
    if (auto layout = duct::lay_out(duct.spec, installation.bay)) duct.layout = std::move(*layout);
  }
}

Trial try_fittings(const job::Installation& installation, const duct::Duct& old, const Requirements& requirements,
                   const duct::Route& route, const duct::Layout& legs) {
  Trial trial;
  duct::DuctSpec spec = old.spec;
  spec.route = route;
  const auto placed = place_again(old, legs, requirements);
  if (const auto* none = std::get_if<NoPlace>(&placed)) {
    trial.reason = none->reason;
    trial.lacks_mm = none->lacks_mm;
    return trial;
  }
  spec.fittings = std::get<std::vector<duct::Fitting>>(placed);
  auto layout = duct::lay_out(spec, installation.bay);
  if (!layout) {
    trial.reason = to_line(layout.error().front());
    return trial;
  }
  trial.duct = duct::Duct{std::move(spec), std::move(*layout)};
  turn_sensor(installation, *trial.duct);
  return trial;
}

}  // namespace

Trial try_course(const job::Installation& installation, std::span<const duct::Duct> olds,
                 const Requirements& requirements, const Course& course) {
  EXPECTS(!olds.empty());
  Trial trial;
  const duct::Route route = route_of(course, olds.front().spec.route);
  const auto legs = duct::lay_out_route(route);
  if (!legs) {
    trial.reason = to_line(legs.error().front());
    return trial;
  }
  for (const duct::Duct& old : olds) {
    Trial next = try_fittings(installation, old, requirements, route, *legs);
    if (next.duct) return next;
    // Of several reasons the one that a longer straight would mend with least.
    const bool nearer = next.lacks_mm > 0 && (trial.lacks_mm <= 0 || next.lacks_mm < trial.lacks_mm);
    if (trial.reason.empty() || nearer) trial = std::move(next);
  }
  return trial;
}

PartEdges::PartEdges(const job::Installation& installation)
    : installation_(installation), known_(installation.bay.parts.size()), edges_(installation.bay.parts.size()) {
  const auto limit = installation.sheet.limits.find("cr.edge");
  if (limit != installation.sheet.limits.end() && !installation.sheet.not_required.contains("cr.edge"))
    limit_mm_ = limit->second.value;
}

const bay::Part* PartEdges::of(int part) const {
  const auto i = static_cast<std::size_t>(part);
  std::call_once(known_[i], [&] {
    const bay::Part& of = installation_.bay.parts[i];
    if (!(limit_mm_ > 0) || !checks::edges_count(of.part_class) || is_keep_out(of)) return;
    // Its tree is built in parallel. A thread that waits for that must not take up another contact in the meantime: it
    // might ask for the same part, and wait for itself.
    tbb::this_task_arena::isolate([&] { edges_[i] = measure::edges_of(of); });
  });
  return edges_[i] ? &*edges_[i] : nullptr;
}

std::vector<Contact> duct_contacts(const job::Installation& installation, const PartEdges& edges,
                                   const duct::Duct& duct, const CourseShape& shape, double window_mm,
                                   const Progress& progress) {
  return Contacts(installation, edges, duct, shape, window_mm).run(progress);
}

ContactsOf contacts_of_duct(const job::Installation& installation, const PartEdges& edges,
                            std::span<const duct::Duct> olds, const Requirements& requirements, const Room& room,
                            double window_mm, const Progress& progress) {
  return [&installation, &edges, olds, &requirements, &room, window_mm, progress](const Course& course) {
    const CourseShape shape = shape_of(course);
    const Trial trial = try_course(installation, olds, requirements, course);
    if (trial.duct) return duct_contacts(installation, edges, *trial.duct, shape, window_mm, progress);
    std::vector<Contact> contacts = room.contacts(shape, window_mm);
    Contact none;
    none.margin_mm = -kNoDuct_mm;
    contacts.push_back(none);
    return contacts;
  };
}

}  // namespace baywright::routing
