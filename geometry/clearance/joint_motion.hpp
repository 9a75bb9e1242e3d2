#pragma once

#include <array>

#include "geometry/base/progress.hpp"
#include "geometry/base/quantity.hpp"
#include "geometry/clearance/motion.hpp"

namespace baywright {

/// Open end of a tube: middle of its face and unit axis outward, out of the tube.
struct TubeEnd {
  Vec3 p_mm = Vec3::Zero();
  Vec3 axis = Vec3::UnitX();
};

/// How two tube ends that a coupler joins stand to each other, seen from the upstream one.
struct JointOffset {
  double gap_mm = 0;      ///< along the upstream axis; negative when they overlap
  double lateral_mm = 0;  ///< of the downstream face's middle from that axis
  Angle angle;            ///< between the axes, 0 when they are in line
};
JointOffset joint_offset(const TubeEnd& upstream, const TubeEnd& downstream);

/// A tube end at rest (vehicle frame) and what it rides on.
struct CarriedEnd {
  RigidCarriage carriage;
  TubeEnd end;
};

/// The greatest of a quantity over a motion set: attained in `state`, and nowhere more than `bound`.
struct Greatest {
  double attained = 0;
  double bound = 0;
  PosedState state;
};

/// What a joint between two carried tube ends goes through; mm and rad.
enum class JointQuantity {
  gap,       ///< greatest gap
  shortest,  ///< least gap, as minus it, so that the greatest is wanted here as well
  lateral,
  angle,    ///< 0..pi
  twist,    ///< turn of the downstream end about the upstream axis against rest, right-handed
  untwist,  ///< the same the other way round
};
struct JointMotionOptions {
  double width_mm = 0.02;           ///< bound - attained of what is in mm
  double width_rad = 2e-4;          ///< of what is in rad
  std::size_t most_cells = 50'000;  ///< for each quantity; then its bound is as far away as it is, and still true
};
/// The greatest over the whole continuous motion set. Proven by second-order bounds over cells of the motion's
/// parameters, never by sampling (as clearances are, docs/decisions/0002-certified-motion.md). An end on a link follows
/// it, play and spin included: both ends then take the same share. EXPECTS unit axes, body indices within `kinematics`,
/// ends of links apart in every pose.
Greatest greatest_over_motion(const Kinematics& kinematics, const CarriedEnd& upstream, const CarriedEnd& downstream,
                              JointQuantity quantity, const JointMotionOptions& options = {},
                              const Progress& progress = {});

/// How the ends stand to each other in one state.
JointOffset joint_offset_at(const Kinematics& kinematics, const CarriedEnd& upstream, const CarriedEnd& downstream,
                            const PosedState& state);

}  // namespace baywright
