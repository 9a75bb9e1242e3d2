#pragma once

#include <string>
#include <vector>

#include "catalog/workshop.hpp"
#include "job/job.hpp"

namespace baywright::job {

/// Something in a job that no single field shows.
struct JobProblem {
  std::string pointer;  ///< JSON pointer to the place
  std::string message;
  std::string list = {};  ///< pointer of the list in which something is missing; "" for other problems
};

/// Double ids, references to things that are not there, values that contradict each other. Empty ids are skipped: a
/// reader has already complained about them.
std::vector<JobProblem> problems_of(const Job& job);
/// Hose clamps and materials of hoses that the table of tools and clamps does not have.
std::vector<JobProblem> not_in_workshop(const Job& job, const catalog::Workshop& workshop);

}  // namespace baywright::job
