#pragma once

#include <optional>
#include <string>
#include <vector>

#include "duct/layout.hpp"

namespace baywright::measure {

/// Straights a sensor needs on either side of its plane, mm.
struct SensorNeeds {
  double ahead_mm = 0, behind_mm = 0;
};

/// A straight run of a duct as a place for its sensor, as drawn: nothing of making is in it.
struct SensorPlace {
  double station_mm = 0;  ///< of the sensing element, where both straights come equally near to what is needed
  double ahead_mm = 0, behind_mm = 0;
  double bore_mm = 0;         ///< drawn there
  std::string after, before;  ///< what ends the run on either side
  double share = 0;           ///< the lesser of both straights over what is needed; 1 and above: both are long enough
  std::optional<double> swirl_deg;      ///< between the planes of two bends ahead, where in.swirl would look at them
  std::optional<double> bore_percent;   ///< that the bore differs from the sensor's calibrated one; needs a sensor tube
  std::vector<std::string> in_the_way;  ///< fittings that stand where the sensor tube would
  bool here = false;                    ///< the sensor stands on this run now
  /// Of the flow that the sensor shows: speed is read, and the section goes with the square of the bore.
  std::optional<double> flow_error_percent() const {
    return bore_percent ? std::optional(2 * *bore_percent) : std::nullopt;
  }
};

/// The best place on each straight run of an intake of at least a quarter of the bore, best first: by `share`, cut at
/// 1; then without a pair of bends in two planes, by its angle; then by the bore; then by `share` uncut. EXPECTS needs
/// above 0.
std::vector<SensorPlace> sensor_places(const duct::Duct& duct, const SensorNeeds& needs);

}  // namespace baywright::measure
