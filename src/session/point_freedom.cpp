#include "session/point_freedom.hpp"

#include <algorithm>

#include "geometry/base/expects.hpp"

namespace baywright::session {
namespace {

std::string name_of(const duct::PortRef& ref) {
  return ref.port.empty() ? "the branch port " + ref.fitting.value + " of duct " + ref.duct.value
                          : "port " + ref.port.value;
}

}  // namespace

Vec3 PointFreedom::nearest(const Vec3& from_mm, const Vec3& to_mm) const {
  switch (kind) {
    case Kind::fixed:
      return from_mm;
    case Kind::line:
      return from_mm + axis * axis.dot(to_mm - from_mm);
    case Kind::free:
      break;
  }
  return to_mm;
}

PointFreedom freedom_of(const duct::DuctSpec& spec, const duct::PointId& point) {
  using Kind = PointFreedom::Kind;
  const auto& points = spec.route.points;
  const auto found = std::find_if(points.begin(), points.end(), [&](const auto& p) { return p.id == point; });
  EXPECTS(found != points.end());
  const auto i = static_cast<std::size_t>(found - points.begin());
  if (i == 0) return {Kind::fixed, {}, "stays at " + name_of(spec.from)};
  if (i + 1 == points.size()) return {Kind::fixed, {}, "stays at " + name_of(spec.to)};
  const bool after_first = i == 1, before_last = i + 2 == points.size();
  const Vec3 in = found->p_mm - points[i - 1].p_mm, out = points[i + 1].p_mm - found->p_mm;
  if (after_first && before_last) {
    constexpr double kSameLine = 1e-9;  // sine of the angle, squared
    if (in.cross(out).squaredNorm() > kSameLine * in.squaredNorm() * out.squaredNorm())
      return {Kind::fixed, {}, "stays where the axes of both ends meet"};
  }
  if (after_first) return {Kind::line, in.normalized(), "goes along the axis of " + name_of(spec.from)};
  if (before_last) return {Kind::line, out.normalized(), "goes along the axis of " + name_of(spec.to)};
  return {};
}

}  // namespace baywright::session
