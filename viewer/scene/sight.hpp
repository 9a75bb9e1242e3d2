#pragma once

#include <vector>

#include "viewer/scene/posed.hpp"

namespace baywright::viewer {

/// Rays among the parts and ducts of an installation at one pose.
class Sight {
 public:
  Sight(const job::Installation& installation, const PosedState& state);

  /// Parts hit by the ray from p along the unit vector `toward`, in order of their index.
  std::vector<int> parts_hit(const Vec3& p, const Vec3& toward) const;
  bool part_hit(int part, const Vec3& p, const Vec3& toward) const;
  /// True when a duct is hit.
  bool duct_hit(const Vec3& p, const Vec3& toward) const { return ducts_.first_hit(p, toward).has_value(); }

 private:
  const job::Installation& installation_;
  std::vector<Pose> from_vehicle_;  ///< per part: X_B_V
  TriTree ducts_;
};

}  // namespace baywright::viewer
