#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <variant>

#include "geometry/box.hpp"
#include "geometry/clearance/tri_tree.hpp"
#include "geometry/primitive.hpp"

namespace baywright {

/// A solid that stands still: what tools, hands, arms and clamp bodies are made of.
using StandingShape = std::variant<Cylinder, Collar, Box>;

StandingShape moved(const StandingShape& shape, const Pose& X);
Aabb bounds(const StandingShape& shape);

/// Where a standing solid and a surface come nearest.
struct StandingNear {
  double distance_mm = 0;  ///< round solids: signed as for Shape; boxes: 0 when they meet
  Vec3 on_shape = Vec3::Zero(), on_surface = Vec3::Zero();
  std::uint32_t triangle = 0;  ///< id in the tree
};
/// The nearest place where it is nearer than `limit_mm`, exact; both in the tree's frame. Any place at
/// `enough_near_mm` or nearer will do instead of the nearest, and is found sooner. Microseconds. A ball of a
/// cloud counts as its centre's distance less its radius. A surface that lies wholly inside the solid is met; a solid
/// that lies wholly inside a closed surface is as far from it as it is.
std::optional<StandingNear> nearest(const TriTree& tree, const StandingShape& shape, double limit_mm,
                                    double enough_near_mm = -std::numeric_limits<double>::infinity());
/// The same for a shape of a duct, bends included.
std::optional<StandingNear> nearest_to_shape(const TriTree& tree, const Shape& shape, double limit_mm,
                                             double enough_near_mm = -std::numeric_limits<double>::infinity());

}  // namespace baywright
