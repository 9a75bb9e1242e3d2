#pragma once

#include "bay/bay.hpp"
#include "duct/layout.hpp"

namespace baywright::measure {

/// How much of what a duct's surface sees around one place is `part`, 0..1, everything at rest: of the radiant heat
/// that would fall on a thin cylinder along the centerline from surroundings of one temperature all round, the share
/// that comes from there. Every other part hides what is behind it, save those without a believed shape; the duct
/// itself and other ducts hide nothing. By 256 fixed rays: a multiple of some 0.004, right to about 0.02. 0 for a part
/// without a surface. Cost: 256 rays against `part`, and those that hit it against every other part.
double share_seen(const bay::Bay& bay, const duct::StationFrame& from, const bay::Part& part);

}  // namespace baywright::measure
