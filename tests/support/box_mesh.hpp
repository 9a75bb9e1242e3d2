#pragma once

#include "geometry/tri_mesh.hpp"

namespace baywright::test {

/// Axis-aligned box as twelve triangles facing outward; closed.
inline TriMesh box_mesh(const Vec3& lo, const Vec3& hi) {
  TriMesh mesh;
  for (int i = 0; i < 8; ++i) {
    mesh.vertices.push_back(
        Vec3((i & 1) ? hi.x() : lo.x(), (i & 2) ? hi.y() : lo.y(), (i & 4) ? hi.z() : lo.z()).cast<float>());
  }
  mesh.triangles = {{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4},
                    {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
  return mesh;
}

}  // namespace baywright::test
