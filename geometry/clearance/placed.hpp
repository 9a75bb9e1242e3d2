#pragma once

#include "geometry/clearance/motion.hpp"
#include "geometry/clearance/tree_search.hpp"

namespace baywright {

/// Where a shape is in `state`, seen through `back` (the pose that carries the vehicle frame into the viewer's), less
/// `origin`. `carriage`: of this shape, see carriage_of().
PlacedShape placed_shape(const Kinematics& kinematics, const Carriage& carriage, const Shape& shape,
                         const PosedState& state, const Pose& back, const Vec3& origin);

}  // namespace baywright
