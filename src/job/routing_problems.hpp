#pragma once

#include <vector>

#include "job/job_problems.hpp"

namespace baywright::job {

/// What is wrong with what a job says of the search of routes: things that are not there, ranges without the place as
/// given, the same thing told to move twice, regions without room inside, points that are not beside one another.
std::vector<JobProblem> routing_problems(const Job& job);

}  // namespace baywright::job
