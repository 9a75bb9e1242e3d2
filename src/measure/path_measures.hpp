#pragma once

#include <string>
#include <vector>

#include "bay/bay.hpp"
#include "duct/layout.hpp"
#include "measure/measured.hpp"

namespace baywright::measure {

// Exact geometry of the centerline; definitions in trade practice as written in docs/checks.md. The band of a length is
// what bending and setting out leave open of it (measure/tolerances.hpp). Counts have none, nor has what the drawing
// alone decides: the sum of the nominal angles, and the radius, which the bender's die sets and springback only widens.

/// Bends after the counting rule: arcs of at least 10 degrees; two that follow one another are one bend when the
/// straight between is under 0.25 OD, the planes agree within 10 degrees and the sense is the same. Never NotAssessed.
Outcome bend_count(const duct::Duct& duct);
/// Sum of all arc angles, degree. Never NotAssessed.
Outcome total_turning(const duct::Duct& duct);
/// Smallest centerline radius / outer diameter, at the tightest bend. A duct without bends: NotAssessed, nothing
/// missing.
Outcome smallest_radius_ratio(const duct::Duct& duct);

/// Where a straight run ends and why.
struct StraightRun {
  struct Passed {
    double station_mm = 0;  ///< middle
    std::string name;
  };
  double from_mm = 0, to_mm = 0;
  std::string ends_at_upstream, ends_at_downstream;  ///< "bend at P2", "hump coupler C3"...
  std::vector<Passed> inside;                        ///< flush joints and flow straighteners passed, reported
};
/// Straight run through a station: ends at the first tangent point of a bend, end of a cone, plane of a branch port
/// with a bore above 0.1 of the tube's, gap edge of a joint with a radial bore step above 1 mm, a gap above 10 mm or a
/// hump, bore step above 1 mm without a joint, or end of the duct. Of no length where the station lies inside one of
/// these.
StraightRun straight_run(const duct::Duct& duct, double station_mm);

/// Straight run ending at / starting from the sensor plane, mm. Aside: to the edge of the boss, where the job gives it
/// a radius; negative where the boss reaches past the end of the straight.
Outcome straight_before_sensor(const duct::Duct& duct);
Outcome straight_after_sensor(const duct::Duct& duct);
/// Angle between the sensor's outward axis and up, both projected on the section plane, 0..180 degree, at the attitude
/// where it is largest (named in the note), those in which the tube is within 15 degrees of vertical left out (named
/// too). NotAssessed when it is so in all of them.
Outcome sensor_clock(const duct::Duct& duct, const bay::Bay& bay);
/// s(breather) - s(sensor), mm; of several branch ports the nearest. Negative when a port lies ahead of the sensor.
Outcome sensor_to_breather(const duct::Duct& duct);
/// s(end of the duct: compressor face) - s(breather), mm; of several branch ports the last.
Outcome breather_to_compressor(const duct::Duct& duct);
/// Each straight between the tangent points of two bends of one tube as a multiple of OD, for the bender's grip. A
/// straight cut by a coupler is none: its halves are end straights of two tubes. Empty when no tube has two bends.
std::vector<Outcome> grip_lengths(const duct::Duct& duct);
/// Half-angle of each cone, atan((D1 - D2) / 2L) on the bores, degree; positive for contraction along the flow,
/// negative for expansion. A hose of reducer shape is a cone over its gap: 90 degrees, a step, where it has none.
std::vector<Outcome> cone_half_angles(const duct::Duct& duct);

/// One change of carrier along the duct and what takes it up. A tube held by two bodies is a crossing without a joint.
struct GroupCrossing {
  double station_mm = 0;           ///< middle of the first joint's gap; without a joint midway between the two holders
  bay::BodyId from, to;            ///< empty: a floating tube of another duct
  std::string from_hold, to_hold;  ///< what holds the duct on either side: "port filter-out", "bracket B1"
  bool has_soft_joint = false;
  std::string joint;  ///< ids of the separating couplers in between, "hump-1, hump-2"; "" when none
  /// Keys of these couplers whose movement is 0 or was not stated, as the job names them.
  std::vector<std::string> unstated;
};
std::vector<GroupCrossing> group_crossings(const duct::Duct& duct, const bay::Bay& bay);

}  // namespace baywright::measure
