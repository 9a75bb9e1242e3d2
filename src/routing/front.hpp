#pragma once

#include <string>
#include <vector>

#include "geometry/base/result.hpp"
#include "routing/judge.hpp"

namespace baywright::routing {

/// What routes are compared by: nothing but them makes one route better than another. The last two differ only where
/// the job lets things move, or prefers regions.
enum class Aim { bends, restriction, margin, length, pieces, moved, prefer };
inline constexpr Aim kAims[] = {Aim::bends,  Aim::restriction, Aim::margin, Aim::length,
                                Aim::pieces, Aim::moved,       Aim::prefer};
std::string_view name(Aim aim);  ///< "bends", "restriction"..., as a weight names it

/// How much each counts, for one unit of it: one bend, 0.1 kPa of restriction, 5 mm of margin (up to
/// kAmple_mm), 100 mm of length, one piece, one thing that is put elsewhere, a tenth of the length in preferred
/// regions. The usual ones are common practice, no source: few bends first.
struct Weights {
  double bends = 4, restriction = 1, margin = 0.5, length = 0.25, pieces = 1, moved = 2, prefer = 0.5;
  double& of(Aim aim);
  double of(Aim aim) const { return const_cast<Weights*>(this)->of(aim); }
};
/// Margin beyond which more of it is no better.
inline constexpr double kAmple_mm = 30;

/// Weights from "restriction=2": that one is set, the others stay. Fails: an aim there is not (with those there are), a
/// number below 0 or none.
Result<void> set_weight(const std::string& text, Weights& weights);

/// Sum of what a route has of each, weighted: less is better. A restriction that is not known counts as 1 kPa for each
/// right angle turned; routes without one are compared with others by `preferred`, which puts them last.
double weighted(const JudgedRoute& route, const Weights& weights);

/// Better first: a restriction that is known, then the lesser weighted sum.
bool preferred(const JudgedRoute& a, const JudgedRoute& b, const Weights& weights);

/// No worse in any of them and better in one.
bool dominates(const JudgedRoute& a, const JudgedRoute& b);

/// Puts a route among those that are kept, all of which meet. Of routes that are not different the preferred one stays.
/// The first ones are those that no other dominates, preferred first; then the others. What is more than `most` goes,
/// dominated ones first, and then those that are best in nothing.
void keep_on_front(JudgedRoute route, std::vector<JudgedRoute>& kept, std::size_t most, const Weights& weights);

}  // namespace baywright::routing
