#include "app/refresh_copies.hpp"

#include <map>
#include <sstream>

#include "geometry/base/atomic_file.hpp"

namespace baywright::app {
namespace {

namespace fs = std::filesystem;

constexpr const char* kNote = ".copied";

/// Name of each copy -> SHA-256 of what was copied. A note that cannot be read is none.
std::map<std::string, std::string> read_note(const fs::path& folder) {
  std::map<std::string, std::string> noted;
  const Result<std::string> text = read_file(folder / kNote);
  if (!text) return noted;
  std::istringstream lines(*text);
  for (std::string hash, name; lines >> hash && std::getline(lines >> std::ws, name);) noted[name] = hash;
  return noted;
}

}  // namespace

Result<Refreshed> refresh_copies(const std::vector<CopiedFile>& files, const fs::path& folder) {
  Refreshed out;
  const std::map<std::string, std::string> noted = read_note(folder);
  std::string note;
  for (const CopiedFile& file : files) {
    const Result<std::string> bytes = read_file(file.from);
    if (!bytes) return tl::unexpected(bytes.error());
    const std::string hash = sha256_hex(*bytes);
    const fs::path to = folder / file.name;
    std::error_code code;
    const bool is_there = fs::exists(fs::symlink_status(to, code));
    if (is_there) {
      const Result<std::string> there = sha256_of_file(to);
      if (!there) return tl::unexpected(there.error());
      const auto before = noted.find(file.name);
      if (*there != hash && (before == noted.end() || before->second != *there)) {
        out.kept.push_back(file.name);
        if (before != noted.end()) note += before->second + " " + file.name + "\n";
        continue;
      }
      if (*there != hash) out.renewed.push_back(file.name);
    }
    note += hash + " " + file.name + "\n";
    if (is_there && (out.renewed.empty() || out.renewed.back() != file.name)) continue;
    fs::create_directories(to.parent_path(), code);
    if (code)
      return fail(ErrorCode::not_written, to.parent_path().string(), "cannot make this folder: " + code.message());
    if (auto written = write_file(to, *bytes); !written) return tl::unexpected(written.error());
  }
  if (auto written = write_file(folder / kNote, note); !written) return tl::unexpected(written.error());
  return out;
}

}  // namespace baywright::app
