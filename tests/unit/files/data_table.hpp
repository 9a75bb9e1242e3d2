#pragma once

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <optional>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace test_data {

/// One row of a table of check values, by column name.
using Row = std::map<std::string, std::string>;

/// Reads tests/data/<name> (columns separated by semicolons, names in the first line).
inline std::vector<Row> table(const std::string& name) {
  std::ifstream in(std::string(BAYWRIGHT_TEST_DATA) + "/" + name);
  const auto cells = [](const std::string& line) {
    std::vector<std::string> out;
    std::string cell;
    for (std::istringstream text(line); std::getline(text, cell, ';');) out.push_back(cell);
    return out;
  };
  std::string line;
  if (!std::getline(in, line)) throw std::runtime_error("no table " + name);
  const std::vector<std::string> names = cells(line);
  std::vector<Row> rows;
  while (std::getline(in, line)) {
    const std::vector<std::string> values = cells(line);
    Row row;
    for (std::size_t i = 0; i < names.size(); ++i) row[names[i]] = i < values.size() ? values[i] : "";
    rows.push_back(std::move(row));
  }
  return rows;
}

/// Folder named by BAYWRIGHT_EXTRA_DATA, if any.
inline std::optional<std::filesystem::path> extra_folder() {
  const char* folder = std::getenv("BAYWRIGHT_EXTRA_DATA");
  if (folder == nullptr || *folder == '\0') return std::nullopt;
  return std::filesystem::path(folder);
}

/// Where the file lies: with the tests or in the extra folder.
inline std::optional<std::filesystem::path> find(const std::string& file) {
  std::filesystem::path here = std::filesystem::path(BAYWRIGHT_TEST_DATA) / file;
  if (std::filesystem::exists(here)) return here;
  if (const auto extra = extra_folder(); extra && std::filesystem::exists(*extra / file)) return *extra / file;
  return std::nullopt;
}

/// A folder of its own for one test, removed at the end.
class TempFolder {
 public:
  TempFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "baywright-files-XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
    path_ = name;
  }
  TempFolder(const TempFolder&) = delete;
  TempFolder& operator=(const TempFolder&) = delete;
  ~TempFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  const std::filesystem::path& path() const { return path_; }
  std::filesystem::path put(const std::string& name, const std::string& bytes) const {
    std::ofstream(path_ / name, std::ios::binary) << bytes;
    return path_ / name;
  }

 private:
  std::filesystem::path path_;
};

inline std::string slurp(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

}  // namespace test_data
