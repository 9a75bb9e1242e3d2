#include "measure/clearance_measure.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <mutex>

#include "duct/piece_shapes.hpp"
#include "geometry/base/unit.hpp"
#include "measure/tolerances.hpp"
#include "measure/witness_station.hpp"

namespace baywright::measure {
namespace {

using duct::Duct;
using duct::Piece;

/// One piece against one part, with the piece's shapes as far as they are not excepted.
struct Task {
  int piece = 0;
  int part = 0;
  std::vector<Primitive> shapes;
  double from_mm = 0, to_mm = 0;  ///< stations of what is left of the piece
  bool cut_from = false, cut_to = false;
};

const bay::Port* port_of(const bay::Bay& bay, const duct::PortRef& ref) {
  return ref.port.empty() ? nullptr : bay.find_port(ref.port);
}

/// Length along the duct, from this end, over which it may touch the part; 0: nowhere.
double contact_length(const bay::Port* port, const bay::Part& part) {
  return port && port->part == part.id ? port->contact_length_mm : 0;
}

std::string mm_text(double mm) { return format(mm, Unit::mm, DisplayUnits()); }

std::string exception_reason(const bay::Port& port, double length_mm, bool whole) {
  return std::string(whole ? "the whole piece lies" : "cut off: what lies") + " within " + mm_text(length_mm) +
         " of port " + port.id.value + ", where it touches the port's own part by design";
}

/// Shapes of a piece against a part, cut at the ports it belongs to; notes the exceptions.
Task make_task(const bay::Bay& bay, const Duct& duct, int piece_index, int part_index, ClearanceReport& report) {
  const Piece& piece = duct.layout.pieces[static_cast<std::size_t>(piece_index)];
  const bay::Part& part = bay.parts[static_cast<std::size_t>(part_index)];
  Task task{piece_index, part_index, piece.shapes, piece.station_from_mm, piece.station_to_mm, false, false};
  const bay::Port *from = port_of(bay, duct.spec.from), *to = port_of(bay, duct.spec.to);
  const double free_from = contact_length(from, part);
  const double free_to = duct.layout.length_mm - contact_length(to, part);
  const bool at_start = contact_length(from, part) > 0 && piece.station_from_mm < free_from;
  const bool at_end = contact_length(to, part) > 0 && piece.station_to_mm > free_to;
  if (!at_start && !at_end) return task;
  constexpr double kFar = std::numeric_limits<double>::infinity();
  task.shapes = duct::cut_to(piece.shapes, at_start ? free_from : -kFar, at_end ? free_to : kFar);
  task.cut_from = at_start;
  task.cut_to = at_end;
  if (at_start) task.from_mm = free_from;
  if (at_end) task.to_mm = free_to;
  const bool whole = task.shapes.empty();
  if (at_start) {
    report.exceptions.push_back({piece_index, part_index, exception_reason(*from, free_from, whole)});
  }
  if (at_end) {
    report.exceptions.push_back(
        {piece_index, part_index, exception_reason(*to, duct.layout.length_mm - free_to, whole)});
  }
  return task;
}

std::vector<Task> make_tasks(const bay::Bay& bay, const Duct& duct, ClearanceReport& report) {
  for (const bay::Part& part : bay.parts) {
    if (part.tree.empty())
      report.not_measured.push_back("part " + part.id.value + " has no surface to measure against");
  }
  std::vector<Task> tasks;
  for (std::size_t piece = 0; piece < duct.layout.pieces.size(); ++piece) {
    for (std::size_t part = 0; part < bay.parts.size(); ++part) {
      if (bay.parts[part].tree.empty()) continue;
      Task task = make_task(bay, duct, static_cast<int>(piece), static_cast<int>(part), report);
      if (!task.shapes.empty()) tasks.push_back(std::move(task));
    }
  }
  return tasks;
}

/// Bodies whose motion a pair depends on and that move.
std::vector<BodyIndex> moving_bodies(const Kinematics& kinematics, const Carriage& carriage, BodyIndex part_body) {
  std::vector<BodyIndex> bodies = {part_body, carriage.first.a};
  if (carriage.first.kind == RigidCarriage::Kind::link) bodies.push_back(carriage.first.b);
  if (carriage.second) {
    bodies.push_back(carriage.second->a);
    if (carriage.second->kind == RigidCarriage::Kind::link) bodies.push_back(carriage.second->b);
  }
  std::sort(bodies.begin(), bodies.end());
  bodies.erase(std::unique(bodies.begin(), bodies.end()), bodies.end());
  std::erase_if(bodies, [&](BodyIndex body) { return !kinematics.bodies[static_cast<std::size_t>(body)].moves(); });
  return bodies;
}

Band band_of(const bay::Bay& bay, const Duct& duct, const bay::Part& part, const std::vector<BodyIndex>& moving) {
  using Kind = Contribution::Kind;
  Band band;
  band.add(surface_uncertainty(part));
  if (part.chord_error_mm() > 0) band.add({"chord error of the triangles", Kind::bound, part.chord_error_mm(), 0, ""});
  band.add(bend_tolerance(duct.spec));
  for (const BodyIndex index : moving) {
    const bay::Body& body = bay.bodies[static_cast<std::size_t>(index)];
    const double residual = body.motion_fit_residual_mm;
    if (residual > 0)
      band.add({"misfit of the measured motion of " + body.id.value, Kind::expanded, residual, residual, ""});
  }
  return band;
}

enum class Containment { outside, inside, not_decidable };

Containment containment(const bay::Part& part, const Duct& duct, const Task& task, const Bracket& bracket) {
  // Where the surfaces do not cross, one point tells for the whole piece, and for every pose.
  if (!part.mesh || bracket.hi_mm <= 0) return Containment::outside;
  if (!part.encloses && bracket.beyond_range) return Containment::outside;
  const Vec3 p = duct.layout.at(0.5 * (task.from_mm + task.to_mm)).p_mm;
  const double winding = part.tree.winding_number(p);
  if (part.encloses) return std::abs(winding) > 0.5 ? Containment::inside : Containment::outside;
  // An open sheet that faces the scanner gives up to -0.5 on its near side and up to +0.5 behind it; a body of which
  // one side was never seen gives more. Between them no threshold is right, so it is said and not judged.
  constexpr double kBehind = 0.3;  // common practice, no source
  return winding > kBehind ? Containment::not_decidable : Containment::outside;
}

void place(const bay::Bay& bay, const Kinematics& kinematics, const Carriage& carriage, const Task& task,
           const Bracket& bracket, Measured& value) {
  value.witness = Witness{bracket.on_shape, bracket.on_surface};
  value.at_mm = bracket.on_shape;
  value.pose = bracket.state;
  value.pose_name = pose_text(bay, bracket.state);
  if (bracket.primitive < 0) return;
  const Primitive& primitive = task.shapes[static_cast<std::size_t>(bracket.primitive)];
  value.station_mm = witness_station(kinematics, carriage, bracket.state, primitive, bracket.on_shape);
}

std::string joined(const std::string& a, const std::string& b) { return a.empty() || b.empty() ? a + b : a + "; " + b; }

/// The nearest place is where the piece was cut, not where it comes near of itself.
bool at_cut(const Task& task, const Measured& value) {
  constexpr double kAtCut_mm = 0.5;
  if (!value.station_mm) return false;
  return (task.cut_from && *value.station_mm < task.from_mm + kAtCut_mm) ||
         (task.cut_to && *value.station_mm > task.to_mm - kAtCut_mm);
}

PairClearance measure_pair(const bay::Bay& bay, const Kinematics& kinematics, const Duct& duct, const Task& task,
                           bool over_motion, const ClearanceOptions& options, const Progress& progress) {
  const Piece& piece = duct.layout.pieces[static_cast<std::size_t>(task.piece)];
  const bay::Part& part = bay.parts[static_cast<std::size_t>(task.part)];
  PairClearance pair;
  pair.piece = task.piece;
  pair.part = task.part;
  pair.same_carrier = piece.carriage == Carriage::on(part.body);
  const auto moving = over_motion && !pair.same_carrier ? moving_bodies(kinematics, piece.carriage, part.body)
                                                        : std::vector<BodyIndex>();
  const Bracket bracket =
      moving.empty() ? clearance_at_rest(task.shapes, part.tree, options)
                     : clearance(kinematics, task.shapes, piece.carriage, part.tree, part.body, options, progress);
  Measured& value = pair.value;
  value.unit = Unit::mm;
  value.lo = bracket.lo_mm;
  value.hi = bracket.hi_mm;
  value.band = band_of(bay, duct, part, moving);
  pair.beyond_range = bracket.beyond_range;
  if (!bracket.beyond_range) place(bay, kinematics, piece.carriage, task, bracket, value);
  value.assumed_motion = std::any_of(moving.begin(), moving.end(), [&](BodyIndex index) {
    return bay.bodies[static_cast<std::size_t>(index)].motion_assumed;
  });
  if (!moving.empty()) value.note = piece.note;
  if (at_cut(task, value)) {
    value.note =
        joined(value.note,
               "nearest just where the contact_length_mm of the port ends: the figure is that length, not a near pass");
  }
  if (!bracket.beyond_range && bracket.near_ties == 1 && part.scanned()) {
    value.note = joined(value.note, "rests on a single facet or point of the scan: look whether it is a stray one");
  }
  const Containment where = containment(part, duct, task, bracket);
  pair.inside = where == Containment::inside;
  if (pair.inside) value.note = joined(value.note, "lies wholly inside the part");
  if (where == Containment::not_decidable) {
    value.note = joined(value.note,
                        "lies behind the scanned side of an open surface: whether that is inside the part cannot be "
                        "decided from this scan, look at it");
  }
  return pair;
}

}  // namespace

Kinematics running_kinematics(const bay::Bay& bay) {
  Kinematics kinematics = bay.kinematics();
  for (std::size_t i = 0; i < bay.bodies.size(); ++i) {
    if (bay::for_service(bay.bodies[i].spec)) kinematics.bodies[i] = MotionSet();
  }
  return kinematics;
}

ClearanceReport measure_clearance(const bay::Bay& bay, const Duct& duct, bool over_motion,
                                  const ClearanceOptions& options, const Progress& progress) {
  const Kinematics kinematics = running_kinematics(bay);
  ClearanceReport report;
  const std::vector<Task> tasks = make_tasks(bay, duct, report);
  report.pairs.resize(tasks.size());
  const char* step = over_motion ? "clearance over motion" : "clearance at rest";
  std::mutex reporting;
  std::size_t done = 0;
  tbb::parallel_for(std::size_t{0}, tasks.size(), [&](std::size_t i) {
    if (progress.cancelled()) return;
    report.pairs[i] = measure_pair(bay, kinematics, duct, tasks[i], over_motion, options, progress);
    const std::lock_guard lock(reporting);
    progress.report(step, static_cast<double>(++done) / static_cast<double>(tasks.size()));
  });
  if (progress.cancelled()) return {};
  return report;
}

std::optional<Measured> clearance_at_pose(const bay::Bay& bay, const Duct& duct, int piece_index, int part_index,
                                          const PosedState& state, const ClearanceOptions& options) {
  const Piece& piece = duct.layout.pieces[static_cast<std::size_t>(piece_index)];
  const bay::Part& part = bay.parts[static_cast<std::size_t>(part_index)];
  if (part.tree.empty()) return std::nullopt;
  ClearanceReport exceptions;
  const Task task = make_task(bay, duct, piece_index, part_index, exceptions);
  if (task.shapes.empty()) return std::nullopt;
  // All motions, those for service too: the pose is given, whoever asks may have lifted the bonnet.
  const Kinematics kinematics = bay.kinematics();
  const Bracket bracket = clearance_at(kinematics, task.shapes, piece.carriage, part.tree, part.body, state, options);
  if (bracket.beyond_range) return std::nullopt;
  Measured value = Measured::exact(bracket.hi_mm, Unit::mm);
  place(bay, kinematics, piece.carriage, task, bracket, value);
  return value;
}

}  // namespace baywright::measure
