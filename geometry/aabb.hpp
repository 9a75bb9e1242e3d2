#pragma once

#include <limits>

#include "geometry/vec.hpp"

namespace baywright {

/// Axis-aligned box, mm. Default: empty (lo > hi).
struct Aabb {
  Vec3 lo = Vec3::Constant(std::numeric_limits<double>::infinity());
  Vec3 hi = Vec3::Constant(-std::numeric_limits<double>::infinity());

  bool empty() const { return (lo.array() > hi.array()).any(); }
  void grow(const Vec3& p) {
    lo = lo.cwiseMin(p);
    hi = hi.cwiseMax(p);
  }
  void grow(const Aabb& box) {
    lo = lo.cwiseMin(box.lo);
    hi = hi.cwiseMax(box.hi);
  }
  /// Box grown by `margin_mm` on every side.
  Aabb inflated(double margin_mm) const {
    Aabb box = *this;
    box.lo.array() -= margin_mm;
    box.hi.array() += margin_mm;
    return box;
  }
  Vec3 center() const { return 0.5 * (lo + hi); }
  Vec3 size() const { return hi - lo; }
};

}  // namespace baywright
