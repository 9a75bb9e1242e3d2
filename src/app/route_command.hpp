#pragma once

#include <string>
#include <vector>

#include "job/assemble.hpp"

namespace baywright::app {

struct RouteOptions {
  std::string job;
  std::string duct;  ///< "": the job's only one
  job::ReadOptions read;
  int effort = 4;
  double time_s = 60;
  unsigned seed = 1;
  bool keep = false;                 ///< write every route found as a job file beside the job
  int take = 0;                      ///< number of the route that is put into the job file; 0: none
  std::string stock;                 ///< file of tubes and couplers; "": the job's own tube
  bool repair = false;               ///< mend the job's own route, search no other
  std::vector<std::string> weights;  ///< "restriction=2"...
};

/// Searches routes for one duct of a job and prints them with what they lose and lack. Returns the exit code: 0 when
/// one meets what its route decides, 1 when none does.
int run_route(const RouteOptions& options);

}  // namespace baywright::app
