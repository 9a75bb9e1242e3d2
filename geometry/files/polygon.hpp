#pragma once

#include <cstdint>
#include <vector>

#include "geometry/tri_mesh.hpp"

namespace baywright {

/// Splits a polygon (corner numbers into `points`) into its n - 2 triangles, appended to `out`, same orientation.
/// Dents are respected: ears are cut in the polygon's mean plane. Where no ear is left (crossing or collapsed outline)
/// the rest becomes a fan. An outline that is walked several times counts once. Polygons of over 1,000 corners are
/// fanned at once, cutting ears being quadratic.
void split_polygon(const std::vector<std::uint32_t>& polygon, const std::vector<Vec3f>& points,
                   std::vector<TriMesh::Triangle>& out);

}  // namespace baywright
