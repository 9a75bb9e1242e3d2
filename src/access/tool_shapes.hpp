#pragma once

#include <vector>

#include "access/clamp_site.hpp"
#include "catalog/tool.hpp"
#include "geometry/clearance/standing.hpp"

namespace baywright::access {

/// How far a tool with a bend is bent, and to which side: in the plane of the screw's axis and that angle of swing.
struct Bent {
  Angle by, toward;
};
/// Bends that are tried, least first: straight, then to twelve sides by at least three even steps, of 30 degrees at
/// most.
std::vector<Bent> bends_of(const catalog::Tool& tool);

/// A tool on a screw, of the screw's size.
struct ToolOnScrew {
  const catalog::Tool& tool;
  double hexagon_mm = 0;
  double stud_mm = 0;
  Screw screw;
  Bent bent = {};

  /// What stands along the axis, the round hand with it, over all places from seated to `along_mm` farther out: exactly
  /// the set of points it passes. Of a tool with a bend only what lies on the screw's axis short of it.
  std::vector<StandingShape> axial(double along_mm) const;
  /// What lies beyond the bend, seated, with the round hand but without what swings; a bent shaft is covered by rods
  /// that hold it. Nothing for a tool without one.
  std::vector<StandingShape> beyond_bend() const;
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
  /// The line it is turned about at its outer end, as a screw that lies as far down that line as the tool is long.
  Screw turning() const;

 private:
  /// A place on the tool's middle line, this far along it, and which way that runs there.
  struct OnLine {
    Vec3 p, along;
  };
  OnLine on_line(double along_mm) const;
  double bend_from_mm() const;
};

}  // namespace baywright::access
