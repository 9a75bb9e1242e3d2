#pragma once

#include <string>
#include <vector>

#include "bay/bay.hpp"
#include "duct/layout.hpp"
#include "measure/measured.hpp"

namespace baywright::measure {

// Exact geometry of the centerline; definitions in trade practice as written in docs/checks.md.

/// Bends after the counting rule: arcs of at least 10 degrees; two arcs are one bend when the straight between is
/// under 0.25 OD, the planes agree within 10 degrees and the sense is the same.
Outcome bend_count(const duct::Duct& duct);
/// Sum of all arc angles, degree.
Outcome total_turning(const duct::Duct& duct);
/// Smallest centerline radius / outer diameter.
Outcome smallest_radius_ratio(const duct::Duct& duct);

/// Where a straight run ends and why.
struct StraightRun {
  double from_mm = 0, to_mm = 0;
  std::string ends_at_upstream, ends_at_downstream;  ///< "bend at P2", "hump coupler C3"...
  std::vector<std::string> inside;                   ///< flush joints passed, reported
};
/// Straight run through a station.
StraightRun straight_run(const duct::Duct& duct, double station_mm);

/// Straight run ending at / starting from the sensor plane, mm.
Outcome straight_before_sensor(const duct::Duct& duct);
Outcome straight_after_sensor(const duct::Duct& duct);
/// Angle between the sensor's outward axis and up, both projected on the section plane, 0..180 degree.
/// `up` of the worst attitude is found over bay.attitudes.
Outcome sensor_clock(const duct::Duct& duct, const bay::Bay& bay);
/// s(breather) - s(sensor), mm.
Outcome sensor_to_breather(const duct::Duct& duct);
/// s(compressor face) - s(breather), mm.
Outcome breather_to_compressor(const duct::Duct& duct);
/// Each straight between tangent points as a multiple of OD (one per inner leg), for the bender's grip.
std::vector<Outcome> grip_lengths(const duct::Duct& duct);
/// Half-angle of each cone, degree; positive for contraction along the flow, negative for expansion.
std::vector<Outcome> cone_half_angles(const duct::Duct& duct);

/// One change of carrier along the duct and what takes it up.
struct GroupCrossing {
  double station_mm = 0;
  bay::BodyId from, to;
  bool has_soft_joint = false;
  std::string joint;  ///< fitting id(s) in between, "" when none
};
std::vector<GroupCrossing> group_crossings(const duct::Duct& duct, const bay::Bay& bay);

}  // namespace baywright::measure
