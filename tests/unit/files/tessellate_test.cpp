#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "geometry/files/step_file.hpp"
#include "geometry/tube_solid.hpp"

using namespace baywright;

namespace {

/// Distance from p to the nearest triangle, by trying them all.
double brute_distance(const TriMesh& mesh, const Vec3& p) {
  double best = 1e300;
  for (const TriMesh::Triangle& t : mesh.triangles) {
    const std::array<Vec3, 3> v{mesh.vertex(t[0]), mesh.vertex(t[1]), mesh.vertex(t[2])};
    const Vec3 n = (v[1] - v[0]).cross(v[2] - v[0]);
    bool inside = n.norm() > 0;
    for (std::size_t i = 0; i < 3; ++i) {
      const Vec3 d = v[(i + 1) % 3] - v[i];
      if (d.cross(p - v[i]).dot(n) < 0) inside = false;
      const double t01 = d.squaredNorm() > 0 ? std::clamp((p - v[i]).dot(d) / d.squaredNorm(), 0.0, 1.0) : 0;
      best = std::min(best, (v[i] + t01 * d - p).norm());
    }
    if (inside) best = std::min(best, std::abs((p - v[0]).dot(n.normalized())));
  }
  return best;
}

/// The mesh of `tube` against dense points of its exact outer surface, given by a function of (s, t) in 0..1.
template <class Surface>
void check_bound(const char* name, const TriMesh& mesh, double target, const Surface& surface) {
  double worst = 0;
  for (int i = 0; i <= 40; ++i) {
    for (int k = 0; k <= 90; ++k) worst = std::max(worst, brute_distance(mesh, surface(i / 40.0, k / 90.0)));
  }
  INFO(name << ": worst " << worst << " stated " << mesh.chord_error_mm);
  CHECK(worst <= mesh.chord_error_mm + 1e-12);
  // A bound, not a guess: on coarse facets, which these points sample well, it is not far above the truth.
  if (target == 1.0) CHECK(mesh.chord_error_mm <= 1.3 * worst);
}

}  // namespace

TEST_CASE("a box is meshed exactly") {
  const auto box = read_step(std::string(BAYWRIGHT_TEST_DATA) + "/step/red_cube_blue_cylinder.step");
  REQUIRE(box);
  for (const StepPart& part : box->parts) {
    const auto mesh = tessellate(part.shape, 0.1);
    REQUIRE(mesh);
    if (part.name == "red_cube") CHECK(mesh->chord_error_mm < 1e-6);
    CHECK(count_mesh(*mesh).boundary_edges == 0);
    CHECK(signed_volume_mm3(*mesh) > 0);  // facets look outward
    CHECK(mesh->face.size() == mesh->triangles.size());
  }
}

TEST_CASE("the stated chord error bounds cylinder, cone and torus") {
  for (const double target : {1.0, 0.2}) {
    const auto cylinder = tube_solid({Collar{{1000, 0, 0}, {1000, 0, 80}, 30}}, 0);
    const auto mesh = tessellate(*cylinder, target);
    REQUIRE(mesh);
    CHECK(mesh->chord_error_mm <= target);
    check_bound("cylinder", *mesh, target, [](double s, double t) {
      return Vec3(1000 + 30 * std::cos(2 * std::numbers::pi * t), 30 * std::sin(2 * std::numbers::pi * t), 80 * s);
    });
    const auto cone = tube_solid({Cone{{0, 0, 0}, {0, 0, 50}, 40, 10}}, 0);
    const auto cone_mesh = tessellate(*cone, target);
    REQUIRE(cone_mesh);
    check_bound("cone", *cone_mesh, target, [](double s, double t) {
      const double r = 40 - 30 * s;
      return Vec3(r * std::cos(2 * std::numbers::pi * t), r * std::sin(2 * std::numbers::pi * t), 50 * s);
    });
    TorusSegment bend;
    bend.center = {0, 0, 0};
    bend.e0 = {1, 0, 0};
    bend.e1 = {0, 1, 0};
    bend.bend_radius_mm = 115;
    bend.angle_rad = 2.0;
    bend.radius_mm = 38;
    const auto torus = tube_solid({bend}, 0);
    const auto torus_mesh = tessellate(*torus, target);
    REQUIRE(torus_mesh);
    CHECK(torus_mesh->chord_error_mm <= target);
    check_bound("torus", *torus_mesh, target, [](double s, double t) {
      const double a = 2 * s, b = 2 * std::numbers::pi * t, r = 115 + 38 * std::cos(b);
      return Vec3(r * std::cos(a), r * std::sin(a), 38 * std::sin(b));
    });
  }
}

TEST_CASE("the stated chord error holds on real free-form faces") {
  // Corner-to-exact distances are no test (corners lie on the surface); so points are taken from a mesh ten times as
  // fine, whose own error is added.
  for (const char* name : {"nist_ftc_11_asme1_rb.stp", "io1-cm-214.stp", "#332_file.stp"}) {
    INFO(name);
    const auto model = read_step(std::string(BAYWRIGHT_TEST_DATA) + "/step/" + name);
    REQUIRE(model);
    const Solid& solid = model->parts[0].shape;
    const auto coarse = tessellate(solid, 0.5);
    const auto fine = tessellate(solid, 0.05);
    REQUIRE(coarse);
    REQUIRE(fine);
    std::mt19937 random(3);
    std::uniform_int_distribution<std::size_t> pick(0, fine->triangles.size() - 1);
    double worst = 0;
    for (int i = 0; i < 400; ++i) {
      const TriMesh::Triangle& t = fine->triangles[pick(random)];
      const Vec3 p = (fine->vertex(t[0]) + fine->vertex(t[1]) + fine->vertex(t[2])) / 3;
      worst = std::max(worst, brute_distance(*coarse, p));
    }
    CHECK(worst <= coarse->chord_error_mm + fine->chord_error_mm);
  }
}

TEST_CASE("a solid far from the origin keeps its precision") {
  const auto far = tube_solid({Collar{{5e6, -3e6, 1e5}, {5e6, -3e6, 1e5 + 50}, 20}}, 0);
  REQUIRE(far);
  const auto mesh = tessellate(*far, 0.2);
  REQUIRE(mesh);
  CHECK(mesh->chord_error_mm <= 0.2);
  CHECK(bounds(*mesh).size().z() == Approx(50).margin(1e-4));
}

TEST_CASE("meshing leaves the solid as it was: copies are meshed on their own") {
  const auto tube = tube_solid({Collar{{0, 0, 0}, {0, 0, 80}, 30}}, 2);
  const auto a = tessellate(*tube, 0.5);
  const auto b = tessellate(tube->moved(Pose::translation({10, 0, 0})), 0.05);
  REQUIRE(a);
  REQUIRE(b);
  CHECK(b->triangles.size() > a->triangles.size());
  CHECK(bounds(*b).lo.x() == Approx(-20).margin(0.1));
}
