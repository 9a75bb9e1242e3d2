#pragma once

#include <optional>
#include <span>
#include <string>

#include "access/clamp_site.hpp"

namespace baywright::access {

/// How a hose and its band sit on the tube under one end, along the axis, as drawn.
struct HoseSeat {
  double engagement_mm = 0;        ///< tube inside the hose
  double bead_to_band_mm = 0;      ///< from the foot of the bead, of a tube without one from its end; negative: on it
  double band_to_hose_end_mm = 0;  ///< hose beyond the band
  std::string band_lies_on;        ///< what is no straight tube of one size under it: "the bend at P2"; "" when it is
};

/// Tube inside the hose at one end. EXPECTS a coupler.
double engagement_mm(const duct::PlacedFitting& coupler, duct::HoseEnd end);
/// What the job says of the tube under this end; nullptr: nothing.
const duct::TubeEnd* tube_end(const duct::Coupler& coupler, duct::HoseEnd end);
/// Bore of the hose at this end: the outer diameter of the tube, or of the port's spigot, under it. EXPECTS a coupler.
double hose_bore_mm(const duct::Duct& duct, const duct::PlacedFitting& coupler, duct::HoseEnd end);

/// How long what lies under this end of a hose is, as far as the hose can lie on it: none where it is a tube of the
/// duct, which does not end there.
struct Spigot {
  std::optional<double> length_mm;  ///< absent: not stated
  std::string name;                 ///< "port compressor", "branch port B1"
  std::string key;                  ///< of the length, as the job names it
};
/// A port's spigot or a branch port's nipple. EXPECTS a coupler of the duct.
std::optional<Spigot> spigot_under(const bay::Bay& bay, std::span<const duct::Duct> ducts, const duct::Duct& duct,
                                   const duct::PlacedFitting& coupler, duct::HoseEnd end);

/// EXPECTS that the site lies on a coupler of the duct.
HoseSeat seat_of(const duct::Duct& duct, const ClampSite& site, const duct::TubeEnd& tube);

}  // namespace baywright::access
