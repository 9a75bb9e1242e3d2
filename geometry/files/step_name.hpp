#pragma once

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <string>

namespace baywright {

/// Whether a file is named as STEP files are (`.step`, `.stp`, `.p21`, any case).
inline bool is_step_name(const std::filesystem::path& path) {
  std::string suffix = path.extension().string();
  std::transform(suffix.begin(), suffix.end(), suffix.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return suffix == ".step" || suffix == ".stp" || suffix == ".p21";
}

}  // namespace baywright
