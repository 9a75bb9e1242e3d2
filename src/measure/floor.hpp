#pragma once

#include <span>
#include <vector>

#include "bay/bay.hpp"
#include "duct/layout.hpp"

namespace baywright::measure {

// Where water runs and stands in a duct. The floor at a station is the lowest point of the bore's section square to the
// centerline. Gravity is an argument: `up` is a unit vector in the vehicle frame (bay::Attitude::up). Heights are
// along it, over the origin of the vehicle frame. As drawn, at rest.

/// A stretch over which the floor only rises, only falls or keeps its height. Stretches follow one another without a
/// gap; where the bore has a step, the floor jumps between two of them.
struct FloorStretch {
  double station_from_mm = 0, station_to_mm = 0;
  double height_from_mm = 0, height_to_mm = 0;
  double radius_from_mm = 0, radius_to_mm = 0;  ///< of the bore; linear between
  int leg = -1, bend = -1;                      ///< of the layout; one of them
};

/// The floor of a whole duct. Its stretches end at the top and at the bottom of every arc and where an arc is steepest,
/// in closed form. A hose has the bore of the tube ahead of its gap (what a hump holds is not looked at), a reducing
/// hose is a cone over it.
class Floor {
 public:
  /// `layout` has to outlive it.
  Floor(const duct::Layout& layout, const Vec3& up);

  const std::vector<FloorStretch>& stretches() const { return stretches_; }
  const duct::Layout& layout() const { return layout_; }
  const Vec3& up() const { return up_; }
  /// Of one of the stretches; EXPECTS a station on it.
  double height_mm(const FloorStretch& stretch, double station_mm) const;
  /// Where two stretches meet with a step: the lower one's.
  double height_mm(double station_mm) const;

 private:
  void add(double from_mm, double to_mm, int leg, int bend);

  const duct::Layout& layout_;
  Vec3 up_;
  std::vector<FloorStretch> stretches_;
};

/// A place where the floor is lower than on both sides, from = to unless it is level there.
struct LowPoint {
  double station_from_mm = 0, station_to_mm = 0;
  double height_mm = 0;
};

/// Water that cannot run out of either end: it fills the bore up to the lower one of the highest floors on its two
/// sides.
struct Pool {
  double station_from_mm = 0, station_to_mm = 0;  ///< where the floor is under water
  double level_mm = 0;                            ///< height of the water
  double depth_mm = 0;                            ///< over the lowest point of the floor
  std::vector<LowPoint> low_points;               ///< in order of station; several where its floor has humps
  const LowPoint& lowest() const;
};

/// A dip this deep or less, as a joint that counts as flush may make (see straight_run), is none.
inline constexpr double kFilm_mm = 1;

/// Pools of a duct in order of station, once as much water has come as can stay. Both ends are open: what runs to an
/// end leaves. `outlets`: stations at which it leaves as well, through the floor.
std::vector<Pool> pools(const Floor& floor, std::span<const double> outlets = {});

/// Volume of water in a pool, ml: what lies in the bore below its level, between the two ends of the pool. A bracket:
/// the integral over the sections is enclosed from both sides, to a thousandth or 0.02 ml, whichever is more.
struct Volume {
  double lo_ml = 0, hi_ml = 0;
};
Volume volume_of(const Floor& floor, const Pool& pool);

/// Where the centerline falls least along the flow; negative where it rises. Of several places the first.
struct LeastFall {
  Angle fall;
  double station_mm = 0;
};
LeastFall least_fall(const duct::Layout& layout, const Vec3& up);

}  // namespace baywright::measure
