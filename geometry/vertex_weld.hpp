#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "geometry/vec.hpp"

namespace baywright {

/// Gives equal points equal numbers. "Equal" means the same three floats; -0 and +0 are one. Numbers count up from 0
/// in the order of first appearance, so the result does not depend on the hash.
/// Cost: O(1) per point, 16 bytes per distinct point and at most 16 more for the table.
class VertexWeld {
 public:
  /// @param expected  distinct points to make room for; a guess only.
  explicit VertexWeld(std::size_t expected = 0);

  /// Number of `p`; new points are appended to `points()`. EXPECTS fewer than 2^32 - 1 points.
  std::uint32_t add(const Vec3f& p);

  /// The same for a block of points: about three times as fast on large meshes, because the memory each point needs is
  /// asked for ahead.
  void add_all(const Vec3f* points, std::size_t count, std::uint32_t* numbers);

  const std::vector<Vec3f>& points() const { return points_; }
  std::vector<Vec3f> take() { return std::move(points_); }

 private:
  void grow();

  std::vector<Vec3f> points_;
  std::vector<std::uint32_t> slots_;  // index into points_, or kFree
  std::size_t mask_ = 0;
};

}  // namespace baywright
