#include "access/room_field.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

namespace baywright::access {
namespace {

constexpr double kCell_mm = 16;
/// Balls are not packed closer than this: the cells would not tell them apart.
constexpr double kClosest_mm = 8;
/// Solids that take more balls than this one way are not worth it.
constexpr int kMostBalls = 24;
constexpr double kUnknown = std::numeric_limits<double>::infinity();

constexpr std::uint64_t kNotAsked = 0;

/// A cell in one word, never kNotAsked: the room as a float, rounded down, and the obstacle.
std::uint64_t packed(const RoomField::At& at) {
  const float room = std::nextafter(static_cast<float>(at.room_mm), -std::numeric_limits<float>::infinity());
  return std::uint64_t{std::bit_cast<std::uint32_t>(room)} << 32 | static_cast<std::uint32_t>(at.obstacle + 2);
}
RoomField::At unpacked(std::uint64_t word) {
  return {std::bit_cast<float>(static_cast<std::uint32_t>(word >> 32)),
          static_cast<int>(static_cast<std::uint32_t>(word)) - 2};
}
/// What packing may have taken off the room, relative: two floats apart.
constexpr double kPacking = 2.4e-7;

int balls_for(double length_mm, double apart_mm) {
  return std::clamp(static_cast<int>(std::ceil(length_mm / apart_mm)), 1, kMostBalls);
}

/// Balls that cover a solid, and the balls about the same middles that lie in it.
template <class Each>
void cover_rod(const Vec3& a, const Vec3& b, double radius_mm, bool flat_ends, const Each& each) {
  const double length = (b - a).norm();
  const int n = balls_for(length, std::max(radius_mm, kClosest_mm));
  const double half = 0.5 * length / n, covering = std::hypot(radius_mm, half);
  for (int i = 0; i < n; ++i) {
    const double t = (i + 0.5) / n, to_end = std::min(t, 1 - t) * length;
    const double inside = flat_ends ? std::min(radius_mm, to_end) : radius_mm;
    // Round ends stand out by the radius: the ball of the last stretch has to hold them too.
    const bool last = !flat_ends && (i == 0 || i + 1 == n);
    if (!each(a + t * (b - a), last ? half + radius_mm : covering, inside)) return;
  }
}

template <class Each>
void cover(const StandingShape& shape, const Each& each) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return cover_rod(s->a, s->b, s->radius_mm, false, each);
  if (const auto* s = std::get_if<Collar>(&shape)) return cover_rod(s->a, s->b, s->radius_mm, true, each);
  const Box& box = std::get<Box>(shape);
  const double size = std::max(2 * box.half_mm.minCoeff(), kClosest_mm);
  int n[3];
  Vec3 half;
  for (int k = 0; k < 3; ++k) {
    n[k] = balls_for(2 * box.half_mm[k], size);
    half[k] = box.half_mm[k] / n[k];
  }
  const double covering = half.norm(), inside = half.minCoeff();
  for (int x = 0; x < n[0]; ++x) {
    for (int y = 0; y < n[1]; ++y) {
      for (int z = 0; z < n[2]; ++z) {
        const Vec3 q = half.cwiseProduct(Vec3(2 * x + 1 - n[0], 2 * y + 1 - n[1], 2 * z + 1 - n[2]));
        if (!each(box.center + box.axes * q, covering, inside)) return;
      }
    }
  }
}

}  // namespace

RoomField::RoomField(const Aabb& region, std::function<At(const Vec3&)> room_at)
    : lo_(region.lo), room_at_(std::move(room_at)) {
  const auto cells = [](double length) { return std::max(1, static_cast<int>(std::ceil(length / kCell_mm))); };
  const Vec3 size = region.size();
  nx_ = cells(size.x());
  ny_ = cells(size.y());
  nz_ = cells(size.z());
  cells_ = std::make_unique<std::atomic<std::uint64_t>[]>(
      static_cast<std::size_t>(nx_) * static_cast<std::size_t>(ny_) * static_cast<std::size_t>(nz_));
}

bool RoomField::cell(const Vec3& p, Cell& out) const {
  const Vec3 q = (p - lo_) / kCell_mm;
  if (!(q.minCoeff() >= 0) || q.x() >= nx_ || q.y() >= ny_ || q.z() >= nz_) return false;
  const int x = static_cast<int>(q.x()), y = static_cast<int>(q.y()), z = static_cast<int>(q.z());
  const Vec3 middle = lo_ + kCell_mm * Vec3(x + 0.5, y + 0.5, z + 0.5);
  auto& word = cells_[(static_cast<std::size_t>(z) * static_cast<std::size_t>(ny_) + static_cast<std::size_t>(y)) *
                          static_cast<std::size_t>(nx_) +
                      static_cast<std::size_t>(x)];
  std::uint64_t known = word.load(std::memory_order_relaxed);
  if (known == kNotAsked) {
    known = packed(room_at_(middle));  // two threads may both ask: they get the same
    word.store(known, std::memory_order_relaxed);
  }
  out.at = unpacked(known);
  out.away_mm = (p - middle).norm();
  return true;
}

RoomField::Between RoomField::around(const StandingShape& shape) const {
  Between out{kUnknown, kUnknown, -1};
  cover(shape, [&](const Vec3& p, double covering_mm, double inside_mm) {
    Cell here;
    if (!cell(p, here)) {
      out.low_mm = -kUnknown;
      return out.high_mm > 0;
    }
    const double rounding = kPacking * std::abs(here.at.room_mm);
    out.low_mm = std::min(out.low_mm, here.at.room_mm - here.away_mm - covering_mm);
    const double high = here.at.room_mm + rounding + here.away_mm - inside_mm;
    if (high < out.high_mm) {
      out.high_mm = high;
      out.obstacle = here.at.obstacle;
    }
    return out.high_mm > 0;  // no room at all: nothing more to learn
  });
  return out;
}

}  // namespace baywright::access
