#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <mutex>
#include <optional>
#include <string>

#include "geometry/base/result.hpp"

namespace baywright::job {

/// A sum over a file's whole content, on all cores, at the speed of memory: tells contents apart that differ by
/// accident (one pair in 2^64 of the same size has the same), not those made to deceive. Fails as sha256_of_file does.
Result<std::uint64_t> content_sum(const std::filesystem::path& path);

/// SHA-256 of large files, found again by the sum of their content: SHA-256 runs on one core, and longer than all else
/// when a job is opened the second time. A file's name, size and time say nothing: all its bytes are read. From any
/// thread.
class KnownHashes {
 public:
  /// Kept in `file`; none: nothing is kept, and every hash is made.
  explicit KnownHashes(std::optional<std::filesystem::path> file) : file_(std::move(file)) {}

  /// 64 hex digits. What was known is taken from `file`, if that is whole; what is new is noted, unless the source
  /// changes meanwhile.
  Result<std::string> sha256_of(const std::filesystem::path& source);
  /// Whether some hash was made that `file` does not hold.
  bool has_new() const;
  /// Writes the hashes asked for and, unless they are many, those known before. EXPECTS a file.
  Result<void> write() const;

 private:
  struct Sum {
    std::uint64_t bytes = 0, sum = 0;
    auto operator<=>(const Sum&) const = default;
  };
  void read();

  std::optional<std::filesystem::path> file_;
  mutable std::mutex mutex_;
  bool was_read_ = false, has_new_ = false;
  std::map<Sum, std::string> known_, used_;
};

}  // namespace baywright::job
