#include "geometry/clearance/standing.hpp"

#include <algorithm>

#include "geometry/clearance/placed.hpp"
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

std::optional<StandingNear> near_of(const TriTree& tree, const PlacedShape& shape, double limit_mm,
                                    double enough_near_mm) {
  const auto found = nearest_to(*tree.impl(), shape, limit_mm, enough_near_mm);
  if (!found || !(found->distance_mm < limit_mm)) return std::nullopt;
  const Vec3& origin = tree.impl()->origin;
  return StandingNear{found->distance_mm, found->contact.on_shape + origin, found->contact.on_triangle + origin,
                      found->source};
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
  return near_of(tree, placed(shape, Pose::translation(-tree.impl()->origin)), limit_mm,
                 std::max(enough_near_mm, lowest(shape)));
}

std::optional<StandingNear> nearest_to_shape(const TriTree& tree, const Shape& shape, double limit_mm,
                                             double enough_near_mm) {
  if (tree.empty()) return std::nullopt;
  static const Kinematics at_rest{{MotionSet()}, false};
  static const PosedState rest{{BodyState()}};
  return near_of(tree, placed_shape(at_rest, Carriage::on(0), shape, rest, Pose(), tree.impl()->origin), limit_mm,
                 enough_near_mm);
}

}  // namespace baywright
