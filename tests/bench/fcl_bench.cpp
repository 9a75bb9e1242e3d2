#include <fcl/geometry/bvh/BVH_model.h>
#include <fcl/narrowphase/distance.h>

#include "speed_bench.hpp"

namespace baywright::bench {
namespace {

using Model = fcl::BVHModel<fcl::OBBRSS<double>>;

std::shared_ptr<Model> model_of(const TriMesh& mesh) {
  auto model = std::make_shared<Model>();
  model->beginModel(static_cast<int>(mesh.triangles.size()), static_cast<int>(mesh.vertices.size()));
  std::vector<fcl::Vector3d> vertices;
  std::vector<fcl::Triangle> triangles;
  vertices.reserve(mesh.vertices.size());
  triangles.reserve(mesh.triangles.size());
  for (std::uint32_t i = 0; i < mesh.vertices.size(); ++i) vertices.push_back(mesh.vertex(i));
  for (const auto& t : mesh.triangles) triangles.emplace_back(t[0], t[1], t[2]);
  model->addSubModel(vertices, triangles);
  model->endModel();
  return model;
}

struct Kept {
  std::int64_t size = 0;
  std::shared_ptr<Model> model;
  double bytes_per_triangle = 0;
};
Kept& kept() {
  static Kept kKept;
  return kKept;
}

void fcl_build(benchmark::State& state) {
  const TriMesh& mesh = scene_of(state.range(0)).surroundings;
  for (auto _ : state) {
    kept() = {};
    const std::size_t before = allocated_bytes();
    kept().model = model_of(mesh);
    kept().size = state.range(0);
    kept().bytes_per_triangle =
        static_cast<double>(allocated_bytes() - before) / static_cast<double>(mesh.triangles.size());
  }
  state.counters["bytes_per_triangle"] = kept().bytes_per_triangle;
}
BENCHMARK(fcl_build)->Apply(sizes)->Unit(benchmark::kMillisecond)->Iterations(1);

void fcl_duct_minimum(benchmark::State& state) {
  const BayScene& scene = scene_of(state.range(0));
  if (kept().size != state.range(0)) kept() = {state.range(0), model_of(scene.surroundings), 0};
  const TriMesh skin = duct_mesh(scene.duct, 0.05);
  const auto duct = model_of(skin);
  double least = 0;
  for (auto _ : state) {
    fcl::DistanceRequest<double> request;
    fcl::DistanceResult<double> result;
    least = fcl::distance<double>(duct.get(), fcl::Transform3d::Identity(), kept().model.get(),
                                  fcl::Transform3d::Identity(), request, result);
  }
  state.counters["mm"] = least;
  state.counters["duct_triangles"] = static_cast<double>(skin.triangles.size());
}
BENCHMARK(fcl_duct_minimum)->Apply(sizes)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace baywright::bench
