#pragma once

#include <vector>

#include "checks/check.hpp"

namespace baywright::checks {

// The checks by what they look at; registry() strings them together.

std::vector<CheckDef> path_checks();          ///< bends, radius, cones of an intake
std::vector<CheckDef> restriction_checks();   ///< losses against the sheet's restriction limits
std::vector<CheckDef> sensor_checks();        ///< straights and clocking of the air-mass sensor, breather distances
std::vector<CheckDef> flow_quality_checks();  ///< how evenly the air comes to the sensor, the compressor and a tap
std::vector<CheckDef> breather_checks();      ///< the breather and where it enters
std::vector<CheckDef> water_checks();         ///< where water stands: at the sensor, in charge air, ahead of the filter
std::vector<CheckDef> clearance_checks();     ///< distances to parts at rest and over the motion, by class
std::vector<CheckDef> duct_clearance_checks();  ///< of ducts to one another
std::vector<CheckDef> edge_checks();            ///< of ducts to sharp edges
std::vector<CheckDef> clamp_body_checks();      ///< of the bodies of clamps to parts
std::vector<CheckDef> clamp_checks();           ///< a clamp on every hose end, and whether it can be worked
std::vector<CheckDef> hose_end_checks();        ///< band, bead and tube at each end of a hose
std::vector<CheckDef> clean_side_checks();      ///< joints and hoses of an intake, its element, oil behind the breather
std::vector<CheckDef> charge_checks();          ///< hoses, joints and air of the charge side
std::vector<CheckDef> charge_loss_checks();     ///< pressure lost by the charge air
std::vector<CheckDef> inlet_rise_checks();      ///< how warm the air gets on its way to the compressor
std::vector<CheckDef> joint_checks();     ///< soft joints: one at every change of body, and what each goes through
std::vector<CheckDef> heat_checks();      ///< burns, the sensor near hot parts
std::vector<CheckDef> service_checks();   ///< element and connector come off
std::vector<CheckDef> making_checks();    ///< what the bender and the stock allow, and whether the tube lands
std::vector<CheckDef> support_checks();   ///< what holds each tube, and what rests on it
std::vector<CheckDef> assemble_checks();  ///< whether the pieces come out and go in
std::vector<CheckDef> asked_checks();     ///< what only a person can see, answered in the job
std::vector<CheckDef> job_checks();       ///< the job as a whole: what is still open

/// For checks that concern every duct.
inline std::vector<duct::Service> all_services() {
  using duct::Service;
  return {Service::raw_air, Service::intake, Service::charge_hot, Service::charge_cold, Service::breather};
}

}  // namespace baywright::checks
