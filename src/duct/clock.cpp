#include <cmath>
#include <numbers>

#include "duct/layout.hpp"
#include "geometry/base/expects.hpp"

namespace baywright::duct {
namespace {

/// Within this of vertical a section has no meaningful top (trade practice, see docs/checks.md, sn.clock).
const double kSinVertical = std::sin(degrees(15).si());

/// `up` projected on the section plane, unit; nullopt near vertical.
std::optional<Vec3> top_of_section(const Vec3& tangent, const Vec3& up) {
  const Vec3 across = up - up.dot(tangent) * tangent;
  const double length = across.norm();
  if (length < kSinVertical) return std::nullopt;
  return Vec3(across / length);
}

Vec3 turned(const Vec3& top, const Vec3& tangent, Angle clock) {
  return std::cos(clock.si()) * top + std::sin(clock.si()) * tangent.cross(top);
}

}  // namespace

std::optional<Vec3> clock_direction(const Vec3& tangent, const Vec3& up, Angle clock) {
  EXPECTS(std::abs(tangent.norm() - 1) < 1e-9);
  EXPECTS(std::abs(up.norm() - 1) < 1e-9);
  const auto top = top_of_section(tangent, up);
  if (!top) return std::nullopt;
  return turned(*top, tangent, clock);
}

std::optional<Angle> clock_of(const Vec3& tangent, const Vec3& up, const Vec3& outward) {
  EXPECTS(std::abs(tangent.norm() - 1) < 1e-9);
  EXPECTS(std::abs(up.norm() - 1) < 1e-9);
  const auto top = top_of_section(tangent, up);
  if (!top) return std::nullopt;
  const Vec3 across = outward - outward.dot(tangent) * tangent;
  if (across.norm() <= 1e-9 * outward.norm()) return std::nullopt;
  const double angle = std::atan2(across.dot(tangent.cross(*top)), across.dot(*top));
  return radians(angle == -std::numbers::pi ? std::numbers::pi : angle);
}

Vec3 outward_direction(const Vec3& tangent, Angle clock) {
  if (const auto direction = clock_direction(tangent, Vec3::UnitZ(), clock)) return *direction;
  const Vec3 forward = (Vec3::UnitX() - tangent.x() * tangent).normalized();
  return turned(forward, tangent, clock);
}

Vec3 nipple_axis(const Vec3& tangent, const BranchPort& branch) {
  const Vec3 square = outward_direction(tangent, branch.clock);
  if (!branch.angle) return square;
  return std::sin(branch.angle->si()) * square - std::cos(branch.angle->si()) * tangent;
}

}  // namespace baywright::duct
