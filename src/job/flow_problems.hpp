#pragma once

#include <vector>

#include "job/job_problems.hpp"

namespace baywright::job {

/// Statements about the air that contradict one another, or stand where they mean nothing.
std::vector<JobProblem> flow_problems(const Job& job);

}  // namespace baywright::job
