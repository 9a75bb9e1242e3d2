#pragma once

#include <cstdint>
#include <vector>

#include "geometry/clearance/tri_tree_items.hpp"

namespace baywright {

/// A run of keys whose items lie in one cubic cell of space (or in some neighbouring ones).
struct TreeCell {
  std::size_t begin = 0, end = 0;
};

/// Sorts `keys` (item numbers in their low 32 bits; the high ones are lost) along a Morton curve through the items'
/// centres and cuts them at cell borders into runs of at most `most`. The same for any number of threads.
std::vector<TreeCell> cut_into_cells(const BuildItems& items, std::vector<std::uint64_t>& keys, std::size_t most);

}  // namespace baywright
