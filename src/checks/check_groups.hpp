#pragma once

#include <vector>

#include "checks/check.hpp"

namespace baywright::checks {

// The checks by what they look at; registry() strings them together.

std::vector<CheckDef> path_checks();         ///< bends, radius, cones of an intake
std::vector<CheckDef> restriction_checks();  ///< losses against the sheet's restriction limits
std::vector<CheckDef> sensor_checks();       ///< straights and clocking of the air-mass sensor, breather distances
std::vector<CheckDef> clearance_checks();    ///< distances at rest and over the motion
std::vector<CheckDef> clamp_checks();        ///< a clamp on every hose end, and whether it can be worked
std::vector<CheckDef> joint_checks();        ///< soft joints: one at every change of body, and what each goes through
std::vector<CheckDef> making_checks();       ///< what the bender and the stock allow, and whether the tube lands
std::vector<CheckDef> asked_checks();        ///< what only a person can see, answered in the job
std::vector<CheckDef> job_checks();          ///< the job as a whole: what is still open

/// For checks that concern every duct.
inline std::vector<duct::Service> all_services() {
  using duct::Service;
  return {Service::raw_air, Service::intake, Service::charge_hot, Service::charge_cold, Service::breather};
}

}  // namespace baywright::checks
