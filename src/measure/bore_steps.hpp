#pragma once

#include <string>
#include <vector>

#include "duct/layout.hpp"

namespace baywright::measure {

/// Where two pieces of a duct meet.
struct BoreStep {
  std::string name;  ///< "coupler C1", "port filter-out", "start of sensor tube"
  double station_mm = 0;
  double ahead_mm = 0, behind_mm = 0;  ///< bores
  double radial_mm = 0;                ///< half their difference, never negative
};

/// Bores on both sides of every joint, in order of station: couplers (but those of reducer shape, which are cones),
/// ends of a sensor tube that lie under no coupler, and the ports at the two ends. A coupler on a port's own spigot
/// joins the tube to that port.
std::vector<BoreStep> bore_steps(const duct::Duct& duct);

}  // namespace baywright::measure
