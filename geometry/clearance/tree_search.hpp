#pragma once

#include <array>
#include <limits>
#include <optional>
#include <variant>
#include <vector>

#include "geometry/box.hpp"
#include "geometry/clearance/enclosure.hpp"
#include "geometry/clearance/tri_tree_impl.hpp"
#include "geometry/shape_kernels.hpp"

namespace baywright {

/// A shape at one pose, as its exact kernel takes it.
using PlacedShape = std::variant<Cylinder, SweptArc, Cone, SweptCubic, Box>;
/// `enough_mm` as in shape_kernels.hpp.
Contact contact_with(const PlacedShape& shape, const Corners3& v,
                     double enough_mm = std::numeric_limits<double>::infinity());

/// Corners of a reference relative to the tree's origin.
inline Corners3 corners_of(const TriTree::Impl& tree, std::uint32_t ref) {
  return {tree.vertex(ref, 0), tree.vertex(ref, 1), tree.vertex(ref, 2)};
}

/// Smallest bound over a cell, and where to try for an upper bound.
struct CellBound {
  double lower_mm = 0;                      ///< `limit_mm` when nothing lies below it
  std::optional<std::uint32_t> ref;         ///< the reference that gave it
  Vec3 w = Vec3::Zero();                    ///< from the enclosure towards it
  std::array<double, kMostParameters> e{};  ///< parameters in [-1, 1] at which it is nearest
  SplitGain gain;
};
struct CellQuery {
  double limit_mm = 0;
  double tolerance_mm = 0;
  bool curved = false;                 ///< as in gain_at()
  std::optional<std::uint32_t> first;  ///< reference to look at before all others
  Vec3 w = Vec3::Zero();               ///< direction in which it lay
};
CellBound bound_over_cell(const TriTree::Impl& tree, const Enclosure& enclosure, const CellQuery& query);

/// Signed distance of one placed shape to the whole tree where it is below `limit_mm`, exact. Something at
/// `enough_near_mm` or nearer will do instead of the nearest.
struct Nearby {
  double distance_mm = 0;
  Contact contact;  ///< relative to the tree's origin
  std::uint32_t source = 0;
};
std::optional<Nearby> nearest_to(const TriTree::Impl& tree, const PlacedShape& shape, double limit_mm,
                                 double enough_near_mm = -std::numeric_limits<double>::infinity());
/// Distance to some triangle that is likely to be near, from one way down the tree; `limit_mm` when there is none
/// within it. An upper end for little work.
double some_distance(const TriTree::Impl& tree, const PlacedShape& shape, double limit_mm);
struct TreeKernels;
/// nearest_to() with given kernels, for tests and benchmarks.
std::optional<Nearby> nearest_with(const TreeKernels& kernels, const TriTree::Impl& tree, const PlacedShape& shape,
                                   double limit_mm, double enough_near_mm = -std::numeric_limits<double>::infinity());
/// Adds source triangles within `limit_mm` until `sources` holds two different ones.
void collect_two(const TriTree::Impl& tree, const PlacedShape& shape, double limit_mm,
                 std::vector<std::uint32_t>& sources);

/// Value of one reference: its triangle, or its ball (never deeper than the shape's greatest depth). Exact where it is
/// below `enough_mm`, else that much or more.
Nearby value_of(const TriTree::Impl& tree, const PlacedShape& shape, std::uint32_t ref,
                double enough_mm = std::numeric_limits<double>::infinity());

}  // namespace baywright
