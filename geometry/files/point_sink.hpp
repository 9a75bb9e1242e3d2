#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "geometry/vec.hpp"

namespace baywright {

/// Collects points in file units and keeps them as float32 about an origin of its own choice, so that survey
/// coordinates (hundreds of kilometres) lose nothing. The origin is 0 while coordinates stay within 16 m, where float32
/// resolves 0.001 mm; else the median of the first few thousand points, to which a stray point does no harm.
class PointSink {
 public:
  explicit PointSink(double mm_per_unit) : mm_per_unit_(mm_per_unit) {}

  void reserve(std::size_t n) { points_.reserve(n); }
  /// Takes a point. A non-finite or impossible one (over 100,000 km away) keeps its place as NaN and gives false.
  bool add(double x, double y, double z);

  /// Everything taken so far, in order.
  struct Points {
    Vec3 origin_mm = Vec3::Zero();
    std::vector<Vec3f> points;  ///< NaN where add() gave false
    std::size_t bad = 0;        ///< how many those are
    double rounding_mm = 0;     ///< greatest loss by float32 in one coordinate
  };
  Points finish();

 private:
  void choose_origin();
  void keep(const Vec3& p);

  double mm_per_unit_;
  bool chosen_ = false;
  Vec3 origin_mm_ = Vec3::Zero();
  std::vector<Vec3> first_;
  std::vector<Vec3f> points_;
  std::size_t bad_ = 0;
  double rounding_mm_ = 0;
};

/// A warning when float32 loses more than 0.01 mm, else "".
std::string rounding_doubt(double rounding_mm);

}  // namespace baywright
