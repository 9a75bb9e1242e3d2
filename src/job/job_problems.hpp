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

/// JSON pointer of one item of a list.
inline std::string item(const std::string& list, std::size_t index) { return list + "/" + std::to_string(index); }

template <class List>
std::vector<std::string> ids_of(const List& list) {
  std::vector<std::string> ids;
  for (const auto& one : list) ids.push_back(one.id.value);
  return ids;
}

/// Double ids, references to things that are not there, values that contradict each other. Empty ids are skipped: a
/// reader has already complained about them.
std::vector<JobProblem> problems_of(const Job& job);
/// Hose clamps and materials of hoses that the table of tools and clamps does not have.
std::vector<JobProblem> not_in_workshop(const Job& job, const catalog::Workshop& workshop);

}  // namespace baywright::job
