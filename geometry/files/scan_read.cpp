#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <cstdio>

#include "geometry/base/expects.hpp"
#include "geometry/files/file_bytes.hpp"
#include "geometry/files/mesh_file.hpp"
#include "geometry/files/scan_formats.hpp"
#include "geometry/files/text_scan.hpp"

namespace baywright {
namespace {

using namespace std::string_view_literals;

/// Formats that are recognised by their first bytes and not read.
struct Refused {
  std::string_view magic;
  std::string_view what;
  std::string_view advice;
};
constexpr std::array<Refused, 14> kRefused{
    {{"ASTM-E57"sv, "an E57 scan"sv, "export the scan as PLY or PCD"sv},
     {"LASF"sv, "a LAS or LAZ point cloud"sv, "export it as PLY, PCD or text (x y z)"sv},
     {"glTF"sv, "a binary glTF model"sv, "export it as PLY, STL or OBJ"sv},
     {"PK\x03\x04"sv, "a zip archive (3MF, KMZ or packed files)"sv, "unpack it, or export as PLY, STL or OBJ"sv},
     {"Kaydara FBX"sv, "an FBX model"sv, "export it as PLY, STL or OBJ"sv},
     {"3D Geometry File Format"sv, "a 3DM model"sv, "export it as STEP, PLY, STL or OBJ"sv},
     {"\x1f\x8b"sv, "a gzip-packed file"sv, "unpack it first"sv},
     {"7z\xbc\xaf"sv, "a 7z archive"sv, "unpack it first"sv},
     {"<?xml"sv, "an XML file (COLLADA, AMF, X3D...)"sv, "export it as PLY, STL or OBJ"sv},
     {"<"sv, "an XML or HTML page"sv, "download or export the file itself"sv},
     {"{"sv, "a JSON file (glTF...)"sv, "export it as PLY, STL or OBJ"sv},
     {"ISO-10303-21"sv, "a STEP model, not a scan"sv, "give it as a STEP part"sv},
     {"version https://git-lfs"sv, "a Git LFS pointer to the file"sv, "fetch the real file"sv},
     {"OFF\n"sv, "an OFF mesh"sv, "export it as PLY, STL or OBJ"sv}}};

// Also by suffix, for formats whose first bytes say nothing.
constexpr std::array<std::string_view, 14> kRefusedSuffixes{".e57", ".las", ".laz", ".glb", ".gltf",   ".3mf", ".fbx",
                                                            ".dae", ".3ds", ".amf", ".off", ".pts.gz", ".x3d", ".igs"};

std::string lower_suffix(const std::filesystem::path& path) {
  std::string s = path.extension().string();
  std::transform(s.begin(), s.end(), s.begin(), [](unsigned char c) { return std::tolower(c); });
  return s;
}

tl::unexpected<Error> refuse(const ScanSource& source, std::string_view what, std::string_view advice) {
  return fail(ErrorCode::not_supported, source.name,
              "is " + std::string(what) + ", which is not read; " + std::string(advice));
}

/// UTF-16 text with its mark, or without: every other byte of the beginning is 0.
bool is_utf16(std::string_view bytes) {
  if (bytes.substr(0, 2) == "\xFE\xFF"sv || bytes.substr(0, 2) == "\xFF\xFE"sv) return true;
  if (bytes.size() < 32) return false;
  for (const std::size_t first : {0U, 1U}) {
    bool zeros = true;
    for (std::size_t i = 0; i < 16; ++i)
      zeros = zeros && bytes[2 * i + first] == '\0' && bytes[2 * i + 1 - first] != '\0';
    if (zeros) return true;
  }
  return false;
}

bool starts_with_word(std::string_view text, std::string_view word) {
  return text.substr(0, word.size()) == word && text.size() > word.size() &&
         std::isspace(static_cast<unsigned char>(text[word.size()])) != 0;
}

bool looks_like_pcd(std::string_view text) {
  TextScan scan(text.substr(0, 4096));
  for (int i = 0; i < 10; ++i) {
    const auto line = scan.line();
    if (!line) return false;
    std::string_view rest = *line;
    const std::string_view key = take_word(rest);
    if (key == "VERSION" || key == "FIELDS" || key == "COLUMNS") return true;
    if (key == "#" && rest.find(".PCD") != std::string_view::npos) return true;
    if (!key.empty() && key.front() != '#') return false;
  }
  return false;
}

bool looks_like_obj(std::string_view text) {
  TextScan scan(text.substr(0, 4096));
  for (int i = 0; i < 40; ++i) {
    const auto line = scan.line();
    if (!line) return false;
    std::string_view rest = *line;
    const std::string_view key = take_word(rest);
    if (key == "v" || key == "mtllib") return true;
    if (!key.empty() && key.front() != '#' && key != "o" && key != "g") return false;
  }
  return false;
}

Result<ScanFile> dispatch(std::string_view bytes, const std::string& suffix, const ScanSource& source) {
  if (bytes.empty()) return source.damaged("the file is empty (0 bytes)");
  if (is_binary_stl(bytes) && bytes.substr(0, 4) != "ply\n" && suffix != ".ply") return read_stl(bytes, source);
  if (is_utf16(bytes)) return refuse(source, "UTF-16 text", "save it as UTF-8 or plain text");
  if (bytes.substr(0, 3) == "\xEF\xBB\xBF"sv) bytes.remove_prefix(3);
  for (const Refused& r : kRefused) {
    if (bytes.substr(0, r.magic.size()) == r.magic) return refuse(source, r.what, r.advice);
  }
  if (starts_with_word(bytes, "ply")) return read_ply(bytes, source);
  if (looks_like_pcd(bytes)) return read_pcd(bytes, source);
  if (std::find(kRefusedSuffixes.begin(), kRefusedSuffixes.end(), suffix) != kRefusedSuffixes.end()) {
    return refuse(source, "a " + suffix.substr(1) + " file", "export it as STEP, PLY, STL, OBJ, PCD or text");
  }
  if (suffix == ".stl") return read_stl(bytes, source);
  if (suffix == ".ply") return source.damaged("does not begin with \"ply\": it is not a PLY file");
  if (suffix == ".pcd") return source.damaged("has no PCD header; if it is plain x y z text, name it .xyz");
  if (suffix == ".obj" || looks_like_obj(bytes)) return read_obj(bytes, source);
  if (starts_with_word(bytes, "solid") && bytes.substr(0, 4096).find("facet") != std::string_view::npos) {
    return read_stl(bytes, source);
  }
  constexpr std::array<std::string_view, 8> kText{".xyz", ".csv", ".txt", ".asc", ".pts", ".xyzn", ".xyzrgb", ".dat"};
  if (std::find(kText.begin(), kText.end(), suffix) != kText.end()) return read_text_cloud(bytes, source);
  return refuse(source, "in a format that is not known here", "export it as STEP, PLY, STL, OBJ, PCD or text");
}

}  // namespace

Result<ScanFile> read_scan(const std::filesystem::path& path, const ScanReadOptions& options,
                           const Progress& progress) {
  EXPECTS(options.mm_per_unit > 0 && std::isfinite(options.mm_per_unit));
  const ScanSource source{path.filename().string(), options.mm_per_unit, progress};
  progress.report("opening " + source.name);
  const Result<FileBytes> bytes = FileBytes::read(path);
  if (!bytes) return tl::unexpected(bytes.error());
  if (progress.cancelled()) return source.cancelled();
  return dispatch(bytes->view(), lower_suffix(path), source);
}

namespace {

/// "2540 m (8330 ft)", "12.5 mm (0.492 in)": a size as one says it, in both systems, three digits at most.
std::string size_text(double length_mm) {
  constexpr double kInMetres_mm = 1e4;
  constexpr double kMillimetresPerFoot = 304.8;
  const bool large = length_mm >= kInMetres_mm;
  const auto rounded = [](double value) {
    const double step = std::pow(10.0, std::floor(std::log10(value)) - 2);
    std::array<char, 40> text{};
    const double shown = std::round(value / step) * step;
    std::snprintf(text.data(), text.size(), "%.*f", static_cast<int>(std::max(0.0, -std::log10(step) + 0.5)), shown);
    std::string number = text.data();
    if (number.find('.') == std::string::npos) return number;
    number.erase(number.find_last_not_of('0') + 1);
    if (number.back() == '.') number.pop_back();
    return number;
  };
  if (!(length_mm > 0)) return "0 mm";
  return rounded(large ? length_mm / 1000 : length_mm) + (large ? " m (" : " mm (") +
         rounded(large ? length_mm / kMillimetresPerFoot : length_mm / 25.4) + (large ? " ft)" : " in)");
}

}  // namespace

std::string size_doubt(const Aabb& box_mm, double mm_per_unit, UnitSource source) {
  constexpr double kSmall_mm = 100;
  constexpr double kLarge_mm = 20'000;
  if (box_mm.empty()) return {};
  const double side = box_mm.size().maxCoeff();
  if (side >= kSmall_mm && side <= kLarge_mm) return {};
  struct Candidate {
    double mm;
    const char* name;
  };
  // In the order in which scanners and modellers use them: common practice, no source.
  constexpr std::array<Candidate, 4> kUnits{{{1, "mm"}, {1000, "m"}, {25.4, "inch"}, {10, "cm"}}};
  std::string line = "largest side is " + size_text(side) + ", which is too " + (side < kSmall_mm ? "small" : "large") +
                     " for a vehicle bay";
  const std::string confirm = "; if it is right, say \"size_confirmed\": true";
  // Single parts may be smaller than a bay: a second look allows a tenth.
  for (const double smallest : {kSmall_mm, kSmall_mm / 10}) {
    std::string units;
    for (const Candidate& unit : kUnits) {
      const double then = side / mm_per_unit * unit.mm;
      if (unit.mm == mm_per_unit || then < smallest || then > kLarge_mm) continue;
      units += units.empty() ? "" : ", or ";
      if (source == UnitSource::job) {
        std::array<char, 40> key{};
        std::snprintf(key.data(), key.size(), "\"mm_per_unit\": %g (%s)", unit.mm, unit.name);
        units += std::string(key.data()) + " makes it " + size_text(then);
      } else {
        units += std::string("in ") + unit.name + " it would be " + size_text(then);
      }
    }
    if (units.empty()) continue;
    if (source == UnitSource::job) return line.append("; ").append(units).append(confirm);
    line.append("; the file seems to declare the wrong unit (").append(units);
    return line.append("): export it again").append(confirm);
  }
  return line + ", and no usual unit explains it" + confirm;
}

}  // namespace baywright
