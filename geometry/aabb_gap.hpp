#pragma once

#include "geometry/aabb.hpp"

namespace baywright {

/// Whether two boxes share no point.
inline bool apart(const Aabb& a, const Aabb& b) {
  return (a.lo.array() > b.hi.array()).any() || (b.lo.array() > a.hi.array()).any();
}

/// Distance of two boxes, 0 when they meet.
inline double box_gap_mm(const Aabb& a, const Aabb& b) {
  return (a.lo - b.hi).cwiseMax(b.lo - a.hi).cwiseMax(0.0).norm();
}

}  // namespace baywright
