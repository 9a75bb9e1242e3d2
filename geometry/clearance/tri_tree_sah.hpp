#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "geometry/clearance/tri_tree_impl.hpp"

namespace baywright {

/// Box of something that goes into a tree, as the builder moves it around.
struct alignas(16) BuildRef {
  float lo[3];
  std::uint32_t id;
  float hi[3];
  std::uint32_t weight;  ///< triangles that it stands for
};

/// Space that one build after the other may use again.
struct SahScratch {
  std::vector<BuildRef> refs, other;
};

/// Eight-wide nodes over boxes by the binned surface-area heuristic. The leaves are runs of at most `leaf_size`
/// (1 to 8) boxes; `order` receives the ids run after run and a leaf's code starts at `first` plus its place in
/// `order`. The root is nodes[0] even when one leaf would do. Serial, and the same every time.
struct SahTree {
  std::vector<TriTree::Impl::Node> nodes;
  float lo[3], hi[3];
};
SahTree build_sah(SahScratch& scratch, std::uint32_t leaf_size, std::uint32_t first, std::span<std::uint32_t> order);

/// Deepest nesting of splits that build_sah() makes for `count` boxes.
int deepest_sah(std::size_t count);

}  // namespace baywright
