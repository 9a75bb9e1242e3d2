#include "geometry/clearance/placed.hpp"

#include "geometry/clearance/flexible_gap.hpp"

namespace baywright {
namespace {

/// A part of a flexible joint's axis as it lies between its two ends; straight where nothing bends it.
PlacedShape placed_curve(const Cylinder& shape, const Gap& gap, const Pose& first, const Pose& second,
                         const Vec3& origin) {
  const std::array<Vec3, 4> rest = gap_controls(gap);
  const std::array<Vec3, 4> whole = {first * rest[0] - origin, first * rest[1] - origin, second * rest[2] - origin,
                                     second * rest[3] - origin};
  SweptCubic out;
  out.radius_mm = shape.radius_mm;
  const auto rows = cubic_part(gap_share(gap, shape.a), gap_share(gap, shape.b));
  for (std::size_t i = 0; i < 4; ++i) {
    out.p[i].setZero();
    for (std::size_t k = 0; k < 4; ++k) out.p[i] += rows[i][k] * whole[k];
  }
  constexpr double kStraight_mm = 1e-9;
  if (out.deviation_mm() > kStraight_mm) return out;
  if (gap.held) return Cone{out.p[0], out.p[3], out.radius_mm, out.radius_mm};
  return Cylinder{out.p[0], out.p[3], out.radius_mm};
}

}  // namespace

PlacedShape placed_shape(const Kinematics& kinematics, const Carriage& carriage, const Shape& shape,
                         const PosedState& state, const Pose& back, const Vec3& origin) {
  const Pose X = back * carriage_pose(kinematics, carriage.first, state);
  std::optional<Pose> Y;
  if (carriage.second) Y = back * carriage_pose(kinematics, *carriage.second, state);
  if (carriage.flexible()) {
    if (const auto* s = std::get_if<Cylinder>(&shape)) return placed_curve(*s, *carriage.gap, X, *Y, origin);
    // Flat ends: straight between the places of its ends.
    const CarriedPoints carried(kinematics, carriage, state);
    const auto at = [&](const Vec3& p) { return Vec3(back * carried(p) - origin); };
    if (const auto* s = std::get_if<Cone>(&shape)) return Cone{at(s->a), at(s->b), s->radius_a_mm, s->radius_b_mm};
    const auto& s = std::get<Collar>(shape);
    return Cone{at(s.a), at(s.b), s.radius_mm, s.radius_mm};
  }
  const double mix = Y ? state.mix : 0;
  const auto vector = [&](const Vec3& v) {
    Vec3 out = X.R * v;
    if (Y) out = (1 - mix) * out + mix * (Y->R * v);
    return out;
  };
  const auto point = [&](const Vec3& p) {
    Vec3 out = X * p;
    if (Y) out = (1 - mix) * out + mix * (*Y * p);
    return Vec3(out - origin);
  };
  if (const auto* s = std::get_if<Cylinder>(&shape)) return Cylinder{point(s->a), point(s->b), s->radius_mm};
  if (const auto* s = std::get_if<TorusSegment>(&shape)) {
    return SweptArc{point(s->center), s->bend_radius_mm * vector(s->e0), s->bend_radius_mm * vector(s->e1),
                    s->angle_rad, s->radius_mm};
  }
  if (const auto* s = std::get_if<Cone>(&shape)) return Cone{point(s->a), point(s->b), s->radius_a_mm, s->radius_b_mm};
  const auto& s = std::get<Collar>(shape);
  return Cone{point(s.a), point(s.b), s.radius_mm, s.radius_mm};
}

}  // namespace baywright
