#pragma once

#include <algorithm>
#include <atomic>
#include <limits>
#include <memory>
#include <vector>

#include "geometry/aabb.hpp"
#include "geometry/base/progress.hpp"
#include "routing/room.hpp"

namespace baywright::routing {

/// Room::at() on a grid over the bay, each point measured when it is first asked for and kept. Safe to ask from many
/// threads; what it answers does not depend on their number. `room` must outlive it.
///
/// Memory: 4 bytes a grid point in the blocks of 16 x 16 x 16 points that were asked of, and a word for each block of
/// the box. At most kMostPoints of them: the step is kGrid_mm, more where the box is too large.
/// Room::near() remembers on a grid too, but without limits and for one thread.
class RoomField {
 public:
  RoomField(const Room& room, const Aabb& box);
  ~RoomField();
  RoomField(const RoomField&) = delete;
  RoomField& operator=(const RoomField&) = delete;

  /// Room to spare at the grid point next to `p`, mm: within half a cell's diagonal of what it is at `p`. Outside the
  /// box it is measured anew each time.
  double at(const Vec3& p) const;
  /// Least room at places along a line of `length_mm`, `place(s)` in mm from its start; not looked at further once it
  /// is below `accept_mm`. `at_mm`, where given, is the last place that was not below it (length_mm: all of them).
  /// Places are a step apart, or farther where there is room.
  template <typename Place>
  double least_along(double length_mm, double accept_mm, const Place& place, double* at_mm = nullptr) const {
    double least = std::numeric_limits<double>::infinity(), last = 0;
    for (double s = 0; s <= length_mm;) {
      const double spare = at(place(s));
      least = std::min(least, spare);
      if (spare < accept_mm) break;
      last = s;
      // A point with that much to spare speaks for its neighbours.
      s += std::max(step_, spare - accept_mm);
      if (s > length_mm) last = length_mm;
    }
    if (at_mm) *at_mm = last;
    return least;
  }
  double straight_room(const Vec3& from, const Vec3& direction, double length_mm, double accept_mm,
                       double* at_mm = nullptr) const {
    return least_along(
        length_mm, accept_mm, [&](double s) { return Vec3(from + s * direction); }, at_mm);
  }
  /// How far a port's axis has room, mm from its centre, at most kLongestEnd_mm; the tube's first radius of it has none
  /// by nature.
  double open_axis(const CourseEnd& end, double accept_mm) const;
  static constexpr double kLongestEnd_mm = 1200;

  double step_mm() const { return step_; }
  const Aabb& box() const { return box_; }
  const Room& room() const { return room_; }

  static constexpr double kGrid_mm = 10;
  static constexpr double kMostPoints = 16e6;

 private:
  const Room& room_;
  Aabb box_;
  double step_ = kGrid_mm;
  std::ptrdiff_t n_[3] = {0, 0, 0};
  /// Side of a block, in points.
  static constexpr std::ptrdiff_t kBlock = 16;
  struct Block;
  /// Makes it where it is not there yet.
  Block& block(std::ptrdiff_t index) const;

  std::ptrdiff_t blocks_[3] = {0, 0, 0};
  mutable std::vector<std::atomic<Block*>> known_;
};

/// Length of the shortest way for the tube's section from points of the bay to one end of a duct, without regard to
/// bends.
class WayLeft {
 public:
  /// Spreads from the axis of `to` in steps of two of the field's, until it has gone `beyond` times as far as to
  /// `from`, plus a metre. A way is followed where some place within half a step of a cell's middle has `accept_mm` to
  /// spare; walls thinner than the tube is wide are walls as long as the tube's radius is above 15 mm. Where kMostCells
  /// do not lead from end to end it is done anew in steps of 1.5 times as much, at most of four tubes' radii: ways
  /// between parts that stand closer than such a step can then be missed. Cost: up to seven measurements of room for
  /// each cell in reach.
  WayLeft(const RoomField& field, const CourseEnd& from, const CourseEnd& to, double accept_mm, double beyond,
          const Progress& progress = {});

  /// mm; infinite where no way was found.
  double at(const Vec3& p) const;
  double step_mm() const { return step_; }
  static constexpr std::size_t kMostCells = 400'000;
  /// Whether a way from end to end was found.
  bool connects() const { return connects_; }
  const CourseEnd& from() const { return from_; }
  const CourseEnd& to() const { return to_; }

 private:
  std::ptrdiff_t index(const Vec3& p) const;
  bool has_room(const Vec3& p, double accept_mm) const;
  /// In steps of step_; whether that came to an end within kMostCells.
  bool spread(double accept_mm, double beyond, const Progress& progress);

  const RoomField& field_;
  CourseEnd from_, to_;
  double step_ = 0;
  std::ptrdiff_t n_[3] = {0, 0, 0};
  std::vector<float> left_;
  bool connects_ = false;
};

}  // namespace baywright::routing
