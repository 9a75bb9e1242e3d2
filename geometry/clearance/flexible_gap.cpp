#include "geometry/clearance/flexible_gap.hpp"

#include <algorithm>

#include "geometry/base/expects.hpp"

namespace baywright {
namespace {

/// Stations and points come from sums in different order; a nanometre decides nothing.
constexpr double kSame_mm = 1e-6;
/// A route may go on at up to 0.05 degrees and still count as straight: 0.05 mm over the length of a hose.
constexpr double kOnAxis_mm = 0.05;

/// Start, middle and end of a shape's axis.
std::array<Vec3, 3> axis_of(const Shape& shape) {
  if (const auto* s = std::get_if<TorusSegment>(&shape)) {
    return {s->axis_point(0), s->axis_point(0.5 * s->angle_rad), s->axis_point(s->angle_rad)};
  }
  const auto straight = [](const Vec3& a, const Vec3& b) -> std::array<Vec3, 3> { return {a, 0.5 * (a + b), b}; };
  if (const auto* s = std::get_if<Cylinder>(&shape)) return straight(s->a, s->b);
  if (const auto* s = std::get_if<Cone>(&shape)) return straight(s->a, s->b);
  const auto& s = std::get<Collar>(shape);
  return straight(s.a, s.b);
}

bool on_axis(const Gap& gap, const std::array<Vec3, 3>& axis) {
  const Vec3 along = (gap.to - gap.from).normalized();
  return std::all_of(axis.begin(), axis.end(),
                     [&](const Vec3& p) { return along.cross(p - gap.from).norm() <= kOnAxis_mm; });
}

/// Mixed product of the polar form: weights of the control points for the arguments u, v, w.
CubicWeights blossom(double u, double v, double w) {
  const double a = 1 - u, b = 1 - v, c = 1 - w;
  return {a * b * c, u * b * c + a * v * c + a * b * w, u * v * c + u * b * w + a * v * w, u * v * w};
}

}  // namespace

std::array<Vec3, 4> gap_controls(const Gap& gap) {
  const Vec3 third = (gap.to - gap.from) / 3;
  return {gap.from, gap.from + third, gap.to - third, gap.to};
}

double gap_share(const Gap& gap, const Vec3& rest) {
  const Vec3 whole = gap.to - gap.from;
  const double length = whole.norm();
  EXPECTS(length > 0);
  const double along = (rest - gap.from).dot(whole) / length;
  if (std::abs(along) <= kSame_mm) return 0;
  if (std::abs(along - length) <= kSame_mm) return 1;
  return along / length;
}

CubicWeights cubic_weights(double s) { return blossom(s, s, s); }

CubicWeights cubic_slopes(double s) {
  const double a = 1 - s;
  return {-3 * a * a, 3 * a * a - 6 * s * a, 6 * s * a - 3 * s * s, 3 * s * s};
}

std::array<CubicWeights, 4> cubic_part(double from, double to) {
  return {blossom(from, from, from), blossom(from, from, to), blossom(from, to, to), blossom(to, to, to)};
}

Carriage carriage_of(const Carriage& carriage, const Shape& shape) {
  if (!carriage.flexible()) return carriage;
  const Gap& gap = *carriage.gap;
  const auto end = [](const RigidCarriage& rigid) {
    Carriage out;
    out.first = rigid;
    return out;
  };
  const std::array<Vec3, 3> axis = axis_of(shape);
  const double start = gap_share(gap, axis[0]), stop = gap_share(gap, axis[2]);
  if (std::holds_alternative<TorusSegment>(shape) || !on_axis(gap, axis))
    return end(gap_share(gap, axis[1]) < 0.5 ? carriage.first : *carriage.second);
  if (std::max(start, stop) <= 0) return end(carriage.first);
  if (std::min(start, stop) >= 1) return end(*carriage.second);
  if (std::holds_alternative<Cylinder>(shape)) EXPECTS(std::min(start, stop) >= 0 && std::max(start, stop) <= 1);
  return carriage;
}

}  // namespace baywright
