#pragma once

#include <filesystem>
#include <vector>

#include "job/assemble.hpp"
#include "job/job_reading.hpp"

namespace baywright::job {

/// What else is wrong with a job whose text has mistakes, so that one call shows all that can be known at once: motions
/// that cannot be built, files that are not there, the sheet, ducts that cannot be laid out. Only what no mistake
/// already reported bears on is looked at, so nothing here follows from one of those. Models and scans are not read.
std::vector<Error> further_errors(const JobReading& reading, const std::filesystem::path& folder,
                                  const ReadOptions& options);

}  // namespace baywright::job
