#pragma once

#include <cstdint>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "geometry/aabb.hpp"
#include "geometry/point_cloud.hpp"
#include "geometry/tri_mesh.hpp"

namespace baywright {

/// Bounding-volume tree over the triangles of a mesh, or over points with a coverage radius each. Immutable; copies
/// share it; all queries are const and thread-safe.
class TriTree {
 public:
  struct Impl;

  TriTree();
  /// Triangles with a non-finite or |coordinate| > 1e6 mm corner (relative to the origin) are left out and counted.
  /// Zero-area triangles are kept as segments or points.
  static TriTree over(const TriMesh& mesh);
  /// Each point becomes a ball of `radius_mm[i]` (half the local spacing).
  static TriTree over(const PointCloud& cloud, const std::vector<float>& radius_mm);

  bool empty() const;
  std::size_t triangle_count() const;
  std::size_t dropped_count() const;
  std::size_t bytes() const;
  Aabb bounds() const;
  /// Corners of source triangle `id` (index in the mesh or cloud it was built from), mm absolute.
  struct Corners {
    Vec3 v0, v1, v2;
    double radius_mm = 0;
  };
  Corners corners(std::uint32_t id) const;

  struct Hit {
    double distance_mm = 0;  ///< along the unit direction
    std::uint32_t triangle = 0;
  };
  /// First triangle hit by the ray from `origin` along the unit vector `direction`, within `range_mm`.
  std::optional<Hit> first_hit(const Vec3& origin, const Vec3& direction,
                               double range_mm = std::numeric_limits<double>::infinity()) const;

  struct Nearest {
    double distance_mm = 0;
    Vec3 point = Vec3::Zero();
    std::uint32_t triangle = 0;
  };
  /// Nearest point of the surface within `range_mm`, exact.
  std::optional<Nearest> nearest(const Vec3& p, double range_mm = std::numeric_limits<double>::infinity()) const;

  /// Generalised winding number at p: about 1 inside a closed outward-facing mesh, 0 outside, in between near holes;
  /// within about 0.01 (distant groups of triangles count as dipoles). 0 for a cloud.
  double winding_number(const Vec3& p) const;

  const Impl* impl() const { return impl_.get(); }

 private:
  std::shared_ptr<const Impl> impl_;
};

}  // namespace baywright
