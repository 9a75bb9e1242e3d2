#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "measure/clearance_measure.hpp"

namespace baywright::measure {

/// Clearance of one slice to what it is nearest to.
struct SliceNearest {
  int part = -1;     ///< index into Bay::parts; -1: nothing within the range
  double lo_mm = 0;  ///< proven, of all parts
  double hi_mm = 0;  ///< attained, by `part`; infinite when beyond the range
  bool beyond_range() const { return part < 0; }
};

/// Of all parts the one with the least room left: clearance less what is needed there.
struct SliceTightest {
  int part = 0;
  double lo_mm = 0, hi_mm = 0;  ///< clearance to it
  double need_mm = 0;
};

/// A short stretch of one piece.
struct ProfileSlice {
  int piece = 0;
  double station_from_mm = 0, station_to_mm = 0;
  SliceNearest nearest;
  std::optional<SliceTightest> tightest;  ///< none: nothing that needs a distance lies within the range
  bool excepted = false;                  ///< against some part all of it is left out as a contact by design
};

struct ClearanceProfile {
  double range_mm = 0;               ///< farther than this is 'beyond range'
  std::vector<ProfileSlice> slices;  ///< piece by piece, along the flow
};

/// Clearance that a piece needs to a part; none: nothing is known to be needed.
using ClearanceNeedOf = std::function<std::optional<double>(const PairClearance& pair)>;

/// Clearance along a duct: every piece cut into slices (duct::slice_stations), couplers and clamps too, each with the
/// bracket of the part it is nearest to and of the part where room is least. A slice is the tube within its radius of a
/// short stretch of its axis: its own surface is never nearer than the value, and the least of all slices of a piece is
/// the piece's clearance, both within the bracket's width. Where they interfere a slice with flat ends is no deeper
/// than half its length. Parts that the duct touches by design are left out as in `report`, which must come from
/// measure_clearance for the same bay, duct and motion.
///
/// Cost: for every slice one certified search for each part that may be its nearest or tightest one, so at most
/// slices x parts within the range of their piece (taken from `report`); most end at the bound of the neighbour before.
/// A duct of 1.1 m among 26 parts: 13 ms of processor time at rest, 25 ms over motion. Deterministic; runs in parallel.
/// Cancelled: comes back empty.
ClearanceProfile measure_clearance_profile(const bay::Bay& bay, const duct::Duct& duct, const ClearanceReport& report,
                                           bool over_motion, const ClearanceNeedOf& need,
                                           const ClearanceOptions& options, const Progress& progress = {});

}  // namespace baywright::measure
