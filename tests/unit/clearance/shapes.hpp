#pragma once

#include <algorithm>

#include "geometry/primitive.hpp"
#include "scenes.hpp"

namespace baywright::test {

/// A well-formed random shape of each kind in turn, within about `half_mm` of the origin.
inline Shape random_shape(Random& random, int kind, double half_mm) {
  const Vec3 a = random.point(half_mm);
  const Vec3 b = a + random.unit() * random.in(0.05, 1.5) * half_mm;
  const double r = random.chance(0.1) ? random.in(0.01, 0.5) : random.in(1, 45);
  switch (kind % 4) {
    case 0:
      return Cylinder{a, b, r};
    case 1: {
      const Vec3 e0 = random.unit();
      const Vec3 e1 = e0.cross(random.unit()).normalized();
      const double angle = random.chance(0.1) ? M_PI : random.in(0.02, M_PI);
      return TorusSegment{a, e0, e1, random.chance(0.1) ? random.in(0.1, 5) : random.in(20, 150), angle, r};
    }
    case 2:
      return Cone{a, b, random.chance(0.1) ? 0.0 : random.in(0, 45), r};
    default:
      return Collar{a, random.chance(0.5) ? Vec3(a + (b - a).normalized() * random.in(2, 15)) : b, r};
  }
}

struct Sampled {
  double value;
  Vec3 at;
};
/// Smallest signed distance found on the triangle by a grid and a pattern search from its best points: never below
/// the true minimum, and independent of the kernels.
inline Sampled sampled_minimum(const Shape& shape, const Vec3& v0, const Vec3& v1, const Vec3& v2) {
  const auto at = [&](double u, double w) { return Vec3(v0 + u * (v1 - v0) + w * (v2 - v0)); };
  const auto f = [&](double u, double w) { return signed_distance(shape, at(u, w)); };
  constexpr int kGrid = 10;
  double bu = 0, bw = 0, best = f(0, 0);
  for (int i = 0; i <= kGrid; ++i) {
    for (int j = 0; i + j <= kGrid; ++j) {
      const double u = double(i) / kGrid, w = double(j) / kGrid;
      if (const double value = f(u, w); value < best) best = value, bu = u, bw = w;
    }
  }
  int left = 400;
  for (double step = 1.0 / kGrid; step > 1e-9 && left > 0; --left) {
    bool better = false;
    for (int k = 0; k < 12; ++k) {
      const double a = M_PI * k / 6;
      double u = std::max(0.0, bu + step * std::cos(a)), w = std::max(0.0, bw + step * std::sin(a));
      if (u + w > 1) {
        const double over = 0.5 * (u + w - 1);
        u = std::clamp(u - over, 0.0, 1.0);
        w = 1 - u;
      }
      if (const double value = f(u, w); value < best - 1e-11) best = value, bu = u, bw = w, better = true;
    }
    if (!better) step *= 0.5;
  }
  return {best, at(bu, bw)};
}

}  // namespace baywright::test
