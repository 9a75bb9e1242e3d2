#include "geometry/files/lzf.hpp"

#include <cstdint>

namespace baywright {

// A control byte c below 32 is followed by c + 1 literal bytes. Else its upper three bits are the length of a copy less
// 2 (7: one more byte is added), its lower five and the following byte the distance back less 1.
std::optional<std::string> unpack_lzf(std::string_view packed, std::size_t size) {
  std::string out(size, '\0');
  std::size_t to = 0;
  std::size_t at = 0;
  const auto byte = [&] { return static_cast<std::size_t>(static_cast<std::uint8_t>(packed[at++])); };
  while (at < packed.size()) {
    const std::size_t control = byte();
    if (control < 32) {
      const std::size_t n = control + 1;
      if (packed.size() - at < n || size - to < n) return std::nullopt;
      packed.copy(out.data() + to, n, at);
      at += n;
      to += n;
      continue;
    }
    std::size_t n = (control >> 5) + 2;
    if (n == 9) {
      if (at == packed.size()) return std::nullopt;
      n += byte();
    }
    if (at == packed.size()) return std::nullopt;
    const std::size_t back = ((control & 31) << 8 | byte()) + 1;
    if (back > to || size - to < n) return std::nullopt;
    // Byte by byte: source and target may overlap, which repeats the bytes between.
    for (; n > 0; --n, ++to) out[to] = out[to - back];
  }
  if (to != size) return std::nullopt;
  return out;
}

}  // namespace baywright
