#pragma once

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <random>
#include <span>
#include <vector>

#include <Eigen/Geometry>

#include "geometry/pose.hpp"
#include "geometry/tri_mesh.hpp"

namespace baywright::test {

/// Numbers for the random tests of this folder: from a seed, or from the bytes of a case that something else chose. Two
/// bytes make a number, and both ends of its range are among them; after the bytes comes a seed made of them.
class Random {
 public:
  explicit Random(unsigned seed) : engine_(seed) {}
  explicit Random(std::span<const std::uint8_t> bytes) : bytes_(bytes) {
    std::uint32_t hash = 2166136261U;
    for (const std::uint8_t byte : bytes) hash = (hash ^ byte) * 16777619U;
    engine_.seed(hash);
  }
  double in(double from, double to) {
    if (bytes_.size() >= 2) {
      const double share = (bytes_[0] + 256.0 * bytes_[1]) / 65535.0;
      bytes_ = bytes_.subspan(2);
      return share >= 1 ? to : from + (to - from) * share;
    }
    return from + (to - from) * std::generate_canonical<double, 53>(engine_);
  }
  int below(int n) { return std::min(n - 1, static_cast<int>(in(0, n))); }
  bool chance(double p) { return in(0, 1) < p; }
  Vec3 point(double half_mm) { return {in(-half_mm, half_mm), in(-half_mm, half_mm), in(-half_mm, half_mm)}; }
  Vec3 unit() {
    for (;;) {
      const Vec3 v = point(1);
      if (v.norm() > 0.1 && v.norm() < 1) return v.normalized();
    }
  }
  Pose pose(double half_mm) { return {Eigen::Quaterniond(Eigen::AngleAxisd(in(-3, 3), unit())), point(half_mm)}; }

 private:
  std::mt19937 engine_;
  std::span<const std::uint8_t> bytes_;
};

inline void add_triangle(TriMesh& mesh, const Vec3& a, const Vec3& b, const Vec3& c) {
  const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
  for (const Vec3& v : {a, b, c}) mesh.vertices.push_back((v - mesh.origin_mm).cast<float>());
  mesh.triangles.push_back({first, first + 1, first + 2});
}

/// Triangles strewn through a cube: most small, some long slivers, some degenerate.
inline TriMesh strewn(Random& random, int count, double half_mm, double size_mm) {
  TriMesh mesh;
  for (int i = 0; i < count; ++i) {
    const Vec3 a = random.point(half_mm);
    const double size = random.chance(0.1) ? 20 * size_mm : size_mm;
    Vec3 b = a + random.point(size), c = a + random.point(size);
    if (random.chance(0.05)) c = b;
    if (random.chance(0.02)) b = c = a;
    if (random.chance(0.1)) c = 0.5 * (a + b) + random.point(0.01 * size_mm);
    add_triangle(mesh, a, b, c);
  }
  return mesh;
}

/// Sphere by latitude and longitude, facing outward; closed.
inline TriMesh ball(const Vec3& center, double radius_mm, int rings) {
  TriMesh mesh;
  const int around = 2 * rings;
  const auto at = [&](int i, int j) {
    const double lat = M_PI * i / rings, lon = 2 * M_PI * (j % around) / around;
    return Vec3(center + radius_mm * Vec3(std::sin(lat) * std::cos(lon), std::sin(lat) * std::sin(lon), std::cos(lat)));
  };
  for (int i = 0; i < rings; ++i) {
    for (int j = 0; j < around; ++j) {
      if (i > 0) add_triangle(mesh, at(i, j), at(i + 1, j), at(i, j + 1));
      if (i + 1 < rings) add_triangle(mesh, at(i, j + 1), at(i + 1, j), at(i + 1, j + 1));
    }
  }
  return mesh;
}

template <class T>
bool same_bytes(const std::vector<T>& a, const std::vector<T>& b) {
  return a.size() == b.size() && (a.empty() || std::memcmp(a.data(), b.data(), a.size() * sizeof(T)) == 0);
}

}  // namespace baywright::test
