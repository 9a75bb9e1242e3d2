#pragma once

#include <optional>

#include "duct/layout.hpp"

namespace baywright::session {

/// What a person who moves an intersection point wants to read of it. Lengths mm.
struct PointReading {
  Vec3 p_mm = Vec3::Zero();
  /// Straights that meet there, between tangent points; none beyond the ends.
  std::optional<double> leg_before_mm, leg_after_mm;
  std::optional<Angle> bend;  ///< direction change; none at an end
  double radius_mm = 0;       ///< of that bend
};

/// EXPECTS that the duct has the point and is laid out.
PointReading reading_of(const duct::Duct& duct, const duct::PointId& point);

}  // namespace baywright::session
