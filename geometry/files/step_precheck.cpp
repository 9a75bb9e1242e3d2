#include "geometry/files/step_precheck.hpp"

#include <algorithm>
#include <cctype>
#include <set>
#include <string_view>

#include "geometry/base/atomic_file.hpp"

namespace baywright {
namespace {

constexpr std::string_view kOpening = "ISO-10303-21";
constexpr std::string_view kClosing = "END-ISO-10303-21";
constexpr std::size_t kPreamble = 4096;  // comments and blanks some writers put before the opening

std::size_t skip_blanks(std::string_view text, std::size_t at) {
  while (at < text.size() && std::isspace(static_cast<unsigned char>(text[at])) != 0) ++at;
  return at;
}

/// First string argument of every entity named `entity`: ENTITY ( 'text'
void first_strings(std::string_view text, std::string_view entity, std::vector<std::string>& out) {
  for (std::size_t at = text.find(entity); at != std::string_view::npos; at = text.find(entity, at)) {
    at = skip_blanks(text, at + entity.size());
    if (at >= text.size() || text[at] != '(') continue;
    at = skip_blanks(text, at + 1);
    if (at >= text.size() || text[at] != '\'') continue;
    std::string value;
    for (++at; at < text.size(); ++at) {
      if (text[at] == '\'') {
        if (at + 1 >= text.size() || text[at + 1] != '\'') break;
        ++at;  // a doubled quote stands for one
      }
      value += text[at];
    }
    if (!value.empty() && std::find(out.begin(), out.end(), value) == out.end()) out.push_back(value);
  }
}

tl::unexpected<Error> damaged(const std::filesystem::path& path, std::string message) {
  return fail(ErrorCode::file_damaged, path.filename().string(), std::move(message));
}

bool leads_out(const std::string& name) {
  return name.find('/') != std::string::npos || name.find('\\') != std::string::npos || name == "..";
}

}  // namespace

Result<StepText> precheck_step(const std::filesystem::path& path) {
  const Result<std::string> bytes = read_file(path);
  if (!bytes) return tl::unexpected(bytes.error());
  const std::string_view text = *bytes;
  if (text.empty()) return damaged(path, "the file is empty (0 bytes)");
  const std::string_view head = text.substr(0, kPreamble);
  if (head.substr(0, 2) == "\xFE\xFF" || head.substr(0, 2) == "\xFF\xFE") {
    return fail(ErrorCode::not_supported, path.filename().string(), "is UTF-16 text; save it as plain STEP text");
  }
  if (head.substr(0, 2) == "PK") {
    return fail(ErrorCode::not_supported, path.filename().string(),
                "is a zip archive; unpack it and read the STEP file");
  }
  const std::size_t opening = head.find(kOpening);
  if (opening == std::string_view::npos) {
    const bool pointer = head.substr(0, 30).find("version https://git-lfs") != std::string_view::npos;
    return damaged(path, pointer ? "is not a STEP file but a Git LFS pointer to one; fetch the real file"
                                 : "is not a STEP file (it does not begin with ISO-10303-21)");
  }
  // The mark may also stand in a remark or a string: only one behind the last section closes the file.
  const std::size_t closing = text.rfind(kClosing);
  const std::size_t last_section = text.rfind("ENDSEC");
  if (closing == std::string_view::npos || closing <= opening ||
      (last_section != std::string_view::npos && closing < last_section)) {
    return damaged(path,
                   "the file is cut short (the closing line END-ISO-10303-21 is missing); export or download it again");
  }
  StepText out;
  first_strings(text, "DOCUMENT_FILE", out.references);
  first_strings(text, "APPLIED_EXTERNAL_IDENTIFICATION_ASSIGNMENT", out.references);
  return out;
}

Result<StepReferences> check_references(const std::filesystem::path& path, const StepText& text) {
  const std::filesystem::path folder = path.parent_path();
  StepReferences out;
  std::set<std::string> seen{path.filename().string()};
  std::vector<std::string> open(text.references.rbegin(), text.references.rend());
  while (!open.empty()) {
    const std::string name = open.back();
    open.pop_back();
    if (!seen.insert(name).second) continue;
    if (leads_out(name))
      return damaged(path, "refers to \"" + name + "\" outside its own folder; put that file beside it");
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(folder / name, ignored)) {
      // DOCUMENT_FILE is also used for plain documents: only what looks like a model is missed.
      std::string suffix = std::filesystem::path(name).extension().string();
      std::transform(suffix.begin(), suffix.end(), suffix.begin(), [](unsigned char c) { return std::tolower(c); });
      if (suffix == ".stp" || suffix == ".step" || suffix == ".p21") out.missing.push_back(name);
      continue;
    }
    const Result<StepText> next = precheck_step(folder / name);
    if (!next) return tl::unexpected(next.error());
    out.present.push_back(name);
    open.insert(open.end(), next->references.rbegin(), next->references.rend());
  }
  return out;
}

}  // namespace baywright
