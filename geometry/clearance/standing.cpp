#include "geometry/clearance/standing.hpp"

#include <algorithm>

#include "geometry/clearance/tree_search.hpp"

namespace baywright {
namespace {

PlacedShape placed(const StandingShape& shape, const Pose& X) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return Cylinder{X * s->a, X * s->b, s->radius_mm};
  if (const auto* s = std::get_if<Collar>(&shape)) return Cone{X * s->a, X * s->b, s->radius_mm, s->radius_mm};
  return moved(std::get<Box>(shape), X);
}

/// Nothing is nearer to a box than what meets it.
double lowest(const StandingShape& shape) {
  return std::holds_alternative<Box>(shape) ? 0 : -std::numeric_limits<double>::infinity();
}

}  // namespace

StandingShape moved(const StandingShape& shape, const Pose& X) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return Cylinder{X * s->a, X * s->b, s->radius_mm};
  if (const auto* s = std::get_if<Collar>(&shape)) return Collar{X * s->a, X * s->b, s->radius_mm};
  return moved(std::get<Box>(shape), X);
}

Aabb bounds(const StandingShape& shape) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return bounds(Shape(*s));
  if (const auto* s = std::get_if<Collar>(&shape)) return bounds(Shape(*s));
  return bounds(std::get<Box>(shape));
}

std::optional<StandingNear> nearest(const TriTree& tree, const StandingShape& shape, double limit_mm,
                                    double enough_near_mm) {
  if (tree.empty()) return std::nullopt;
  const Vec3& origin = tree.impl()->origin;
  const auto found = nearest_to(*tree.impl(), placed(shape, Pose::translation(-origin)), limit_mm,
                                std::max(enough_near_mm, lowest(shape)));
  if (!found || !(found->distance_mm < limit_mm)) return std::nullopt;
  return StandingNear{found->distance_mm, found->contact.on_shape + origin, found->contact.on_triangle + origin,
                      found->source};
}

}  // namespace baywright
