#pragma once

#include <vector>

#include "job/job.hpp"
#include "job/job_problems.hpp"

namespace baywright::job {

/// Outlines of access openings through which nothing could come, or which are not flat enough to count as flat.
/// Outlines of fewer than three corners are skipped: a reader has already complained about them.
std::vector<JobProblem> opening_problems(const Job& job);

}  // namespace baywright::job
