#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "viewer/scene/posed.hpp"

namespace baywright::viewer {

/// Rays among the parts and ducts of an installation at one pose.
class Sight {
 public:
  Sight(const job::Installation& installation, const PosedState& state);

  const PosedState& state() const { return state_; }
  /// Parts hit by the ray from p along the unit vector `toward`, in order of their index.
  std::vector<int> parts_hit(const Vec3& p, const Vec3& toward) const;
  bool part_hit(int part, const Vec3& p, const Vec3& toward) const;
  /// True when a duct is hit.
  bool duct_hit(const Vec3& p, const Vec3& toward) const;

  /// What a ray meets first.
  struct Hit {
    int part = -1;
    PieceRef piece{-1, -1};
    Vec3 point_mm = Vec3::Zero();
    double distance_mm = 0;
  };
  /// First thing hit among the parts and ducts that `seen_part` and `seen_duct` let through. `start` gives the distance
  /// from p at which a part begins to count (cut parts), 0 for the others.
  std::optional<Hit> first(const Vec3& p, const Vec3& direction, const std::function<bool(int)>& seen_part,
                           const std::function<bool(int)>& seen_duct, const std::function<double(int)>& start) const;

 private:
  const job::Installation& installation_;
  PosedState state_;
  std::vector<Pose> from_vehicle_;  ///< per part: X_B_V
  struct PieceTree {
    PieceRef piece;
    TriTree tree;
  };
  std::vector<PieceTree> pieces_;
};

}  // namespace baywright::viewer
