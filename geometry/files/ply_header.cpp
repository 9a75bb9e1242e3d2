#include "geometry/files/ply_header.hpp"

#include <algorithm>
#include <array>

#include "geometry/files/text_scan.hpp"

namespace baywright {
namespace {

constexpr std::size_t kLongest = 1 << 20;  // a header beyond this is no header
constexpr std::size_t kMostNames = 1000;   // elements, and properties of each

struct TypeName {
  std::string_view name;
  PlyType type;
};
constexpr std::array<TypeName, 16> kTypes{{{"char", PlyType::int8},
                                           {"int8", PlyType::int8},
                                           {"uchar", PlyType::uint8},
                                           {"uint8", PlyType::uint8},
                                           {"short", PlyType::int16},
                                           {"int16", PlyType::int16},
                                           {"ushort", PlyType::uint16},
                                           {"uint16", PlyType::uint16},
                                           {"int", PlyType::int32},
                                           {"int32", PlyType::int32},
                                           {"uint", PlyType::uint32},
                                           {"uint32", PlyType::uint32},
                                           {"float", PlyType::float32},
                                           {"float32", PlyType::float32},
                                           {"double", PlyType::float64},
                                           {"float64", PlyType::float64}}};

std::optional<PlyType> type_named(std::string_view name) {
  for (const TypeName& t : kTypes) {
    if (t.name == name) return t.type;
  }
  return std::nullopt;
}

class HeaderReader {
 public:
  HeaderReader(std::string_view bytes, const ScanSource& source)
      : bytes_(bytes), scan_(bytes.substr(0, kLongest)), source_(source) {}

  Result<PlyHeader> run() {
    scan_.line();  // "ply", seen by the caller
    bool has_format = false;
    for (;;) {
      const auto line = scan_.line();
      if (!line) return source_.damaged("the PLY header has no end_header; the file is cut short or damaged");
      std::string_view rest = *line;
      const std::string_view key = take_word(rest);
      if (key.empty() || key == "comment" || key == "obj_info") continue;
      if (key == "end_header") break;
      Result<void> done;
      if (key == "format") {
        has_format = true;
        done = format(rest);
      } else if (key == "element") {
        done = element(rest);
      } else if (key == "property") {
        done = property(rest);
      } else {
        done = wrong("is no line of a PLY header");
      }
      if (!done) return tl::unexpected(done.error());
    }
    if (!has_format) return source_.damaged("the PLY header states no format");
    header_.body_at = body_at();
    header_.lines = scan_.line_number();
    return header_;
  }

 private:
  tl::unexpected<Error> wrong(std::string message) const {
    return source_.damaged_at_line(scan_.line_number(), std::move(message));
  }

  /// Where all lines end with a lone CR, an LF after the last one belongs to the body.
  std::size_t body_at() const {
    const std::size_t end = bytes_.find_first_of("\r\n");
    const bool lone_cr = bytes_[end] == '\r' && bytes_.substr(end + 1, 1) != "\n";
    const std::size_t at = scan_.position();
    return lone_cr && bytes_.substr(at - 2, 2) == "\r\n" ? at - 1 : at;
  }

  Result<void> format(std::string_view rest) {
    const std::string_view kind = take_word(rest);
    if (kind == "ascii") {
      header_.format = PlyFormat::ascii;
    } else if (kind == "binary_little_endian") {
      header_.format = PlyFormat::little;
    } else if (kind == "binary_big_endian") {
      header_.format = PlyFormat::big;
    } else {
      return wrong("states a format that PLY does not know");
    }
    return {};
  }

  Result<void> element(std::string_view rest) {
    PlyElement e;
    e.name = take_word(rest);
    const auto count = whole_number(take_word(rest));
    if (e.name.empty() || !count || *count < 0) return wrong("should read: element, name, count");
    if (header_.elements.size() >= kMostNames) return wrong("is one element too many");
    e.count = static_cast<std::size_t>(*count);
    header_.elements.push_back(std::move(e));
    return {};
  }

  Result<void> property(std::string_view rest) {
    if (header_.elements.empty()) return wrong("states a property before any element");
    PlyProperty p;
    std::string_view word = take_word(rest);
    if (word == "list") {
      p.list_count = type_named(take_word(rest));
      if (!p.list_count || *p.list_count == PlyType::float32 || *p.list_count == PlyType::float64) {
        return wrong("states no whole-number type for the length of a list");
      }
      word = take_word(rest);
    }
    const auto type = type_named(word);
    p.name = take_word(rest);
    if (!type || p.name.empty()) return wrong("states a property without a known type and a name");
    p.type = *type;
    std::vector<PlyProperty>& all = header_.elements.back().properties;
    if (all.size() >= kMostNames) return wrong("is one property too many");
    all.push_back(std::move(p));
    return {};
  }

  std::string_view bytes_;
  TextScan scan_;
  const ScanSource& source_;
  PlyHeader header_;
};

}  // namespace

std::size_t size_of(PlyType type) {
  switch (type) {
    case PlyType::int8:
    case PlyType::uint8:
      return 1;
    case PlyType::int16:
    case PlyType::uint16:
      return 2;
    case PlyType::int32:
    case PlyType::uint32:
    case PlyType::float32:
      return 4;
    case PlyType::float64:
      return 8;
  }
  return 0;
}

std::optional<std::size_t> PlyElement::find(std::initializer_list<std::string_view> names) const {
  for (std::size_t i = 0; i < properties.size(); ++i) {
    if (std::find(names.begin(), names.end(), properties[i].name) != names.end()) return i;
  }
  return std::nullopt;
}

std::size_t PlyElement::least_bytes() const {
  std::size_t n = 0;
  for (const PlyProperty& p : properties) n += size_of(p.list_count.value_or(p.type));
  return n;
}

bool PlyElement::has_list() const {
  return std::any_of(properties.begin(), properties.end(),
                     [](const PlyProperty& p) { return p.list_count.has_value(); });
}

Result<PlyHeader> read_ply_header(std::string_view bytes, const ScanSource& source) {
  return HeaderReader(bytes, source).run();
}

}  // namespace baywright
