#pragma once

#include <optional>
#include <string>
#include <vector>

#include "bay/bay.hpp"
#include "duct/layout.hpp"
#include "geometry/base/progress.hpp"
#include "geometry/clearance/clearance.hpp"
#include "measure/measured.hpp"

namespace baywright::measure {

/// Clearance of one piece of a duct against a piece of another one, or of the same one.
struct DuctPairClearance {
  int piece = 0;              ///< of the first duct
  int other_piece = 0;        ///< of the second
  bool same_carrier = false;  ///< both ride on one body or hang on one link: no relative motion
  bool beyond_range = false;  ///< nothing nearer than the range
  /// mm, signed: axis distance less both radii; two flat-ended lengths (hose, clamps) that meet give 0. Band: making of
  /// both pieces, misfit of measured motions. Station, `at_mm` and `on_duct_mm`: on the first duct.
  Measured value;
  std::optional<double> other_station_mm;  ///< of the witness on the second
};

/// What a duct against another one, or against itself, is left out of by design.
struct DuctContact {
  int piece = 0, other_piece = 0;
  std::string reason;
};

struct DuctPairReport {
  duct::DuctId other;                                   ///< the second duct; the first one's own id: against itself
  std::vector<DuctPairClearance> at_rest, over_motion;  ///< the same pairs in both
  std::vector<DuctContact> exceptions;
};

/// Along one duct what lies nearer than this many of its greater outer diameter is joined to it: neighbours over a
/// coupler, clamps on their hose, a bend behind its straight. Common practice, no source: between tangent points so
/// near no tube bends back upon itself.
inline constexpr double kJoinedDiameters = 2;

/// Every piece of `first` against every piece of `second`. Where an end of the one sits on a branch port of the other,
/// that end's first outer diameter of the carrying tube, along the branch, is left out.
/// Certified as clearance with both sides moving (geometry's pair_clearance). Cancelled: comes back empty.
DuctPairReport measure_between(const bay::Bay& bay, const duct::Duct& first, const duct::Duct& second,
                               const ClearanceOptions& options, const Progress& progress = {});

/// The pieces of one duct against one another, in order of station, without what is joined (kJoinedDiameters). One
/// piece against itself is not measured: it is rigid or bends as a whole, and a tube through itself is refused when the
/// duct is laid out.
DuctPairReport measure_against_itself(const bay::Bay& bay, const duct::Duct& duct, const ClearanceOptions& options,
                                      const Progress& progress = {});

}  // namespace baywright::measure
