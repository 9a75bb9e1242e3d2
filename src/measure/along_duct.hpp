#pragma once

#include <string>
#include <vector>

#include "duct/layout.hpp"
#include "measure/measured.hpp"

namespace baywright::measure {

// What measures along a duct share: where its fittings are, and what making leaves open of a length.

/// Rounding of stations.
inline constexpr double kRounding_mm = 1e-6;
/// Far enough beside a place to be on one side of it; what is nearer is at the place.
inline constexpr double kBeside_mm = 1e-6;

/// A branch port below this share of the tube's bore disturbs no flow (common practice, no source).
inline constexpr double kSidePortRatio = 0.1;

/// Station of the middle.
inline double middle_mm(const duct::Bend& bend) { return 0.5 * (bend.station_from_mm + bend.station_to_mm); }
inline double middle_mm(const duct::Piece& piece) { return 0.5 * (piece.station_from_mm + piece.station_to_mm); }

/// An exact value at a station.
Measured at_station(const duct::Duct& duct, double value, Unit unit, double station_mm);

/// Route points that bend, in order.
std::vector<const duct::Bend*> real_bends(const duct::Layout& layout);
/// What counts as one bend: an arc of at least 10 degrees, or several that follow one another with less than 0.25 OD of
/// straight between, planes that agree within 10 degrees and the same sense.
struct CountedBend {
  const duct::Bend* first = nullptr;
  const duct::Bend* last = nullptr;
  std::vector<const duct::Bend*> arcs;
};
std::vector<CountedBend> counted_bends(const duct::Layout& layout);
/// The sensor tube; null when there is none.
const duct::PlacedFitting* sensor_fitting(const duct::Layout& layout);
/// Of the sensing element. EXPECTS a sensor tube.
double sensor_station(const duct::PlacedFitting& fitting);
std::vector<const duct::PlacedFitting*> branch_ports(const duct::Layout& layout);

/// What making leaves open of a length along the duct. Every bend between the two stations, or touching one of them,
/// may lie one bend tolerance along the tube from where it is drawn; an end that is at no bend is a fitting or a cut.
Band along_band(const duct::Duct& duct, double from_mm, const std::string& from, double to_mm, const std::string& to);

/// Nobody said how the vehicle may stand.
NotAssessed no_attitude();
/// The duct has no such fitting. `key`: how the job says that there is to be none.
NotAssessed lacking(const duct::Duct& duct, const std::string& fitting, const char* key);

}  // namespace baywright::measure
