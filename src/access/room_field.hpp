#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <memory>
#include <vector>

#include "geometry/aabb.hpp"
#include "geometry/clearance/standing.hpp"

namespace baywright::access {

/// Room around points of a region, known cell by cell once somebody asked: whoever puts thousands of tools and hands
/// into one place needs few searches then. What it says is proven: room changes by no more than one moves.
/// Safe to ask from several threads at once.
class RoomField {
 public:
  struct At {
    double room_mm = 0;  ///< distance to the surroundings less what is demanded, exact
    int obstacle = -1;   ///< whose
  };
  /// Between what the room left around a solid lies. Without an end: unknown.
  struct Between {
    double low_mm, high_mm;
    int obstacle = -1;  ///< that leaves no more than `high_mm`
  };

  /// `room_at`: at a point. Called once or a few times for each cell that is needed.
  RoomField(const Aabb& region, std::function<At(const Vec3&)> room_at);

  Between around(const StandingShape& shape) const;

 private:
  /// Room at the middle of the cell that holds p, and how far that is; nothing outside the region.
  struct Cell {
    At at;
    double away_mm;
  };
  bool cell(const Vec3& p, Cell& out) const;

  Vec3 lo_;
  int nx_, ny_, nz_;
  std::function<At(const Vec3&)> room_at_;
  std::unique_ptr<std::atomic<std::uint64_t>[]> cells_;
};

}  // namespace baywright::access
