#pragma once

#include <optional>
#include <vector>

#include "geometry/clearance/carried.hpp"
#include "geometry/primitive.hpp"

namespace baywright {

// Two things that both move, as the search of pair_clearance.cpp sees them.

/// One way in which everything may move, for both: the same movers and parameters, shares of their own. Where a link or
/// a mixture of the one is that of the other, they take the same share of it.
struct PairScenario {
  Scenario first, second;
};
/// Rest comes first, then all whose union is the motion of both. EXPECTS body indices within `kinematics`, at most
/// kMostParameters at a time.
std::vector<PairScenario> pair_scenarios(const Kinematics& kinematics, const Carriage& first, const Carriage& second);

/// Part of a shape: between two fractions of its axis and, of a flat-ended solid, the sector between two angles about
/// it (rad, at most a quarter turn).
struct ShapePart {
  double from = 0, to = 1;
  double turn_from = 0, turn_to = 0;
};
/// Parts a shape is cut into before anything else: arcs of at most 45 degrees, quarters of a flat-ended solid.
std::vector<ShapePart> first_shape_parts(const Shape& shape);

/// Points whose hull holds the core of a part over a cell: a tube's axis, a flat-ended solid itself.
struct CarriedHull {
  std::vector<VectorForm> points;
  double rest_mm = 0;    ///< what the forms miss; infinite where nothing can be enclosed
  double radius_mm = 0;  ///< of the tube around the core; flat-ended solids: 0
  Vec3 axis_bulge = Vec3::Zero(), turn_bulge = Vec3::Zero();  ///< by which the hull exceeds the core, at the middle
  double axis_mm = 0, turn_mm = 0;                            ///< extents that cutting would halve
};
CarriedHull carried_hull(const Shape& shape, const ShapePart& part, const Carriage& carriage,
                         const CarriedForms& forms);

}  // namespace baywright
