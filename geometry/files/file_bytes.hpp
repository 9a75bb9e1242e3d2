#pragma once

#include <cstdlib>
#include <filesystem>
#include <memory>
#include <string_view>

#include "geometry/base/result.hpp"

namespace baywright {

/// A large file in memory, as it was at one moment (a mapped file could change or vanish under the reader). Not
/// initialised before it is read and laid out in large pages, which for a scan of hundreds of MB is most of the time.
class FileBytes {
 public:
  /// Fails: file_missing (absent, a folder, unreadable).
  static Result<FileBytes> read(const std::filesystem::path& path);
  std::string_view view() const { return {data_.get(), size_}; }

 private:
  struct Free {
    void operator()(char* p) const { std::free(p); }
  };
  std::unique_ptr<char, Free> data_;
  std::size_t size_ = 0;
};

}  // namespace baywright
