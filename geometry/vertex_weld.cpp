#include "geometry/vertex_weld.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cstring>
#include <limits>

#include "geometry/base/expects.hpp"

namespace baywright {
namespace {

constexpr std::uint32_t kFree = std::numeric_limits<std::uint32_t>::max();

// Adding +0 turns -0 into +0 and changes nothing else.
Vec3f positive_zero(const Vec3f& p) { return p + Vec3f::Zero(); }

std::uint64_t hash_of(const Vec3f& p) {
  const auto x = std::bit_cast<std::uint32_t>(p.x());
  const auto y = std::bit_cast<std::uint32_t>(p.y());
  const auto z = std::bit_cast<std::uint32_t>(p.z());
  // Scanner coordinates share their low mantissa bits (decimal grids), so every bit must reach the slot number:
  // multiply-xorshift with the odd constants of the splitmix64 generator (Steele et al., OOPSLA 2014).
  std::uint64_t h = (std::uint64_t{x} << 32 | y) * 0xbf58476d1ce4e5b9ULL;
  h ^= h >> 29;
  h = (h ^ z) * 0x94d049bb133111ebULL;
  return h ^ (h >> 32);
}

/// Bit by bit, as the hash is.
// NOLINTNEXTLINE(bugprone-suspicious-memory-comparison)
bool same(const Vec3f& a, const Vec3f& b) { return std::memcmp(a.data(), b.data(), 3 * sizeof(float)) == 0; }

}  // namespace

VertexWeld::VertexWeld(std::size_t expected) {
  points_.reserve(expected);
  slots_.assign(std::bit_ceil(std::max<std::size_t>(16, expected + expected / 2)), kFree);
  mask_ = slots_.size() - 1;
}

std::uint32_t VertexWeld::add(const Vec3f& raw) {
  const Vec3f p = positive_zero(raw);
  if ((points_.size() + 1) * 3 > slots_.size() * 2) grow();
  for (std::size_t slot = hash_of(p) & mask_;; slot = (slot + 1) & mask_) {
    const std::uint32_t i = slots_[slot];
    if (i == kFree) {
      EXPECTS(points_.size() < kFree);
      slots_[slot] = static_cast<std::uint32_t>(points_.size());
      points_.push_back(p);
      return slots_[slot];
    }
    if (same(points_[i], p)) return i;
  }
}

void VertexWeld::add_all(const Vec3f* points, std::size_t count, std::uint32_t* numbers) {
  constexpr std::size_t kAhead =
      96;  // more than the memory can fetch at once, little enough to stay in the first cache
  for (std::size_t from = 0; from < count; from += kAhead) {
    const std::size_t to = std::min(count, from + kAhead);
    std::array<std::size_t, kAhead> slot;
    for (std::size_t i = from; i < to; ++i) {
      slot[i - from] = hash_of(positive_zero(points[i])) & mask_;
      __builtin_prefetch(&slots_[slot[i - from]]);
    }
    for (std::size_t i = from; i < to; ++i) {
      const std::uint32_t n = slots_[slot[i - from]];
      if (n != kFree) __builtin_prefetch(&points_[n]);
    }
    for (std::size_t i = from; i < to; ++i) numbers[i] = add(points[i]);
  }
}

void VertexWeld::grow() {
  slots_.assign(slots_.size() * 2, kFree);
  mask_ = slots_.size() - 1;
  for (std::size_t i = 0; i < points_.size(); ++i) {
    std::size_t slot = hash_of(points_[i]) & mask_;
    while (slots_[slot] != kFree) slot = (slot + 1) & mask_;
    slots_[slot] = static_cast<std::uint32_t>(i);
  }
}

}  // namespace baywright
