#include "measure/live_clearance.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "geometry/aabb_gap.hpp"
#include "geometry/clearance/flexible_gap.hpp"
#include "measure/shape_moves.hpp"

namespace baywright::measure {
namespace {

/// How far beyond the range a first look at a far pair goes, and how exactly: what it finds is used up by later moves.
constexpr double kFarther_mm = 60;
constexpr double kFarWidth_mm = 20;

Aabb box_of(const std::vector<Primitive>& shapes) {
  Aabb box;
  for (const Primitive& p : shapes) box.grow(bounds(p.shape));
  return box;
}

/// Greatest displacement of a point of the box over the body's motion; the bound is convex, so a corner has it.
double reach_of(const MotionSet& motion, const Aabb& box) {
  double reach = 0;
  for (int i = 0; motion.moves() && i < 8; ++i) {
    const Vec3 corner((i & 1) ? box.hi.x() : box.lo.x(), (i & 2) ? box.hi.y() : box.lo.y(),
                      (i & 4) ? box.hi.z() : box.lo.z());
    reach = std::max(reach, motion.reach_mm(corner));
  }
  return reach;
}

/// Greatest angle by which a body turns, rad.
double turn_of(const MotionSet& motion) {
  double most = 0;
  for (const MotionMember& m : motion.members()) {
    double sum = 0;
    for (std::size_t i = 0; i < m.joints.size(); ++i) {
      if (m.joints[i].kind != Joint::Kind::rotation) continue;
      sum += std::max(std::abs(m.to[i]), m.from.empty() ? 0.0 : std::abs(m.from[i]));
    }
    most = std::max(most, sum);
  }
  return most;
}

Aabb box_at(const Vec3& p) { return {p, p}; }

/// The same for a carriage. A rod's middle moves by the mean of its ends and half the change of its length along it; it
/// turns by the angle between the chords, whose ends moved, and by at most the greater twist.
double reach_of(const Kinematics& kinematics, const RigidCarriage& c, const Aabb& box) {
  const MotionSet &a = kinematics.bodies[static_cast<std::size_t>(c.a)],
                  &b = kinematics.bodies[static_cast<std::size_t>(c.b)];
  if (c.kind == RigidCarriage::Kind::fixed || c.a == c.b) return reach_of(a, box);
  const double ends = reach_of(a, box_at(c.end_a)) + reach_of(b, box_at(c.end_b));
  const double length = (c.end_b - c.end_a).norm();
  if (!(ends < length)) return kInfinity;
  const double turn = std::asin(ends / length) + std::max(turn_of(a), turn_of(b));
  const Vec3 middle = 0.5 * (c.end_a + c.end_b);
  const Vec3 farthest = (box.lo - middle).cwiseAbs().cwiseMax((box.hi - middle).cwiseAbs());
  return ends + turn * farthest.norm();
}

/// Greatest displacement of a point of a thing's shapes over the motion. On a flexible joint a point of the axis moves
/// by a mean of its control points' displacements, and a flat end that lies in the gap turns with the line between the
/// ends besides: by the arc sine of what these move over their distance.
double reach_of(const Kinematics& kinematics, const Carriage& carriage, const std::vector<Primitive>& shapes,
                Aabb box) {
  if (carriage.flexible()) {
    box.grow(carriage.gap->from);
    box.grow(carriage.gap->to);
  }
  double reach = reach_of(kinematics, carriage.first, box);
  if (carriage.second) reach = std::max(reach, reach_of(kinematics, *carriage.second, box));
  double turned = 0;
  for (const Primitive& p : shapes) {
    if (!carriage.flexible() || std::holds_alternative<Cylinder>(p.shape)) continue;
    if (!carriage_of(carriage, p.shape).flexible()) continue;
    const Aabb own = bounds(p.shape);
    const double length = p.station_to_mm - p.station_from_mm, radius = 0.5 * own.size().norm();
    const double chord = 2 * reach < length ? std::numbers::sqrt2 * 2 * reach / length : 2;
    turned = std::max(turned, radius * chord);
  }
  return reach + turned;
}

Bracket beyond(double range_mm) {
  Bracket out;
  out.lo_mm = range_mm;
  out.hi_mm = kInfinity;
  out.beyond_range = true;
  return out;
}

/// Of two sets of shapes together; `primitive` as in the nearer one.
Bracket nearer(const Bracket& a, const Bracket& b) {
  Bracket out = b.hi_mm < a.hi_mm ? b : a;
  out.lo_mm = std::min(a.lo_mm, b.lo_mm);
  out.beyond_range = a.beyond_range && b.beyond_range;
  return out;
}

}  // namespace

/// One pair of an edit.
struct LiveClearance::Measuring {
  const PairSetting& setting;
  const Progress& progress;
  std::vector<Primitive> moved, still;
  std::vector<int> moved_at, still_at;  ///< their indices among the task's shapes
  std::vector<int> still_start;         ///< of the still ones at the start
  bool known_start = false;             ///< same piece, same carriage: the start's values hold for what is still
};

LiveClearance::LiveClearance(const bay::Bay& bay, duct::Duct start, const ClearanceReport& at_rest,
                             const ClearanceReport& over_motion, const ClearanceOptions& options)
    : bay_(bay),
      start_(std::move(start)),
      options_(options),
      kinematics_(running_kinematics(bay)),
      rest_(at_rest),
      motion_(over_motion) {
  ClearanceReport notes;
  for (PairTask& task : pair_tasks(bay_, start_, notes)) {
    pairs_[{task.piece, task.part}].shapes = std::move(task.shapes);
  }
  for (const PairClearance& pair : rest_.pairs) {
    Start& start_pair = pairs_[{pair.piece, pair.part}];
    start_pair.at_rest = &pair;
    remember_witness(pair, start_pair.rest);
  }
  for (const PairClearance& pair : motion_.pairs) {
    Start& start_pair = pairs_[{pair.piece, pair.part}];
    start_pair.over_motion = &pair;
    remember_witness(pair, start_pair.motion);
  }
}

/// The triangle that holds the witness, and the pose.
void LiveClearance::remember_witness(const PairClearance& pair, Known& known) const {
  if (!pair.value.witness || !pair.value.pose) return;
  const bay::Part& part = bay_.parts[static_cast<std::size_t>(pair.part)];
  const auto body = static_cast<std::size_t>(part.body);
  const PosedState& state = *pair.value.pose;
  const Pose X = body < state.bodies.size() ? pose_at(kinematics_.bodies[body], state.bodies[body]) : Pose();
  const auto found = part.tree.nearest(X.inverse() * pair.value.witness->on_other_mm);
  if (found) known.hint = ClearanceHint{state, found->triangle};
}

/// Whether the moved shapes are proven to be beyond the range: by what was proven before, by boxes, at last by a search
/// that looks farther than the range and is good for many later moves.
bool LiveClearance::far(const Measuring& m, const PairClearance* start, Known& known, Work& work) const {
  const Carriage& carriage = m.setting.carriage;
  std::optional<double> since =
      same_place(known.anchor_carriage, carriage) ? displacement(known.anchor, m.moved) : std::nullopt;
  if (since && *since > kSamePlace_mm && carriage.flexible()) since.reset();  // what moves in the gap is stretched
  if (since && known.anchor_lo_mm - *since >= options_.range_mm) return true;
  const Aabb shapes = box_of(m.moved), part = m.setting.part.tree.bounds();
  double gap = box_gap_mm(shapes, part);
  if (gap >= options_.range_mm && !m.setting.moving.empty()) {
    gap -= reach_of(kinematics_, carriage, m.moved, shapes) +
           reach_of(kinematics_.bodies[static_cast<std::size_t>(m.setting.part.body)], part);
  }
  if (gap >= options_.range_mm) return true;
  if (known.hint || (start && !start->beyond_range && known.anchor.empty())) return false;  // it was near
  const ClearanceOptions wide{kFarWidth_mm, options_.range_mm + kFarther_mm};
  const Bracket found = pair_bracket(kinematics_, m.setting, m.moved, wide, m.progress);
  ++work.searches;
  if (m.progress.cancelled()) return false;
  known.anchor = m.moved;
  known.anchor_carriage = carriage;
  known.anchor_lo_mm = found.lo_mm;
  if (!found.beyond_range) known.hint = ClearanceHint{found.state, found.triangle};
  return found.lo_mm >= options_.range_mm;
}

/// Of the shapes that stand where they stood: measured once; free where the start was beyond the range.
Bracket LiveClearance::still_bracket(const Measuring& m, const PairClearance* start, Known& known, Work& work) const {
  if (known.still && known.still_shapes == m.still_start) return *known.still;
  if (start && start->beyond_range) return beyond(options_.range_mm);
  const Bracket found =
      pair_bracket(kinematics_, m.setting, m.still, options_, m.progress, known.hint ? &*known.hint : nullptr);
  ++work.searches;
  if (!m.progress.cancelled()) {
    known.still = found;
    known.still_shapes = m.still_start;
  }
  return found;
}

std::optional<Bracket> LiveClearance::bracket_of(const Measuring& m, const PairClearance* start, Known& known,
                                                 Work& work) const {
  Bracket still = beyond(options_.range_mm);
  if (!m.still.empty()) {
    still = still_bracket(m, m.known_start ? start : nullptr, known, work);
    if (m.progress.cancelled()) return std::nullopt;
    if (still.primitive >= 0) still.primitive = m.still_at[static_cast<std::size_t>(still.primitive)];
  }
  if (m.moved.empty()) return still;
  if (far(m, m.known_start ? start : nullptr, known, work)) {
    ++work.far;
    return nearer(still, beyond(options_.range_mm));
  }
  if (m.progress.cancelled()) return std::nullopt;
  // No farther than what stands still is: beyond that the answer is known.
  const ClearanceOptions options{options_.width_mm, std::min(options_.range_mm, std::max(still.hi_mm, 0.0))};
  Bracket moved =
      pair_bracket(kinematics_, m.setting, m.moved, options, m.progress, known.hint ? &*known.hint : nullptr);
  ++work.searches;
  if (m.progress.cancelled()) return std::nullopt;
  if (moved.beyond_range) {
    if (still.beyond_range) {  // it has become far
      known.hint.reset();
      known.anchor.clear();
    }
    return nearer(still, moved);
  }
  known.hint = ClearanceHint{moved.state, moved.triangle};
  moved.primitive = m.moved_at[static_cast<std::size_t>(moved.primitive)];
  return nearer(still, moved);
}

/// Which pieces and shapes an edit moved; for each piece whether it is carried as at the start.
std::vector<bool> LiveClearance::compare(const duct::Duct& now, Step& step) const {
  const auto& pieces = now.layout.pieces;
  const auto& before = start_.layout.pieces;
  std::vector<bool> same_carriage(pieces.size(), false);
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    const bool comparable = before.size() == pieces.size() && before[i].kind == pieces[i].kind;
    same_carriage[i] = comparable && same_place(before[i].carriage, pieces[i].carriage);
    std::vector<int> stands(pieces[i].shapes.size(), -1);
    if (comparable) stands = standing(before[i].shapes, pieces[i].shapes);
    bool all = same_carriage[i] && before[i].shapes.size() == pieces[i].shapes.size();
    for (std::size_t k = 0; k < stands.size(); ++k) {
      if (stands[k] >= 0) continue;
      step.shapes.emplace_back(static_cast<int>(i), static_cast<int>(k));
      all = false;
    }
    if (!all) step.pieces.push_back(static_cast<int>(i));
  }
  return same_carriage;
}

/// A pair at rest and over the motion; false: cancelled.
bool LiveClearance::measure_pair(const duct::Duct& now, const PairTask& task, bool same_carriage,
                                 const Progress& progress, Start& start, Answer& out) const {
  const PairSetting moving = pair_setting(bay_, kinematics_, now, task, true);
  PairSetting resting = moving;
  resting.moving.clear();
  Measuring m{moving, progress, {}, {}, {}, {}, {}, same_carriage};
  std::vector<int> stands(task.shapes.size(), -1);
  if (same_carriage) stands = standing(start.shapes, task.shapes);
  for (std::size_t k = 0; k < stands.size(); ++k) {
    (stands[k] >= 0 ? m.still : m.moved).push_back(task.shapes[k]);
    (stands[k] >= 0 ? m.still_at : m.moved_at).push_back(static_cast<int>(k));
    if (stands[k] >= 0) m.still_start.push_back(stands[k]);
  }
  out.work.pairs = 1;
  const std::optional<Bracket> motion = bracket_of(m, start.over_motion, start.motion, out.work);
  if (!motion) return false;
  std::optional<Bracket> rest = motion;
  if (motion->beyond_range) {
    rest = beyond(options_.range_mm);  // farther at rest than at the worst
  } else if (!moving.moving.empty()) {
    const Measuring still{resting, progress, m.moved, m.still, m.moved_at, m.still_at, m.still_start, m.known_start};
    rest = bracket_of(still, start.at_rest, start.rest, out.work);
    if (!rest) return false;
  }
  out.over_motion = pair_clearance(bay_, kinematics_, now, task, moving, *motion);
  out.at_rest = pair_clearance(bay_, kinematics_, now, task, resting, *rest);
  return true;
}

std::optional<LiveClearance::Step> LiveClearance::measure(const duct::Duct& now, const Progress& progress) {
  Step step;
  const std::vector<bool> same_carriage = compare(now, step);
  std::vector<PairTask> tasks = pair_tasks(bay_, now, step.at_rest);
  step.over_motion.exceptions = step.at_rest.exceptions;
  step.over_motion.not_measured = step.at_rest.not_measured;
  std::erase_if(tasks, [&](const PairTask& task) {
    return !std::binary_search(step.pieces.begin(), step.pieces.end(), task.piece);
  });
  std::vector<Start*> known;  // each is used by its own task only
  for (const PairTask& task : tasks) known.push_back(&pairs_[{task.piece, task.part}]);
  std::vector<Answer> answers(tasks.size());
  tbb::parallel_for(std::size_t{0}, tasks.size(), [&](std::size_t i) {
    if (progress.cancelled()) return;
    const bool carried = same_carriage[static_cast<std::size_t>(tasks[i].piece)];
    measure_pair(now, tasks[i], carried, progress, *known[i], answers[i]);
  });
  if (progress.cancelled()) return std::nullopt;
  for (Answer& answer : answers) {
    step.at_rest.pairs.push_back(std::move(answer.at_rest));
    step.over_motion.pairs.push_back(std::move(answer.over_motion));
    step.work.pairs += answer.work.pairs;
    step.work.far += answer.work.far;
    step.work.searches += answer.work.searches;
  }
  return step;
}

std::pair<ClearanceReport, ClearanceReport> LiveClearance::whole(const Step& step) const {
  const auto merge = [&](const ClearanceReport& start, const ClearanceReport& measured) {
    ClearanceReport out = measured;
    for (const PairClearance& pair : start.pairs) {
      if (!std::binary_search(step.pieces.begin(), step.pieces.end(), pair.piece)) out.pairs.push_back(pair);
    }
    std::sort(out.pairs.begin(), out.pairs.end(), [](const PairClearance& a, const PairClearance& b) {
      return std::pair(a.piece, a.part) < std::pair(b.piece, b.part);
    });
    return out;
  };
  return {merge(rest_, step.at_rest), merge(motion_, step.over_motion)};
}

}  // namespace baywright::measure
