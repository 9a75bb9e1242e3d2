#include "job/file_access.hpp"

#include <algorithm>
#include <cctype>
#include <string_view>
#include <system_error>

#include "geometry/base/near_word.hpp"
#include "job/node.hpp"

namespace baywright::job {
namespace fs = std::filesystem;
namespace {

/// `path` is `folder` or below it.
bool contains(const fs::path& folder, const fs::path& path) {
  return std::mismatch(folder.begin(), folder.end(), path.begin(), path.end()).first == folder.end();
}

bool is_name(const std::string& named) {
  return !named.empty() &&
         std::none_of(named.begin(), named.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; });
}

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
    const std::string name = it->path().filename().string();
    if (name != "job.json") names.push_back(name);  // a job does not refer to itself
  }
  std::sort(names.begin(), names.end());
  return nearest_word(path.filename().string(), names);
}

std::string quoted(const std::string& text) { return '"' + text + '"'; }

/// Text as one word of a shell command.
std::string shell_word(const std::string& text) {
  const auto plain = [](unsigned char c) {
    return std::isalnum(c) != 0 || c >= 0x80 ||
           std::string_view("/._-+,:@%=").find(static_cast<char>(c)) != std::string_view::npos;
  };
  if (!text.empty() && std::all_of(text.begin(), text.end(), plain)) return text;
  std::string word = "'";
  for (const char c : text) word += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return word + "'";
}

}  // namespace

FileAccess::FileAccess(const fs::path& folder, const std::vector<fs::path>& allowed)
    : folder_(folder.empty() ? fs::path(".") : folder) {
  std::error_code error;
  real_folder_ = fs::canonical(folder_, error);
  if (error) real_folder_ = fs::absolute(folder_, error).lexically_normal();
  for (const fs::path& path : allowed) {
    const fs::path real = fs::canonical(path, error);
    if (!error && fs::is_directory(real, error)) allowed_.push_back(real);
  }
}

bool FileAccess::is_allowed(const fs::path& real) const {
  return contains(real_folder_, real) ||
         std::any_of(allowed_.begin(), allowed_.end(), [&](const fs::path& folder) { return contains(folder, real); });
}

std::optional<fs::path> FileAccess::folder_of(const fs::path& full) const {
  std::error_code error;
  const fs::path real = fs::weakly_canonical(full, error);
  if (error || is_allowed(real)) return std::nullopt;
  // The short way to write it, unless links make it lead elsewhere.
  const fs::path plain = full.lexically_normal().parent_path();
  const fs::path shortest = plain.empty() ? fs::path(".") : plain;
  return fs::weakly_canonical(shortest, error) == real.parent_path() && !error ? shortest : real.parent_path();
}

std::optional<fs::path> FileAccess::folder_to_allow(const std::string& named) const {
  if (!is_name(named)) return std::nullopt;
  return folder_of(folder_ / named);  // an absolute name stands for itself
}

Result<FileAccess::Found> FileAccess::find(const std::string& named, const std::string& where) const {
  const auto refuse = [&](const std::string& why) { return fail(ErrorCode::bad_value, where, why); };
  if (!is_name(named)) return refuse("is not a file name (empty, or with control characters)");
  const fs::path path(named);
  // Decided before the file is touched: whether a file exists outside is nobody's business either.
  if (const auto folder = folder_to_allow(named)) {
    const char* how = path.is_absolute()     ? "is an absolute path"
                      : leaves_by_dots(path) ? "leads out of the job folder"
                                             : "is a link that leads out of the job folder";
    return refuse(quoted(named) + " " + how +
                  "; copy the file into the job folder, or allow its folder by name: " + allow_option({*folder}));
  }
  const fs::path full = folder_ / path;
  std::error_code error;
  const fs::path real = fs::canonical(full, error);
  if (error) {
    std::string message = quoted(named) + " is not there";
    const std::string near = nearest_name(full);
    if (!near.empty()) message += "; did you mean " + quoted(near) + "?";
    if (named.find('\\') != std::string::npos) message += "; folders are separated by /";
    return fail(ErrorCode::file_missing, where, message);
  }
  if (fs::is_directory(real, error)) return fail(ErrorCode::file_missing, where, quoted(named) + " is a folder");
  const bool inside = contains(real_folder_, real);
  // Would break as soon as the job folder is moved or sent to somebody.
  if (inside && (path.is_absolute() || leaves_by_dots(path))) {
    return refuse(quoted(named) + " is in the job folder; write it relative to that: " +
                  quoted(real.lexically_relative(real_folder_).generic_string()));
  }
  if (!fs::is_regular_file(real, error)) {
    return fail(ErrorCode::file_missing, where, quoted(named) + " is not a plain file");
  }
  return Found{real, !inside};
}

Result<FileAccess::Found> FileAccess::find_beside(const Found& file, const std::string& name,
                                                  const std::string& where) const {
  const auto told = [&](const std::string& what) {
    return quoted(file.path.filename().string()) + " refers to " + quoted(name) + ", which " + what;
  };
  const fs::path full = file.path.parent_path() / name;
  if (!is_name(name) || fs::path(name).has_parent_path()) {
    return fail(ErrorCode::bad_value, where, told("does not lie beside it"));
  }
  if (const auto folder = folder_of(full)) {
    return fail(
        ErrorCode::bad_value, where,
        told("is a link that leads out of the job folder; copy the file into it, or allow its folder by name: ") +
            allow_option({*folder}));
  }
  std::error_code error;
  const fs::path real = fs::canonical(full, error);
  if (error || !fs::is_regular_file(real, error)) {
    return fail(ErrorCode::file_missing, where, told("is not there as a plain file"));
  }
  return Found{real, !contains(real_folder_, real)};
}

std::string allow_option(std::vector<fs::path> folders) {
  std::sort(folders.begin(), folders.end());
  folders.erase(std::unique(folders.begin(), folders.end()), folders.end());
  std::string text;
  for (const fs::path& folder : folders) {
    const bool covered = std::any_of(folders.begin(), folders.end(),
                                     [&](const fs::path& other) { return other != folder && contains(other, folder); });
    if (!covered) text += (text.empty() ? "--allow-dir " : " --allow-dir ") + shell_word(folder.string());
  }
  return text;
}

}  // namespace baywright::job
