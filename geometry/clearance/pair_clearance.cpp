#include "geometry/clearance/pair_clearance.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <queue>

#include "geometry/base/expects.hpp"
#include "geometry/clearance/enclosure.hpp"
#include "geometry/clearance/flexible_gap.hpp"
#include "geometry/clearance/moving_pair.hpp"
#include "geometry/clearance/placed.hpp"
#include "geometry/clearance/separation.hpp"

namespace baywright {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kSlack_mm = 5e-6;      // as in clearance.cpp: rounding, and the 2e-6 mm of iterative kernels
constexpr double kLeastGain_mm = 1e-6;  // as there
constexpr double kLeastPart_mm = 1e-4;  // a part shorter than that is not cut for want of anything better
constexpr std::size_t kMostCells = 100'000;

/// One shape: what it rides on and how it is first cut.
struct Rider {
  const Primitive* primitive = nullptr;
  Carriage carriage;
  std::vector<ShapePart> parts;
};

std::vector<Rider> riders_of(const RidingShapes& thing) {
  std::vector<Rider> out;
  for (const Primitive& p : thing.shapes) {
    const Aabb box = bounds(p.shape);
    EXPECTS(box.lo.allFinite() && box.hi.allFinite());
    Rider r{&p, carriage_of(thing.carriage, p.shape), first_shape_parts(p.shape)};
    if (r.carriage.gap) r.carriage.gap->held = false;  // its ends stay round, see the header
    out.push_back(std::move(r));
  }
  return out;
}

std::optional<BodyIndex> body_of(const Carriage& c) {
  if (c.second || (c.first.kind == RigidCarriage::Kind::link && c.first.a != c.first.b)) return std::nullopt;
  return c.first.a;
}

bool rides_on(const Carriage& carriage, BodyIndex body) {
  const auto holds = [body](const RigidCarriage& c) {
    return c.a == body || (c.kind == RigidCarriage::Kind::link && c.b == body);
  };
  return holds(carriage.first) || (carriage.second && holds(*carriage.second));
}

/// A shape's core at one pose: a tube's axis, a flat-ended solid itself.
struct PlacedCore {
  PlacedShape shape;
  double radius_mm = 0;
};

PlacedCore core_of(PlacedShape shape) {
  PlacedCore out;
  const auto bare = [&out](auto& tube) {
    out.radius_mm = tube.radius_mm;
    tube.radius_mm = 0;
  };
  if (auto* cylinder = std::get_if<Cylinder>(&shape)) bare(*cylinder);
  if (auto* arc = std::get_if<SweptArc>(&shape)) bare(*arc);
  if (auto* cubic = std::get_if<SweptCubic>(&shape)) bare(*cubic);
  out.shape = std::move(shape);
  return out;
}

/// Nearest point of a core to p; p itself where it lies in a solid.
Vec3 nearest_in(const PlacedCore& core, const Vec3& p) {
  const Contact contact = contact_with(core.shape, {p, p, p});
  return std::holds_alternative<Cone>(core.shape) && !(contact.distance_mm > 0) ? p : contact.on_shape;
}

struct CorePair {
  Vec3 on_first = Vec3::Zero(), on_second = Vec3::Zero();
  double apart_mm = kInfinity;
  void offer(const Vec3& p, const Vec3& q) {
    const double d = (p - q).norm();
    if (!(d < apart_mm)) return;
    on_first = p;
    on_second = q;
    apart_mm = d;
  }
};

/// Points of two cores that are near one another: nearest where one of them is straight, else from `start` downhill.
CorePair near_points(const PlacedCore& first, const PlacedCore& second, const Vec3& start) {
  CorePair out;
  const auto against_segment = [](const PlacedCore& core, const Cylinder& s) {
    const Contact contact = contact_with(core.shape, {s.a, s.b, s.b});
    const bool within = std::holds_alternative<Cone>(core.shape) && !(contact.distance_mm > 0);
    return std::pair(within ? contact.on_triangle : contact.on_shape, contact.on_triangle);
  };
  if (const auto* s = std::get_if<Cylinder>(&first.shape)) {
    const auto [q, p] = against_segment(second, *s);
    out.offer(p, q);
    return out;
  }
  if (const auto* s = std::get_if<Cylinder>(&second.shape)) {
    const auto [p, q] = against_segment(first, *s);
    out.offer(p, q);
    return out;
  }
  constexpr int kMostRounds = 40;
  constexpr double kStill_mm = 1e-5;
  Vec3 p = nearest_in(first, start);
  for (int i = 0; i < kMostRounds; ++i) {
    const double before = out.apart_mm;
    const Vec3 q = nearest_in(second, p);
    p = nearest_in(first, q);
    out.offer(p, q);
    if (!(out.apart_mm < before - kStill_mm)) break;
  }
  return out;
}

/// A part of a shape of each over a cell of one scenario, and what is known of it.
struct Task {
  double lower_mm = -kInfinity;
  std::size_t number = 0;
  std::size_t scenario = 0;
  ShapePair pair;
  ShapePart first, second;
  Cell cell;
  /// What cutting wins: the parameters, then axis and turn of the first and of the second.
  std::array<double, kMostParameters> parameter{}, travel{};
  std::array<double, 4> cut{}, extent{};
};

struct After {
  bool operator()(const Task& a, const Task& b) const {
    return a.lower_mm != b.lower_mm ? a.lower_mm > b.lower_mm : a.number < b.number;
  }
};

/// A ball around everywhere a part may be over a whole scenario.
struct Ball {
  Vec3 center = Vec3::Zero();
  double radius_mm = kInfinity;
};

Ball ball_around(const CarriedHull& hull) {
  Ball out;
  for (const VectorForm& p : hull.points) out.center += p.c / static_cast<double>(hull.points.size());
  double most = 0;
  for (const VectorForm& p : hull.points) most = std::max(most, (p.c - out.center).norm() + p.radius());
  out.radius_mm = std::isfinite(most) ? most + hull.radius_mm : kInfinity;
  return out;
}

/// Moving differences of the points of two hulls.
MovingPoints differences(const CarriedHull& first, const CarriedHull& second, int parameters) {
  std::vector<const VectorForm*> all;
  for (const VectorForm& p : first.points) all.push_back(&p);
  for (const VectorForm& p : second.points) all.push_back(&p);
  MovingPoints out(parameters, pairs_in(all));
  for (const VectorForm& a : first.points) {
    for (const VectorForm& b : second.points) {
      const std::size_t i = out.add();
      out.center(i) = a.c - b.c;
      for (int k = 0; k < parameters; ++k) out.set_term(i, k, a.generator(k) - b.generator(k));
      int at = parameters;
      for (const ParameterPair& pair : out.pairs()) {
        out.set_term(i, at++, a.pair(pair.k, pair.l) - b.pair(pair.k, pair.l));
      }
    }
  }
  return out;
}

/// Best-first branch and bound over (pair of shapes, parts of both, scenario, parameter box).
class PairSearch {
 public:
  PairSearch(const Kinematics& kinematics, const RidingShapes& first, const RidingShapes& second,
             const ClearanceOptions& options, const Progress& progress)
      : kinematics_(kinematics),
        options_(options),
        progress_(progress),
        first_(riders_of(first)),
        second_(riders_of(second)),
        scenarios_(pair_scenarios(kinematics, first.carriage, second.carriage)) {}

  PairBracket run(std::span<const ShapePair> pairs) {
    for (std::size_t s = 0; s < scenarios_.size(); ++s) {
      for (const ShapePair& pair : pairs) {
        if (progress_.cancelled()) return result(true);
        add_first_tasks(s, pair);
      }
      // What rest gives bounds the motions from above.
      if (s == 0) search();
    }
    search();
    if (!open_.empty()) settled_mm_ = std::min(settled_mm_, open_.top().lower_mm);
    return result(progress_.cancelled());
  }

 private:
  double target_lower() const {
    return std::min(upper_mm_ - 0.95 * options_.width_mm + kSlack_mm, options_.range_mm + kSlack_mm);
  }

  void search() {
    while (!open_.empty() && number_ < kMostCells && !progress_.cancelled()) {
      if (open_.top().lower_mm >= target_lower()) break;
      const Task task = open_.top();
      open_.pop();
      split(task);
    }
  }

  const Rider& first(const ShapePair& p) const { return first_[static_cast<std::size_t>(p.first)]; }
  const Rider& second(const ShapePair& p) const { return second_[static_cast<std::size_t>(p.second)]; }

  /// Whether anything of the scenario moves these two shapes against one another.
  bool concerns(std::size_t scenario, const ShapePair& pair) const {
    if (scenario == 0) return true;
    const Carriage &a = first(pair).carriage, &b = second(pair).carriage;
    if (const auto body = body_of(a); body && body == body_of(b)) return false;
    const auto& movers = scenarios_[scenario].first.movers;
    return std::any_of(movers.begin(), movers.end(),
                       [&](const Scenario::Mover& m) { return rides_on(a, m.body) || rides_on(b, m.body); });
  }

  void add_first_tasks(std::size_t scenario, const ShapePair& pair) {
    if (!concerns(scenario, pair)) return;
    const Scenario& s = scenarios_[scenario].first;
    Task task;
    task.scenario = scenario;
    task.pair = pair;
    for (std::size_t j = 0; j < s.from.size(); ++j) {
      task.cell.center.push_back(0.5 * (s.from[j] + s.to[j]));
      task.cell.half.push_back(0.5 * (s.to[j] - s.from[j]));
    }
    const auto &one = balls(0, task), &other = balls(1, task);
    for (std::size_t i = 0; i < one.size(); ++i) {
      for (std::size_t k = 0; k < other.size(); ++k) {
        const double apart =
            (one[i].center - other[k].center).norm() - one[i].radius_mm - other[k].radius_mm - kSlack_mm;
        if (apart >= target_lower()) {
          settled_mm_ = std::min(settled_mm_, apart);
          continue;
        }
        task.first = first(pair).parts[i];
        task.second = second(pair).parts[k];
        consider(task);
      }
    }
  }

  /// Of all first parts of a shape over a whole scenario, seen from the vehicle.
  const std::vector<Ball>& balls(int side, const Task& task) {
    const int index = side == 0 ? task.pair.first : task.pair.second;
    const auto [at, added] = balls_.try_emplace({task.scenario, side, index});
    if (!added) return at->second;
    const Rider& rider = side == 0 ? first(task.pair) : second(task.pair);
    const PairScenario& s = scenarios_[task.scenario];
    const CarriedForms forms(kinematics_, rider.carriage, 0, side == 0 ? s.first : s.second, task.cell.center,
                             task.cell.half);
    for (const ShapePart& part : rider.parts) {
      at->second.push_back(ball_around(carried_hull(rider.primitive->shape, part, rider.carriage, forms)));
    }
    return at->second;
  }

  /// The body from which the two are seen: one that one of them rides on, whose motion then cancels exactly.
  static BodyIndex seen_from(const Rider& a, const Rider& b) {
    return body_of(b.carriage).value_or(body_of(a.carriage).value_or(0));
  }

  void consider(Task task) {
    const Rider &a = first(task.pair), &b = second(task.pair);
    const PairScenario& scenario = scenarios_[task.scenario];
    const BodyIndex from = seen_from(a, b);
    const Cell& cell = task.cell;
    const CarriedForms forms_a(kinematics_, a.carriage, from, scenario.first, cell.center, cell.half);
    const CarriedForms forms_b(kinematics_, b.carriage, from, scenario.second, cell.center, cell.half);
    const CarriedHull hull_a = carried_hull(a.primitive->shape, task.first, a.carriage, forms_a);
    const CarriedHull hull_b = carried_hull(b.primitive->shape, task.second, b.carriage, forms_b);
    const double radii = hull_a.radius_mm + hull_b.radius_mm, rest = hull_a.rest_mm + hull_b.rest_mm;
    task.extent = {hull_a.axis_mm, hull_a.turn_mm, hull_b.axis_mm, hull_b.turn_mm};
    double lower = -radii;
    if (std::isfinite(rest)) {
      const MovingPoints moving = differences(hull_a, hull_b, scenario.first.count());
      const Corners3 origin = {Vec3::Zero(), Vec3::Zero(), Vec3::Zero()};
      const Separation gap =
          separation(moving, StandingTriangle(origin), target_lower() + radii + rest, 0.02 * options_.width_mm);
      if (gap.lower_mm - rest > 0) lower = gap.lower_mm - rest - radii;
      if (gap.near) {
        note_gains(moving, gap, rest, hull_a, hull_b, task);
        try_state(task, gap, hull_a, hull_b);
      }
    } else {
      note_ranges(task);
    }
    task.lower_mm = std::max(task.lower_mm, lower);
    task.number = number_++;
    if (task.lower_mm >= target_lower()) {
      settled_mm_ = std::min(settled_mm_, task.lower_mm);
    } else {
      open_.push(std::move(task));
    }
  }

  static void note_gains(const MovingPoints& moving, const Separation& gap, double rest, const CarriedHull& a,
                         const CarriedHull& b, Task& task) {
    const SplitGain gain = gain_at(moving, gap, rest, false);
    task.parameter = gain.parameter;
    task.travel = gain.travel;
    const double whole = task.extent[0] + task.extent[1] + task.extent[2] + task.extent[3];
    const std::array<const Vec3*, 4> bulge = {&a.axis_bulge, &a.turn_bulge, &b.axis_bulge, &b.turn_bulge};
    for (std::size_t i = 0; i < 4; ++i) {
      const double facing = gap.lower_mm > 0 ? std::abs(gap.w.dot(*bulge[i])) : bulge[i]->norm();
      task.cut[i] = 0.5 * facing + (whole > 0 ? gain.along_axis * task.extent[i] / whole : 0);
    }
  }

  /// What to split where nothing can be enclosed yet.
  void note_ranges(Task& task) const {
    const Scenario& s = scenarios_[task.scenario].first;
    const Scenario& t = scenarios_[task.scenario].second;
    for (int k = 0; k < s.count(); ++k) {
      const auto i = static_cast<std::size_t>(k);
      const bool share = s.is_share(k) || t.is_share(k);
      if (s.to[i] > s.from[i]) {
        task.parameter[i] = (share ? 1e6 : 1e9) * task.cell.half[i] / (s.to[i] - s.from[i]);
      }
    }
  }

  /// The parameters at which the hulls came nearest make a true pose: an upper end.
  void try_state(const Task& task, const Separation& gap, const CarriedHull& hull_a, const CarriedHull& hull_b) {
    const PairScenario& scenario = scenarios_[task.scenario];
    std::vector<double> u = task.cell.center;
    for (std::size_t k = 0; k < u.size(); ++k) u[k] += std::clamp(gap.e[k], -1.0, 1.0) * task.cell.half[k];
    const PosedState state = state_at(kinematics_, scenario.first, u);
    const PosedState other = state_at(kinematics_, scenario.second, u);
    const auto core = [&](const Rider& r, const PosedState& at) {
      return core_of(placed_shape(kinematics_, r.carriage, r.primitive->shape, at, Pose(), Vec3::Zero()));
    };
    const PlacedCore a = core(first(task.pair), state), b = core(second(task.pair), other);
    // Where the second's hull was nearest, as good a start as any: carried out of the frame it was seen from.
    const BodyIndex from = seen_from(first(task.pair), second(task.pair));
    const Pose X =
        pose_at(kinematics_.bodies[static_cast<std::size_t>(from)], state.bodies[static_cast<std::size_t>(from)]);
    Vec3 start = Vec3::Zero();
    for (std::size_t i = 0; i < hull_a.points.size(); ++i) {
      for (std::size_t k = 0; k < hull_b.points.size(); ++k) {
        start += gap.weight[i * hull_b.points.size() + k] * hull_b.points[k].c;
      }
    }
    const CorePair near = near_points(a, b, X * start);
    const double value = near.apart_mm - a.radius_mm - b.radius_mm;
    if (!(value < upper_mm_)) return;
    upper_mm_ = value;
    best_.state = state;
    best_.second_state = other;
    best_.first = task.pair.first;
    best_.second = task.pair.second;
    Vec3 way = near.on_second - near.on_first;
    const Vec3 any = any_perpendicular(hull_a.points.back().c - hull_a.points.front().c);
    way = near.apart_mm > 1e-9 ? Vec3(way / near.apart_mm) : any;
    best_.on_first = near.on_first + a.radius_mm * way;
    best_.on_second = near.on_second - b.radius_mm * way;
  }

  void split(const Task& task) {
    const int count = scenarios_[task.scenario].first.count();
    int best = -1;
    double most = 0;
    const auto offer = [&](double gain, int which) {
      if (!(gain > most)) return;
      most = gain;
      best = which;
    };
    for (int k = 0; k < count; ++k) offer(task.parameter[static_cast<std::size_t>(k)], k);
    for (int i = 0; i < 4; ++i) offer(task.cut[static_cast<std::size_t>(i)], count + i);
    if (!(most > kLeastGain_mm)) {
      // Nothing is known to be lost, yet the ends are apart: whatever moves or reaches farthest.
      best = -1;
      most = kLeastPart_mm;
      for (int k = 0; k < count; ++k) offer(task.travel[static_cast<std::size_t>(k)], k);
      for (int i = 0; i < 4; ++i) offer(task.extent[static_cast<std::size_t>(i)], count + i);
    }
    if (best < 0) {
      settled_mm_ = std::min(settled_mm_, task.lower_mm);
      return;
    }
    for (const int side : {-1, 1}) consider(half_of(task, best, side));
  }

  Task half_of(const Task& task, int which, int side) const {
    Task child = task;
    const int count = scenarios_[task.scenario].first.count();
    if (which < count) {
      const auto k = static_cast<std::size_t>(which);
      child.cell.half[k] *= 0.5;
      child.cell.center[k] += side * child.cell.half[k];
      return child;
    }
    ShapePart& part = which - count < 2 ? child.first : child.second;
    const bool turn = (which - count) % 2 == 1;
    double &from = turn ? part.turn_from : part.from, &to = turn ? part.turn_to : part.to;
    (side < 0 ? to : from) = 0.5 * (from + to);
    return child;
  }

  PairBracket result(bool cancelled) const {
    PairBracket out = best_;
    out.cells = number_;
    out.beyond_range = !cancelled && settled_mm_ >= options_.range_mm + kSlack_mm;
    out.hi_mm = out.beyond_range ? kInfinity : upper_mm_;
    out.lo_mm = cancelled          ? -kInfinity
                : out.beyond_range ? options_.range_mm
                                   : std::min(settled_mm_, upper_mm_) - kSlack_mm;
    if (out.state.bodies.empty()) out.state.bodies.resize(kinematics_.bodies.size());
    if (out.second_state.bodies.empty()) out.second_state = out.state;
    return out;
  }

  const Kinematics& kinematics_;
  const ClearanceOptions& options_;
  const Progress& progress_;
  const std::vector<Rider> first_, second_;
  const std::vector<PairScenario> scenarios_;
  std::map<std::tuple<std::size_t, int, int>, std::vector<Ball>> balls_;
  std::priority_queue<Task, std::vector<Task>, After> open_;
  std::size_t number_ = 0;
  double upper_mm_ = kInfinity;
  double settled_mm_ = kInfinity;  ///< smallest lower bound of all that is done
  PairBracket best_;
};

}  // namespace

PairBracket pair_clearance(const Kinematics& kinematics, const RidingShapes& first, const RidingShapes& second,
                           std::span<const ShapePair> pairs, const ClearanceOptions& options,
                           const Progress& progress) {
  EXPECTS(options.width_mm >= 1e-3 && std::isfinite(options.range_mm));
  return PairSearch(kinematics, first, second, options, progress).run(pairs);
}

std::vector<ShapePair> all_shape_pairs(std::size_t first, std::size_t second) {
  std::vector<ShapePair> out;
  out.reserve(first * second);
  for (std::size_t i = 0; i < first; ++i) {
    for (std::size_t k = 0; k < second; ++k) out.push_back({static_cast<int>(i), static_cast<int>(k)});
  }
  return out;
}

}  // namespace baywright
