#pragma once

#include <Eigen/Geometry>  // not Core alone: cross() would compile and fail to link

namespace baywright {

/// A point or vector in mm unless its name says otherwise; the frame stands in the name or the contract.
using Vec3 = Eigen::Vector3d;
using Vec3f = Eigen::Vector3f;

}  // namespace baywright
