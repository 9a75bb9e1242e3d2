#pragma once

#include <string>
#include <vector>

#include "duct/layout.hpp"
#include "measure/joint_moves.hpp"
#include "measure/measured.hpp"

namespace baywright::measure {

/// Different centerline radii among the bends of each rigid tube that is bent: each takes a die of its own.
std::vector<Outcome> dies(const duct::Duct& duct);

/// Wall left on the outside of the tightest bend of each rigid tube, mm: wall x R / (R + outer diameter / 2), which is
/// wall x (1 - Pt) with the benders' rule Pt = (outer diameter / 2) / (R + outer diameter / 2). A rule of thumb: no
/// band is known for it. The note names the bend and what the rule takes away.
std::vector<Outcome> walls_after_bending(const duct::Duct& duct);

/// Length of each rigid tube along its axis, mm, what is cut off included nowhere.
std::vector<Outcome> developed_lengths(const duct::Duct& duct);

/// Straight at one end of a bent tube that goes into a hose: from the tube's end to where its nearest bend begins.
struct EndStraight {
  duct::FittingId coupler;
  duct::HoseEnd under = duct::HoseEnd::upstream;  ///< which end of the hose it goes into
  Measured length;                                ///< mm; bending and cutting are in the band
};
/// Of every rigid tube with a bend, end by end, in order of station; an end without a hose is not among them.
std::vector<EndStraight> end_straights(const duct::Duct& duct);

/// How far the end of a bent tube may lie from where it is drawn when it comes from the bender and its other end is in
/// place: 95 % of tubes are nearer. First order; the errors are independent and normal with the shop's standard
/// uncertainties (DuctSpec::bending), mm. EXPECTS spec.bending and a tube.
double free_end_error_mm(const duct::Duct& duct, const duct::Piece& tube);
/// The radius about zero that holds 95 % of a normal vector with the standard deviations `sigma` along three axes.
double radius_of_95_percent(const Vec3& sigma);

/// Whether a bent tube lands in its joints.
struct Landing {
  std::string tube;
  bool coupled = false;  ///< a coupler sits at one of its ends at least
  /// What the couplers at its ends can still take sideways once the motion has had its part, less the free end's
  /// error, mm; without a coupler nothing less the error (0 where the bender's tolerances are not stated). NotAssessed
  /// where a coupler does not state what it takes, nobody knows the motion, or the tolerances are missing.
  Outcome left;
};
/// Of each rigid tube with a bend; `over_motion` as from joint_shares_over_motion.
std::vector<Landing> landings(const duct::Duct& duct, const std::vector<JointShare>& over_motion);

}  // namespace baywright::measure
