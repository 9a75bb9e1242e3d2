#pragma once

#include <filesystem>
#include <string>

#include <catch2/catch.hpp>

#include "geometry/base/atomic_file.hpp"

namespace baywright::test {

/// A fresh folder for one job, gone at the end of the test. `of` keeps tests apart that run at the same time.
class JobFolder {
 public:
  JobFolder(const std::string& of, const std::string& name)
      : path(std::filesystem::path(BAYWRIGHT_BINARY_DIR) / of / name) {
    std::filesystem::remove_all(path);
    std::filesystem::create_directories(path);
  }
  ~JobFolder() {
    std::error_code error;
    std::filesystem::remove_all(path, error);
  }
  JobFolder(const JobFolder&) = delete;
  JobFolder& operator=(const JobFolder&) = delete;
  void put(const std::string& name, const std::string& text) const {
    REQUIRE(write_file(path / name, text).has_value());
  }
  std::filesystem::path path;
};

}  // namespace baywright::test
