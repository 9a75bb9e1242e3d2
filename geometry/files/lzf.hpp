#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace baywright {

/// Most bytes that one packed byte of the LZF format can stand for: 3 bytes give a copy of at most 264.
inline constexpr std::size_t kLzfMostGrowth = 88;

/// Unpacks LZF data (format of M. Lehmann's liblzf, as compressed PCD files use it) that must give exactly `size`
/// bytes; nullopt when it does not. Never reads or writes outside.
std::optional<std::string> unpack_lzf(std::string_view packed, std::size_t size);

}  // namespace baywright
