#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "geometry/base/result.hpp"

namespace baywright::job {

/// Opens the files a job names, and no others. A job may come from a stranger: what it names must lie inside the job
/// folder after all links are followed, unless the user lists it.
class FileAccess {
 public:
  /// `allowed`: names, exactly as the job writes them, that may lead outside the folder.
  FileAccess(const std::filesystem::path& folder, std::vector<std::string> allowed);

  struct Found {
    std::filesystem::path path;  ///< all links followed
    bool outside = false;        ///< not in the job folder
  };
  /// Fails: bad_value (leads out of the folder, odd characters), file_missing (with the nearest name beside it;
  /// folders, devices and pipes). `where` is handed on.
  Result<Found> find(const std::string& named, const std::string& where) const;

 private:
  bool is_inside(const std::filesystem::path& path) const;

  std::filesystem::path folder_;
  std::filesystem::path real_folder_;
  std::vector<std::string> allowed_;
};

}  // namespace baywright::job
