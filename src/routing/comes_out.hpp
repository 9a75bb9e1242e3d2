#pragma once

#include <memory>
#include <optional>

#include "duct/route.hpp"
#include "geometry/base/progress.hpp"
#include "job/assemble.hpp"
#include "routing/judge.hpp"

namespace baywright::routing {

/// How the pieces of a route's duct come out of the finished assembly, and whether it shuts in pieces of other ducts
/// (access::ways_out, as `baywright check` searches them). What was answered of the duct is left aside: it was said of
/// the duct as it lay in the job. `as_given`: ways out of the job without the route, looked for where they are needed
/// and not there yet. None: nothing can be searched (checks::measure_ways, or an input is lacking for the duct's
/// pieces), the route is the job's own and somebody answered for it, or cancelled. Seconds.
std::optional<ComesOut> how_it_comes_out(const job::Installation& installation, const JudgedRoute& route,
                                         std::shared_ptr<const access::WaysOut>& as_given, const Progress& progress);

}  // namespace baywright::routing
