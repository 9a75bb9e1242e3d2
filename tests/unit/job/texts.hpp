#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "geometry/base/atomic_file.hpp"
#include "geometry/base/result.hpp"
#include "job/job_file.hpp"

namespace baywright::test {

// Texts of files, and what readers say of them.

inline const std::string kSource = BAYWRIGHT_SOURCE_DIR;

inline std::string text_of(const std::string& path) {
  auto bytes = read_file(kSource + "/" + path);
  INFO(path);
  REQUIRE(bytes.has_value());
  return *bytes;
}

/// The first block of JSON in docs/job-file.md.
inline std::string documented_job() {
  const std::string page = text_of("docs/job-file.md");
  const std::string fence = "```json\n";
  const std::size_t from = page.find(fence) + fence.size();
  return page.substr(from, page.find("```", from) - from);
}

/// One piece of a text, which must be there, replaced.
inline std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  INFO(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

inline std::vector<std::string> lines_of(const std::vector<Error>& errors) {
  std::vector<std::string> lines;
  for (const Error& error : errors) lines.push_back(to_line(error));
  return lines;
}

/// What the text of a job is refused for; nothing where it is read.
inline std::vector<std::string> job_complaints(const std::string& text) {
  const auto job = job::read_job(text, "job.json");
  return job ? std::vector<std::string>{} : lines_of(job.error());
}

/// Whether one of the lines begins so, or holds this.
inline bool one_begins(const std::vector<std::string>& lines, const std::string& start) {
  return std::any_of(lines.begin(), lines.end(), [&](const std::string& line) { return line.starts_with(start); });
}
inline bool one_holds(const std::vector<std::string>& lines, const std::string& piece) {
  return std::any_of(lines.begin(), lines.end(),
                     [&](const std::string& line) { return line.find(piece) != std::string::npos; });
}

}  // namespace baywright::test
