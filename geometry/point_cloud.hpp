#pragma once

#include <vector>

#include "geometry/aabb.hpp"
#include "geometry/vec.hpp"

namespace baywright {

/// Points as they were measured; point i lies at origin_mm + points[i].
struct PointCloud {
  Vec3 origin_mm = Vec3::Zero();
  std::vector<Vec3f> points;
  std::vector<Vec3f> normals;  ///< empty or one per point

  Vec3 point(std::size_t i) const { return origin_mm + points[i].cast<double>(); }
};

Aabb bounds(const PointCloud& cloud);
/// Local spacing per point: distance to its k-th nearest neighbour divided by sqrt(k / pi) (k = 8), mm: the pitch of
/// an even sheet of points with that density. Half of it is the radius a point must stand for.
std::vector<float> local_spacing_mm(const PointCloud& cloud);

}  // namespace baywright
