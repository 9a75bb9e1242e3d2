#pragma once

#include <string>

#include "geometry/base/result.hpp"
#include "job/job.hpp"

namespace baywright::job {

/// `text`, the text of job.json that reads as `from`, changed so that it reads as `to`: only the numbers that differ
/// are written, and all else stays byte for byte as the user has it, spacing and order of keys included. Written
/// values are plain mm.
/// Only places and bend radii of route points may differ. Fails with not_supported for any other difference, and where
/// the text cannot be changed in place (keys written with escapes).
Result<std::string> with_route_values(const std::string& text, const Job& from, const Job& to);

/// The same where whole routes of ducts differ, where their fittings sit, the clock angle of a sensor, and the tube and
/// what a fitting leads it over to: the list of points and the places of the fittings are written anew, and the others
/// where they differ; all else stays as it is. Fittings must be the same ones in the same order; new ones may follow.
/// Parts, ports and filter elements may stand elsewhere: their placement, centre, axis and what goes with them is
/// written, and the list of what may move.
Result<std::string> with_routes(const std::string& text, const Job& from, const Job& to);

}  // namespace baywright::job
