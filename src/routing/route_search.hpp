#pragma once

#include <optional>
#include <string>
#include <vector>

#include "duct/stock.hpp"
#include "geometry/base/progress.hpp"
#include "geometry/base/result.hpp"
#include "job/assemble.hpp"
#include "routing/front.hpp"
#include "routing/judge.hpp"
#include "routing/makes.hpp"
#include "routing/places.hpp"
#include "routing/requirements.hpp"

namespace baywright::routing {

struct SearchOptions {
  int effort = 4;      ///< corridors that are looked for, and rounds of growing; at least 1
  double time_s = 60;  ///< no round starts after this
  unsigned seed = 1;
  std::size_t most_routes = 5;         ///< alternatives kept
  const duct::Stock* stock = nullptr;  ///< none: the job's own tube, all bends of one radius, and nothing is added
  Weights weights = {};                ///< which route comes first
  std::size_t near_misses = 3;         ///< kept, and checked where nothing meets
  bool repair = false;                 ///< the job's own route is mended, and nothing else is searched
  bool suggest = false;                ///< where nothing meets, what would free it is tried
  bool places = true;                  ///< what the job lets move is moved
  bool ways_out = false;               ///< how the routes that are found come out is looked for, beyond time_s
};

/// A change of the job that was tried where nothing meets, and what came out.
struct Suggestion {
  std::string change;                       ///< "bends of 60 mm instead of 90 mm"
  std::optional<JudgedRoute> route;         ///< the best with it; none: there was none
  std::vector<checks::Finding> in_the_way;  ///< of what came nearest then
  std::string not_run;                      ///< why it was not tried; "" when it was
};

struct SearchResult {
  JudgedRoute as_given;               ///< the job's own duct, for comparison
  std::vector<Make> makes;            ///< what was searched with
  std::vector<std::string> left_out;  ///< of the stock, and why
  /// That meet: those no other dominates, the preferred one first; then others. Mended ones: least change first.
  std::vector<JudgedRoute> routes;
  std::vector<JudgedRoute> near_misses;  ///< the best of those that do not, likewise
  std::vector<Suggestion> suggestions;   ///< tried where nothing meets
  std::size_t places = 0;                ///< settings of what the job lets move that were searched, besides the given
  std::size_t corridors = 0;             ///< that the bare tube has room in
  std::size_t tried = 0;                 ///< courses that were settled
  std::size_t judged = 0;                ///< routes that were checked in full
  int rounds = 0;                        ///< finished, of each make
  bool time_was_up = false;              ///< before all rounds were done
  bool cancelled = false;                ///< what was found until then is there
  double first_after_s = -1;             ///< until the first route that meets; below zero: none
};

/// Searches routes for one duct of a job between its two ports. Its fittings are kept and placed again; its route is
/// what the result is compared with, and without a stock gives the bend radius.
///
/// Anytime: what is found is kept, later rounds only add and improve. Deterministic for job, stock, effort and seed, on
/// any number of threads; the time limit ends the search between two rounds of one make, never within one. A route is
/// reported as meeting only when the full evaluation says so (JudgedRoute::meets).
///
/// What the job lets move at the ends of the duct (Places) is tried after each round with everything as given: new
/// settings with two rounds each, and further rounds of the best one. A mended route moves nothing.
///
/// `repair` keeps the corridor of the job's own route: it is taken as it is, then without one of its points, then with
/// one more in the middle of one leg, then without two; each time the points move as little as gives it room. Where one
/// group has routes that meet, the next is not tried. Its tube and radii are the job's: of a stock it takes what can be
/// added.
///
/// Soft joints and brackets of the stock are added to a route that has room and lacks them (fitted_out()).
/// Fails: unknown duct; what makes_of() and Places::of() refuse; cancelled before the job as given was evaluated.
Result<SearchResult> find_routes(const job::Installation& installation, const duct::DuctId& duct,
                                 const SearchOptions& options, const Progress& progress = {});

/// The search itself, with makes, places and a judge that are there already; never cancelled but in the result.
SearchResult search_routes(const job::Installation& installation, const Makes& makes, const Places& places,
                           const Judge& judge, const SearchOptions& options, const Progress& progress);

}  // namespace baywright::routing
