#pragma once

#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>

#include "geometry/base/result.hpp"

namespace baywright {

/// Writes `bytes` to `path` so that a reader sees either the old file or the whole new one: written beside it,
/// synced, renamed, folder synced. Creates no folders.
Result<void> write_file(const std::filesystem::path& path, std::string_view bytes);
/// The same from pieces, one after the other.
Result<void> write_file(const std::filesystem::path& path, std::span<const std::string_view> pieces);

struct NewFile {
  std::filesystem::path path;
  std::string_view bytes;
};
/// Several files that belong together: all are written beside their places first and then take them together. When one
/// cannot, every file stays as it was.
Result<void> write_files(std::span<const NewFile> files);

/// What the name of a half-written file has in it; one that is old was left by a program that was ended.
inline constexpr std::string_view kHalfWritten = ".part-";

inline constexpr std::uintmax_t kLargestFile_bytes = std::uintmax_t{4} << 30;

/// Whole file as bytes. Fails with file_missing (absent, a folder, unreadable) or bad_value above `limit_bytes`.
Result<std::string> read_file(const std::filesystem::path& path, std::uintmax_t limit_bytes = kLargestFile_bytes);

/// SHA-256 of bytes as 64 hex digits.
std::string sha256_hex(std::string_view bytes);

/// The same of a file's bytes, without holding them in memory. Fails as read_file does.
Result<std::string> sha256_of_file(const std::filesystem::path& path, std::uintmax_t limit_bytes = kLargestFile_bytes);

}  // namespace baywright
