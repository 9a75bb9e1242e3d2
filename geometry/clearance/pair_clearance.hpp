#pragma once

#include <limits>
#include <span>
#include <vector>

#include "geometry/base/progress.hpp"
#include "geometry/clearance/clearance.hpp"

namespace baywright {

/// Shapes (rest position, vehicle frame) and what they ride on, as clearance() takes them.
struct RidingShapes {
  std::span<const Primitive> shapes;
  const Carriage& carriage;
};
/// A shape of the first thing and one of the second: indices into their spans.
struct ShapePair {
  int first = 0, second = 0;
};

/// Smallest signed distance between two things over a whole motion set: the true value lies in [lo, hi].
struct PairBracket {
  double lo_mm = 0;              ///< proven lower bound
  double hi_mm = 0;              ///< attained between the two witness points; infinity when beyond the range
  bool beyond_range = false;     ///< lo_mm >= range
  PosedState state;              ///< pose at which hi is attained, with the first thing's shares
  PosedState second_state;       ///< the same pose with the second one's shares
  Vec3 on_first = Vec3::Zero();  ///< witnesses, vehicle frame, at that pose
  Vec3 on_second = Vec3::Zero();
  int first = -1, second = -1;  ///< shapes that they lie on
  std::size_t cells = 0;        ///< the work done
};

/// Certified clearance of two things that both move, over those of their shapes that `pairs` names.
///
/// lo is proven for the whole continuous set, hi is attained, as clearance() does it: hi - lo <= width unless beyond
/// the range, or after 100 000 cells, when the bracket is returned as wide as it is, still true. The distance is that
/// of the tubes' axes less both radii, so that it saturates at minus their sum; a flat-ended solid counts as the solid
/// it is, so two of them that meet give 0 and no depth. Of two things that each ride on links or mixtures each takes
/// its own share, and where it is the same link, the same one. A hose over its gap has round ends at rest too.
/// Deterministic; thread-safe; cancelled: lo = -infinity.
PairBracket pair_clearance(const Kinematics& kinematics, const RidingShapes& first, const RidingShapes& second,
                           std::span<const ShapePair> pairs, const ClearanceOptions& options,
                           const Progress& progress = {});

/// Every shape of the one with every shape of the other.
std::vector<ShapePair> all_shape_pairs(std::size_t first, std::size_t second);

}  // namespace baywright
