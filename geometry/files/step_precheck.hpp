#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "geometry/base/result.hpp"

namespace baywright {

/// What the text of a STEP file says before the kernel sees it.
struct StepText {
  std::vector<std::string> references;  ///< names of external files that the file itself names, in order
};

/// Looks at a file as ISO 10303-21 text.
/// Fails: file_missing, file_damaged (empty, not a STEP file, cut short), not_supported (UTF-16, zipped).
Result<StepText> precheck_step(const std::filesystem::path& path);

/// Follows external references from `path` within its folder, each file once.
struct StepReferences {
  std::vector<std::string> present;  ///< in the folder, STEP files by their text
  std::vector<std::string> missing;  ///< named but not in the folder
};
/// Fails: file_damaged when a reference leads out of the folder or a referenced file is itself damaged.
Result<StepReferences> check_references(const std::filesystem::path& path, const StepText& text);

}  // namespace baywright
