#include "geometry/files/polygon.hpp"

#include <algorithm>

namespace baywright {
namespace {

using Vec2 = Eigen::Vector2d;

constexpr std::size_t kLargest = 1000;

double cross(const Vec2& a, const Vec2& b, const Vec2& c) {
  return (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x());
}

/// Corners in the polygon's mean plane (Newell's normal), counter-clockwise.
std::vector<Vec2> flattened(const std::vector<std::uint32_t>& polygon, const std::vector<Vec3f>& points) {
  const Vec3 base = points[polygon[0]].cast<double>();
  Vec3 normal = Vec3::Zero();
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Vec3 a = points[polygon[i]].cast<double>() - base;
    const Vec3 b = points[polygon[(i + 1) % polygon.size()]].cast<double>() - base;
    normal += a.cross(b);
  }
  if (!(normal.norm() > 0)) return {};
  normal.normalize();
  const Vec3 u = normal.unitOrthogonal();
  const Vec3 v = normal.cross(u);
  std::vector<Vec2> flat;
  for (const std::uint32_t i : polygon) {
    const Vec3 p = points[i].cast<double>() - base;
    flat.emplace_back(p.dot(u), p.dot(v));
  }
  return flat;
}

bool is_ear(const std::vector<Vec2>& flat, const std::vector<std::size_t>& left, std::size_t at) {
  const std::size_t n = left.size();
  const std::size_t ia = left[(at + n - 1) % n], ib = left[at], ic = left[(at + 1) % n];
  const Vec2 &a = flat[ia], &b = flat[ib], &c = flat[ic];
  if (!(cross(a, b, c) > 0)) return false;
  for (const std::size_t i : left) {
    if (i == ia || i == ib || i == ic) continue;
    const Vec2& p = flat[i];
    if (p == a || p == b || p == c) continue;
    if (cross(a, b, p) >= 0 && cross(b, c, p) >= 0 && cross(c, a, p) >= 0) return false;
  }
  return true;
}

/// Length of the outline that `polygon` repeats; its own length when it repeats nothing.
std::size_t period(const std::vector<std::uint32_t>& polygon) {
  for (std::size_t p = 3; 2 * p <= polygon.size(); ++p) {
    if (polygon.size() % p == 0 &&
        std::equal(polygon.begin() + static_cast<std::ptrdiff_t>(p), polygon.end(), polygon.begin())) {
      return p;
    }
  }
  return polygon.size();
}

}  // namespace

void split_polygon(const std::vector<std::uint32_t>& given, const std::vector<Vec3f>& points,
                   std::vector<TriMesh::Triangle>& out) {
  if (given.size() == 3) {
    out.push_back({given[0], given[1], given[2]});
    return;
  }
  const std::vector<std::uint32_t> polygon(given.begin(), given.begin() + static_cast<std::ptrdiff_t>(period(given)));
  std::vector<std::size_t> left(polygon.size());
  for (std::size_t i = 0; i < left.size(); ++i) left[i] = i;
  const std::vector<Vec2> flat = polygon.size() <= kLargest ? flattened(polygon, points) : std::vector<Vec2>();
  if (!flat.empty()) {
    std::size_t at = 1;
    std::size_t misses = 0;
    while (left.size() > 3 && misses < left.size()) {
      at %= left.size();
      if (is_ear(flat, left, at)) {
        const std::size_t n = left.size();
        out.push_back({polygon[left[(at + n - 1) % n]], polygon[left[at]], polygon[left[(at + 1) % n]]});
        left.erase(left.begin() + static_cast<std::ptrdiff_t>(at));
        misses = 0;
      } else {
        ++at;
        ++misses;
      }
    }
  }
  for (std::size_t i = 1; i + 1 < left.size(); ++i) {
    out.push_back({polygon[left[0]], polygon[left[i]], polygon[left[i + 1]]});
  }
}

}  // namespace baywright
