#pragma once

#include <optional>
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
  int part = 0;               ///< index into Bay::parts
  bool same_carrier = false;  ///< both ride on one body: no relative motion
  bool beyond_range = false;  ///< nothing nearer than the range: value.hi is infinite, value.lo is proven
  /// mm; band: chord error, part uncertainty, bend tolerance, misfit of a measured motion. `station_mm` and `at_mm`: of
  /// the witness on the duct. Distance of surfaces also when `inside`.
  Measured value;
  bool inside = false;  ///< the piece lies wholly inside a closed part: interference whatever the distance
};

/// A pair that touches by design and is left out; printed in every report.
struct ContactException {
  int piece = 0;
  int part = 0;
  std::string reason;
};

struct ClearanceReport {
  std::vector<PairClearance> pairs;  ///< every piece against every part that is not excepted
  std::vector<ContactException> exceptions;
  std::vector<std::string> not_measured;  ///< parts without geometry, one line each
  double width_mm = 0.1;                  ///< of its brackets, as it was asked for
};

/// The motions that count for clearance: all of the bay but those stated to be for service only (bay::for_service),
/// whose bodies stay in their rest position here. A bonnet on its hinge counts like any other body.
Kinematics running_kinematics(const bay::Bay& bay);

/// All pairs of one duct, piece by piece. `over_motion` false: at rest. Pieces within `contact_length_mm` of a port are
/// cut there against the port's own part only; a piece that lies wholly within it is left out. A bracket's own contact
/// is not modelled. Where both ride on one body, or nothing moves, the answer over motion is the one at rest.
/// Cost: milliseconds per part. Deterministic; runs in parallel. Cancelled: the report comes back empty.
ClearanceReport measure_clearance(const bay::Bay& bay, const duct::Duct& duct, bool over_motion,
                                  const ClearanceOptions& options, const Progress& progress = {});

/// The pair at one given pose, to be shown beside the finding: value, witness, station and pose; no band. Nothing when
/// the part has no surface, the piece touches it by design, or it is farther away than the range.
std::optional<Measured> clearance_at_pose(const bay::Bay& bay, const duct::Duct& duct, int piece, int part,
                                          const PosedState& state, const ClearanceOptions& options);

/// "engine: forward torque at 84 %" from a pose; every body that moves is named, those for service apart, "at rest"
/// when none is away from rest. How a floating tube lies between its joints is told only where it is not midway.
std::string pose_text(const bay::Bay& bay, const PosedState& state);

}  // namespace baywright::measure
