#pragma once

#include <functional>
#include <vector>

#include "routing/route_search.hpp"

namespace baywright::routing {

/// Changes of the job that may free a duct no route was found for, each tried by a search of its own with effort 1:
/// - bends of the least radius that the sheet allows, and of one diameter, where the search had larger ones only; a
///   limit on the radius that stands against it is lowered for this, and the suggestion says so;
/// - a tube of 0.9 and of 0.8 of the diameter, of the same wall;
/// - one and then two bends more than the sheet allows an intake, its limits on bends and turning raised for this;
/// - a soft joint where the carrier changes without one and no row of the stock brings it: only named, not run;
/// - either port moved, with the part it belongs to, by 30 and then 60 mm along the two vehicle axes that lead away
///   most from what stands in the way of the nearest miss; where another duct ends on the same part, why it was not
///   run.
/// A route it brings has passed the full check of the job with the change in it, against what the job as given meets.
/// `judge`: of the job as given. None is started after `may_start` says no: those are named as not run. One that was
/// started is finished.
std::vector<Suggestion> suggestions(const job::Installation& installation, const duct::Duct& duct, const Judge& judge,
                                    const SearchOptions& options, const SearchResult& found,
                                    const std::function<bool()>& may_start, const Progress& progress);

}  // namespace baywright::routing
