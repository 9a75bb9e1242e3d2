#include "geometry/clearance/joint_motion.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <queue>

#include "geometry/base/expects.hpp"
#include "geometry/clearance/carried.hpp"
#include "geometry/clearance/enclosure.hpp"
#include "geometry/clearance/moving_points.hpp"
#include "geometry/shape_kernels.hpp"

namespace baywright {
namespace {

using Wanted = JointQuantity;

TubeEnd moved(const Kinematics& kinematics, const CarriedEnd& what, const PosedState& state) {
  const Pose X = carriage_pose(kinematics, what.carriage, state);
  return {X * what.end.p_mm, X.R * what.end.axis};
}

/// Both ends, and a direction across the upstream axis by which a twist is told.
struct MovingJoint {
  const Kinematics& kinematics;
  const CarriedEnd& upstream;
  const CarriedEnd& downstream;
  Vec3 ex, ey;
  BodyIndex seen_from = 0;
  std::vector<Scenario> scenarios;
  Carriage first, second;

  MovingJoint(const Kinematics& k, const CarriedEnd& a, const CarriedEnd& b)
      : kinematics(k), upstream(a), downstream(b) {
    ex = any_perpendicular(a.end.axis);
    ey = a.end.axis.cross(ex);
    // Seen from a body that one of them rides on its own motion cancels.
    const auto fixed = [](const RigidCarriage& c) { return c.kind == RigidCarriage::Kind::fixed || c.a == c.b; };
    seen_from = fixed(a.carriage) ? a.carriage.a : fixed(b.carriage) ? b.carriage.a : 0;
    first.first = a.carriage;
    second.first = b.carriage;
    Carriage both = first;
    both.second = b.carriage;
    both.gap = Gap{Vec3::Zero(), Vec3::UnitX()};  // no mixture: each end has its own motion
    scenarios = baywright::scenarios(k, both, seen_from);
  }

  double exact(Wanted wanted, const PosedState& state) const {
    const JointOffset at = joint_offset_at(kinematics, upstream, downstream, state);
    switch (wanted) {
      case Wanted::gap:
        return at.gap_mm;
      case Wanted::shortest:
        return -at.gap_mm;
      case Wanted::lateral:
        return at.lateral_mm;
      case Wanted::angle:
        return at.angle.si();
      default:
        break;
    }
    const auto A = carriage_pose(kinematics, upstream.carriage, state).R;
    const auto B = carriage_pose(kinematics, downstream.carriage, state).R;
    const Vec3 x = B * ex;
    const double twist = std::atan2((A * ey).dot(x), (A * ex).dot(x));
    return wanted == Wanted::twist ? twist : -twist;
  }

  /// A quantity that grows with the wanted one, over a cell; wanted_of() takes it back.
  ScalarForm form(Wanted wanted, const Scenario& scenario, const Cell& cell) const {
    const CarriedForms a(kinematics, first, seen_from, scenario, cell.center, cell.half);
    const CarriedForms b(kinematics, second, seen_from, scenario, cell.center, cell.half);
    const CarriedForms::Frame u = a.frame(upstream.end.axis, ex, ey);
    if (wanted == Wanted::gap || wanted == Wanted::shortest || wanted == Wanted::lateral) {
      const VectorForm apart = b.point(downstream.end.p_mm) - a.point(upstream.end.p_mm);
      if (wanted == Wanted::gap) return dot(u.along, apart);
      if (wanted == Wanted::shortest) return -1.0 * dot(u.along, apart);
      const VectorForm aside = cross(u.along, apart);
      return dot(aside, aside);
    }
    if (wanted == Wanted::angle) {
      const VectorForm chord = u.along + b.frame(downstream.end.axis, ex, ey).along;  // of two unit vectors
      return dot(chord, chord);
    }
    const VectorForm x = b.frame(downstream.end.axis, ex, ey).ex;
    const ScalarForm twist = angle_of(dot(u.ey, x), dot(u.ex, x));
    return wanted == Wanted::twist ? twist : -1.0 * twist;
  }
  static double wanted_of(Wanted wanted, double value) {
    if (wanted == Wanted::lateral) return std::sqrt(std::max(value, 0.0));
    if (wanted == Wanted::angle) return 2 * std::asin(std::min(1.0, 0.5 * std::sqrt(std::max(value, 0.0))));
    if (wanted == Wanted::twist || wanted == Wanted::untwist) return std::min(value, std::numbers::pi);
    return value;
  }
};

struct Top {
  double value = 0;                         ///< never exceeded in the cell
  std::array<double, kMostParameters> e{};  ///< where it is about that much
  std::array<double, kMostParameters> loss{};
};
/// Highest value of a form. What is lost: products that count as free, and what the form misses, which goes to each
/// parameter by its share of the travel.
Top top_of(const ScalarForm& form) {
  Top out;
  out.value = form.c + form.rest;
  const double travel = std::max(form.linear_size() + form.pair_size(), 1e-300);
  for (int k = 0; k < form.n; ++k) {
    const auto i = static_cast<std::size_t>(k);
    double bend = form.pair(k, k), products = 0;
    for (int l = 0; l < form.n; ++l) {
      if (l != k) products += 0.5 * std::abs(form.pair(k, l));
    }
    bend += products;
    const Highest at = highest(form.generator(k), bend);
    out.value += at.value;
    out.e[i] = at.at;
    out.loss[i] = products + form.rest * (std::abs(form.generator(k)) + products + std::abs(form.pair(k, k))) / travel;
  }
  return out;
}

struct Task {
  double top = 0;
  std::size_t number = 0;
  std::size_t scenario = 0;
  Cell cell;
  std::array<double, kMostParameters> loss{};
  bool operator<(const Task& o) const { return top != o.top ? top < o.top : number > o.number; }
};

class GreatestSearch {
 public:
  GreatestSearch(const MovingJoint& joint, Wanted wanted, double width, std::size_t most_cells,
                 const Progress& progress)
      : joint_(joint), wanted_(wanted), width_(width), most_cells_(most_cells), progress_(progress) {}

  Greatest run() {
    best_.state.bodies.resize(joint_.kinematics.bodies.size());
    best_.attained = joint_.exact(wanted_, best_.state);
    for (std::size_t s = 0; s < joint_.scenarios.size(); ++s) add_first(s);
    while (!open_.empty() && number_ < most_cells_ && !progress_.cancelled()) {
      const Task task = open_.top();
      if (task.top <= best_.attained + width_) break;
      open_.pop();
      split(task);
    }
    best_.bound = std::max(best_.attained + kRounding, settled_);
    if (!open_.empty()) best_.bound = std::max(best_.bound, open_.top().top);
    return best_;
  }

 private:
  static constexpr double kRounding = 1e-9;  // of doubles a few hundred times at 1e4 mm

  void add_first(std::size_t scenario) {
    const Scenario& s = joint_.scenarios[scenario];
    if (s.count() == 0) return;  // rest
    Task task;
    task.scenario = scenario;
    for (std::size_t j = 0; j < s.from.size(); ++j) {
      task.cell.center.push_back(0.5 * (s.from[j] + s.to[j]));
      task.cell.half.push_back(0.5 * (s.to[j] - s.from[j]));
    }
    consider(std::move(task));
  }

  void consider(Task task) {
    const Scenario& s = joint_.scenarios[task.scenario];
    const ScalarForm form = joint_.form(wanted_, s, task.cell);
    task.number = number_++;
    if (std::isfinite(form.rest)) {
      const Top top = top_of(form);
      task.top = MovingJoint::wanted_of(wanted_, top.value) + kRounding;
      task.loss = top.loss;
      attain(s, task.cell, top.e);
    } else {
      task.top = std::numeric_limits<double>::infinity();
      for (std::size_t k = 0; k < s.from.size(); ++k) task.loss[k] = task.cell.half[k] / (s.to[k] - s.from[k] + 1e-300);
    }
    if (task.top <= best_.attained + width_) {
      settled_ = std::max(settled_, task.top);
      return;
    }
    open_.push(std::move(task));
  }

  void attain(const Scenario& s, const Cell& cell, const std::array<double, kMostParameters>& e) {
    std::vector<double> u = cell.center;
    for (std::size_t k = 0; k < u.size(); ++k) u[k] += std::clamp(e[k], -1.0, 1.0) * cell.half[k];
    PosedState state = state_at(joint_.kinematics, s, u);
    const double value = joint_.exact(wanted_, state);
    if (!(value > best_.attained)) return;
    best_.attained = value;
    best_.state = std::move(state);
  }

  void split(const Task& task) {
    const auto n = static_cast<std::size_t>(joint_.scenarios[task.scenario].count());
    const auto k = static_cast<std::size_t>(
        std::max_element(task.loss.begin(), task.loss.begin() + static_cast<std::ptrdiff_t>(n)) - task.loss.begin());
    if (!(task.loss[k] > 0)) {  // the bound is attained but for rounding
      settled_ = std::max(settled_, task.top);
      return;
    }
    for (const int side : {-1, 1}) {
      Task child;
      child.scenario = task.scenario;
      child.cell = task.cell;
      child.cell.half[k] *= 0.5;
      child.cell.center[k] += side * child.cell.half[k];
      consider(std::move(child));
    }
  }

  const MovingJoint& joint_;
  const Wanted wanted_;
  const double width_;
  const std::size_t most_cells_;
  const Progress& progress_;
  std::priority_queue<Task> open_;
  std::size_t number_ = 0;
  double settled_ = -std::numeric_limits<double>::infinity();
  Greatest best_;
};

}  // namespace

JointOffset joint_offset(const TubeEnd& upstream, const TubeEnd& downstream) {
  const Vec3 apart = downstream.p_mm - upstream.p_mm;
  const Vec3 into = -downstream.axis;
  JointOffset offset;
  offset.gap_mm = apart.dot(upstream.axis);
  offset.lateral_mm = (apart - offset.gap_mm * upstream.axis).norm();
  // Well conditioned near 0, where acos of the cosine is not.
  offset.angle = radians(std::atan2(upstream.axis.cross(into).norm(), upstream.axis.dot(into)));
  return offset;
}

JointOffset joint_offset_at(const Kinematics& kinematics, const CarriedEnd& upstream, const CarriedEnd& downstream,
                            const PosedState& state) {
  return joint_offset(moved(kinematics, upstream, state), moved(kinematics, downstream, state));
}

Greatest greatest_over_motion(const Kinematics& kinematics, const CarriedEnd& upstream, const CarriedEnd& downstream,
                              JointQuantity quantity, const JointMotionOptions& options, const Progress& progress) {
  for (const CarriedEnd* end : {&upstream, &downstream}) EXPECTS(std::abs(end->end.axis.norm() - 1) < 1e-9);
  const bool in_mm =
      quantity == JointQuantity::gap || quantity == JointQuantity::shortest || quantity == JointQuantity::lateral;
  const MovingJoint joint(kinematics, upstream, downstream);
  return GreatestSearch(joint, quantity, in_mm ? options.width_mm : options.width_rad, options.most_cells, progress)
      .run();
}

}  // namespace baywright
