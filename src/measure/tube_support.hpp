#pragma once

#include <optional>
#include <string>
#include <vector>

#include "duct/layout.hpp"
#include "measure/measured.hpp"

namespace baywright::measure {

/// What holds a beam at one place.
struct Support {
  std::string by;  ///< "port compressor", "bracket B1", "hump-1"
  double station_mm = 0;
  bool rigid = false;  ///< a port, a bracket or another duct's tube; else a soft joint that parts its two tubes
  /// kg of weight that rests on it, level vehicle at rest, negative where it is pulled up; of a soft joint what it
  /// passes on. None: the metal of the
  /// tubes is not stated.
  std::optional<Measured> carries;
  bool at_least = false;  ///< more may rest on it: a beam hangs beside it that nothing holds
};

/// Rigid tubes in one piece, or across joints that do not part: from one soft joint that parts, or end of the duct, to
/// the next.
struct Beam {
  std::string name;  ///< of its pieces: "tube 1, tube 2"
  double station_from_mm = 0, station_to_mm = 0;
  std::optional<Measured> mass;   ///< kg, with its halves of the hoses at its ends; none as in Support
  Measured longest_free;          ///< mm, the longest stretch without a support, at its middle
  std::vector<Support> supports;  ///< in order of station
  bool floats = false;            ///< soft joints alone hold it
  std::string loose;              ///< why nothing holds it, one line; "" when something does
};

/// How a duct is held. Everything in order of station.
struct DuctSupport {
  std::vector<Beam> beams;     ///< those with a tube of theirs
  std::vector<Support> rigid;  ///< ports, brackets, another duct's tube: all there are, under a hose's end too
  std::optional<NotAssessed> unweighed;  ///< why there are no weights
};

/// Weight and supports of every beam of a duct.
///
/// A tube is as heavy as its metal (steel 7850, stainless steel 7900, aluminium 2700 kg/m3) and half of each hose on it
/// (rubber, 1250 kg/m3: common practice, no source). Walls are within 10 % of the stated ones; each clamp adds up to
/// 0.06 kg and a sensor with its boss up to 0.15 kg: both one-sided, in the band (common practice, no source).
/// A beam with ports or brackets rests on these alone, each element of its weight shared by the lever rule, in plan,
/// between the two nearest along the tube (beyond the last one that takes more than all, and the next is relieved). A
/// beam without any rests like this on the two soft joints at its ends, which pass it on to the beams beyond. Where two
/// supports stand over one another (within 1 mm in plan) each counts with all that lies between them. What other ducts
/// hang on this one's branch ports is not counted.
DuctSupport support_of(const duct::Duct& duct);

}  // namespace baywright::measure
