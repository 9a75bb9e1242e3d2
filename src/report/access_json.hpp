#pragma once

#include <span>

#include "access/clamp_access.hpp"
#include "access/ways_out.hpp"
#include "report/json_object.hpp"

namespace baywright::report {

/// Of each clamp how it is reached, the position to take, and for each tool the stretches of the clock where it serves.
Json clamps_json(std::span<const access::ClampAccess> clamps);
/// Of each tube and hose how it comes out, or why no way is known; null where none was searched.
Json ways_json(const access::WaysOut* ways);

}  // namespace baywright::report
