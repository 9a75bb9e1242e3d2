#pragma once

#include <optional>
#include <string>

#include "geometry/base/result.hpp"
#include "job/job.hpp"

namespace baywright::job {

/// JSON pointer into the job of what an error of duct::lay_out is about ("duct intake: point P2" ->
/// "/ducts/0/route/2"); the nearest thing above it where the error names no single one. Nothing for any other error.
std::optional<std::string> place_in_ducts(const Job& job, const Error& error);

}  // namespace baywright::job
