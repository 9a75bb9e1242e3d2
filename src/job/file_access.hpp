#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "geometry/base/result.hpp"

namespace baywright::job {

/// Opens the files a job names, and no others. A job may come from a stranger: what it names must lie, after all links
/// are followed, inside the job folder or inside a folder the user allows. Nothing in the job can widen that.
class FileAccess {
 public:
  /// `allowed`: folders outside the job folder in which files may be read, with all that is below them. A path that is
  /// no folder allows nothing.
  explicit FileAccess(const std::filesystem::path& folder, const std::vector<std::filesystem::path>& allowed = {});

  struct Found {
    std::filesystem::path path;  ///< all links followed
    bool outside = false;        ///< not in the job folder
  };
  /// Fails: bad_value (leads out, odd characters), file_missing (with the nearest name beside it; folders, devices and
  /// pipes). `where` is handed on.
  Result<Found> find(const std::string& named, const std::string& where) const;

  /// The same for a file that lies beside `file` and that `file` itself refers to.
  Result<Found> find_beside(const Found& file, const std::string& name, const std::string& where) const;

  /// The folder a user would have to allow so that `named` may be read; nullopt when nothing stands in the way, or
  /// when no permission would help.
  std::optional<std::filesystem::path> folder_to_allow(const std::string& named) const;

 private:
  bool is_allowed(const std::filesystem::path& real) const;
  std::optional<std::filesystem::path> folder_of(const std::filesystem::path& full) const;

  std::filesystem::path folder_;
  std::filesystem::path real_folder_;
  std::vector<std::filesystem::path> allowed_;
};

/// What to type so that files in these folders may be read: `--allow-dir FOLDER` for each, quoted for a shell where
/// needed, folders below another one left out.
std::string allow_option(std::vector<std::filesystem::path> folders);

}  // namespace baywright::job
