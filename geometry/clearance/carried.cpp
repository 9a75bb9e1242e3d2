#include "geometry/clearance/carried.hpp"

#include <algorithm>
#include <functional>

#include "geometry/base/expects.hpp"

namespace baywright {
namespace {

const MotionMember& member_of(const Kinematics& kinematics, const Scenario::Mover& mover) {
  return kinematics.bodies[static_cast<std::size_t>(mover.body)].members()[static_cast<std::size_t>(mover.member)];
}

/// A rod between two points of one body moves as that body.
bool is_link(const RigidCarriage& c) { return c.kind == RigidCarriage::Kind::link && c.a != c.b; }

void add_bodies(const RigidCarriage& c, std::vector<BodyIndex>& bodies) {
  bodies.push_back(c.a);
  if (is_link(c)) bodies.push_back(c.b);
}

Scenario scenario_of(const Kinematics& kinematics, const Carriage& carriage,
                     const std::vector<std::pair<BodyIndex, int>>& movers) {
  Scenario s;
  const auto moves = [&](BodyIndex body) {
    return std::any_of(movers.begin(), movers.end(), [&](const auto& m) { return m.first == body; });
  };
  const auto add = [&](double from, double to) {
    s.from.push_back(from);
    s.to.push_back(to);
    return s.count() - 1;
  };
  for (const auto& [body, member] : movers) {
    const Scenario::Mover mover{body, member, s.count()};
    const MotionMember& m = member_of(kinematics, mover);
    if (m.shape == MotionMember::Shape::path) {
      add(0, 1);
    } else {
      for (std::size_t i = 0; i < m.joints.size(); ++i) add(m.from[i], m.to[i]);
    }
    s.movers.push_back(mover);
  }
  bool linked = false, carried = false;
  const auto look = [&](const RigidCarriage& c) {
    const bool any = moves(c.a) || (is_link(c) && moves(c.b));
    linked = linked || (is_link(c) && any);
    carried = carried || any;
  };
  look(carriage.first);
  if (carriage.second) look(*carriage.second);
  if (linked) {
    s.axial = add(0, 1);
    s.spin = add(0, 1);
  }
  if (carriage.mixed() && carried) s.mix = add(0, 1);
  EXPECTS(s.count() <= kMostParameters);
  return s;
}

}  // namespace

std::vector<Scenario> scenarios(const Kinematics& kinematics, const Carriage& carriage, BodyIndex surface_body) {
  std::vector<BodyIndex> bodies = {surface_body};
  add_bodies(carriage.first, bodies);
  if (carriage.second) add_bodies(*carriage.second, bodies);
  for (const BodyIndex body : bodies) {
    EXPECTS(body >= 0 && static_cast<std::size_t>(body) < kinematics.bodies.size());
  }
  std::sort(bodies.begin(), bodies.end());
  bodies.erase(std::unique(bodies.begin(), bodies.end()), bodies.end());
  const bool together = bodies.size() == 1;  // nothing moves against anything
  std::erase_if(bodies,
                [&](BodyIndex body) { return together || !kinematics.bodies[static_cast<std::size_t>(body)].moves(); });
  const auto members = [&](BodyIndex body) {
    return static_cast<int>(kinematics.bodies[static_cast<std::size_t>(body)].members().size());
  };
  std::vector<Scenario> out;
  if (!kinematics.product) {
    for (const BodyIndex body : bodies) {
      for (int m = 0; m < members(body); ++m) out.push_back(scenario_of(kinematics, carriage, {{body, m}}));
    }
    if (out.empty()) out.push_back(scenario_of(kinematics, carriage, {}));
    return out;
  }
  std::vector<std::pair<BodyIndex, int>> chosen;
  const std::function<void(std::size_t)> choose = [&](std::size_t i) {
    if (i == bodies.size()) {
      out.push_back(scenario_of(kinematics, carriage, chosen));
      return;
    }
    for (int m = 0; m < members(bodies[i]); ++m) {
      chosen.emplace_back(bodies[i], m);
      choose(i + 1);
      chosen.pop_back();
    }
  };
  choose(0);
  return out;
}

PosedState state_at(const Kinematics& kinematics, const Scenario& scenario, std::span<const double> u) {
  PosedState state;
  state.bodies.resize(kinematics.bodies.size());
  for (const auto& mover : scenario.movers) {
    const MotionMember& m = member_of(kinematics, mover);
    BodyState& body = state.bodies[static_cast<std::size_t>(mover.body)];
    body.member = mover.member;
    for (std::size_t i = 0; i < m.joints.size(); ++i) {
      const auto first = static_cast<std::size_t>(mover.first);
      body.q.push_back(m.shape == MotionMember::Shape::path ? u[first] * m.to[i] : u[first + i]);
    }
  }
  if (scenario.axial >= 0) state.axial_share = u[static_cast<std::size_t>(scenario.axial)];
  if (scenario.spin >= 0) state.spin_share = u[static_cast<std::size_t>(scenario.spin)];
  if (scenario.mix >= 0) state.mix = u[static_cast<std::size_t>(scenario.mix)];
  return state;
}

CarriedForms::CarriedForms(const Kinematics& kinematics, const Carriage& carriage, BodyIndex surface_body,
                           const Scenario& scenario, std::span<const double> center, std::span<const double> half)
    : kinematics_(kinematics),
      carriage_(carriage),
      surface_(surface_body),
      scenario_(scenario),
      center_(center),
      half_(half),
      n_(scenario.count()) {
  if (is_link(carriage.first)) links_.push_back(link(carriage.first));
  if (carriage.second && is_link(*carriage.second)) links_.push_back(link(*carriage.second));
  if (!carriage.flexible()) return;
  const Link* first = is_link(carriage.first) ? &links_.front() : nullptr;
  const Link* second = is_link(*carriage.second) ? &links_.back() : nullptr;
  const std::array<Vec3, 4> rest = gap_controls(*carriage.gap);
  controls_.reserve(4);
  for (const std::size_t i : {0U, 1U}) controls_.push_back(rigid(carriage.first, first, rest[i], true));
  for (const std::size_t i : {2U, 3U}) controls_.push_back(rigid(*carriage.second, second, rest[i], true));
}

ScalarForm CarriedForms::parameter(int k) const {
  ScalarForm out(n_, center_[static_cast<std::size_t>(k)]);
  out.generator(k) = half_[static_cast<std::size_t>(k)];
  return out;
}

const Scenario::Mover* CarriedForms::mover(BodyIndex body) const {
  for (const auto& m : scenario_.movers) {
    if (m.body == body) return &m;
  }
  return nullptr;
}

CarriedForms::Coordinate CarriedForms::coordinate(const Scenario::Mover& mover, std::size_t joint) const {
  const MotionMember& m = member_of(kinematics_, mover);
  const bool path = m.shape == MotionMember::Shape::path;
  const int k = path ? mover.first : mover.first + static_cast<int>(joint);
  const double scale = path ? m.to[joint] : 1;
  return {scale * center_[static_cast<std::size_t>(k)], scale * half_[static_cast<std::size_t>(k)], k};
}

void CarriedForms::move(VectorForm& v, const Joint& joint, const Coordinate& q, double sign, bool as_point) const {
  if (joint.kind == Joint::Kind::rotation) {
    const Vec3 pivot = as_point ? joint.point : Vec3(Vec3::Zero());
    v.c -= pivot;
    v = turned(v, joint.axis, sign * q.middle, sign * q.half, q.parameter);
    v.c += pivot;
  } else if (as_point) {
    v.c += sign * q.middle * joint.axis;
    v.generator(q.parameter) += sign * q.half * joint.axis;
  }
}

/// A point (or a direction) fixed to `body`, seen from the vehicle.
VectorForm CarriedForms::ride(BodyIndex body, VectorForm v, bool as_point) const {
  const auto* m = mover(body);
  if (!m) return v;
  const auto& joints = member_of(kinematics_, *m).joints;
  for (std::size_t i = joints.size(); i-- > 0;) move(v, joints[i], coordinate(*m, i), 1, as_point);
  return v;
}

VectorForm CarriedForms::seen_from_surface(VectorForm v, bool as_point) const {
  const auto* m = mover(surface_);
  if (!m) return v;
  const auto& joints = member_of(kinematics_, *m).joints;
  for (std::size_t i = 0; i < joints.size(); ++i) move(v, joints[i], coordinate(*m, i), -1, as_point);
  return v;
}

/// Twist of a body's turn about `axis`: the turn as a quaternion (w, v), then 2 atan2(v.axis, w).
ScalarForm CarriedForms::twist(BodyIndex body, const Vec3& axis) const {
  ScalarForm w(n_, 1);
  VectorForm v(n_, Vec3::Zero());
  if (const auto* m = mover(body)) {
    const auto& joints = member_of(kinematics_, *m).joints;
    for (std::size_t i = 0; i < joints.size(); ++i) {
      if (joints[i].kind != Joint::Kind::rotation) continue;
      const Coordinate q = coordinate(*m, i);
      ScalarForm half(n_, 0.5 * q.middle);
      half.generator(q.parameter) = 0.5 * q.half;
      const ScalarForm jw = cosine(half);
      const VectorForm jv = along(sine(half), joints[i].axis);
      const ScalarForm next = w * jw - dot(v, jv);
      v = w * jv + jw * v + cross(v, jv);
      w = next;
    }
  }
  const double sign = w.c < 0 ? -1 : 1;
  return 2.0 * angle_of(sign * dot(axis, v), sign * w);
}

CarriedForms::Link CarriedForms::link(const RigidCarriage& c) const {
  Link out;
  const Vec3 chord = c.end_b - c.end_a;
  EXPECTS(chord.norm() > 0);
  out.rest_middle = 0.5 * (c.end_a + c.end_b);
  out.rest_along = chord.normalized();
  const VectorForm a = ride(c.a, VectorForm(n_, c.end_a), true), b = ride(c.b, VectorForm(n_, c.end_b), true);
  const VectorForm moved = b - a;
  out.along = direction(moved);
  out.middle = 0.5 * (a + b);
  out.spin = ScalarForm(n_, 0);
  if (scenario_.axial >= 0) {
    const ScalarForm play = (parameter(scenario_.axial) + -0.5) * (length(moved) + -chord.norm());
    out.middle = out.middle + play * out.along;
    const ScalarForm share = parameter(scenario_.spin);
    const ScalarForm spin_a = twist(c.a, out.rest_along), spin_b = twist(c.b, out.rest_along);
    out.spin = spin_a + share * (spin_b - spin_a);
  }
  return out;
}

VectorForm CarriedForms::rigid(const RigidCarriage& c, const Link* link, const Vec3& rest, bool as_point) const {
  if (!link) {
    if (c.a == surface_) return VectorForm(n_, rest);  // rides with the surface: its motion cancels exactly
    return seen_from_surface(ride(c.a, VectorForm(n_, rest), as_point), as_point);
  }
  const VectorForm arm(n_, as_point ? Vec3(rest - link->rest_middle) : rest);
  VectorForm v = turned_between(turned(arm, link->rest_along, link->spin), link->rest_along, link->along);
  if (as_point) v = v + link->middle;
  return seen_from_surface(v, as_point);
}

/// (1 - m) a + m b over the range of the mixture: affine in m, so only its product with what bends is missed.
VectorForm CarriedForms::mixture(const VectorForm& a, const VectorForm& b) const {
  const double m = center_[static_cast<std::size_t>(scenario_.mix)], h = half_[static_cast<std::size_t>(scenario_.mix)];
  VectorForm out = (1 - m) * a;
  add_scaled(out, m, b);
  out.generator(scenario_.mix) += h * (b.c - a.c);
  double bent = 0;
  for (int l = 0; l < n_; ++l) out.pair(scenario_.mix, l) += h * (b.generator(l) - a.generator(l));
  for (int i = 0; i < pair_count(n_); ++i) bent += (b.pair(i) - a.pair(i)).norm();
  out.rest += h * (bent + std::abs(b.rest - a.rest));
  return out;
}

VectorForm CarriedForms::carried(const Vec3& rest, bool as_point) const {
  const Link* first = is_link(carriage_.first) ? &links_.front() : nullptr;
  const VectorForm a = rigid(carriage_.first, first, rest, as_point);
  if (!carriage_.second || scenario_.mix < 0) return a;
  const Link* second = is_link(*carriage_.second) ? &links_.back() : nullptr;
  return mixture(a, rigid(*carriage_.second, second, rest, as_point));
}

VectorForm CarriedForms::combined(const CubicWeights& weights) const {
  VectorForm out = weights[0] * controls_[0];
  for (std::size_t i = 1; i < 4; ++i) add_scaled(out, weights[i], controls_[i]);
  return out;
}

VectorForm CarriedForms::point(const Vec3& rest) const {
  if (!flexible()) return carried(rest, true);
  const double share = gap_share(*carriage_.gap, rest);
  if (share > 0 && share < 1) return combined(cubic_weights(share));
  if (share <= 0) return rigid(carriage_.first, is_link(carriage_.first) ? &links_.front() : nullptr, rest, true);
  return rigid(*carriage_.second, is_link(*carriage_.second) ? &links_.back() : nullptr, rest, true);
}

std::vector<VectorForm> CarriedForms::curve(double from, double to) const {
  EXPECTS(flexible());
  std::vector<VectorForm> out;
  out.reserve(4);
  for (const CubicWeights& weights : cubic_part(from, to)) out.push_back(combined(weights));
  return out;
}

CarriedForms::Frame CarriedForms::frame(const Vec3& along, const Vec3& ex, const Vec3& ey) const {
  EXPECTS(!flexible());
  if (!mixed() || scenario_.mix < 0) return {carried(along, false), carried(ex, false), carried(ey, false)};
  return frame_along(carried(along, false));
}

CarriedForms::Frame CarriedForms::frame_along(const VectorForm& along) const {
  Frame out;
  out.along = direction(along);
  const Vec3 n = out.along.c;
  const Vec3 x = n.unitOrthogonal(), y = n.cross(x);
  out.ex = turned_between(VectorForm(n_, x), n, out.along);
  out.ey = turned_between(VectorForm(n_, y), n, out.along);
  return out;
}

}  // namespace baywright
