#pragma once

#include <vector>

#include "access/clamp_site.hpp"
#include "catalog/tool.hpp"
#include "geometry/clearance/standing.hpp"

namespace baywright::access {

/// A tool on a screw, of the screw's size.
struct ToolOnScrew {
  const catalog::Tool& tool;
  double hexagon_mm = 0;
  double stud_mm = 0;
  Screw screw;

  /// What stands along the axis, the round hand with it, over all places from seated to `along_mm` farther out: exactly
  /// the set of points it passes.
  std::vector<StandingShape> axial(double along_mm) const;
  /// Handle and hand at one angle of swing, seated; nothing for a tool that rolls.
  std::vector<StandingShape> swinging(Angle angle) const;
  /// All of it at one angle.
  std::vector<StandingShape> whole(Angle angle) const;
  /// No point of what swings is farther from the axis, mm.
  double reach_mm() const;
  /// Holds what swings at every angle.
  Collar swung_round() const;
  Vec3 hand(Angle angle) const;  ///< its middle
  double hand_core_mm() const;   ///< radius of a ball about it that the hand holds
  /// Way on which it comes off the screw, and how long that is.
  Vec3 off(Angle angle) const;
  double off_mm() const { return catalog::lift_off_mm(tool, stud_mm); }
};

}  // namespace baywright::access
