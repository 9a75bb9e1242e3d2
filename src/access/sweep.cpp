#include "access/sweep.hpp"

#include <algorithm>
#include <cmath>

#include "access/travel_up_to.hpp"
#include "geometry/aabb_gap.hpp"
#include "geometry/base/expects.hpp"
#include "geometry/clearance/standing.hpp"

namespace baywright::access {
namespace {

/// Half the distance between balls along a shape.
constexpr double kHalfSpacing_mm = 4;
/// A move is proven stretch by stretch, so that one that is hindered early costs little.
constexpr double kStretch_mm = 40;

/// Room of a set of shapes at a place; remembers what hindered last and asks that first.
class Room {
 public:
  Room(std::span<const Shape> shapes, std::span<const InWay> in_way) : shapes_(shapes), in_way_(in_way) {
    for (std::size_t i = 0; i < in_way.size(); ++i) {
      if (!in_way[i].tree.empty()) order_.push_back({i, in_way[i].tree.bounds()});
    }
  }

  /// What is left beyond the demanded room, exact below `enough_mm`.
  double at(const Pose& X, double enough_mm) {
    double left = enough_mm;
    moved_.clear();
    boxes_.clear();
    for (const Shape& shape : shapes_) {
      moved_.push_back(moved(shape, X));
      boxes_.push_back(bounds(moved_.back()));
    }
    for (std::size_t k = 0; k < order_.size(); ++k) {
      const double here = left_of(order_[k], left);
      if (here < left) hinders_ = in_way_[order_[k].index].of;
      left = std::min(left, here);
      if (left > 0) continue;
      std::rotate(order_.begin(), order_.begin() + static_cast<std::ptrdiff_t>(k),
                  order_.begin() + static_cast<std::ptrdiff_t>(k) + 1);
      return left;
    }
    return left;
  }
  int hinders() const { return hinders_; }

 private:
  struct Entry {
    std::size_t index;
    Aabb bounds;
  };
  double left_of(const Entry& entry, double left) {
    const InWay& o = in_way_[entry.index];
    const bool as_drawn = stands_as_drawn(o.X);
    const Pose back = as_drawn ? Pose() : o.X.inverse();
    for (std::size_t i = 0; i < moved_.size(); ++i) {
      const double limit = std::max(o.room_mm + left, 1e-9);
      std::optional<StandingNear> found;
      if (as_drawn) {
        if (apart(boxes_[i].inflated(limit), entry.bounds)) continue;
        found = nearest_to_shape(o.tree, moved_[i], limit, o.room_mm);
      } else {
        const Shape here = moved(moved_[i], back);
        if (apart(bounds(here).inflated(limit), entry.bounds)) continue;
        found = nearest_to_shape(o.tree, here, limit, o.room_mm);
      }
      if (found) left = std::min(left, found->distance_mm - o.room_mm);
      if (left <= 0) break;
    }
    return left;
  }

  std::span<const Shape> shapes_;
  std::span<const InWay> in_way_;
  std::vector<Entry> order_;
  std::vector<Shape> moved_;
  std::vector<Aabb> boxes_;
  int hinders_ = -1;
};

void add_along(const Vec3& a, const Vec3& b, double radius_mm, std::vector<Ball>& out) {
  const int count = std::max(1, static_cast<int>(std::ceil((b - a).norm() / (2 * kHalfSpacing_mm))));
  for (int i = 0; i < count; ++i) out.push_back({a + (i + 0.5) / count * (b - a), radius_mm + kHalfSpacing_mm});
}

}  // namespace

bool stands_as_drawn(const Pose& X) {
  return X.p == Vec3::Zero() && X.R.coeffs() == Eigen::Quaterniond::Identity().coeffs();
}

Pose WayMove::at(double share) const {
  return turns ? Pose::rotation(along, point, share * amount) : Pose::translation(share * amount * along);
}

std::vector<Ball> balls_around(std::span<const Shape> shapes) {
  std::vector<Ball> out;
  for (const Shape& shape : shapes) {
    if (const auto* cylinder = std::get_if<Cylinder>(&shape)) {
      add_along(cylinder->a, cylinder->b, cylinder->radius_mm, out);
    } else if (const auto* collar = std::get_if<Collar>(&shape)) {
      add_along(collar->a, collar->b, collar->radius_mm, out);
    } else if (const auto* cone = std::get_if<Cone>(&shape)) {
      add_along(cone->a, cone->b, std::max(cone->radius_a_mm, cone->radius_b_mm), out);
    } else {
      const auto& arc = std::get<TorusSegment>(shape);
      const double length = arc.bend_radius_mm * arc.angle_rad;
      const int count = std::max(1, static_cast<int>(std::ceil(length / (2 * kHalfSpacing_mm))));
      for (int i = 0; i < count; ++i) {
        out.push_back({arc.axis_point((i + 0.5) / count * arc.angle_rad), arc.radius_mm + kHalfSpacing_mm});
      }
    }
  }
  return out;
}

std::optional<int> hindered(std::span<const Shape> shapes, const Pose& from, const WayMove& move,
                            std::span<const InWay> in_way) {
  EXPECTS(move.amount >= 0);
  double length = move.amount;
  if (move.turns) {
    double reach = 0;
    for (const Ball& ball : balls_around(shapes)) {
      const Vec3 arm = from * ball.center - move.point;
      reach = std::max(reach, arm.cross(move.along).norm() + ball.radius_mm);
    }
    length *= reach;
  }
  Room room(shapes, in_way);
  const double whole = std::max(length, 1e-9);
  for (double done = 0; done == 0 || done < length; done += kStretch_mm) {
    const double stretch = std::min(kStretch_mm, length - done);
    const RoomUpTo left = [&](double at, double enough_mm) {
      return room.at(move.at(std::min(1.0, (done + at) / whole)) * from, enough_mm);
    };
    if (!free_way(left, std::max(stretch, 0.0))) return room.hinders();
  }
  return std::nullopt;
}

}  // namespace baywright::access
