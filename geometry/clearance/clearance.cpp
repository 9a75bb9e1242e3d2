#include "geometry/clearance/clearance.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <queue>

#include "geometry/base/expects.hpp"
#include "geometry/clearance/flexible_gap.hpp"
#include "geometry/clearance/placed.hpp"
#include "geometry/clearance/tree_search.hpp"

namespace baywright {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kTie_mm = 0.2;
// What arithmetic and iterative kernels may add to a distance: kernels stop within 2e-6 mm, doubles at 10 m round at
// 1e-12 mm a few hundred times. Taken off every lower end.
constexpr double kSlack_mm = 5e-6;
constexpr double kLeastGain_mm = 1e-6;  // a cell that no split can tighten by more is left as it is
constexpr std::size_t kReportEvery = 5'000;
constexpr std::size_t kMostCells = 400'000;  // a bracket that is still open then is returned open

struct Problem {
  const Kinematics& kinematics;
  std::span<const Primitive> shapes;
  const Carriage& carriage;
  const TriTree::Impl& tree;
  BodyIndex surface_body;
  std::vector<Carriage> carriages;  ///< of each shape

  Problem(const Kinematics& k, std::span<const Primitive> of, const Carriage& on, const TriTree& against,
          BodyIndex body)
      : kinematics(k), shapes(of), carriage(on), tree(*against.impl()), surface_body(body) {
    carriages.reserve(shapes.size());
    for (const Primitive& p : shapes) carriages.push_back(carriage_of(carriage, p.shape));
  }
};

/// The shape where `state` puts it, seen from the surface's body, relative to the tree's origin.
PlacedShape placed(const Problem& problem, std::size_t index, const PosedState& state) {
  const Pose back = pose_at(problem.kinematics.bodies[static_cast<std::size_t>(problem.surface_body)],
                            state.bodies[static_cast<std::size_t>(problem.surface_body)])
                        .inverse();
  return placed_shape(problem.kinematics, problem.carriages[index], problem.shapes[index].shape, state, back,
                      problem.tree.origin);
}

PosedState rest_of(const Kinematics& kinematics) {
  PosedState state;
  state.bodies.resize(kinematics.bodies.size());
  return state;
}

/// Exact distance at one state wherever it is at most `limit_mm`.
Bracket at_state(const Problem& problem, const PosedState& state, double limit_mm) {
  Bracket out;
  out.lo_mm = limit_mm;
  out.hi_mm = kInfinity;
  out.beyond_range = true;
  out.state = state;
  // The shape that is likely to be nearest first: the others then only have to be shown farther.
  std::vector<PlacedShape> shapes;
  std::vector<double> some_mm;
  std::vector<std::size_t> order(problem.shapes.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  for (const std::size_t i : order) {
    shapes.push_back(placed(problem, i, state));
    some_mm.push_back(order.size() > 1 ? some_distance(problem.tree, shapes.back(), limit_mm) : limit_mm);
  }
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return some_mm[a] < some_mm[b]; });
  std::optional<Nearby> best;
  double limit = order.empty() ? limit_mm : std::min(limit_mm, some_mm[order.front()]);
  for (const std::size_t i : order) {
    const auto found = nearest_to(problem.tree, shapes[i], limit);
    if (!found) continue;
    const int index = static_cast<int>(i);
    if (best && !(found->distance_mm < best->distance_mm ||
                  (found->distance_mm == best->distance_mm && index < out.primitive))) {
      continue;
    }
    best = found;
    limit = found->distance_mm;
    out.primitive = index;
  }
  if (!best) return out;
  const Pose P = pose_at(problem.kinematics.bodies[static_cast<std::size_t>(problem.surface_body)],
                         state.bodies[static_cast<std::size_t>(problem.surface_body)]);
  out.beyond_range = false;
  out.lo_mm = out.hi_mm = best->distance_mm;
  out.on_shape = P * (problem.tree.origin + best->contact.on_shape);
  out.on_surface = P * (problem.tree.origin + best->contact.on_triangle);
  out.triangle = best->source;
  return out;
}

void count_ties(const Problem& problem, Bracket& bracket) {
  std::vector<std::uint32_t> sources;
  const auto collect = [&](std::size_t shape) {
    if (sources.size() >= 2) return;
    collect_two(problem.tree, placed(problem, shape, bracket.state), bracket.hi_mm + kTie_mm, sources);
  };
  if (bracket.primitive >= 0) collect(static_cast<std::size_t>(bracket.primitive));  // usually enough
  for (std::size_t i = 0; i < problem.shapes.size(); ++i) collect(i);
  bracket.near_ties = sources.size();
}

/// A part of a shape over a cell of one scenario, and what is known about it.
struct Task {
  double lower_mm = -kInfinity;
  std::size_t number = 0;  ///< order of making: breaks ties, so the search is the same every time
  std::size_t scenario = 0;
  std::size_t shape = 0;
  Span part;
  Cell cell;
  SplitGain gain;
  std::optional<std::uint32_t> ref;  ///< nearest so far
  Vec3 w = Vec3::Zero();             ///< direction in which it lies
};

/// Lowest bound first; of equals the newest, so that a plateau is searched in depth and soon gives upper bounds.
struct After {
  bool operator()(const Task& a, const Task& b) const {
    return a.lower_mm != b.lower_mm ? a.lower_mm > b.lower_mm : a.number < b.number;
  }
};

/// Best-first branch and bound over (shape, part of its axis, scenario, parameter box).
class Search {
 public:
  Search(const Problem& problem, const ClearanceOptions& options, const Progress& progress, const ClearanceHint* hint)
      : problem_(problem),
        options_(options),
        progress_(progress),
        hint_(hint),
        scenarios_(scenarios(problem.kinematics, problem.carriage, problem.surface_body)) {}

  Bracket run() {
    best_ = rest_of(problem_.kinematics);
    if (hint_) start_at_hint();
    start_at_rest();
    for (std::size_t s = 0; s < scenarios_.size(); ++s) {
      if (scenarios_[s].count() == 0) continue;  // rest, and that is done exactly
      for (std::size_t i = 0; i < problem_.shapes.size(); ++i) {
        if (progress_.cancelled()) return cancelled();
        add_first_tasks(s, i);
      }
    }
    while (!open_.empty() && number_ < kMostCells) {
      if (progress_.cancelled()) return cancelled();
      const Task task = open_.top();
      if (task.lower_mm >= target_lower()) break;
      open_.pop();
      split(task);
      if (number_ >= next_report_) report_progress();
    }
    if (!open_.empty()) settled_mm_ = std::min(settled_mm_, open_.top().lower_mm);
    return result();
  }

 private:
  /// Only searches that take long get here.
  void report_progress() {
    next_report_ = number_ + kReportEvery;
    char text[80];
    std::snprintf(text, sizeof text, "a difficult pair: %zu of at most %zu cells", number_, kMostCells);
    progress_.report(text, static_cast<double>(number_) / static_cast<double>(kMostCells));
  }

  /// Where the lower end has to be for the bracket to be narrow enough, or the range to be empty.
  double target_lower() const {
    return std::min(upper_mm_ - 0.95 * options_.width_mm + kSlack_mm, options_.range_mm + kSlack_mm);
  }

  /// The hinted triangle at the hinted pose: attained, so an upper end.
  void start_at_hint() {
    const auto& where = problem_.tree.where;
    if (hint_->triangle >= where.size() || where[hint_->triangle] == TriTree::Impl::kNone) return;
    first_ = where[hint_->triangle];
    PosedState state = hint_->state;
    state.bodies.resize(problem_.kinematics.bodies.size());
    for (std::size_t i = 0; i < problem_.shapes.size(); ++i) {
      const double there = value_of(problem_.tree, placed(problem_, i, state), *first_, upper_mm_).distance_mm;
      if (!(there < upper_mm_)) continue;
      upper_mm_ = there;
      best_ = state;
    }
  }

  void start_at_rest() {
    const double limit = std::min(options_.range_mm, upper_mm_) + kSlack_mm;
    const PosedState at_rest = rest_of(problem_.kinematics);
    const Bracket rest = at_state(problem_, at_rest, limit);
    settled_mm_ = rest.beyond_range ? limit : rest.hi_mm;
    if (!(rest.hi_mm <= upper_mm_) || rest.beyond_range) return;
    upper_mm_ = rest.hi_mm;
    best_ = at_rest;
    all_at_best_ = rest;
  }

  void add_first_tasks(std::size_t scenario, std::size_t shape) {
    const int parts = first_parts(problem_.shapes[shape].shape);
    const Scenario& s = scenarios_[scenario];
    for (int k = 0; k < parts; ++k) {
      Task task;
      task.ref = first_;
      task.scenario = scenario;
      task.shape = shape;
      task.part = {static_cast<double>(k) / parts, static_cast<double>(k + 1) / parts};
      for (std::size_t j = 0; j < s.from.size(); ++j) {
        task.cell.center.push_back(0.5 * (s.from[j] + s.to[j]));
        task.cell.half.push_back(0.5 * (s.to[j] - s.from[j]));
      }
      consider(std::move(task));
    }
  }

  Enclosure enclosure(const Task& task) const {
    const Carried carried{problem_.kinematics, problem_.carriages[task.shape], problem_.surface_body,
                          problem_.tree.origin};
    return {problem_.shapes[task.shape].shape, task.part, carried, scenarios_[task.scenario], task.cell};
  }

  /// Bounds a new task; keeps it when it may still matter.
  void consider(Task task) {
    const Enclosure around = enclosure(task);
    CellBound bound;
    bound.lower_mm = -around.greatest_depth_mm();
    if (std::isfinite(around.rest_mm())) {
      const bool curved = std::holds_alternative<TorusSegment>(problem_.shapes[task.shape].shape) ||
                          problem_.carriages[task.shape].flexible();
      bound =
          bound_over_cell(problem_.tree, around, {target_lower(), 0.02 * options_.width_mm, curved, task.ref, task.w});
    } else {
      bound.gain = gain_without_enclosure(task);
    }
    if (bound.ref) bound.w = try_state(task, bound);
    task.lower_mm = std::max(task.lower_mm, bound.lower_mm);
    task.number = number_++;
    if (task.lower_mm >= target_lower()) {
      settled_mm_ = std::min(settled_mm_, task.lower_mm);
      return;
    }
    task.ref = bound.ref;
    task.w = bound.w;
    task.gain = bound.gain;
    open_.push(std::move(task));
  }

  /// The triangle and the parameters at which the enclosure came nearest make a true pose: an upper bound. Returns the
  /// direction from the shape's inside to the triangle there.
  Vec3 try_state(const Task& task, const CellBound& bound) {
    std::vector<double> u = task.cell.center;
    for (std::size_t k = 0; k < u.size(); ++k) u[k] += std::clamp(bound.e[k], -1.0, 1.0) * task.cell.half[k];
    const PosedState state = state_at(problem_.kinematics, scenarios_[task.scenario], u);
    const PlacedShape shape = placed(problem_, task.shape, state);
    const Nearby there = value_of(problem_.tree, shape, *bound.ref, upper_mm_);
    if (there.distance_mm < upper_mm_) {
      upper_mm_ = there.distance_mm;
      best_ = state;
      all_at_best_.reset();
    }
    const Vec3 w = std::copysign(1.0, there.distance_mm) * (there.contact.on_triangle - there.contact.on_shape);
    const double l = w.norm();
    return l > 1e-9 ? Vec3(w / l) : bound.w;
  }

  void split(const Task& task) {
    const int count = scenarios_[task.scenario].count();
    int best = -1;
    double most = task.gain.along_axis;
    const auto offer = [&](const std::array<double, kMostParameters>& gain) {
      for (int k = 0; k < count; ++k) {
        if (!(gain[static_cast<std::size_t>(k)] > most)) continue;
        most = gain[static_cast<std::size_t>(k)];
        best = k;
      }
    };
    offer(task.gain.parameter);
    if (!(most > kLeastGain_mm)) {
      // Nothing is known to be lost, yet the ends are apart: whatever moves most.
      best = -1;
      most = 0;
      offer(task.gain.travel);
    }
    if (!(most > kLeastGain_mm)) {
      settled_mm_ = std::min(settled_mm_, task.lower_mm);
      return;
    }
    for (const int side : {-1, 1}) {
      Task child = task;
      if (best < 0) {
        const double middle = 0.5 * (task.part.from + task.part.to);
        (side < 0 ? child.part.to : child.part.from) = middle;
      } else {
        const auto k = static_cast<std::size_t>(best);
        child.cell.half[k] *= 0.5;
        child.cell.center[k] += side * child.cell.half[k];
      }
      consider(std::move(child));
    }
  }

  /// What to split where nothing can be enclosed yet: the motions (by their share of the whole range), then the shares
  /// between them.
  SplitGain gain_without_enclosure(const Task& task) const {
    const Scenario& s = scenarios_[task.scenario];
    SplitGain out;
    for (int k = 0; k < s.count(); ++k) {
      const auto i = static_cast<std::size_t>(k);
      if (s.to[i] > s.from[i]) {
        out.parameter[i] = (s.is_share(k) ? 1e6 : 1e9) * task.cell.half[i] / (s.to[i] - s.from[i]);
      }
    }
    return out;
  }

  Bracket cancelled() const {
    Bracket out = result();
    out.lo_mm = -kInfinity;
    out.beyond_range = false;
    return out;
  }

  Bracket result() const {
    Bracket out;
    const bool beyond = settled_mm_ >= options_.range_mm + kSlack_mm;
    if (!beyond && std::isfinite(upper_mm_)) {
      // All shapes again at the best pose: may only lower the upper end, and gives its witnesses.
      out = all_at_best_ ? *all_at_best_ : at_state(problem_, best_, upper_mm_ + 1e-3);
      count_ties(problem_, out);
    } else {
      out.state = best_;
      out.hi_mm = kInfinity;
    }
    out.beyond_range = beyond;
    out.cells = number_;
    out.lo_mm = beyond ? options_.range_mm : std::min(settled_mm_, out.hi_mm) - kSlack_mm;
    return out;
  }

  const Problem& problem_;
  const ClearanceOptions& options_;
  const Progress& progress_;
  const ClearanceHint* hint_;
  std::optional<std::uint32_t> first_;  ///< reference of the hinted triangle
  const std::vector<Scenario> scenarios_;
  std::priority_queue<Task, std::vector<Task>, After> open_;
  std::size_t number_ = 0;
  std::size_t next_report_ = kReportEvery;
  double upper_mm_ = kInfinity;
  double settled_mm_ = kInfinity;  ///< smallest lower bound of all cells that are done
  PosedState best_;
  std::optional<Bracket> all_at_best_;  ///< all shapes at `best_`, where that has been looked at
};

void check(const Problem& problem, const ClearanceOptions& options) {
  EXPECTS(options.width_mm >= 1e-3 && std::isfinite(options.range_mm));
  EXPECTS(problem.surface_body >= 0 &&
          static_cast<std::size_t>(problem.surface_body) < problem.kinematics.bodies.size());
  for (const Primitive& p : problem.shapes) {
    const Aabb box = bounds(p.shape);
    EXPECTS(box.lo.allFinite() && box.hi.allFinite());
  }
}

}  // namespace

Bracket clearance(const Kinematics& kinematics, std::span<const Primitive> shapes, const Carriage& carriage,
                  const TriTree& tree, BodyIndex surface_body, const ClearanceOptions& options,
                  const Progress& progress, const ClearanceHint* hint) {
  const Problem problem(kinematics, shapes, carriage, tree, surface_body);
  check(problem, options);
  return Search(problem, options, progress, hint).run();
}

Bracket clearance_at_rest(std::span<const Primitive> shapes, const TriTree& tree, const ClearanceOptions& options,
                          const ClearanceHint* hint) {
  Kinematics still;
  still.bodies.resize(1);
  const ClearanceHint at_rest{{}, hint ? hint->triangle : 0};
  return clearance(still, shapes, Carriage::on(0), tree, 0, options, {}, hint ? &at_rest : nullptr);
}

Bracket clearance_at_rest(std::span<const Primitive> shapes, const Carriage& carriage, const TriTree& tree,
                          const ClearanceOptions& options, const ClearanceHint* hint) {
  if (!carriage.flexible()) return clearance_at_rest(shapes, tree, options, hint);
  Kinematics still;
  still.bodies.resize(1);
  Carriage joint = Carriage::on(0);
  joint.second = joint.first;
  joint.gap = carriage.gap;
  const ClearanceHint at_rest{{}, hint ? hint->triangle : 0};
  return clearance(still, shapes, joint, tree, 0, options, {}, hint ? &at_rest : nullptr);
}

Bracket clearance_at(const Kinematics& kinematics, std::span<const Primitive> shapes, const Carriage& carriage,
                     const TriTree& tree, BodyIndex surface_body, const PosedState& state,
                     const ClearanceOptions& options) {
  const Problem problem(kinematics, shapes, carriage, tree, surface_body);
  check(problem, options);
  PosedState full = state;
  full.bodies.resize(kinematics.bodies.size());
  Bracket out = at_state(problem, full, options.range_mm);
  if (!out.beyond_range) count_ties(problem, out);
  return out;
}

}  // namespace baywright
