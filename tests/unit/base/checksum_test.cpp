#include "geometry/base/checksum.hpp"

#include <catch2/catch.hpp>

#include <set>
#include <string>

using baywright::checksum64;

namespace {
std::uint64_t sum(const std::string& bytes) { return checksum64(bytes.data(), bytes.size()); }

std::string noise(std::size_t size) {
  std::string bytes;
  std::uint32_t state = 1;
  while (bytes.size() < size) bytes += static_cast<char>((state = state * 1664525U + 1013904223U) >> 24);
  return bytes;
}
}  // namespace

TEST_CASE("checksum: every change of one bit, and every length, is told apart") {
  for (const std::size_t size : {0U, 1U, 7U, 8U, 63U, 64U, 65U, 1000U}) {
    const std::string bytes = noise(size);
    std::set<std::uint64_t> sums{sum(bytes)};
    for (std::size_t i = 0; i < size; ++i) {
      for (int bit = 0; bit < 8; ++bit) {
        std::string changed = bytes;
        changed[i] = static_cast<char>(changed[i] ^ (1 << bit));
        sums.insert(sum(changed));
      }
    }
    CHECK(sums.size() == 8 * size + 1);
  }
  std::set<std::uint64_t> sums;
  for (std::size_t size = 0; size < 300; ++size) sums.insert(sum(std::string(size, '\0')));
  CHECK(sums.size() == 300);
}

TEST_CASE("checksum: the same highest bit in two words of a lane does not cancel, order counts") {
  std::string bytes(256, '\0');
  const auto before = sum(bytes);
  bytes[7] = bytes[71] = '\x80';
  CHECK(sum(bytes) != before);
  bytes[71] = 0;
  bytes[67] = '\x10';  // where a single product and turn would bring that bit
  CHECK(sum(bytes) != before);
  CHECK(sum(std::string(64, 'a') + std::string(64, 'b')) != sum(std::string(64, 'b') + std::string(64, 'a')));
}
