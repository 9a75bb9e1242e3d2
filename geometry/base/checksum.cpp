#include "geometry/base/checksum.hpp"

#include <array>
#include <bit>
#include <cstring>

namespace baywright {
namespace {

constexpr std::uint64_t kOdd = 0x9E3779B97F4A7C15U;  // 2^64 over the golden ratio: odd, bits without a pattern
constexpr std::size_t kLanes = 8;                    // multiplications that run beside one another
constexpr std::size_t kStripe = kLanes * sizeof(std::uint64_t);

/// One-to-one in each argument while the other stays: a difference never dies out on its way through a lane. High bits
/// are folded down before the product, which alone carries differences only upwards, and turned down after it.
std::uint64_t stir(std::uint64_t sum, std::uint64_t word) {
  std::uint64_t mixed = sum ^ word;
  mixed ^= mixed >> 32;
  return std::rotl(mixed * kOdd, 29);
}

void add(std::array<std::uint64_t, kLanes>& lanes, const unsigned char* stripe) {
  std::array<std::uint64_t, kLanes> words;
  std::memcpy(words.data(), stripe, kStripe);
  for (std::size_t i = 0; i < kLanes; ++i) lanes[i] = stir(lanes[i], words[i]);
}

}  // namespace

std::uint64_t checksum64(const void* data, std::size_t size) {
  const auto* at = static_cast<const unsigned char*>(data);
  std::array<std::uint64_t, kLanes> lanes;
  for (std::size_t i = 0; i < kLanes; ++i) lanes[i] = kOdd * (i + 1);
  std::size_t left = size;
  for (; left >= kStripe; left -= kStripe, at += kStripe) add(lanes, at);
  if (left > 0) {
    std::array<unsigned char, kStripe> last{};
    std::memcpy(last.data(), at, left);
    add(lanes, last.data());
  }
  std::uint64_t sum = size;  // tells zeros at the end from nothing
  for (const std::uint64_t lane : lanes) sum = stir(sum, lane);
  sum = (sum ^ sum >> 32) * kOdd;
  return sum ^ sum >> 29;
}

}  // namespace baywright
