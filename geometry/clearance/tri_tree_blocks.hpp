#pragma once

#include "geometry/block_file.hpp"
#include "geometry/clearance/tri_tree.hpp"

namespace baywright {

/// A tree as blocks of a file, equal to the last bit when read again. The tree must stay until the file is written.
void add_blocks(BlockWriter& out, const TriTree& tree);

/// A tree over `sources` triangles or points. Whatever the bytes are, a tree that is handed out can be searched: every
/// index is in range, every node is below one other, the nesting fits the searches' stacks. Fails: file_damaged.
Result<TriTree> read_tree_blocks(const BlockFile& in, std::size_t sources);

}  // namespace baywright
