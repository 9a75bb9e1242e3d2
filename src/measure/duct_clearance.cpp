#include "measure/duct_clearance.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <mutex>

#include "duct/piece_shapes.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/clearance/pair_clearance.hpp"
#include "measure/clearance_pairs.hpp"
#include "measure/witness_station.hpp"

namespace baywright::measure {
namespace {

using duct::Duct;
using duct::Piece;

/// A piece as far as it is measured.
struct Side {
  const Duct* duct = nullptr;
  int index = 0;
  std::vector<Primitive> shapes;
  const Piece& piece() const { return duct->layout.pieces[static_cast<std::size_t>(index)]; }
};

struct Task {
  Side first, second;
  std::vector<ShapePair> pairs;
};

double diameter_of(const Shape& shape) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return 2 * s->radius_mm;
  if (const auto* s = std::get_if<TorusSegment>(&shape)) return 2 * s->radius_mm;
  if (const auto* s = std::get_if<Cone>(&shape)) return 2 * std::max(s->radius_a_mm, s->radius_b_mm);
  return 2 * std::get<Collar>(shape).radius_mm;
}

/// Length along the duct within which two shapes of it are joined.
double joined_mm(const Duct& duct, const Primitive& a, const Primitive& b) {
  double most = std::max(diameter_of(a.shape), diameter_of(b.shape));
  for (const Primitive* p : {&a, &b}) {
    most =
        std::max(most, duct.layout.tube_at(p->station_from_mm).outer_diameter_mm);  // a boss is thinner than its tube
  }
  return kJoinedDiameters * most;
}

std::vector<ShapePair> not_joined(const Duct& duct, const Side& a, const Side& b) {
  std::vector<ShapePair> out;
  for (const ShapePair& pair : all_shape_pairs(a.shapes.size(), b.shapes.size())) {
    const Primitive& p = a.shapes[static_cast<std::size_t>(pair.first)];
    const Primitive& q = b.shapes[static_cast<std::size_t>(pair.second)];
    const double apart = std::max(q.station_from_mm - p.station_to_mm, p.station_from_mm - q.station_to_mm);
    if (apart >= joined_mm(duct, p, q)) out.push_back(pair);
  }
  return out;
}

/// Stations between which a duct counts against another one that an end of it may sit on.
struct Counted {
  double from_mm = -std::numeric_limits<double>::infinity(), to_mm = std::numeric_limits<double>::infinity();
  bool all() const { return std::isinf(from_mm) && std::isinf(to_mm); }
};

Counted counted(const Duct& duct, const Duct& carrier) {
  const auto contact = [&](const duct::PortRef& end) -> std::optional<double> {
    if (end.duct.empty() || end.duct != carrier.spec.id) return std::nullopt;
    const duct::PlacedFitting* branch = carrier.layout.find(end.fitting);
    return branch ? std::optional(carrier.layout.tube_at(branch->station_from_mm).outer_diameter_mm) : std::nullopt;
  };
  Counted out;
  if (const auto length = contact(duct.spec.from)) out.from_mm = *length;
  if (const auto length = contact(duct.spec.to)) out.to_mm = duct.layout.length_mm - *length;
  return out;
}

/// The pieces of a duct as far as they count; what is cut off is noted against every piece of the carrier.
std::vector<Side> sides(const Duct& duct, const Duct& carrier, bool first, DuctPairReport& report) {
  const Counted stretch = counted(duct, carrier);
  std::vector<Side> out;
  for (std::size_t i = 0; i < duct.layout.pieces.size(); ++i) {
    const Piece& piece = duct.layout.pieces[i];
    Side side{&duct, static_cast<int>(i), piece.shapes};
    const bool cut = piece.station_from_mm < stretch.from_mm || piece.station_to_mm > stretch.to_mm;
    if (!stretch.all() && cut) {
      side.shapes = duct::cut_to(piece.shapes, stretch.from_mm, stretch.to_mm);
      DuctContact contact;
      (first ? contact.piece : contact.other_piece) = side.index;
      (first ? contact.other_piece : contact.piece) = -1;
      contact.reason = "within one outer diameter of the tube whose branch port it sits on, along the branch";
      report.exceptions.push_back(std::move(contact));
    }
    if (!side.shapes.empty()) out.push_back(std::move(side));
  }
  return out;
}

bool same_carrier(const Carriage& a, const Carriage& b) { return a == b && !a.second; }

std::string label(const Duct& duct, const Piece& piece) { return "duct " + duct.spec.id.value + ", " + piece.name; }

void add_making_of(const Side& side, std::optional<double> station_mm, const std::optional<Vec3>& toward, Band& band) {
  Band own;
  add_making(*side.duct, side.piece(), station_mm, toward, own);
  for (Contribution c : own.contributions()) {
    c.source += " (" + label(*side.duct, side.piece()) + ")";
    band.add(std::move(c));
  }
}

/// Whether two states put the same floating thing elsewhere.
bool shares_differ(const PosedState& a, const PosedState& b) {
  constexpr double kSame = 0.01;
  return std::abs(a.axial_share - b.axial_share) > kSame || std::abs(a.spin_share - b.spin_share) > kSame ||
         std::abs(a.mix - b.mix) > kSame;
}

void add_note(Measured& value, const std::string& text) { value.note += (value.note.empty() ? "" : "; ") + text; }

double station_of(const Kinematics& kinematics, const Side& side, int shape, const PosedState& state, const Vec3& p) {
  return witness_station(kinematics, side.piece().carriage, state, side.shapes[static_cast<std::size_t>(shape)], p);
}

DuctPairClearance pair_of(const bay::Bay& bay, const Kinematics& kinematics, const Task& task,
                          const PairBracket& bracket, const std::vector<BodyIndex>& moving,
                          const ClearanceOptions& options) {
  DuctPairClearance out;
  out.piece = task.first.index;
  out.other_piece = task.second.index;
  out.same_carrier = same_carrier(task.first.piece().carriage, task.second.piece().carriage);
  out.beyond_range = bracket.beyond_range;
  Measured& value = out.value;
  value.unit = Unit::mm;
  value.lo = bracket.lo_mm;
  value.hi = bracket.hi_mm;
  std::optional<Vec3> toward, back;
  if (!bracket.beyond_range && bracket.first >= 0) {
    value.witness = Witness{bracket.on_first, bracket.on_second};
    value.at_mm = bracket.on_first;
    value.pose = bracket.state;
    value.pose_name = pose_text(bay, bracket.state);
    value.station_mm = station_of(kinematics, task.first, bracket.first, bracket.state, bracket.on_first);
    out.other_station_mm = station_of(kinematics, task.second, bracket.second, bracket.second_state, bracket.on_second);
    const Vec3 way = bracket.on_second - bracket.on_first;
    if (way.norm() > 1e-6) {
      toward = way.normalized();
      back = -*toward;
    }
    if (shares_differ(bracket.state, bracket.second_state)) {
      add_note(value, "each floating piece lies at its own share of its play; a picture shows both at the first one's");
    }
  }
  add_making_of(task.first, value.station_mm, toward, value.band);
  add_making_of(task.second, out.other_station_mm, back, value.band);
  add_misfit(bay, moving, value.band);
  value.assumed_motion = std::any_of(moving.begin(), moving.end(), [&](BodyIndex index) {
    return bay.bodies[static_cast<std::size_t>(index)].motion_assumed;
  });
  for (const Side* side : {&task.first, &task.second}) {
    if (!moving.empty() && !side->piece().note.empty()) add_note(value, side->piece().note);
  }
  if (!bracket.beyond_range && bracket.hi_mm - bracket.lo_mm > options.width_mm) {
    add_note(value, "the bracket is wider than asked: both pieces follow several movements at once");
  }
  return out;
}

std::vector<BodyIndex> moving_of(const Kinematics& kinematics, const Task& task) {
  const Carriage &a = task.first.piece().carriage, &b = task.second.piece().carriage;
  if (same_carrier(a, b)) return {};
  std::vector<BodyIndex> out = moving_bodies(kinematics, a);
  for (const BodyIndex body : moving_bodies(kinematics, b)) out.push_back(body);
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

void measure(const bay::Bay& bay, const std::vector<Task>& tasks, const ClearanceOptions& options,
             const Progress& progress, DuctPairReport& report) {
  const Kinematics running = running_kinematics(bay);
  Kinematics still;
  still.bodies.resize(running.bodies.size());
  report.at_rest.resize(tasks.size());
  report.over_motion.resize(tasks.size());
  std::mutex reporting;
  std::size_t done = 0;
  tbb::parallel_for(std::size_t{0}, tasks.size(), [&](std::size_t i) {
    const Task& task = tasks[i];
    const RidingShapes a{task.first.shapes, task.first.piece().carriage};
    const RidingShapes b{task.second.shapes, task.second.piece().carriage};
    const auto one = [&](const Kinematics& kinematics, const std::vector<BodyIndex>& moving) {
      const PairBracket bracket = pair_clearance(kinematics, a, b, task.pairs, options, progress);
      return pair_of(bay, kinematics, task, bracket, moving, options);
    };
    const std::vector<BodyIndex> moving = moving_of(running, task);
    report.at_rest[i] = one(still, {});
    report.over_motion[i] = moving.empty() ? report.at_rest[i] : one(running, moving);
    const std::lock_guard lock(reporting);
    progress.report("clearance between ducts", static_cast<double>(++done) / static_cast<double>(tasks.size()));
  });
}

}  // namespace

DuctPairReport measure_between(const bay::Bay& bay, const Duct& first, const Duct& second,
                               const ClearanceOptions& options, const Progress& progress) {
  DuctPairReport report;
  report.other = second.spec.id;
  const std::vector<Side> a = sides(first, second, true, report), b = sides(second, first, false, report);
  std::vector<Task> tasks;
  for (const Side& one : a) {
    for (const Side& other : b) {
      tasks.push_back({one, other, all_shape_pairs(one.shapes.size(), other.shapes.size())});
    }
  }
  measure(bay, tasks, options, progress, report);
  if (progress.cancelled()) return {};
  return report;
}

DuctPairReport measure_against_itself(const bay::Bay& bay, const Duct& duct, const ClearanceOptions& options,
                                      const Progress& progress) {
  DuctPairReport report;
  report.other = duct.spec.id;
  const int count = static_cast<int>(duct.layout.pieces.size());
  std::vector<Task> tasks;
  for (int i = 0; i < count; ++i) {
    for (int k = i + 1; k < count; ++k) {
      Task task{{&duct, i, duct.layout.pieces[static_cast<std::size_t>(i)].shapes},
                {&duct, k, duct.layout.pieces[static_cast<std::size_t>(k)].shapes},
                {}};
      task.pairs = not_joined(duct, task.first, task.second);
      if (!task.pairs.empty()) {
        tasks.push_back(std::move(task));
      } else {
        report.exceptions.push_back({i, k, "joined: nowhere farther apart along the duct than two outer diameters"});
      }
    }
  }
  measure(bay, tasks, options, progress, report);
  if (progress.cancelled()) return {};
  return report;
}

}  // namespace baywright::measure
