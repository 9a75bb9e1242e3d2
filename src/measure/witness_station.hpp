#pragma once

#include "geometry/clearance/motion.hpp"
#include "geometry/primitive.hpp"

namespace baywright::measure {

/// Station, along the centerline of what carries `primitive`, of the section that a point on its surface belongs to
/// when everything stands in `state`: where the moved axis passes nearest to `p_mm` (vehicle frame).
double witness_station(const Kinematics& kinematics, const Carriage& carriage, const PosedState& state,
                       const Primitive& primitive, const Vec3& p_mm);

}  // namespace baywright::measure
