#pragma once

#include <span>
#include <vector>

#include "access/opening_view.hpp"
#include "access/scene.hpp"

namespace baywright::access {

/// Where a tool on its way out of the bay may turn: places of a hand's middle about a clamp from which a ball, smaller
/// than any hand, is drawn straight out through an opening. What has no such place has no way with one corner among
/// those tried.
class Corners {
 public:
  struct Corner {
    Vec3 p;
    std::vector<Vec3> out;  ///< unit directions in which the ball comes out; never empty
  };

  /// `core_mm`: radius of the ball. Milliseconds to half a second.
  Corners(const Around& around, const Vec3& clamp, std::span<const OpeningView> openings, double core_mm);

  /// Those of one opening at most kMostCorners that are nearest to p, nearest first, and none that is hardly off it.
  std::vector<const Corner*> near(const Vec3& p, std::size_t opening) const;

 private:
  std::vector<std::vector<Corner>> by_opening_;
};

inline constexpr std::size_t kMostCorners = 40;

}  // namespace baywright::access
