#pragma once

#include <vector>

#include "bay/bay.hpp"
#include "duct/layout.hpp"
#include "geometry/base/progress.hpp"
#include "geometry/clearance/clearance.hpp"
#include "measure/measured.hpp"

namespace baywright::measure {

/// Clearance of one piece of a duct against one part.
struct PairClearance {
  int piece = 0;
  int part = 0;              ///< index into Bay::parts
  bool same_carrier = false; ///< both ride on one body: no relative motion
  bool beyond_range = false;
  Measured value;            ///< mm; band: chord error, part uncertainty, bend tolerance
  bool inside = false;       ///< the piece lies wholly inside a closed part
};

/// A pair that touches by design and is left out; printed in every report.
struct ContactException {
  int piece = 0;
  int part = 0;
  std::string reason;
};

struct ClearanceReport {
  std::vector<PairClearance> pairs;       ///< every piece against every part that is not excepted
  std::vector<ContactException> exceptions;
  std::vector<std::string> not_measured;  ///< parts without geometry, one line each
};

/// All pairs of one duct. `over_motion` false: at rest. Pieces within `contact_length_mm` of a port are cut there
/// against the port's own part only. Cost: milliseconds per part. Deterministic.
ClearanceReport measure_clearance(const bay::Bay& bay, const duct::Duct& duct, bool over_motion,
                                  const ClearanceOptions& options, const Progress& progress = {});

/// "engine: forward torque at 84 %" from a pose.
std::string pose_text(const bay::Bay& bay, const PosedState& state);

}  // namespace baywright::measure
