#pragma once

#include <optional>
#include <vector>

#include "duct/layout.hpp"
#include "measure/measured.hpp"

namespace baywright::measure {

// How evenly the air comes to the sensor, to the compressor wheel and past a wall tap. Definitions in trade practice as
// written in docs/checks.md.

/// Greatest departure from the sensor's calibrated bore, percent of it: of the least and greatest diameter measured on
/// the tube as fitted, and of the bores drawn over the straight run around the sensor. NotAssessed without a sensor, or
/// where nobody measured its tube.
Outcome sensor_bore_departure(const duct::Duct& duct);

/// Angle between the planes of the last two bends ahead of the sensor, 0 to 90 degrees, where both end within 5 bores
/// of it and less than 4 bores of straight run lie between. Where making leaves open whether that is so: a bracket from
/// 0. NotAssessed without a sensor, and with nothing missing where there is no such pair or a flow straightener stands
/// between.
Outcome planes_ahead_of_sensor(const duct::Duct& duct);

/// The same angle for a sensor at any station of a tube of this bore, as drawn. Nothing where there is no such pair.
std::optional<double> swirling_pair_deg(const duct::Duct& duct, double station_mm, double bore_mm);

/// Straight axis that ends at the end of the duct, in bores there: from the last bend, cone or branch port (bore above
/// a tenth of the tube's). Soft joints on it do not end it and are named. Never NotAssessed.
Outcome straight_before_end(const duct::Duct& duct);

/// Straight run ahead of or behind each restriction tap, whichever is shorter, in bores at the tap.
struct TapStraight {
  duct::FittingId tap;
  Measured bores;
};
std::vector<TapStraight> straights_at_taps(const duct::Duct& duct);

}  // namespace baywright::measure
