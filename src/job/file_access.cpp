#include "job/file_access.hpp"

#include <algorithm>
#include <system_error>

#include "job/node.hpp"

namespace baywright::job {
namespace fs = std::filesystem;
namespace {

bool leaves_by_dots(const fs::path& relative) {
  const fs::path tidy = relative.lexically_normal();
  return tidy.begin() != tidy.end() && *tidy.begin() == "..";
}

/// Name in the folder of `path` that it was probably meant to be, or "".
std::string nearest_name(const fs::path& path) {
  constexpr std::size_t kMostNames = 1000;
  std::vector<std::string> names;
  std::error_code error;
  for (fs::directory_iterator it(path.parent_path(), error), end; !error && it != end; it.increment(error)) {
    if (names.size() >= kMostNames) break;
    names.push_back(it->path().filename().string());
  }
  std::sort(names.begin(), names.end());
  return nearest_word(path.filename().string(), names);
}

}  // namespace

FileAccess::FileAccess(const fs::path& folder, std::vector<std::string> allowed)
    : folder_(folder.empty() ? fs::path(".") : folder), allowed_(std::move(allowed)) {
  std::error_code error;
  real_folder_ = fs::canonical(folder_, error);
  if (error) real_folder_ = fs::absolute(folder_, error).lexically_normal();
}

bool FileAccess::is_inside(const fs::path& path) const {
  const auto [folder_end, rest] = std::mismatch(real_folder_.begin(), real_folder_.end(), path.begin(), path.end());
  return folder_end == real_folder_.end() && rest != path.end();
}

Result<FileAccess::Found> FileAccess::find(const std::string& named, const std::string& where) const {
  const auto refuse = [&](const std::string& why) { return fail(ErrorCode::bad_value, where, why); };
  const bool odd = std::any_of(named.begin(), named.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; });
  if (named.empty() || odd) return refuse("is not a file name (empty, or with control characters)");
  const bool allowed = std::find(allowed_.begin(), allowed_.end(), named) != allowed_.end();
  const fs::path path(named);
  if (!allowed && path.is_absolute()) {
    return refuse("\"" + named +
                  "\" is an absolute path; copy the file into the job folder, or list it in outside_files");
  }
  if (!allowed && leaves_by_dots(path)) {
    return refuse("\"" + named + "\" leads out of the job folder; copy the file into it, or list it in outside_files");
  }
  const fs::path full = path.is_absolute() ? path : folder_ / path;
  std::error_code error;
  const fs::path real = fs::canonical(full, error);
  if (error) {
    std::string message = "\"" + named + "\" is not there";
    const std::string near = allowed ? "" : nearest_name(full);
    if (!near.empty()) message += "; did you mean \"" + near + "\"?";
    if (named.find('\\') != std::string::npos) message += "; folders are separated by /";
    return fail(ErrorCode::file_missing, where, message);
  }
  const bool inside = is_inside(real);
  if (!inside && !allowed) {
    return refuse("\"" + named + "\" is a link that leads out of the job folder; list it in outside_files to allow it");
  }
  if (fs::is_directory(real, error)) return fail(ErrorCode::file_missing, where, "\"" + named + "\" is a folder");
  if (!fs::is_regular_file(real, error)) {
    return fail(ErrorCode::file_missing, where, "\"" + named + "\" is not a plain file");
  }
  return Found{real, !inside};
}

}  // namespace baywright::job
