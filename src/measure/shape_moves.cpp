#include "measure/shape_moves.hpp"

#include <algorithm>
#include <cmath>

namespace baywright::measure {
namespace {

/// Greatest distance of a point of a shape from the earlier one's nearest point, an upper bound: points at the same
/// fraction of the axis and the same place of the section.
double moved(const Cylinder& a, const Cylinder& b) {
  return std::max((a.a - b.a).norm(), (a.b - b.b).norm()) + std::abs(a.radius_mm - b.radius_mm);
}

/// A flat end also turns with its axis: its rim moves by its radius times the chord of the turn. On something soft the
/// axis is a mixture of two turns made unit, which may turn more: twice covers mixtures of turns 120 degrees apart.
double moved_flat(const Vec3& a0, const Vec3& a1, const Vec3& b0, const Vec3& b1, double radius, double growth) {
  const double turn = ((a1 - a0).normalized() - (b1 - b0).normalized()).norm();
  return std::max((a0 - b0).norm(), (a1 - b1).norm()) + 2 * radius * turn + growth;
}
double moved(const Collar& a, const Collar& b) {
  return moved_flat(a.a, a.b, b.a, b.b, std::max(a.radius_mm, b.radius_mm), std::abs(a.radius_mm - b.radius_mm));
}
double moved(const Cone& a, const Cone& b) {
  const double growth = std::max(std::abs(a.radius_a_mm - b.radius_a_mm), std::abs(a.radius_b_mm - b.radius_b_mm));
  return moved_flat(a.a, a.b, b.a, b.b, std::max({a.radius_a_mm, a.radius_b_mm, b.radius_a_mm, b.radius_b_mm}), growth);
}
/// c + R (cos(t f) e0 + sin(t f) e1): by the triangle inequality, sine and cosine at most 1 and 1-Lipschitz.
double moved(const TorusSegment& a, const TorusSegment& b) {
  const double radius = std::max(a.bend_radius_mm, b.bend_radius_mm);
  return (a.center - b.center).norm() + std::abs(a.bend_radius_mm - b.bend_radius_mm) +
         radius * ((a.e0 - b.e0).norm() + (a.e1 - b.e1).norm() + std::abs(a.angle_rad - b.angle_rad)) +
         std::abs(a.radius_mm - b.radius_mm);
}

std::optional<double> moved(const Shape& a, const Shape& b) {
  if (a.index() != b.index()) return std::nullopt;
  return std::visit([&](const auto& s) { return moved(s, std::get<std::decay_t<decltype(s)>>(b)); }, a);
}

bool same_rigid_place(const RigidCarriage& a, const RigidCarriage& b) {
  return a.kind == b.kind && a.a == b.a && a.b == b.b &&
         std::max((a.end_a - b.end_a).norm(), (a.end_b - b.end_b).norm()) <= kSamePlace_mm;
}

}  // namespace

std::vector<int> standing(std::span<const Primitive> before, std::span<const Primitive> now) {
  std::vector<int> out(now.size(), -1);
  for (std::size_t i = 0; i < now.size(); ++i) {
    for (std::size_t k = 0; k < before.size() && out[i] < 0; ++k) {
      const auto by = moved(before[k].shape, now[i].shape);
      if (by && *by <= kSamePlace_mm) out[i] = static_cast<int>(k);
    }
  }
  return out;
}

bool same_place(const Carriage& a, const Carriage& b) {
  if (a.second.has_value() != b.second.has_value()) return false;
  if (a.gap.has_value() != b.gap.has_value()) return false;
  if (a.gap && std::max((a.gap->from - b.gap->from).norm(), (a.gap->to - b.gap->to).norm()) > kSamePlace_mm)
    return false;
  return same_rigid_place(a.first, b.first) && (!a.second || same_rigid_place(*a.second, *b.second));
}

std::optional<double> displacement(std::span<const Primitive> before, std::span<const Primitive> now) {
  if (before.size() != now.size() || now.empty()) return std::nullopt;
  double most = 0;
  for (std::size_t i = 0; i < now.size(); ++i) {
    const auto by = moved(before[i].shape, now[i].shape);
    if (!by) return std::nullopt;
    most = std::max(most, *by);
  }
  return most;
}

}  // namespace baywright::measure
