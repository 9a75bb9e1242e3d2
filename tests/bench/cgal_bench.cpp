#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/AABB_triangle_primitive.h>
#include <CGAL/Simple_cartesian.h>

#include "speed_bench.hpp"

namespace baywright::bench {
namespace {

using Kernel = CGAL::Simple_cartesian<double>;
using Triangles = std::vector<Kernel::Triangle_3>;
using Primitive3 = CGAL::AABB_triangle_primitive<Kernel, Triangles::const_iterator>;
using Tree = CGAL::AABB_tree<CGAL::AABB_traits<Kernel, Primitive3>>;

struct Kept {
  std::int64_t size = 0;
  Triangles soup;
  std::unique_ptr<Tree> tree;
  double bytes_per_triangle = 0;
};
Kept& kept() {
  static Kept kKept;
  return kKept;
}

void make(std::int64_t thousands) {
  const TriMesh& mesh = scene_of(thousands).surroundings;
  kept() = {};
  const std::size_t before = allocated_bytes();
  kept().size = thousands;
  kept().soup.reserve(mesh.triangles.size());
  const auto point = [&](std::uint32_t i) {
    const Vec3 v = mesh.vertex(i);
    return Kernel::Point_3(v.x(), v.y(), v.z());
  };
  for (const auto& t : mesh.triangles) kept().soup.emplace_back(point(t[0]), point(t[1]), point(t[2]));
  kept().tree = std::make_unique<Tree>(kept().soup.begin(), kept().soup.end());
  kept().tree->build();
  kept().tree->accelerate_distance_queries();
  kept().bytes_per_triangle =
      static_cast<double>(allocated_bytes() - before) / static_cast<double>(mesh.triangles.size());
}

void cgal_build(benchmark::State& state) {
  scene_of(state.range(0));
  for (auto _ : state) make(state.range(0));
  state.counters["bytes_per_triangle"] = kept().bytes_per_triangle;
}
BENCHMARK(cgal_build)->Apply(sizes)->Unit(benchmark::kMillisecond)->Iterations(1);

/// Every eighth point of each row of eight, and the time times eight: the whole takes minutes at ten million.
void cgal_surface_distances(benchmark::State& state) {
  if (kept().size != state.range(0)) make(state.range(0));
  const std::vector<Vec3> points = surface_points(scene_of(state.range(0)).duct);
  constexpr std::size_t kStep = 8;
  double sum = 0;
  std::size_t asked = 0;
  for (auto _ : state) {
    sum = 0;
    asked = 0;
    Kernel::Point_3 hint = kept().soup[0][0];
    for (std::size_t i = 0; i < points.size(); i += kStep, ++asked) {
      hint = kept().tree->closest_point({points[i].x(), points[i].y(), points[i].z()}, hint);
      sum += (Vec3(hint.x(), hint.y(), hint.z()) - points[i]).norm();
    }
  }
  state.counters["scale"] = static_cast<double>(points.size()) / static_cast<double>(asked);
  state.counters["sum_mm"] = sum * static_cast<double>(points.size()) / static_cast<double>(asked);
}
BENCHMARK(cgal_surface_distances)->Apply(sizes)->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace
}  // namespace baywright::bench
