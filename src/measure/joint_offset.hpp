#pragma once

#include "duct/route.hpp"
#include "geometry/base/quantity.hpp"
#include "geometry/vec.hpp"

namespace baywright::measure {

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

/// The coupler takes this offset from its nominal gap with the given share of the movement it can take: 1 over the
/// whole motion; at rest a third is usual (common practice, no source), the rest is for the motion.
bool takes(const duct::Coupler& coupler, const JointOffset& offset, double share = 1);

}  // namespace baywright::measure
