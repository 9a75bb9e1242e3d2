#include "geometry/clearance/motion.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "geometry/base/expects.hpp"
#include "geometry/clearance/flexible_gap.hpp"

namespace baywright {
namespace {

Pose pose_of(const Joint& joint, double q) {
  return joint.kind == Joint::Kind::rotation ? Pose::rotation(joint.axis, joint.point, q)
                                             : Pose::translation(q * joint.axis);
}

double greatest_coordinate(const MotionMember& member, std::size_t i) {
  const double to = std::abs(member.to[i]);
  return member.shape == MotionMember::Shape::box ? std::max(to, std::abs(member.from[i])) : to;
}

/// Angle of the part of `turn` that is about the unit vector `axis` (swing after twist), -pi..pi.
double twist_about(const Eigen::Quaterniond& turn, const Vec3& axis) {
  const double along = turn.vec().dot(axis);
  return turn.w() < 0 ? 2 * std::atan2(-along, -turn.w()) : 2 * std::atan2(along, turn.w());
}

const BodyState& state_of(const PosedState& state, BodyIndex body) {
  static const BodyState kRest;
  const auto i = static_cast<std::size_t>(body);
  return i < state.bodies.size() ? state.bodies[i] : kRest;
}

Pose body_pose(const Kinematics& kinematics, BodyIndex body, const PosedState& state) {
  EXPECTS(body >= 0 && static_cast<std::size_t>(body) < kinematics.bodies.size());
  return pose_at(kinematics.bodies[static_cast<std::size_t>(body)], state_of(state, body));
}

}  // namespace

MotionSet::MotionSet(std::vector<MotionMember> members) : members_(std::move(members)) {
  for (const MotionMember& m : members_) {
    const bool box = m.shape == MotionMember::Shape::box;
    EXPECTS(m.to.size() == m.joints.size());
    EXPECTS(box ? m.from.size() == m.joints.size() : m.from.empty());
    for (std::size_t i = 0; i < m.joints.size(); ++i) {
      EXPECTS(std::abs(m.joints[i].axis.norm() - 1) < 1e-9);
      EXPECTS(m.joints[i].point.allFinite() && std::isfinite(m.to[i]));
      if (box) EXPECTS(std::isfinite(m.from[i]) && m.from[i] <= 0 && m.to[i] >= 0);
      if (m.joints[i].kind == Joint::Kind::rotation) {
        EXPECTS(greatest_coordinate(m, i) <= 0.5 * std::numbers::pi + 1e-9);
      }
    }
  }
}

double MotionSet::reach_mm(const Vec3& p) const {
  double reach = 0;
  for (const MotionMember& m : members_) {
    // Joint by joint from the innermost: what is already displaced by up to `sum` turns on a lever that much longer.
    double sum = 0;
    for (std::size_t i = m.joints.size(); i-- > 0;) {
      const Joint& joint = m.joints[i];
      const double q = greatest_coordinate(m, i);
      if (joint.kind == Joint::Kind::translation) {
        sum += q;
      } else {
        const double lever = joint.axis.cross(p - joint.point).norm() + sum;
        sum += 2 * std::sin(0.5 * q) * lever;
      }
    }
    reach = std::max(reach, sum);
  }
  return reach;
}

Pose pose_at(const MotionMember& member, const std::vector<double>& q) {
  EXPECTS(q.size() == member.joints.size());
  Pose X;
  for (std::size_t i = 0; i < q.size(); ++i) X = X * pose_of(member.joints[i], q[i]);
  return X;
}

Pose pose_at(const MotionSet& set, const BodyState& state) {
  if (state.member < 0) return {};
  EXPECTS(static_cast<std::size_t>(state.member) < set.members().size());
  return pose_at(set.members()[static_cast<std::size_t>(state.member)], state.q);
}

Pose carriage_pose(const Kinematics& kinematics, const RigidCarriage& carriage, const PosedState& state) {
  const Pose A = body_pose(kinematics, carriage.a, state);
  // A rod between two points of one body moves as that body: its twist and swing together are the body's turn.
  if (carriage.kind == RigidCarriage::Kind::fixed || carriage.a == carriage.b) return A;
  const Pose B = body_pose(kinematics, carriage.b, state);
  const Vec3 chord = carriage.end_b - carriage.end_a;
  const Vec3 moved = B * carriage.end_b - A * carriage.end_a;
  EXPECTS(chord.norm() > 0 && moved.norm() > 0);
  const Vec3 n = chord.normalized(), m = moved.normalized();
  const double spin = (1 - state.spin_share) * twist_about(A.R, n) + state.spin_share * twist_about(B.R, n);
  Pose X;
  X.R = Eigen::Quaterniond::FromTwoVectors(n, m) * Eigen::Quaterniond(Eigen::AngleAxisd(spin, n));
  const Vec3 middle = 0.5 * (carriage.end_a + carriage.end_b);
  const Vec3 moved_middle =
      0.5 * (A * carriage.end_a + B * carriage.end_b) + (state.axial_share - 0.5) * (moved.norm() - chord.norm()) * m;
  X.p = moved_middle - X.R * middle;
  return X;
}

CarriedPoints::CarriedPoints(const Kinematics& kinematics, const Carriage& carriage, const PosedState& state)
    : first_(carriage_pose(kinematics, carriage.first, state)), mix_(state.mix) {
  if (carriage.second) second_ = carriage_pose(kinematics, *carriage.second, state);
  if (carriage.flexible()) gap_ = carriage.gap;
}

Vec3 CarriedPoints::operator()(const Vec3& rest_p) const {
  if (!second_) return first_ * rest_p;
  if (!gap_) return (1 - mix_) * (first_ * rest_p) + mix_ * (*second_ * rest_p);
  const double share = gap_share(*gap_, rest_p);
  if (share <= 0) return first_ * rest_p;
  return share >= 1 ? *second_ * rest_p : in_gap(rest_p, share);
}

Vec3 CarriedPoints::in_gap(const Vec3& rest_p, double share) const {
  const std::array<Vec3, 4> rest = gap_controls(*gap_);
  const std::array<Vec3, 4> moved = {first_ * rest[0], first_ * rest[1], *second_ * rest[2], *second_ * rest[3]};
  const CubicWeights at = cubic_weights(share), slope = cubic_slopes(share);
  Vec3 point = Vec3::Zero(), along = Vec3::Zero();
  for (std::size_t i = 0; i < 4; ++i) {
    point += at[i] * moved[i];
    along += slope[i] * moved[i];
  }
  const Vec3 axis = gap_->to - gap_->from;
  const Vec3 aside = rest_p - (gap_->from + share * axis);
  if (!(aside.norm() > 1e-9)) return point;
  const Eigen::Quaterniond turn = first_.R.slerp(share, second_->R);
  if (!(along.norm() > 1e-9)) return point + turn * aside;  // where the curve turns on the spot it has no direction
  return point + Eigen::Quaterniond::FromTwoVectors(turn * axis, along) * (turn * aside);
}

Vec3 carried_point(const Kinematics& kinematics, const Carriage& carriage, const PosedState& state,
                   const Vec3& rest_p) {
  return CarriedPoints(kinematics, carriage, state)(rest_p);
}

}  // namespace baywright
