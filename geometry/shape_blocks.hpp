#pragma once

#include "geometry/block_file.hpp"
#include "geometry/point_cloud.hpp"
#include "geometry/tri_mesh.hpp"

namespace baywright {

/// A mesh or a cloud as blocks of a file, equal to the last bit when read again. What is added must stay until the file
/// is written. Reading fails (file_damaged) unless every index names a vertex.
void add_blocks(BlockWriter& out, const TriMesh& mesh);
void add_blocks(BlockWriter& out, const PointCloud& cloud);
Result<TriMesh> read_mesh_blocks(const BlockFile& in);
Result<PointCloud> read_cloud_blocks(const BlockFile& in);

/// Whether all of `count` numbers are below `limit`.
bool all_below(const std::uint32_t* numbers, std::size_t count, std::size_t limit);

}  // namespace baywright
