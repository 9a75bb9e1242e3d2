#pragma once

#include <cstdint>
#include <limits>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "geometry/aabb.hpp"
#include "geometry/point_cloud.hpp"
#include "geometry/tri_mesh.hpp"

namespace baywright {

struct TreeKernels;

/// Bounding-volume tree over the triangles of a mesh, or over points with a coverage radius each. Immutable; copies
/// share it; all queries are const and thread-safe.
class TriTree {
 public:
  struct Impl;

  /// What was met while building. Rules: what has no place is left out; everything else counts as the set of points it
  /// is, so a triangle without area is a segment or a point, duplicates and edges of more than two triangles are
  /// nothing special (of equally near triangles the one with the lowest number is named).
  struct Report {
    std::size_t kept = 0;
    std::size_t not_finite = 0;  ///< left out: a coordinate or radius that is not a number, infinite or below zero
    std::size_t too_far = 0;     ///< left out: a coordinate beyond 1e6 mm from the mesh's origin
    std::size_t points = 0;      ///< kept: three equal corners
    std::size_t segments = 0;    ///< kept: no area but not a point
    std::size_t long_ones = 0;   ///< kept: longer than 80 mm, so the tree refers to them slab by slab
    Report& operator+=(const Report& o);
  };

  TriTree();
  /// Built on all cores; the same for any number of them. Takes about 90 bytes per triangle while it runs, the mesh
  /// not counted, and keeps about 35 (tests hold it to 110 with the mesh, and 36).
  static TriTree over(const TriMesh& mesh);
  /// Each point becomes a ball of `radius_mm[i]` (half the local spacing).
  static TriTree over(const PointCloud& cloud, const std::vector<float>& radius_mm);

  bool empty() const;
  const Report& report() const;
  std::size_t triangle_count() const { return report().kept; }
  std::size_t dropped_count() const { return report().not_finite + report().too_far; }
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
  /// Nearest point of the surface within `range_mm`, exact. `hint` is any triangle of the tree that may be near, such
  /// as a neighbouring point's answer: the same answer sooner.
  std::optional<Nearest> nearest(const Vec3& p, double range_mm = std::numeric_limits<double>::infinity(),
                                 std::optional<std::uint32_t> hint = std::nullopt) const;
  /// The same with given kernels, for tests and benchmarks.
  std::optional<Nearest> nearest_with(const TreeKernels& kernels, const Vec3& p, double range_mm,
                                      std::optional<std::uint32_t> hint) const;
  /// The same for many points on all cores, each helped by the answer before it: fastest when neighbours in `points`
  /// are neighbours in space. One answer per point.
  std::vector<std::optional<Nearest>> nearest_to_each(std::span<const Vec3> points,
                                                      double range_mm = std::numeric_limits<double>::infinity()) const;

  /// Generalised winding number at p: about 1 inside a closed outward-facing mesh, 0 outside, in between near holes;
  /// within about 0.01 (distant groups of triangles count as dipoles). 0 for a cloud.
  double winding_number(const Vec3& p) const;

  const Impl* impl() const { return impl_.get(); }
  /// Over storage that was made by `over` once (tri_tree_blocks.hpp).
  static TriTree of(std::shared_ptr<const Impl> impl);

 private:
  std::shared_ptr<const Impl> impl_;
};

}  // namespace baywright
