#pragma once

#include <optional>
#include <string>
#include <vector>

#include "duct/stock.hpp"
#include "geometry/base/result.hpp"
#include "job/assemble.hpp"
#include "measure/path_measures.hpp"
#include "routing/requirements.hpp"

namespace baywright::routing {

/// One way to make a duct: of which tube, bent at which radius to begin with, with which joint besides its own
/// fittings.
struct Make {
  /// The job's duct made so; only its ports, fittings and their order along it count. Several where a joint was added:
  /// one for each place among the fittings, the nearest to the downstream end first.
  std::vector<duct::Duct> olds;
  Requirements need;
  duct::StockTubeId tube;      ///< empty: the job's own
  duct::StockCouplerId joint;  ///< added; empty: none was
};

struct Makes {
  std::vector<Make> makes;
  std::vector<std::string> left_out;  ///< rows of the stock that are not searched with, and why, one line each
};

/// The first change of carrier along the duct that no soft joint takes up; nothing: there is none.
std::optional<measure::GroupCrossing> crossing_without_joint(const job::Installation& installation,
                                                             const duct::Duct& duct);

/// The ways to make a duct. Without a stock there is one: the job's tube and the greatest radius of its route. With
/// one: every tube and radius of it that the sheet allows, in its order; where the duct lacks a soft joint between two
/// carriers, with each coupler of the stock that fits the tube (at most kMostJoints). Another tube takes the place of
/// the job's all along; what is of another size there (a sensor tube, behind a reducer) keeps it.
/// Fails: as requirements_of(); a stock no row of which can be used.
Result<Makes> makes_of(const job::Installation& installation, const duct::Duct& duct, const duct::Stock* stock);
inline constexpr std::size_t kMostJoints = 3;

/// With the job's own tube ahead of those of a stock, where it goes onto both ports and none of theirs does. Apart from
/// makes_of(): a change of tube that is tried as a suggestion means that tube alone.
/// Fails: as requirements_of().
Result<Makes> with_own_tube(Makes makes, const job::Installation& installation, const duct::Duct& duct);

}  // namespace baywright::routing
