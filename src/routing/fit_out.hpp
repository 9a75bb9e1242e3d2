#pragma once

#include <functional>
#include <vector>

#include "checks/finding.hpp"
#include "duct/layout.hpp"
#include "duct/stock.hpp"
#include "geometry/base/progress.hpp"
#include "job/assemble.hpp"
#include "routing/requirements.hpp"

namespace baywright::routing {

/// What stands against a duct because of what is on it (Judge::of_fittings).
using FittingFindings = std::function<std::vector<checks::Finding>(const duct::Duct&)>;

/// A duct with what a stock adds to it.
struct FittedOut {
  duct::Duct duct;                          ///< laid out; what was added stands behind its other fittings
  std::vector<checks::Finding> in_the_way;  ///< that stand against it still; empty: none
};

/// The duct with soft joints and brackets of the stock where without them a joint would not take the motion, a tube not
/// land in its joint, or not be held: at most kMostAdded, added one after the other wherever on its straights they find
/// places with the other fittings' rules kept, the few best carried on at each step. Its way stays. What it has of the
/// stock already is taken off first: `own` are the ids of the job's fittings.
/// The best one first, then others of as many additions; each leaves less against it than there was. Deterministic.
/// None: there is none that does.
std::vector<FittedOut> fitted_out(const job::Installation& installation, const duct::Duct& duct,
                                  const std::vector<duct::FittingId>& own, const Requirements& requirements,
                                  const duct::Stock& stock, const FittingFindings& findings, const Progress& progress);
inline constexpr int kMostAdded = 6;

/// The duct with one fitting more, the `slot`th of those along it, about at a station; it is to be placed again with
/// the others (place_again): its spec gives it no anchor yet. Its id is the wanted one, or that with a number where it
/// is taken.
duct::Duct with_fitting_at(duct::Duct duct, const std::string& wanted_id, const duct::FittingKind& kind,
                           std::size_t slot, double station_mm);

}  // namespace baywright::routing
