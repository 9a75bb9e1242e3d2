#include <algorithm>
#include <array>
#include <cctype>

#include "geometry/files/scan_formats.hpp"
#include "geometry/files/text_scan.hpp"

namespace baywright {
namespace {

constexpr std::size_t kBlock = 1 << 16;
constexpr std::size_t kMostColumns = 256;
constexpr std::size_t kMostHeaderLines = 20;

enum class Separator { blank, comma, semicolon };

/// Splits a line into fields; gives how many there are, at most kMostColumns.
class Fields {
 public:
  Separator separator = Separator::blank;
  bool decimal_comma = false;

  std::size_t split(std::string_view line) {
    fields_.clear();
    if (separator == Separator::blank) {
      for (auto w = take_word(line); !w.empty() && fields_.size() < kMostColumns; w = take_word(line))
        fields_.push_back(w);
      return fields_.size();
    }
    const char mark = separator == Separator::comma ? ',' : ';';
    line = trimmed(line);
    if (!line.empty() && line.back() == mark) line.remove_suffix(1);  // some writers end each row with one
    while (fields_.size() < kMostColumns) {
      const std::size_t at = line.find(mark);
      fields_.push_back(trimmed(line.substr(0, at)));
      if (at == std::string_view::npos) break;
      line.remove_prefix(at + 1);
    }
    return fields_.size();
  }
  std::size_t size() const { return fields_.size(); }
  std::string_view operator[](std::size_t i) const { return fields_[i]; }
  std::optional<double> value(std::size_t i) const {
    std::string_view text = fields_[i];
    if (text.size() >= 2 && text.front() == '"' && text.back() == '"') text = text.substr(1, text.size() - 2);
    if (!decimal_comma) return number(text);
    std::string dotted(text);
    std::replace(dotted.begin(), dotted.end(), ',', '.');
    return number(dotted);
  }

 private:
  std::vector<std::string_view> fields_;
};

bool is_comment(std::string_view line) {
  line = trimmed(line);
  return line.substr(0, 1) == "#" || line.substr(0, 2) == "//" || line.substr(0, 1) == "%";
}

/// Name of a column: lower case letters and digits up to a unit in brackets.
std::string column_name(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '[' || c == '(') break;
    if (std::isalnum(static_cast<unsigned char>(c)) != 0) {
      out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    }
  }
  return out;
}

class TextCloudReader {
 public:
  TextCloudReader(std::string_view text, const ScanSource& source)
      : text_(text), scan_(text), source_(source), sink_(source.mm_per_unit) {}

  Result<ScanFile> run() {
    for (auto line = scan_.line(); line; line = scan_.line()) {
      if (trimmed(*line).empty()) continue;
      if (is_comment(*line)) {
        if (rows_ == 0) names_in_comment(*line);
        continue;
      }
      if (rows_ % kBlock == 0) {
        if (source_.progress.cancelled()) return source_.cancelled();
        source_.progress.report("reading " + source_.name,
                                static_cast<double>(scan_.position()) / static_cast<double>(text_.size()));
      }
      if (auto done = columns_ == 0 ? first_rows(*line) : row(*line); !done) return tl::unexpected(done.error());
    }
    if (rows_ == 0) return source_.no_shape("holds no line with three numbers");
    if (promised_ && *promised_ != rows_) {
      return source_.damaged("the first line promises " + std::to_string(*promised_) + " points but " +
                             std::to_string(rows_) + " follow; export or download the file again");
    }
    ScanFile file;
    file.format = "text points";
    return finish_cloud(sink_.finish(), std::move(normals_), std::move(file), source_);
  }

 private:
  tl::unexpected<Error> wrong(std::string message) const {
    return source_.damaged_at_line(scan_.line_number(), std::move(message));
  }

  /// Semicolons separate wherever they stand; then commas in numbers are decimal. Else commas separate; else blanks.
  void choose_separator(std::string_view line) {
    const bool semicolons = line.find(';') != std::string_view::npos;
    const bool commas = line.find(',') != std::string_view::npos;
    fields_.separator = semicolons ? Separator::semicolon : commas ? Separator::comma : Separator::blank;
    fields_.decimal_comma = semicolons && commas;
  }

  /// A header line that names x, y and z tells the columns.
  bool take_names() {
    constexpr std::array<std::array<std::string_view, 4>, 6> kNames{{{"x", "easting", "xcoord", "posx"},
                                                                     {"y", "northing", "ycoord", "posy"},
                                                                     {"z", "elevation", "zcoord", "posz"},
                                                                     {"nx", "normalx", "nx", "nx"},
                                                                     {"ny", "normaly", "ny", "ny"},
                                                                     {"nz", "normalz", "nz", "nz"}}};
    std::array<std::optional<std::size_t>, 6> found;
    for (std::size_t k = 0; k < kNames.size(); ++k) {
      for (std::size_t i = 0; i < fields_.size() && !found[k]; ++i) {
        if (std::find(kNames[k].begin(), kNames[k].end(), column_name(fields_[i])) != kNames[k].end()) found[k] = i;
      }
    }
    if (!found[0] || !found[1] || !found[2]) return false;
    for (std::size_t k = 0; k < 3; ++k) at_[k] = *found[k];
    with_normals_ = found[3] && found[4] && found[5];
    for (std::size_t k = 3; k < 6 && with_normals_; ++k) at_[k] = *found[k];
    return true;
  }

  void names_in_comment(std::string_view line) {
    line = trimmed(line);
    while (!line.empty() && (line.front() == '#' || line.front() == '/' || line.front() == '%')) line.remove_prefix(1);
    choose_separator(line);
    fields_.split(line);
    take_names();
  }

  bool all_numbers() const {
    for (std::size_t i = 0; i < fields_.size(); ++i) {
      if (!fields_.value(i)) return false;
    }
    return true;
  }

  /// Lines before the first point: a count, column names, remarks.
  Result<void> first_rows(std::string_view line) {
    choose_separator(line);
    fields_.split(line);
    if (fields_.size() >= 3 && numbers_in_place()) {
      columns_ = fields_.size();
      return row(line);
    }
    if (!promised_ && fields_.size() == 1) {
      if (const auto n = whole_number(fields_[0]); n && *n >= 0) {
        promised_ = static_cast<std::size_t>(*n);
        return {};
      }
    }
    if (take_names()) return {};
    if (all_numbers()) return wrong("holds fewer than three numbers");
    if (++remarks_ > kMostHeaderLines) return source_.damaged("does not begin with rows of numbers: no points file");
    return {};
  }

  bool numbers_in_place() const {
    for (std::size_t k = 0; k < 3; ++k) {
      if (at_[k] >= fields_.size() || !fields_.value(at_[k])) return false;
    }
    return true;
  }

  Result<void> row(std::string_view line) {
    fields_.split(line);
    if (fields_.size() != columns_) {
      return wrong("has " + std::to_string(fields_.size()) + " columns, the first row has " + std::to_string(columns_));
    }
    std::array<double, 6> v{};
    for (std::size_t k = 0; k < (with_normals_ ? v.size() : 3); ++k) {
      if (at_[k] >= columns_) return wrong("has fewer columns than the header names");
      const auto value = fields_.value(at_[k]);
      if (!value) return wrong(quoted(fields_[at_[k]]) + " is not a number");
      v[k] = *value;
    }
    sink_.add(v[0], v[1], v[2]);
    if (with_normals_) normals_.emplace_back(Vec3(v[3], v[4], v[5]).cast<float>());
    ++rows_;
    return {};
  }

  std::string_view text_;
  TextScan scan_;
  const ScanSource& source_;
  PointSink sink_;
  Fields fields_;
  std::array<std::size_t, 6> at_{0, 1, 2, 0, 0, 0};
  bool with_normals_ = false;
  std::size_t columns_ = 0, rows_ = 0, remarks_ = 0;
  std::optional<std::size_t> promised_;
  std::vector<Vec3f> normals_;
};

}  // namespace

Result<ScanFile> read_text_cloud(std::string_view bytes, const ScanSource& source) {
  return TextCloudReader(bytes, source).run();
}

}  // namespace baywright
