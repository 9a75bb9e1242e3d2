#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "geometry/base/result.hpp"

namespace baywright::app {

/// A file of the program that a user gets a copy of, to read and to change.
struct CopiedFile {
  std::filesystem::path from;
  std::string name;  ///< of the copy, below the folder of the copies
};

/// What became of the copies that were there before.
struct Refreshed {
  std::vector<std::string> renewed;  ///< nobody had changed them since they were copied, and this version's differ
  std::vector<std::string> kept;     ///< they differ from this version's and may have been changed by the user
};

/// Brings the copies below `folder` up to date. A copy is written over only where its content is still the one noted
/// when it was made (SHA-256, in `.copied` beside them); what there is no note of counts as changed by the user.
Result<Refreshed> refresh_copies(const std::vector<CopiedFile>& files, const std::filesystem::path& folder);

}  // namespace baywright::app
