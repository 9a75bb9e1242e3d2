// What a search splits next: where the wrong thing is split the bracket never narrows.
#include "geometry/clearance/enclosure.hpp"

#include <catch2/catch.hpp>

namespace baywright {
namespace {

constexpr double kEnough_mm = 1e9, kTolerance_mm = 1e-3;

MovingPoints points(const std::vector<VectorForm>& forms) {
  std::vector<const VectorForm*> all;
  for (const VectorForm& form : forms) all.push_back(&form);
  return MovingPoints(all);
}

/// A triangle whose nearest point, seen from below, is its corner at `p`.
Corners3 spike(const Vec3& p) { return {p, p + Vec3(5, 1, 30), p + Vec3(-4, 2, 30)}; }

TEST_CASE("a part of an axis that is a point is not cut again") {
  VectorForm p(2, Vec3::Zero());
  p.generator(0) = {10, 0, 0};
  p.generator(1) = {0, 8, 0};
  p.pair(0, 0) = {0, 3, 0};
  const MovingPoints both = points({p, p});
  const Corners3 v = spike({2, 7, 20});
  const Separation at = separation(both, StandingTriangle(v), kEnough_mm, kTolerance_mm);
  REQUIRE(at.near);
  REQUIRE(at.spread[0] + at.spread[1] > 0.1);  // its parts take their parameters each at a value of their own
  const SplitGain gain = gain_at(both, at, 0, false);
  CHECK(gain.along_axis == 0);
  CHECK(std::max(gain.parameter[0], gain.parameter[1]) > 0.05);

  VectorForm far = p;
  far.c = {0, 0.3, 0};
  const MovingPoints apart = points({p, far});
  const Separation there = separation(apart, StandingTriangle(v), kEnough_mm, kTolerance_mm);
  CHECK(gain_at(apart, there, 0, false).along_axis <= 0.15);
}

TEST_CASE("a product of parameters that counts as free is found across the gap as well") {
  // The true points are 5 e0 e1 along x; with the product free its hull passes below the corner at x = 3, and along the
  // gap nothing tells that at the parameters found the point is somewhere else.
  VectorForm p(2, Vec3::Zero());
  p.pair(0, 1) = {5, 0, 0};
  p.generator(0) = {0, 0, 1e-9};
  const MovingPoints one = points({p});
  const Separation at = separation(one, StandingTriangle(spike({3, 0, 20})), kEnough_mm, kTolerance_mm);
  REQUIRE(at.near);
  const Vec3 there = at.e[0] * at.e[1] * Vec3(5, 0, 0);
  const double missed_mm = std::abs(3 - there.x());
  REQUIRE(missed_mm > 0.5);
  const SplitGain gain = gain_at(one, at, 0, false);
  // Each half of what the way gets longer by, halved again for a half's share.
  const double longer_mm = std::hypot(20, missed_mm) - 20;
  CHECK(gain.parameter[0] == Approx(0.5 * longer_mm).epsilon(0.05));
  CHECK(gain.parameter[1] == Approx(0.5 * longer_mm).epsilon(0.05));
}

}  // namespace
}  // namespace baywright
