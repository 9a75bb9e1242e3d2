#pragma once

#include "geometry/clearance/clearance.hpp"
#include "scenes.hpp"

namespace baywright::test {

inline Joint random_joint(Random& random, bool rotation) {
  Joint j;
  j.kind = rotation ? Joint::Kind::rotation : Joint::Kind::translation;
  j.axis = random.unit();
  j.point = random.point(300);
  return j;
}

/// Chains of up to three rotations (to `angle_rad`) and three translations (to `shift_mm`), in any order.
inline MotionMember random_member(Random& random, double angle_rad, double shift_mm, bool path) {
  MotionMember m;
  m.shape = path ? MotionMember::Shape::path : MotionMember::Shape::box;
  const int joints = 1 + random.below(path ? 6 : 3);
  for (int i = 0; i < joints; ++i) {
    const bool rotation = random.chance(0.5);
    m.joints.push_back(random_joint(random, rotation));
    const double most = rotation ? angle_rad : shift_mm;
    m.to.push_back(path ? random.in(-most, most) : random.in(0, most));
    if (!path) m.from.push_back(-random.in(0, most));
  }
  return m;
}

inline MotionSet random_set(Random& random, double angle_rad, double shift_mm) {
  std::vector<MotionMember> members;
  const int count = 1 + random.below(2);
  for (int i = 0; i < count; ++i) members.push_back(random_member(random, angle_rad, shift_mm, random.chance(0.6)));
  return MotionSet(members);
}

inline BodyState random_state(Random& random, const MotionSet& set) {
  BodyState state;
  if (!set.moves()) return state;
  state.member = random.below(static_cast<int>(set.members().size()));
  const MotionMember& m = set.members()[static_cast<std::size_t>(state.member)];
  const double t = random.chance(0.2) ? 1.0 : random.in(0, 1);
  for (std::size_t i = 0; i < m.joints.size(); ++i) {
    if (m.shape == MotionMember::Shape::path) {
      state.q.push_back(t * m.to[i]);
    } else {
      state.q.push_back(random.chance(0.3) ? (random.chance(0.5) ? m.from[i] : m.to[i])
                                           : random.in(m.from[i], m.to[i]));
    }
  }
  return state;
}

inline PosedState random_state(Random& random, const Kinematics& kinematics) {
  PosedState state;
  state.bodies.resize(kinematics.bodies.size());
  const int only = random.below(static_cast<int>(kinematics.bodies.size()));
  for (std::size_t b = 0; b < kinematics.bodies.size(); ++b) {
    if (kinematics.product || static_cast<int>(b) == only) state.bodies[b] = random_state(random, kinematics.bodies[b]);
  }
  const auto share = [&] { return random.chance(0.4) ? (random.chance(0.5) ? 0.0 : 1.0) : random.in(0, 1); };
  state.axial_share = share();
  state.spin_share = share();
  state.mix = share();
  return state;
}

}  // namespace baywright::test
