#include "measure/clearance_pairs.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "duct/piece_shapes.hpp"
#include "geometry/base/unit.hpp"
#include "measure/bend_chain.hpp"
#include "measure/tolerances.hpp"
#include "measure/witness_station.hpp"

namespace baywright::measure {
namespace {

using duct::Duct;
using duct::Piece;

const bay::Port* port_of(const bay::Bay& bay, const duct::PortRef& ref) {
  return ref.port.empty() ? nullptr : bay.find_port(ref.port);
}

/// Length along the duct, from this end, over which it may touch the part; 0: nowhere.
double contact_length(const bay::Port* port, const bay::Part& part) {
  return port && port->part == part.id ? port->contact_length_mm : 0;
}

std::string exception_reason(const bay::Port& port, double length_mm, bool whole, const DisplayUnits& units) {
  return std::string(whole ? "the whole piece lies" : "cut off: what lies") + " within " +
         length_text(length_mm, units) + " of port " + port.id.value +
         ", where it touches the port's own part by design";
}

/// Shapes of a piece against a part, cut at the ports it belongs to; notes the exceptions.
PairTask make_task(const bay::Bay& bay, const Duct& duct, int piece_index, int part_index, ClearanceReport& report) {
  const Piece& piece = duct.layout.pieces[static_cast<std::size_t>(piece_index)];
  const bay::Part& part = bay.parts[static_cast<std::size_t>(part_index)];
  PairTask task{piece_index, part_index, piece.shapes, piece.station_from_mm, piece.station_to_mm, false, false};
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
    report.exceptions.push_back({piece_index, part_index, exception_reason(*from, free_from, whole, bay.units)});
  }
  if (at_end) {
    report.exceptions.push_back(
        {piece_index, part_index, exception_reason(*to, duct.layout.length_mm - free_to, whole, bay.units)});
  }
  return task;
}

/// Where a bracket was attained, at rest as far as the part goes; nothing where it is beyond the range.
struct NearPlace {
  std::optional<Vec3> on_part_mm;
  std::optional<Vec3> toward_part;  ///< unit
  std::optional<double> station_mm;
};

Band band_of(const bay::Bay& bay, const Duct& duct, const Piece& piece, const bay::Part& part, const NearPlace& place,
             const std::vector<BodyIndex>& moving) {
  Band band = part_uncertainty(part, place.on_part_mm, bay.units);
  add_making(duct, piece, place.station_mm, place.toward_part, band);
  add_misfit(bay, moving, band);
  return band;
}

enum class Containment { outside, inside, not_decidable };

Containment containment(const bay::Part& part, const Bracket& bracket, const Vec3& p) {
  // Where the surfaces do not cross, one point tells for the whole piece, and for every pose.
  if (!part.mesh || bracket.hi_mm <= 0) return Containment::outside;
  if (!part.encloses && bracket.beyond_range) return Containment::outside;
  const double winding = part.tree.winding_number(p);
  if (part.encloses) return std::abs(winding) > 0.5 ? Containment::inside : Containment::outside;
  // An open sheet that faces the scanner gives up to -0.5 on its near side and up to +0.5 behind it; a body of which
  // one side was never seen gives more. Between them no threshold is right, so it is said and not judged.
  constexpr double kBehind = 0.3;  // common practice, no source
  return winding > kBehind ? Containment::not_decidable : Containment::outside;
}

void place(const bay::Bay& bay, const Kinematics& kinematics, const Carriage& carriage, const PairTask& task,
           const Bracket& bracket, Measured& value) {
  value.witness = Witness{bracket.on_shape, bracket.on_surface};
  value.at_mm = bracket.on_shape;
  value.pose = bracket.state;
  value.pose_name = pose_text(bay, bracket.state);
  if (bracket.primitive < 0) return;
  const Primitive& primitive = task.shapes[static_cast<std::size_t>(bracket.primitive)];
  value.station_mm = witness_station(kinematics, carriage, bracket.state, primitive, bracket.on_shape);
}

NearPlace near_place(const Kinematics& kinematics, const bay::Part& part, const Measured& value) {
  NearPlace out;
  if (!value.witness || !value.pose) return out;
  const auto body = static_cast<std::size_t>(part.body);
  const auto& states = value.pose->bodies;
  const Pose X = body < states.size() ? pose_at(kinematics.bodies[body], states[body]) : Pose();
  out.on_part_mm = X.inverse() * value.witness->on_other_mm;
  out.station_mm = value.station_mm;
  const Vec3 way = value.witness->on_other_mm - value.witness->on_duct_mm;
  if (way.norm() > 1e-6) out.toward_part = way.normalized();
  return out;
}

std::string both_notes(const std::string& a, const std::string& b) {
  return a.empty() || b.empty() ? a + b : a + "; " + b;
}

/// The nearest place is where the piece was cut, not where it comes near of itself.
bool at_cut(const PairTask& task, const Measured& value) {
  constexpr double kAtCut_mm = 0.5;
  if (!value.station_mm) return false;
  return (task.cut_from && *value.station_mm < task.from_mm + kAtCut_mm) ||
         (task.cut_to && *value.station_mm > task.to_mm - kAtCut_mm);
}

}  // namespace

void add_making(const Duct& duct, const Piece& piece, std::optional<double> station_mm,
                const std::optional<Vec3>& toward, Band& band) {
  if (!duct.spec.bending) {
    band.add(bend_tolerance(duct.spec, "", duct.layout.units));
    return;
  }
  for (Contribution& c : chain_tolerance(duct, piece, station_mm, toward)) band.add(std::move(c));
  band.add(fitting_tolerance(duct.spec, "where its ends sit", duct.layout.units));
}

double nearer_by_making_mm(const duct::Duct& duct) {
  double most = 0;
  for (const Piece& piece : duct.layout.pieces) {
    Band band;
    add_making(duct, piece, std::nullopt, std::nullopt, band);
    most = std::max(most, band.low());
  }
  return most;
}

void add_misfit(const bay::Bay& bay, std::span<const BodyIndex> moving, Band& band) {
  for (const BodyIndex index : moving) {
    const bay::Body& body = bay.bodies[static_cast<std::size_t>(index)];
    const double residual = body.motion_fit_residual_mm;
    if (!(residual > 0)) continue;
    band.add(
        {"misfit of the measured motion of " + body.id.value, Contribution::Kind::expanded, residual, residual, ""});
  }
}

std::vector<BodyIndex> moving_bodies(const Kinematics& kinematics, const Carriage& carriage) {
  std::vector<BodyIndex> bodies = {carriage.first.a};
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

std::vector<PairTask> pair_tasks(const bay::Bay& bay, const Duct& duct, ClearanceReport& report) {
  for (const bay::Part& part : bay.parts) {
    if (part.tree.empty())
      report.not_measured.push_back("part " + part.id.value + " has no surface to measure against");
  }
  std::vector<PairTask> tasks;
  for (std::size_t piece = 0; piece < duct.layout.pieces.size(); ++piece) {
    for (std::size_t part = 0; part < bay.parts.size(); ++part) {
      if (bay.parts[part].tree.empty()) continue;
      PairTask task = make_task(bay, duct, static_cast<int>(piece), static_cast<int>(part), report);
      if (!task.shapes.empty()) tasks.push_back(std::move(task));
    }
  }
  return tasks;
}

Kinematics running_kinematics(const bay::Bay& bay) {
  Kinematics kinematics = bay.kinematics();
  for (std::size_t i = 0; i < bay.bodies.size(); ++i) {
    if (bay::for_service(bay.bodies[i].spec)) kinematics.bodies[i] = MotionSet();
  }
  return kinematics;
}

Bracket pair_bracket(const Kinematics& kinematics, const PairSetting& setting, std::span<const Primitive> shapes,
                     const ClearanceOptions& options, const Progress& progress, const ClearanceHint* hint) {
  const TriTree& tree = setting.part.tree;
  if (setting.moving.empty()) return clearance_at_rest(shapes, setting.carriage, tree, options, hint);
  return clearance(kinematics, shapes, setting.carriage, tree, setting.part.body, options, progress, hint);
}

PairSetting pair_setting(const bay::Bay& bay, const Kinematics& kinematics, const Duct& duct, const PairTask& task,
                         bool over_motion) {
  const bay::Part& part = bay.parts[static_cast<std::size_t>(task.part)];
  const Carriage& carriage = duct.layout.pieces[static_cast<std::size_t>(task.piece)].carriage;
  PairSetting setting{carriage, part, carriage == Carriage::on(part.body), {}};
  if (over_motion && !setting.same_carrier) {
    setting.moving = moving_bodies(kinematics, carriage);
    const bool counts = kinematics.bodies[static_cast<std::size_t>(part.body)].moves();
    const auto at = std::lower_bound(setting.moving.begin(), setting.moving.end(), part.body);
    if (counts && (at == setting.moving.end() || *at != part.body)) setting.moving.insert(at, part.body);
  }
  return setting;
}

PairClearance pair_clearance(const bay::Bay& bay, const Kinematics& kinematics, const Duct& duct, const PairTask& task,
                             const PairSetting& setting, const Bracket& bracket) {
  return pair_clearance(bay, kinematics, duct, task, setting, bracket,
                        duct.layout.at(0.5 * (task.from_mm + task.to_mm)).p_mm);
}

PairClearance pair_clearance(const bay::Bay& bay, const Kinematics& kinematics, const Duct& duct, const PairTask& task,
                             const PairSetting& setting, const Bracket& bracket, const Vec3& point) {
  const Piece& piece = duct.layout.pieces[static_cast<std::size_t>(task.piece)];
  const bay::Part& part = setting.part;
  PairClearance pair;
  pair.piece = task.piece;
  pair.part = task.part;
  pair.same_carrier = setting.same_carrier;
  Measured& value = pair.value;
  value.unit = Unit::mm;
  value.lo = bracket.lo_mm;
  value.hi = bracket.hi_mm;
  pair.beyond_range = bracket.beyond_range;
  if (!bracket.beyond_range) place(bay, kinematics, piece.carriage, task, bracket, value);
  value.band = band_of(bay, duct, piece, part, near_place(kinematics, part, value), setting.moving);
  value.assumed_motion = std::any_of(setting.moving.begin(), setting.moving.end(), [&](BodyIndex index) {
    return bay.bodies[static_cast<std::size_t>(index)].motion_assumed;
  });
  if (!setting.moving.empty()) value.note = piece.note;
  if (at_cut(task, value)) {
    value.note = both_notes(
        value.note,
        "nearest just where the contact_length_mm of the port ends: the figure is that length, not a near pass");
  }
  if (!bracket.beyond_range && bracket.near_ties == 1 && part.scanned()) {
    value.note = both_notes(value.note, "rests on a single facet or point of the scan: look whether it is a stray one");
  }
  const Containment where = containment(part, bracket, point);
  pair.inside = where == Containment::inside;
  if (pair.inside) value.note = both_notes(value.note, "lies wholly inside the part");
  if (where == Containment::not_decidable) {
    value.note =
        both_notes(value.note,
                   "lies behind the scanned side of an open surface: whether that is inside the part cannot be "
                   "decided from this scan, look at it");
  }
  return pair;
}

std::optional<Measured> clearance_at_pose(const bay::Bay& bay, const Duct& duct, int piece_index, int part_index,
                                          const PosedState& state, const ClearanceOptions& options) {
  const Piece& piece = duct.layout.pieces[static_cast<std::size_t>(piece_index)];
  const bay::Part& part = bay.parts[static_cast<std::size_t>(part_index)];
  if (part.tree.empty()) return std::nullopt;
  ClearanceReport exceptions;
  const PairTask task = make_task(bay, duct, piece_index, part_index, exceptions);
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
