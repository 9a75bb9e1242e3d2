#pragma once

#include <string>
#include <vector>

#include "bay/bay.hpp"
#include "duct/layout.hpp"
#include "geometry/base/progress.hpp"
#include "geometry/clearance/joint_motion.hpp"
#include "measure/measured.hpp"

namespace baywright::measure {

/// One of the ways in which a coupler gives, and the outcome for it.
enum class Give { along, sideways, angle };
std::string_view name(Give give);  ///< "along its axis", "sideways", "in angle"

/// What a coupler is asked to take one way, as a share of what it can take that way: 1 is all of it.
struct JointShare {
  duct::FittingId coupler;
  Give give = Give::along;
  Outcome share;
  double takes = 0;    ///< what the coupler states it can take, mm or rad; 0: not stated
  bool moves = false;  ///< whether its two sides ride on different things
  double asked = 0;    ///< the most it is asked to, proven, mm or rad
};

/// "8.1 mm", "2.6°": mm or rad in display units.
std::string amount(double asked, Give give, const DisplayUnits& units);

bool has_coupler(const duct::Duct& duct);

/// The tube ends a coupler joins, as drawn, each with what it rides on; the second of an elbow is turned back through
/// the elbow, so that a joint at rest has its gap, nothing sideways and no angle. EXPECTS a coupler of the duct.
std::pair<CarriedEnd, CarriedEnd> joint_ends(const duct::Duct& duct, const duct::PlacedFitting& coupler);

/// Over the whole motion (bodies that are moved for service rest): the greatest change of the gap, the greatest offset
/// and angle, with the pose; what making leaves open (as joint_shares_at_rest, where the bender's tolerances are
/// stated) is in the band, the amount in the note, the twist aside. Couplers whose two sides ride on different things,
/// in order of station, three shares each; NotAssessed where the coupler does not state what it takes.
std::vector<JointShare> joint_shares_over_motion(const duct::Duct& duct, const bay::Bay& bay,
                                                 const Progress& progress = {});
/// At rest, as made: the tolerances of bending and cutting together, as a share of what the coupler takes; what usual
/// figures in place of unstated ones add to it is in the band. Tubes are taken as fitted at both ends, so nothing is
/// left sideways and the ends stand at an angle instead. EXPECTS the bender's tolerances.
std::vector<JointShare> joint_shares_at_rest(const duct::Duct& duct, const bay::Bay& bay);

/// Least gap between the tube ends over the motion, mm; what making leaves open is in the band. Elbows have no gap of
/// their own and are left out.
struct LeastGap {
  duct::FittingId coupler;
  Outcome gap;
};
std::vector<LeastGap> least_gaps(const duct::Duct& duct, const bay::Bay& bay, const Progress& progress = {});

}  // namespace baywright::measure
