#pragma once

#include "bay/bay.hpp"
#include "duct/layout.hpp"
#include "measure/measured.hpp"

namespace baywright::measure {

// A breather from the crankcase to the intake, and where it enters.

/// Least fall of the centerline along the flow in the level vehicle, degrees; negative where it rises. Never
/// NotAssessed.
Outcome least_fall_level(const duct::Duct& breather);
/// The same in the attitude where it is least (named in the note). NotAssessed where nobody stated an attitude.
Outcome least_fall_in_attitudes(const duct::Duct& breather, const bay::Bay& bay);
/// A place where water stands in some attitude though the centerline falls (a step up in the floor), with the attitude;
/// "" when there is none.
std::string sag(const duct::Duct& breather, const bay::Bay& bay);

/// Narrowest bore along the duct, its two ends included, over the bore it starts from. Never NotAssessed.
Outcome narrowest_bore_ratio(const duct::Duct& breather);

/// Length of the intake, what the straights and distances around sensor and breather have to fit into, mm.
Outcome whole_length(const duct::Duct& duct);

/// How a branch port enters, at one of the intake's branch ports.
struct Entry {
  Measured intrusion;    ///< mm; 0 where it is not stated
  Angle angle;           ///< between its axis, inward, and the flow; square where it is not stated
  double clock_deg = 0;  ///< from up, 0 to 180, in the attitude where it is greatest
  std::string attitude;  ///< that one; "" on a tube near vertical, which has no top, and where none is stated
  std::vector<std::string> missing;  ///< keys of what is not stated
};
Entry entry_of(const duct::Duct& duct, const bay::Bay& bay, const duct::PlacedFitting& port);

}  // namespace baywright::measure
