#pragma once

#include "measure/clearance_profile.hpp"

namespace baywright::measure {

/// Where a verdict hangs on the chord error of a part from STEP: the faces that are near are meshed again, finer, until
/// the error no longer matters. For each pair whose interval reaches below its need only because of the chord error,
/// value and band are replaced by those against the finer faces and, apart, the rest of the part with its own error:
/// the interval holds the true value as before and is narrower. Where that does not decide it, the note says so.
///
/// At most four rounds, each four times finer, and at most 24 faces of a part; others are left as they are. Parts
/// whose exact shape is not known (scans) are not touched. Cost: nothing where nothing hangs on it; else the meshing of
/// some faces and a few searches a pair.
void settle_chord_error(const bay::Bay& bay, const duct::Duct& duct, bool over_motion, const ClearanceNeedOf& need,
                        const ClearanceOptions& options, ClearanceReport& report, const Progress& progress = {});

}  // namespace baywright::measure
