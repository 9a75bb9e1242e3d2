#pragma once

#include <string>
#include <vector>

#include "geometry/base/progress.hpp"
#include "geometry/base/result.hpp"
#include "job/assemble.hpp"
#include "routing/judge.hpp"
#include "routing/requirements.hpp"

namespace baywright::routing {

struct SearchOptions {
  int effort = 4;      ///< corridors that are looked for, and rounds of scattered points; at least 1
  double time_s = 60;  ///< no round starts after this
  unsigned seed = 1;
  std::size_t most_routes = 4;  ///< alternatives kept
};

struct SearchResult {
  JudgedRoute as_given;                  ///< the job's own duct, for comparison
  Requirements requirements;             ///< what was searched with
  std::vector<JudgedRoute> routes;       ///< that meet, best first, each going another way
  std::vector<JudgedRoute> near_misses;  ///< the best of those that do not, likewise
  std::size_t corridors = 0;             ///< that the bare tube has room in
  std::size_t tried = 0;                 ///< courses that were settled
  std::size_t judged = 0;                ///< routes that were checked in full
  int rounds = 0;                        ///< finished
  bool time_was_up = false;              ///< before all rounds were done
  bool cancelled = false;                ///< what was found until then is there
  double first_after_s = -1;             ///< until the first route that meets; below zero: none
};

/// Searches routes for one duct of a job between its two ports. Its fittings are kept and placed again; its route is
/// what the result is compared with, and gives the bend radius.
///
/// Anytime: what is found is kept, later rounds only add and improve. Deterministic for job, effort and seed, on any
/// number of threads; the time limit ends the search between two rounds, never within one. A route is reported as
/// meeting only when the full evaluation says so (JudgedRoute::meets).
/// Fails: unknown duct; what requirements_of() refuses; cancelled before the job as given was evaluated.
Result<SearchResult> find_routes(const job::Installation& installation, const duct::DuctId& duct,
                                 const SearchOptions& options, const Progress& progress = {});

}  // namespace baywright::routing
