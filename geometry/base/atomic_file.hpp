#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>

#include "geometry/base/result.hpp"

namespace baywright {

/// Writes `bytes` to `path` so that a reader sees either the old file or the whole new one: written beside it,
/// synced, renamed, folder synced. Creates no folders.
Result<void> write_file(const std::filesystem::path& path, std::string_view bytes);

/// Whole file as bytes. Fails with file_missing (absent, a folder, unreadable) or bad_value above `limit_bytes`.
Result<std::string> read_file(const std::filesystem::path& path, std::uintmax_t limit_bytes = std::uintmax_t{4} << 30);

/// SHA-256 of bytes as 64 hex digits.
std::string sha256_hex(std::string_view bytes);

}  // namespace baywright
