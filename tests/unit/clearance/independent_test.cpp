// The kernels against an independent collision library, on fine inscribed tessellations of the same shapes.
#include <cstdlib>
#include <iostream>

#include <fcl/geometry/bvh/BVH_model.h>
#include <fcl/narrowphase/distance.h>
#include <catch2/catch.hpp>

#include "shapes.hpp"

namespace baywright {
namespace {

using test::Random;
using Model = fcl::BVHModel<fcl::OBBRSS<double>>;

std::shared_ptr<Model> model_of(const TriMesh& mesh) {
  auto model = std::make_shared<Model>();
  std::vector<fcl::Vector3d> vertices;
  std::vector<fcl::Triangle> triangles;
  for (std::uint32_t i = 0; i < mesh.vertices.size(); ++i) vertices.push_back(mesh.vertex(i));
  for (const auto& t : mesh.triangles) triangles.emplace_back(t[0], t[1], t[2]);
  model->beginModel();
  model->addSubModel(vertices, triangles);
  model->endModel();
  return model;
}

TEST_CASE("duct to triangle agrees with an independent library within the tessellation's stated error") {
  constexpr int kShapes = 50, kTriangles = 520;  // of each kind: 104 000 pairs
  int compared = 0, crossing = 0, enclosed = 0;
  double most_above = 0, most_below = 0;
  for (int kind = 0; kind < 4; ++kind) {
    Random random(500u + static_cast<unsigned>(kind));
    for (int i = 0; i < kShapes; ++i) {
      Shape shape = test::random_shape(random, kind, 60);
      if (auto* bend = std::get_if<TorusSegment>(&shape)) bend->bend_radius_mm += bend->radius_mm;
      const TriMesh skin = surface_mesh(shape, 0.3);
      const auto model = model_of(skin);
      const Aabb box = bounds(shape);
      for (int k = 0; k < kTriangles; ++k) {
        const double size = random.chance(0.8) ? 10 : 120;
        const Vec3 v0 = box.center() + random.point(0.6 * box.size().maxCoeff() + 10);
        const Vec3 v1 = v0 + random.point(size), v2 = v0 + random.point(size);
        const double ours = distance_to_triangle(shape, v0, v1, v2).distance_mm;
        Model one;
        one.beginModel();
        one.addTriangle(v0, v1, v2);
        one.endModel();
        fcl::DistanceRequest<double> request;
        fcl::DistanceResult<double> result;
        const double theirs = fcl::distance<double>(model.get(), fcl::Transform3d::Identity(), &one,
                                                    fcl::Transform3d::Identity(), request, result);
        ++compared;
        if (ours >= 0) {
          // Their surface lies inside ours by at most the stated error; on the inner, hollow side of a bend the chords
          // lie outside by at most as much. Touching counts as zero or below there.
          const double hollow = kind == 1 ? skin.chord_error_mm : 0;
          most_above = std::max(most_above, ours - std::max(theirs, 0.0) - hollow);
          most_below = std::max(most_below, std::max(theirs, 0.0) - ours - skin.chord_error_mm);
        } else if (theirs <= 0) {
          ++crossing;
        } else if (ours < -skin.chord_error_mm) {
          // No crossing of the surface, so the whole triangle has to be inside.
          ++enclosed;
          for (const Vec3& v : {v0, v1, v2}) REQUIRE(signed_distance(shape, v) < 0);
        }
      }
    }
  }
  if (std::getenv("BAYWRIGHT_TALLY")) {
    std::cout << compared << " pairs, " << crossing << " crossing, " << enclosed
              << " enclosed; ours above theirs by more than that " << most_above
              << ", below by more than the stated error " << most_below << std::endl;
  }
  CHECK(compared >= 100'000);
  CHECK(most_above < 1e-5 + 1e-4);  // float32 vertices of the tessellation: 1.1e-7 of a few hundred mm
  CHECK(most_below < 1e-5 + 1e-4);
  CHECK(crossing > 1000);
  CHECK(enclosed > 1000);
}

}  // namespace
}  // namespace baywright
