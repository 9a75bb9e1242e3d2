// Speed beside other libraries, on the same scene in the same run. Rows of one kind share a name's first part; the
// number after the slash is the scene's size in thousands of triangles. tests/bench/table.py makes the table.
#include "speed_bench.hpp"

#include <malloc.h>

#include <cstdlib>
#include <string_view>

#include <benchmark/benchmark.h>
#include <tbb/global_control.h>

#include "geometry/clearance/tree_search.hpp"

namespace baywright::bench {

const BayScene& scene_of(std::int64_t thousands) {
  static std::int64_t size = 0;  // one at a time: ten million triangles take room
  static BayScene scene;
  if (size != thousands) {
    scene = {};
    const char* kind = std::getenv("BAYWRIGHT_SCENE");  // "scan": without rods and lines
    scene = bay_scene(static_cast<std::size_t>(thousands) * 1000, !kind || std::string_view(kind) != "scan");
    size = thousands;
  }
  return scene;
}

const TriTree& tree_of(std::int64_t thousands) {
  static std::int64_t size = 0;
  static TriTree tree;
  if (size != thousands) {
    tree = TriTree();
    tree = TriTree::over(scene_of(thousands).surroundings);
    size = thousands;
  }
  return tree;
}

std::size_t allocated_bytes() {
  const auto info = ::mallinfo2();
  return info.uordblks + info.hblkhd;
}

PlacedShape placed(const Shape& shape) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return *s;
  if (const auto* s = std::get_if<TorusSegment>(&shape)) return swept_arc(*s);
  if (const auto* s = std::get_if<Cone>(&shape)) return *s;
  const auto& s = std::get<Collar>(shape);
  return Cone{s.a, s.b, s.radius_mm, s.radius_mm};
}

namespace {

void build(benchmark::State& state) {
  const TriMesh& mesh = scene_of(state.range(0)).surroundings;
  const tbb::global_control threads(tbb::global_control::max_allowed_parallelism,
                                    static_cast<std::size_t>(state.range(1)));
  for (auto _ : state) {
    const TriTree tree = TriTree::over(mesh);
    state.counters["bytes_per_triangle"] =
        static_cast<double>(tree.bytes()) / static_cast<double>(tree.triangle_count());
  }
  state.counters["triangles"] = static_cast<double>(mesh.triangles.size());
}
BENCHMARK(build)->Apply(sizes_and_threads)->Unit(benchmark::kMillisecond)->UseRealTime();

/// Smallest distance of the whole duct.
void duct_minimum(benchmark::State& state) {
  const TriTree& tree = tree_of(state.range(0));
  const auto& duct = scene_of(state.range(0)).duct;
  double least = 0;
  for (auto _ : state) least = clearance_at_rest(duct, tree, {}).hi_mm;
  state.counters["mm"] = least;
}
BENCHMARK(duct_minimum)->Apply(sizes)->Unit(benchmark::kMillisecond);

/// Smallest distance of every piece of its own.
void piece_minima(benchmark::State& state) {
  const TriTree& tree = tree_of(state.range(0));
  std::vector<PlacedShape> pieces;
  for (const Primitive& p : scene_of(state.range(0)).duct) pieces.push_back(placed(p.shape));
  double sum = 0;
  for (auto _ : state) {
    sum = 0;
    for (const PlacedShape& p : pieces) sum += nearest_to(*tree.impl(), p, 200.0)->distance_mm;
  }
  state.counters["sum_mm"] = sum;
}
BENCHMARK(piece_minima)->Apply(sizes)->Unit(benchmark::kMillisecond);

void surface_distances(benchmark::State& state) {
  const TriTree& tree = tree_of(state.range(0));
  const tbb::global_control threads(tbb::global_control::max_allowed_parallelism,
                                    static_cast<std::size_t>(state.range(1)));
  const std::vector<Vec3> points = surface_points(scene_of(state.range(0)).duct);
  double sum = 0;
  for (auto _ : state) {
    sum = 0;
    for (const auto& found : tree.nearest_to_each(points)) sum += found->distance_mm;
  }
  state.counters["sum_mm"] = sum;
  state.counters["points"] = static_cast<double>(points.size());
}
BENCHMARK(surface_distances)->Apply(sizes_and_threads)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace baywright::bench

BENCHMARK_MAIN();
