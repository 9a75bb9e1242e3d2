#pragma once

#include <cstdint>
#include <limits>
#include <span>
#include <vector>

#include "geometry/base/progress.hpp"
#include "geometry/clearance/motion.hpp"
#include "geometry/clearance/tri_tree.hpp"
#include "geometry/primitive.hpp"

namespace baywright {

struct ClearanceOptions {
  double width_mm = 0.1;   ///< greatest hi - lo wherever hi is below the range; at least 0.001
  double range_mm = 60.0;  ///< range of interest: "farther than this" is an answer
};

/// Smallest signed distance of shapes to a surface over a whole motion set: the true value lies in [lo, hi].
struct Bracket {
  double lo_mm = 0;              ///< proven lower bound
  double hi_mm = 0;              ///< attained at `state` between the two witness points; infinity when beyond the range
  bool beyond_range = false;     ///< lo_mm >= range: nothing nearer than the range over the whole set
  PosedState state;              ///< pose at which hi is attained
  Vec3 on_shape = Vec3::Zero();  ///< witnesses, vehicle frame, at that pose
  Vec3 on_surface = Vec3::Zero();
  int primitive = -1;          ///< index into the span that was asked
  std::uint32_t triangle = 0;  ///< id in the tree
  std::size_t near_ties = 0;   ///< triangles within hi + 0.2 mm at that pose, 2 for several: shows a single spike
  std::size_t cells = 0;       ///< parts of the motion set that were looked at: the work done
};

/// Where the answer to nearly the same question lay. A search that starts there has a true upper end at once and gives
/// a bracket just as wide and as true as without. Any pose of the motion set and any triangle of the tree will do; an
/// id that is none of the tree's is ignored.
struct ClearanceHint {
  PosedState state;
  std::uint32_t triangle = 0;
};

/// Certified clearance of `shapes` (rest position, vehicle frame) riding on `carriage` against the surface in `tree`
/// (rest position, vehicle frame) riding on body `surface_body`.
///
/// lo is proven for the whole continuous set by bounds, never by sampling; hi is attained at the reported pose.
/// hi - lo <= width unless beyond the range (or after 400 000 cells, which only products of several freely turning
/// bodies reach: the bracket is then as wide as it is, and still true). A soft thing's tubes keep their radius around
/// the carried axis; its flat ends stay round and across it. On a flexible joint each shape rides as carriage_of()
/// says: in the gap a Cylinder is all points within its radius of its part of the cubic, ends round; where the joint is
/// held on both sides and nothing bends it, ends flat. A ball of a cloud
/// counts as its centre's distance less its radius. How it is proven: docs/decisions/0002-certified-motion.md. Error of
/// the arithmetic is inside lo. Relative to the triangles: chord error and measuring uncertainty are not included.
/// Laws: equal for a common rigid move of everything; more motion never raises either end by more than width.
/// Deterministic; thread-safe; honours `progress.cancelled()` by returning lo = -infinity, and reports how narrow the
/// bracket is when it takes thousands of cells.
Bracket clearance(const Kinematics& kinematics, std::span<const Primitive> shapes, const Carriage& carriage,
                  const TriTree& tree, BodyIndex surface_body, const ClearanceOptions& options,
                  const Progress& progress = {}, const ClearanceHint* hint = nullptr);

/// The same with everything at rest. Of a hint only the triangle counts.
Bracket clearance_at_rest(std::span<const Primitive> shapes, const TriTree& tree, const ClearanceOptions& options,
                          const ClearanceHint* hint = nullptr);
/// Of things on a flexible joint, whose hose ends as the carriage says.
Bracket clearance_at_rest(std::span<const Primitive> shapes, const Carriage& carriage, const TriTree& tree,
                          const ClearanceOptions& options, const ClearanceHint* hint = nullptr);

/// Exact signed distance at one given pose (for showing and for tests): smallest over all shapes, no bracket.
Bracket clearance_at(const Kinematics& kinematics, std::span<const Primitive> shapes, const Carriage& carriage,
                     const TriTree& tree, BodyIndex surface_body, const PosedState& state,
                     const ClearanceOptions& options);

}  // namespace baywright
