#include "access/seat_left_out.hpp"

#include <algorithm>
#include <vector>

namespace baywright::access {
namespace {

/// How far before its open end a spigot's face may be drawn.
constexpr double kAhead_mm = 1;
/// What is within this of the spigot's size is the spigot: chords and rounding.
constexpr double kSpigotSize_mm = 0.7;
constexpr double kNeck_mm = 50;

using Polygon = std::vector<Vec3>;

/// Part of a convex polygon on one side of the plane at height z along the axis.
Polygon cut(const Polygon& polygon, const SeatPlace& seat, double z, bool above) {
  Polygon out;
  const auto over = [&](const Vec3& p) {
    const double h = seat.axis.dot(p - seat.center) - z;
    return above ? h : -h;
  };
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Vec3 &p = polygon[i], &q = polygon[(i + 1) % polygon.size()];
    const double hp = over(p), hq = over(q);
    if (hp >= 0) out.push_back(p);
    if ((hp > 0 && hq < 0) || (hp < 0 && hq > 0)) out.push_back(p + hp / (hp - hq) * (q - p));
  }
  return out.size() < 3 ? Polygon() : out;
}

bool within(const Polygon& polygon, const SeatPlace& seat, double radius_mm) {
  return std::all_of(polygon.begin(), polygon.end(), [&](const Vec3& p) {
    const Vec3 from = p - seat.center;
    return from.cross(seat.axis).norm() <= radius_mm;
  });
}

void add(const Polygon& polygon, TriMesh& mesh) {
  const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
  for (const Vec3& p : polygon) mesh.vertices.emplace_back((p - mesh.origin_mm).cast<float>());
  for (std::uint32_t i = 2; i < polygon.size(); ++i) mesh.triangles.push_back({first, first + i - 1, first + i});
}

}  // namespace

TriMesh without_seat(const TriMesh& mesh, const SeatPlace& seat) {
  TriMesh out;
  out.origin_mm = mesh.origin_mm;
  out.vertices = mesh.vertices;
  out.chord_error_mm = mesh.chord_error_mm;
  const double radius = 0.5 * seat.outer_diameter_mm;
  const double back = -seat.length_mm, neck = back - kNeck_mm;
  for (const TriMesh::Triangle& t : mesh.triangles) {
    const Polygon whole = {mesh.vertex(t[0]), mesh.vertex(t[1]), mesh.vertex(t[2])};
    Polygon middle = cut(cut(whole, seat, kAhead_mm, false), seat, back, true);
    Polygon behind = cut(cut(whole, seat, back, false), seat, neck, true);
    const bool on_spigot = !middle.empty() && within(middle, seat, radius + kLip_mm);
    const bool on_neck = !behind.empty() && within(behind, seat, radius + kSpigotSize_mm);
    if (!on_spigot && !on_neck) {
      out.triangles.push_back(t);
      continue;
    }
    for (const Polygon& rest : {cut(whole, seat, kAhead_mm, true), on_spigot ? Polygon() : middle,
                                on_neck ? Polygon() : behind, cut(whole, seat, neck, false)}) {
      if (!rest.empty()) add(rest, out);
    }
  }
  return out;
}

}  // namespace baywright::access
