#pragma once

#include <cstdint>
#include <cstdlib>

#include <benchmark/benchmark.h>

#include "bay_scene.hpp"
#include "geometry/clearance/clearance.hpp"
#include "geometry/clearance/tree_search.hpp"
#include "geometry/clearance/tri_tree.hpp"

namespace baywright::bench {

/// The scene and its tree; made once and kept while the same size is asked for.
const BayScene& scene_of(std::int64_t thousands);
const TriTree& tree_of(std::int64_t thousands);
/// As the exact kernels take it.
PlacedShape placed(const Shape& shape);
/// In use on the heap now.
std::size_t allocated_bytes();

/// Sizes in thousands of triangles: BAYWRIGHT_SIZES or 1000.
template <class F>
void each_size(const F& f) {
  const char* text = std::getenv("BAYWRIGHT_SIZES");
  std::string all = text ? text : "1000";
  for (std::size_t at = 0; at < all.size();) {
    const std::size_t end = std::min(all.find(',', at), all.size());
    f(std::stoll(all.substr(at, end - at)));
    at = end + 1;
  }
}
inline void sizes(benchmark::internal::Benchmark* b) {
  each_size([&](std::int64_t n) { b->Arg(n); });
}
inline void sizes_and_threads(benchmark::internal::Benchmark* b) {
  each_size([&](std::int64_t n) {
    for (const std::int64_t threads : {1, 2}) b->Args({n, threads});
  });
}

}  // namespace baywright::bench
