#pragma once

#include <vector>

#include "bay/bay.hpp"
#include "duct/layout.hpp"
#include "measure/floor.hpp"
#include "measure/measured.hpp"

namespace baywright::measure {

// Water against the sensor, in charge air and ahead of the filter; see measure/floor.hpp for where it stands. A drain
// empties what runs to it.

/// Stations of the drains of a duct.
std::vector<double> drain_stations(const duct::Layout& layout);

/// Distance along the duct from the sensor to the nearest low point of a pool, mm, in the attitude where it is least
/// (named in the note); 0 where the tube at the sensor slopes by less than a degree, for then water stays there. Where
/// no pool can stand in any attitude: more than the length of the duct. A slope that may lie on either side of a degree
/// gives a bracket from 0. NotAssessed without a sensor, or where nobody stated an attitude.
Outcome sensor_to_low_point(const duct::Duct& duct, const bay::Bay& bay);

/// Whether the air rises past the sensor, 1 or 0, in every attitude in which its tube is within 15 degrees of vertical.
/// NotAssessed without a sensor, or where nobody stated an attitude, and with nothing missing where the tube is never
/// that steep.
Outcome flow_rises_past_sensor(const duct::Duct& duct, const bay::Bay& bay);

// A low point moves along the duct as the vehicle leans. Pools of several attitudes whose stretches under water overlap
// stand at one place. Where nobody stated an attitude, level is all that is looked at.

/// Volume of water that can stand at each place, ml, in the attitude where it is most (named in the note), at the
/// lowest point of that pool.
std::vector<Measured> standing_water(const duct::Duct& duct, const bay::Bay& bay);

/// How a pool of a duct without its drains is emptied by them.
struct DrainedPool {
  std::string attitude;  ///< in which it stands
  Pool pool;
  std::vector<const duct::PlacedFitting*> drains;  ///< that empty it, widest first; more than needed are left out
  double left_mm = 0;                              ///< depth that stays
};
/// By place; the pools of one place in order of attitude.
std::vector<std::vector<DrainedPool>> drained_pools(const duct::Duct& duct, const bay::Bay& bay);

/// Height of the lowest point of a raw air duct's inlet, its bore or the opening of the hood over it, whichever is
/// lower, over the water it may go through, mm, with the springs of the vehicle on their stops, level. A hood that does
/// not state its lowest point is left out: the height is at most that. NotAssessed where bay.ground does not say
/// enough.
Outcome inlet_over_water(const duct::Duct& duct, const bay::Bay& bay);
/// How far the floor rises from the inlet to its highest place, mm, in the level vehicle.
double rise_behind_inlet_mm(const duct::Layout& layout);

}  // namespace baywright::measure
