#include "geometry/primitive.hpp"

#include <algorithm>
#include <numbers>

#include "geometry/base/expects.hpp"
#include "geometry/shape_kernels.hpp"

namespace baywright {
namespace {

template <class... F>
struct Overloaded : F... {
  using F::operator()...;
};
template <class... F>
Overloaded(F...) -> Overloaded<F...>;

Cone as_cone(const Collar& s) { return {s.a, s.b, s.radius_mm, s.radius_mm}; }

Aabb cone_bounds(const Cone& s) {
  EXPECTS((s.b - s.a).squaredNorm() > 0);
  const Vec3 n = (s.b - s.a).normalized();
  const Vec3 disc = (Vec3::Ones() - n.cwiseProduct(n)).cwiseMax(0.0).cwiseSqrt();
  Aabb box;
  for (const auto& [p, r] : {std::pair{s.a, s.radius_a_mm}, std::pair{s.b, s.radius_b_mm}}) {
    box.grow(Vec3(p - r * disc));
    box.grow(Vec3(p + r * disc));
  }
  return box;
}

Aabb bend_bounds(const TorusSegment& s) {
  Aabb box;
  box.grow(s.axis_point(0));
  box.grow(s.axis_point(s.angle_rad));
  for (int k = 0; k < 3; ++k) {  // each coordinate is a sine of t; take its crests that lie on the arc
    const double crest = std::atan2(s.e1[k], s.e0[k]);
    for (int turn = -1; turn <= 2; ++turn) {
      const double t = crest + turn * std::numbers::pi;
      if (t > 0 && t < s.angle_rad) box.grow(s.axis_point(t));
    }
  }
  return box.inflated(s.radius_mm);
}

double bend_distance(const TorusSegment& s, const Vec3& p) {
  const Vec3 r = p - s.center;
  const double t = std::atan2(r.dot(s.e1), r.dot(s.e0));
  double d = std::min((p - s.axis_point(0)).norm(), (p - s.axis_point(s.angle_rad)).norm());
  if (t > 0 && t < s.angle_rad) d = std::min(d, (p - s.axis_point(t)).norm());
  return d - s.radius_mm;
}

double cone_distance(const Cone& s, const Vec3& p) {
  const Vec3 n = (s.b - s.a).normalized();
  const double z = n.dot(p - s.a);
  return ConeProfile(s).distance((p - s.a - z * n).norm(), z);
}

/// One circle of a surface's skin; radius 0: a single point.
struct Ring {
  Vec3 center, ex, ey;
  double radius_mm = 0;
};

/// Triangles between consecutive rings, facing outward when ex x ey points along the order of the rings.
TriMesh skin(const std::vector<Ring>& rings, int around, const Vec3& origin, double chord_error_mm) {
  TriMesh mesh;
  mesh.origin_mm = origin;
  double extent = 0;
  std::vector<std::uint32_t> first;
  for (const Ring& ring : rings) {
    first.push_back(static_cast<std::uint32_t>(mesh.vertices.size()));
    const int count = ring.radius_mm > 0 ? around : 1;
    for (int j = 0; j < count; ++j) {
      const double a = 2 * std::numbers::pi * j / around;
      const Vec3 p = ring.center + ring.radius_mm * (std::cos(a) * ring.ex + std::sin(a) * ring.ey) - origin;
      extent = std::max(extent, p.cwiseAbs().maxCoeff());
      mesh.vertices.emplace_back(p.cast<float>());
    }
  }
  for (std::size_t i = 0; i + 1 < rings.size(); ++i) {
    const bool low = rings[i].radius_mm > 0, high = rings[i + 1].radius_mm > 0;
    for (std::uint32_t j = 0; j < static_cast<std::uint32_t>(around); ++j) {
      const std::uint32_t k = (j + 1) % static_cast<std::uint32_t>(around);
      const std::uint32_t a = first[i] + (low ? j : 0), b = first[i] + (low ? k : 0);
      const std::uint32_t c = first[i + 1] + (high ? j : 0), d = first[i + 1] + (high ? k : 0);
      if (low) mesh.triangles.push_back({a, b, high ? d : c});
      if (high) mesh.triangles.push_back({a, d, c});
    }
  }
  mesh.chord_error_mm = chord_error_mm + 1.1e-7 * extent;  // sqrt(3) half ulps of float32
  return mesh;
}

int steps(double angle_rad, double step_rad) {
  return std::clamp(static_cast<int>(std::ceil(angle_rad / step_rad)), 1, 20000);
}

/// Rings of a quarter ball from its pole to its equator (or back), around the unit direction `out`.
void add_end(std::vector<Ring>& rings, const Ring& equator, const Vec3& out, int count, bool to_equator) {
  for (int i = 0; i <= count; ++i) {
    const double a = 0.5 * std::numbers::pi * (to_equator ? i : count - i) / count;
    const bool pole = to_equator ? i == 0 : i == count;
    rings.push_back({equator.center + equator.radius_mm * std::cos(a) * out, equator.ex, equator.ey,
                     pole ? 0 : equator.radius_mm * std::sin(a)});
  }
}

// Steps: linear interpolation of S(u, v) over a right triangle of parameters misses by at most
// (|S_uu| du^2 + 2 |S_uv| du dv + |S_vv| dv^2) / 8 (Filip, Magedson, Markot 1986). With du = sqrt(2 e / (R + r)) and
// dv = sqrt(2 e / r) that is at most e on a torus, and on a ball (R = 0) too.
TriMesh tube_skin(const std::vector<Ring>& axis, const Vec3& back, const Vec3& ahead, double radius_mm,
                  double error_mm) {
  const int around = std::max(8, steps(2 * std::numbers::pi, std::sqrt(2 * error_mm / radius_mm)));
  const int end = std::max(2, steps(0.5 * std::numbers::pi, std::sqrt(2 * error_mm / radius_mm)));
  std::vector<Ring> rings;
  add_end(rings, axis.front(), back, end, true);
  for (std::size_t i = 1; i + 1 < axis.size(); ++i) rings.push_back(axis[i]);
  add_end(rings, axis.back(), ahead, end, false);
  return skin(rings, around, 0.5 * (axis.front().center + axis.back().center), error_mm);
}

TriMesh cylinder_mesh(const Cylinder& s, double error_mm) {
  const Vec3 d = s.b - s.a;
  const Vec3 n = d.norm() > 0 ? Vec3(d.normalized()) : Vec3(Vec3::UnitZ());
  const Vec3 ex = any_perpendicular(n), ey = n.cross(ex);
  return tube_skin({{s.a, ex, ey, s.radius_mm}, {s.b, ex, ey, s.radius_mm}}, -n, n, s.radius_mm, error_mm);
}

TriMesh bend_mesh(const TorusSegment& s, double error_mm) {
  const int along = steps(s.angle_rad, std::sqrt(2 * error_mm / (s.bend_radius_mm + s.radius_mm)));
  const Vec3 up = s.e0.cross(s.e1);
  std::vector<Ring> axis;
  for (int i = 0; i <= along; ++i) {
    const double t = s.angle_rad * i / along;
    axis.push_back({s.axis_point(t), up, std::cos(t) * s.e0 + std::sin(t) * s.e1, s.radius_mm});
  }
  const double t = s.angle_rad;
  return tube_skin(axis, -s.e1, std::cos(t) * s.e1 - std::sin(t) * s.e0, s.radius_mm, error_mm);
}

TriMesh cone_mesh(const Cone& s, double error_mm) {
  const Vec3 n = (s.b - s.a).normalized(), ex = any_perpendicular(n), ey = n.cross(ex);
  const double radius = std::max(s.radius_a_mm, s.radius_b_mm);
  // Quads of a cone are flat: only the circle's sagitta r (1 - cos(dv / 2)) <= r dv^2 / 8 is missed.
  const int around = std::max(8, steps(2 * std::numbers::pi, std::sqrt(8 * error_mm / radius)));
  return skin({{s.a, ex, ey, 0}, {s.a, ex, ey, s.radius_a_mm}, {s.b, ex, ey, s.radius_b_mm}, {s.b, ex, ey, 0}}, around,
              0.5 * (s.a + s.b), radius * (1 - std::cos(std::numbers::pi / around)));
}

}  // namespace

Aabb bounds(const Shape& shape) {
  return std::visit(
      Overloaded{[](const Cylinder& s) {
                   Aabb box;
                   box.grow(s.a);
                   box.grow(s.b);
                   return box.inflated(s.radius_mm);
                 },
                 [](const TorusSegment& s) { return bend_bounds(s); }, [](const Cone& s) { return cone_bounds(s); },
                 [](const Collar& s) { return cone_bounds(as_cone(s)); }},
      shape);
}

Shape moved(const Shape& shape, const Pose& X) {
  return std::visit(Overloaded{[&](const Cylinder& s) -> Shape {
                                 return Cylinder{X * s.a, X * s.b, s.radius_mm};
                               },
                               [&](const TorusSegment& s) -> Shape {
                                 return TorusSegment{X * s.center,     X.R * s.e0,  X.R * s.e1,
                                                     s.bend_radius_mm, s.angle_rad, s.radius_mm};
                               },
                               [&](const Cone& s) -> Shape {
                                 return Cone{X * s.a, X * s.b, s.radius_a_mm, s.radius_b_mm};
                               },
                               [&](const Collar& s) -> Shape {
                                 return Collar{X * s.a, X * s.b, s.radius_mm};
                               }},
                    shape);
}

TriMesh surface_mesh(const Shape& shape, double chord_error_mm) {
  EXPECTS(chord_error_mm > 0);
  return std::visit(Overloaded{[&](const Cylinder& s) { return cylinder_mesh(s, chord_error_mm); },
                               [&](const TorusSegment& s) { return bend_mesh(s, chord_error_mm); },
                               [&](const Cone& s) { return cone_mesh(s, chord_error_mm); },
                               [&](const Collar& s) { return cone_mesh(as_cone(s), chord_error_mm); }},
                    shape);
}

Contact distance_to_triangle(const Shape& shape, const Vec3& v0, const Vec3& v1, const Vec3& v2) {
  const Corners3 v = {v0, v1, v2};
  return std::visit(Overloaded{[&](const Cylinder& s) { return cylinder_to_triangle(s, v); },
                               [&](const TorusSegment& s) { return arc_to_triangle(swept_arc(s), v); },
                               [&](const Cone& s) { return cone_to_triangle(s, v); },
                               [&](const Collar& s) { return cone_to_triangle(as_cone(s), v); }},
                    shape);
}

double signed_distance(const Shape& shape, const Vec3& p) {
  return std::visit(Overloaded{[&](const Cylinder& s) {
                                 const double t = nearest_on_segment(p, s.a, s.b);
                                 return (p - (s.a + t * (s.b - s.a))).norm() - s.radius_mm;
                               },
                               [&](const TorusSegment& s) { return bend_distance(s, p); },
                               [&](const Cone& s) { return cone_distance(s, p); },
                               [&](const Collar& s) { return cone_distance(as_cone(s), p); }},
                    shape);
}

}  // namespace baywright
