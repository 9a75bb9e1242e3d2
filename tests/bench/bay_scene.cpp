#include "bay_scene.hpp"

#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>
#include <random>

namespace baywright::bench {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kRadius_mm = 38, kThinRadius_mm = 30, kBend_mm = 90;

double hashed(int x, int y, int z, unsigned seed) {  // -1..1
  auto h = static_cast<std::uint32_t>(x) * 374761393U + static_cast<std::uint32_t>(y) * 668265263U +
           static_cast<std::uint32_t>(z) * 2147483647U + seed * 974711U;
  h = (h ^ (h >> 13)) * 1274126177U;
  h ^= h >> 16;
  return static_cast<double>(h) / 2147483647.5 - 1.0;
}

double value_noise(const Vec3& p, unsigned seed) {
  const Vec3 f = p.array().floor();
  const Vec3 t = p - f, s = t.array() * t.array() * (3.0 - 2.0 * t.array());
  const int x = static_cast<int>(f.x()), y = static_cast<int>(f.y()), z = static_cast<int>(f.z());
  double sum = 0;
  for (int i = 0; i < 8; ++i) {
    const int dx = i & 1, dy = i >> 1 & 1, dz = i >> 2;
    sum += (dx ? s.x() : 1 - s.x()) * (dy ? s.y() : 1 - s.y()) * (dz ? s.z() : 1 - s.z()) *
           hashed(x + dx, y + dy, z + dz, seed);
  }
  return sum;
}

double fbm(const Vec3& p_mm, double wave_mm, unsigned seed) {
  double sum = 0, amplitude = 0.5, frequency = 1 / wave_mm;
  for (unsigned octave = 0; octave < 5; ++octave) {
    sum += amplitude * value_noise(frequency * p_mm, seed + octave);
    amplitude *= 0.5;
    frequency *= 2.03;
  }
  return sum;
}

double smooth(double t) {
  t = std::clamp(t, 0.0, 1.0);
  return t * t * (3 - 2 * t);
}

/// Pushes points out of a zone around the duct whose width varies from place to place.
class Keepout {
 public:
  explicit Keepout(const std::vector<Primitive>& duct) {
    for (const Primitive& p : duct) near_.push_back({&p.shape, bounds(p.shape).inflated(12)});
  }
  Vec3 outside(Vec3 p) const {
    for (int again = 0; again < 4; ++again) {
      const Shape* nearest = nullptr;
      double least = 6 + 9 * (0.5 + 0.4 * fbm(p, 60, 99));
      for (const auto& [shape, box] : near_) {
        if ((p.array() < box.lo.array()).any() || (p.array() > box.hi.array()).any()) continue;
        if (const double d = signed_distance(*shape, p); d < least) least = d, nearest = shape;
      }
      if (!nearest) return p;
      const double wanted = 6 + 9 * (0.5 + 0.4 * fbm(p, 60, 99));
      Vec3 slope;
      for (int k = 0; k < 3; ++k) {
        const Vec3 h = 0.01 * Vec3::Unit(k);
        slope[k] = signed_distance(*nearest, p + h) - signed_distance(*nearest, p - h);
      }
      p += (wanted - least + 1e-3) * (slope.norm() > 1e-9 ? Vec3(slope.normalized()) : Vec3(0, 0, -1));
    }
    return p;
  }

 private:
  struct Near {
    const Shape* shape;
    Aabb box;
  };
  std::vector<Near> near_;
};

/// A patch f(u, v), u and v in 0..1, as a scanner sees it.
class Scanner {
 public:
  Scanner(TriMesh& mesh, const Keepout& keepout, unsigned seed) : mesh_(mesh), keepout_(keepout), engine_(seed) {}

  void patch(double triangles, double aspect, const std::function<Vec3(double, double)>& f) {
    const int nv = std::max(2, static_cast<int>(std::sqrt(triangles / (2 * aspect))));
    const int nu = std::max(2, static_cast<int>(triangles / (2.0 * nv)));
    const auto first = static_cast<std::uint32_t>(mesh_.vertices.size());
    for (int j = 0; j <= nv; ++j) {
      for (int i = 0; i <= nu; ++i) {
        const double u = warped((i + jitter()) / nu), v = warped((j + jitter()) / nv);
        const Vec3 noise(gauss_(engine_), gauss_(engine_), gauss_(engine_));
        mesh_.vertices.push_back((keepout_.outside(f(u, v)) + 0.15 * noise).cast<float>());
      }
    }
    const auto row = static_cast<std::uint32_t>(nu + 1);
    for (std::uint32_t j = 0; j < static_cast<std::uint32_t>(nv); ++j) {
      for (std::uint32_t i = 0; i < static_cast<std::uint32_t>(nu); ++i) {
        const std::uint32_t a = first + j * row + i, b = a + 1, c = a + row, d = c + 1;
        if (engine_() & 1U) {
          add({a, b, d});
          add({a, d, c});
        } else {
          add({a, b, c});
          add({b, d, c});
        }
      }
    }
  }

 private:
  static double warped(double t) { return std::clamp(t, 0.0, 1.0) + 0.06 * std::sin(4 * kPi * t) / (4 * kPi) * 8; }
  double jitter() { return 0.35 * (unit_(engine_) - 0.5); }
  void add(const TriMesh::Triangle& t) {
    if (engine_() % 100 != 0) mesh_.triangles.push_back(t);  // holes
  }

  TriMesh& mesh_;
  const Keepout& keepout_;
  std::mt19937 engine_;
  std::normal_distribution<double> gauss_;
  std::uniform_real_distribution<double> unit_;
};

void add_body(Scanner& scan, double triangles) {
  const double each = 0.25 * triangles;
  scan.patch(each, 1.25, [](double u, double v) {
    const Vec3 p(-120 + 1080 * u, -160 + 860 * v, 0);
    return Vec3(p.x(), p.y(), -72 + 160 * smooth((p.x() - 260) / 330) + 28 * fbm(p, 120, 1));
  });
  scan.patch(each, 2.5, [](double u, double v) {
    const Vec3 p(-100 + 1000 * u, 0, -120 + 420 * v);
    const double y = -68 + 560 * smooth((p.x() - 330) / 330);
    return Vec3(p.x(), y + 28 * fbm(p, 110, 11), p.z());
  });
  scan.patch(each, 2.0, [](double u, double v) {
    const Vec3 p(0, -150 + 850 * u, -100 + 420 * v);
    return Vec3(905 + 25 * fbm(p, 100, 21), p.y(), p.z());
  });
  scan.patch(each, 1.5, [](double u, double v) {
    const Vec3 n(std::cos(2 * kPi * u), std::sin(2 * kPi * u), 0);
    const Vec3 p = Vec3(190, 190, -90 + 330 * v) + 105 * n;
    return Vec3(p + 26 * fbm(p, 90, 31) * n);
  });
}

void add_engine(Scanner& scan, double triangles) {
  const std::array<Vec3, 6> center = {Vec3(90, 20, 130),   Vec3(330, 10, 110),  Vec3(500, 300, 50),
                                      Vec3(300, 420, 160), Vec3(560, 640, 260), Vec3(780, 470, 210)};
  for (std::size_t i = 0; i < center.size(); ++i) {
    scan.patch(triangles / 9, 1.6, [&](double u, double v) {
      const double lat = kPi * (0.002 + 0.996 * v), lon = 2 * kPi * u;
      const Vec3 n(std::sin(lat) * std::cos(lon), std::sin(lat) * std::sin(lon), std::cos(lat));
      const Vec3 p = center[i] + 68 * n;
      return Vec3(p + 22 * fbm(p, 60, 41 + static_cast<unsigned>(i)) * n);
    });
  }
  for (int h = 0; h < 5; ++h) {
    scan.patch(triangles / 15, 6.0, [&](double u, double v) {
      const double x = -60 + 960 * u, turn = 0.5 * h + 3 * u;
      const Vec3 axis(x, 560 * smooth((x - 280) / 380) + 66 * std::cos(turn),
                      160 * smooth((x - 260) / 330) + 66 * std::sin(turn));
      const Vec3 n(0, std::cos(2 * kPi * v), std::sin(2 * kPi * v));
      return Vec3(axis + (12 + 1.5 * fbm(axis, 20, 51)) * n);
    });
  }
}

/// Rods, lines and shafts as a STEP file's mesher leaves them: facets as long as the rod. They cross the bay in all
/// directions, as a steering shaft and brake lines do, and keep 6 mm from the duct.
void add_rods(TriMesh& mesh, const std::vector<Primitive>& duct) {
  constexpr int kRods = 12;
  constexpr std::uint32_t kFacets = 400;
  constexpr double kRodRadius_mm = 8, kRodLength_mm = 800;
  std::mt19937 engine(77);
  const auto in = [&](double from, double to) {
    return from + (to - from) * static_cast<double>(engine()) / 4294967296.0;
  };
  for (int rod = 0; rod < kRods;) {
    const Vec3 middle(in(0, 860), in(-100, 640), in(-60, 260)), across(in(-1, 1), in(-1, 1), in(-1, 1));
    const Vec3 axis = across.normalized(), from = middle - 0.5 * kRodLength_mm * axis;
    double least = std::numeric_limits<double>::infinity();
    for (int i = 0; i <= 400; ++i) {
      for (const Primitive& p : duct)
        least = std::min(least, signed_distance(p.shape, from + kRodLength_mm * i / 400 * axis));
    }
    if (least < kRodRadius_mm + 7) continue;  // 2 mm from sample to sample
    const Vec3 x = axis.unitOrthogonal(), y = axis.cross(x);
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    for (std::uint32_t i = 0; i < kFacets; ++i) {
      const Vec3 n = std::cos(2 * kPi * i / kFacets) * x + std::sin(2 * kPi * i / kFacets) * y;
      for (const double t : {0.0, kRodLength_mm})
        mesh.vertices.push_back((from + t * axis + kRodRadius_mm * n).cast<float>());
    }
    for (std::uint32_t i = 0; i < kFacets; ++i) {
      const std::uint32_t a = first + 2 * i, b = first + 2 * ((i + 1) % kFacets);
      mesh.triangles.push_back({a, b, a + 1});
      mesh.triangles.push_back({b, b + 1, a + 1});
    }
    ++rod;
  }
}

/// Appends a straight in pieces of at most 25 mm.
void add_straight(std::vector<Primitive>& out, const Vec3& a, const Vec3& b) {
  const int count = static_cast<int>(std::ceil((b - a).norm() / 25));
  for (int i = 0; i < count; ++i) {
    out.push_back({Cylinder{a + (b - a) * i / count, a + (b - a) * (i + 1) / count, kRadius_mm}});
  }
}

/// The last run: straight, reducer, straight.
void add_reducing(std::vector<Primitive>& out, const Vec3& a, const Vec3& b) {
  const Vec3 from = a + 0.4 * (b - a), to = a + 0.7 * (b - a);
  add_straight(out, a, from);
  const int cones = static_cast<int>(std::ceil((to - from).norm() / 25));
  const auto radius = [&](int i) { return kRadius_mm + (kThinRadius_mm - kRadius_mm) * i / cones; };
  for (int i = 0; i < cones; ++i) {
    out.push_back(
        {Cone{from + (to - from) * i / cones, from + (to - from) * (i + 1) / cones, radius(i), radius(i + 1)}});
  }
  const auto thin = out.size();
  add_straight(out, to, b);
  for (auto i = thin; i < out.size(); ++i) std::get<Cylinder>(out[i].shape).radius_mm = kThinRadius_mm;
}

}  // namespace

std::vector<Primitive> scene_duct() {
  const std::array<Vec3, 6> p = {Vec3(0, 0, 0),       Vec3(260, 0, 0),     Vec3(400, 180, 60),
                                 Vec3(400, 420, 160), Vec3(640, 560, 160), Vec3(860, 560, 160)};
  std::vector<Primitive> out;
  Vec3 at = p[0];
  for (std::size_t i = 1; i + 1 < p.size(); ++i) {
    const Vec3 d0 = (p[i] - p[i - 1]).normalized(), d1 = (p[i + 1] - p[i]).normalized();
    const double angle = std::acos(d0.dot(d1)), set_back = kBend_mm * std::tan(0.5 * angle);
    const Vec3 start = p[i] - set_back * d0;
    add_straight(out, at, start);
    const Vec3 inward = (d1 - d0.dot(d1) * d0).normalized(), center = start + kBend_mm * inward;
    const int count = static_cast<int>(std::ceil(angle / (kPi / 12)));
    for (int k = 0; k < count; ++k) {
      const double t = angle * k / count;
      out.push_back({TorusSegment{center, std::cos(t) * -inward + std::sin(t) * d0,
                                  std::sin(t) * inward + std::cos(t) * d0, kBend_mm, angle / count, kRadius_mm}});
    }
    at = p[i] + set_back * d1;
  }
  add_reducing(out, at, p.back());
  for (const double x : {20.0, 200.0}) out.push_back({Collar{Vec3(x, 0, 0), Vec3(x + 12, 0, 0), kRadius_mm + 5}});
  for (std::size_t i = 0; i < out.size(); ++i) out[i].owner = static_cast<int>(i);
  return out;
}

BayScene bay_scene(std::size_t triangles, bool with_rods, unsigned seed) {
  BayScene scene;
  scene.duct = scene_duct();
  const Keepout keepout(scene.duct);
  scene.surroundings.vertices.reserve(triangles * 11 / 20);
  scene.surroundings.triangles.reserve(triangles + triangles / 50);
  Scanner scan(scene.surroundings, keepout, seed);
  const auto n = static_cast<double>(triangles);
  add_body(scan, 0.55 * n);
  scene.engine_from = scene.surroundings.triangles.size();
  add_engine(scan, 0.45 * n);
  scene.engine_to = scene.surroundings.triangles.size();
  if (with_rods) add_rods(scene.surroundings, scene.duct);
  return scene;
}

std::vector<Vec3> surface_points(const std::vector<Primitive>& duct, std::size_t count) {
  std::vector<Vec3> out;
  const auto per_piece = static_cast<int>(count / duct.size());
  const int around = static_cast<int>(std::sqrt(6.0 * per_piece)), along = per_piece / around;
  for (const Primitive& p : duct) {
    for (int i = 0; i < along; ++i) {
      for (int j = 0; j < around; ++j) {
        const double t = (i + 0.5) / along, turn = 2 * kPi * j / around;
        Vec3 center, axis;
        double radius = 0;
        if (const auto* s = std::get_if<TorusSegment>(&p.shape)) {
          const double angle = t * s->angle_rad;
          center = s->axis_point(angle);
          axis = -std::sin(angle) * s->e0 + std::cos(angle) * s->e1;
          radius = s->radius_mm;
        } else {
          std::visit(
              [&](const auto& straight) {
                if constexpr (!std::is_same_v<std::decay_t<decltype(straight)>, TorusSegment>) {
                  center = straight.a + t * (straight.b - straight.a);
                  axis = (straight.b - straight.a).normalized();
                }
                if constexpr (std::is_same_v<std::decay_t<decltype(straight)>, Cone>) {
                  radius = straight.radius_a_mm + t * (straight.radius_b_mm - straight.radius_a_mm);
                } else {
                  radius = straight.radius_mm;
                }
              },
              p.shape);
        }
        const Vec3 x = axis.unitOrthogonal(), y = axis.cross(x);
        out.push_back(center + radius * (std::cos(turn) * x + std::sin(turn) * y));
      }
    }
  }
  return out;
}

TriMesh duct_mesh(const std::vector<Primitive>& duct, double chord_error_mm) {
  std::vector<TriMesh> pieces;
  for (const Primitive& p : duct) pieces.push_back(surface_mesh(p.shape, chord_error_mm));
  return merged(pieces);
}

}  // namespace baywright::bench
