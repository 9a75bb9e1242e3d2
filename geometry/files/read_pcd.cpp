#include <algorithm>
#include <array>
#include <cctype>
#include <cstring>

#include "geometry/files/lzf.hpp"
#include "geometry/files/scan_formats.hpp"
#include "geometry/files/text_scan.hpp"

namespace baywright {
namespace {

constexpr std::size_t kBlock = 1 << 16;
constexpr std::size_t kMostFields = 1000;

struct Field {
  std::string name;  // lower case
  std::size_t size = 4;
  char type = 'F';
  std::size_t count = 1;
  std::size_t offset = 0;  // bytes within a record
  std::size_t column = 0;  // words within a row of text
};

struct Header {
  std::vector<Field> fields;
  std::size_t points = 0;
  std::string data;
  std::size_t body_at = 0;
  std::size_t lines = 0;
  std::size_t record = 0;   // bytes
  std::size_t columns = 0;  // words

  const Field* find(std::initializer_list<std::string_view> names) const {
    for (const Field& f : fields) {
      if (f.count == 1 && std::find(names.begin(), names.end(), f.name) != names.end()) return &f;
    }
    return nullptr;
  }
};

std::string lower(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(), [](unsigned char c) { return std::tolower(c); });
  return out;
}

class HeaderReader {
 public:
  HeaderReader(std::string_view bytes, const ScanSource& source) : scan_(bytes), source_(source) {}

  Result<Header> run() {
    while (h_.data.empty()) {
      const auto line = scan_.line();
      if (!line || scan_.position() > 1 << 16)
        return source_.damaged("has no DATA line: its PCD header is missing or cut short");
      if (auto done = take(*line); !done) return tl::unexpected(done.error());
    }
    if (h_.fields.empty()) return source_.damaged("the PCD header has no FIELDS line");
    const std::size_t grid = width_.value_or(0) * height_.value_or(1);
    if (!points_ && !width_) return source_.damaged("the PCD header states neither POINTS nor WIDTH");
    h_.points = points_.value_or(grid);
    if (width_ && h_.points != grid) {
      return source_.damaged("the PCD header contradicts itself: WIDTH x HEIGHT is " + std::to_string(grid) +
                             ", POINTS is " + std::to_string(h_.points));
    }
    for (Field& f : h_.fields) {
      f.offset = h_.record;
      f.column = h_.columns;
      h_.record += f.size * f.count;
      h_.columns += f.count;
    }
    h_.body_at = scan_.position();
    h_.lines = scan_.line_number();
    return h_;
  }

 private:
  tl::unexpected<Error> wrong(std::string message) const {
    return source_.damaged_at_line(scan_.line_number(), std::move(message));
  }

  Result<void> take(std::string_view line) {
    const std::string key = lower(take_word(line));
    if (key.empty() || key[0] == '#' || key == "version" || key == "viewpoint") return {};
    if (key == "fields" || key == "columns") {
      for (auto w = take_word(line); !w.empty(); w = take_word(line)) {
        if (h_.fields.size() == kMostFields) return wrong("names too many fields");
        Field f;
        f.name = lower(w);
        h_.fields.push_back(std::move(f));
      }
      return {};
    }
    if (key == "size" || key == "type" || key == "count") return attributes(key, line);
    if (key == "width" || key == "height" || key == "points") {
      const auto n = whole_number(take_word(line));
      if (!n || *n < 0 || *n > 0xfffffffeLL) return wrong("states no usable number");
      (key == "width" ? width_ : key == "height" ? height_ : points_) = static_cast<std::size_t>(*n);
      return {};
    }
    if (key == "data") {
      h_.data = lower(take_word(line));
      if (h_.data != "ascii" && h_.data != "binary" && h_.data != "binary_compressed") {
        return wrong("states a DATA kind that PCD does not know");
      }
      return {};
    }
    return wrong("is no line of a PCD header");
  }

  Result<void> attributes(const std::string& key, std::string_view line) {
    for (Field& f : h_.fields) {
      const std::string_view word = take_word(line);
      if (key == "type") {
        f.type = word.size() == 1 ? static_cast<char>(std::toupper(static_cast<unsigned char>(word[0]))) : '?';
        if (f.type != 'F' && f.type != 'I' && f.type != 'U') return wrong("a TYPE must be F, I or U");
        continue;
      }
      const auto n = whole_number(word);
      if (key == "size") {
        if (!n || (*n != 1 && *n != 2 && *n != 4 && *n != 8)) return wrong("a SIZE must be 1, 2, 4 or 8");
        f.size = static_cast<std::size_t>(*n);
      } else {
        if (!n || *n < 0 || *n > 1'000'000) return wrong("a COUNT is no usable number");
        f.count = static_cast<std::size_t>(*n);
      }
    }
    if (h_.fields.empty() || !take_word(line).empty()) return wrong("does not match the number of FIELDS");
    return {};
  }

  TextScan scan_;
  const ScanSource& source_;
  Header h_;
  std::optional<std::size_t> width_, height_, points_;
};

double load(const char* at, const Field& f) {
  const auto as = [at](auto value) {
    std::memcpy(&value, at, sizeof value);
    return static_cast<double>(value);
  };
  if (f.type == 'F') return f.size == 4 ? as(float{}) : as(double{});
  const bool s = f.type == 'I';
  if (f.size == 1) return s ? as(std::int8_t{}) : as(std::uint8_t{});
  if (f.size == 2) return s ? as(std::int16_t{}) : as(std::uint16_t{});
  if (f.size == 4) return s ? as(std::int32_t{}) : as(std::uint32_t{});
  return s ? as(std::int64_t{}) : as(std::uint64_t{});
}

/// Coordinates and, where there are three, normals.
using Wanted = std::array<const Field*, 6>;

class BodyReader {
 public:
  BodyReader(const Header& header, std::string_view body, const ScanSource& source)
      : header_(header), body_(body), source_(source), sink_(source.mm_per_unit) {}

  Result<ScanFile> run() {
    wanted_ = {header_.find({"x"}),
               header_.find({"y"}),
               header_.find({"z"}),
               header_.find({"normal_x", "nx"}),
               header_.find({"normal_y", "ny"}),
               header_.find({"normal_z", "nz"})};
    for (std::size_t i = 0; i < 3; ++i) {
      if (wanted_[i] == nullptr) return source_.damaged("the PCD header names no fields x, y, z");
      if (wanted_[i]->type == 'F' && wanted_[i]->size < 4)
        return source_.damaged("a coordinate of less than 4 bytes is no number");
    }
    for (std::size_t i = 3; i < 6; ++i) {
      if (wanted_[i] == nullptr || (wanted_[i]->type == 'F' && wanted_[i]->size < 4)) with_normals_ = false;
    }
    ScanFile file;
    const auto done = header_.data == "ascii"    ? ascii(file)
                      : header_.data == "binary" ? binary(file)
                                                 : compressed(file);
    if (!done) return tl::unexpected(done.error());
    return finish_cloud(sink_.finish(), std::move(normals_), std::move(file), source_);
  }

 private:
  bool pause(std::size_t i) const {
    if (i % kBlock != 0) return true;
    source_.progress.report("reading " + source_.name, static_cast<double>(i) / static_cast<double>(header_.points));
    return !source_.progress.cancelled();
  }

  tl::unexpected<Error> short_by(const std::string& what) const {
    return source_.damaged("the header promises " + std::to_string(header_.points) + " points but " + what +
                           "; export or download the file again");
  }

  template <class Get>
  void take(const Get& get) {
    sink_.add(get(*wanted_[0]), get(*wanted_[1]), get(*wanted_[2]));
    if (with_normals_) normals_.emplace_back(Vec3(get(*wanted_[3]), get(*wanted_[4]), get(*wanted_[5])).cast<float>());
  }

  Result<void> ascii(ScanFile& file) {
    file.format = "ASCII PCD";
    if (header_.points > body_.size() / 2 + 1) return short_by("the file is too short for them");
    TextScan scan(body_);
    std::vector<double> row(header_.columns);
    std::size_t i = 0;
    while (auto line = scan.line()) {
      if (trimmed(*line).empty()) continue;
      if (!pause(i)) return source_.cancelled();
      if (i == header_.points) {
        return source_.damaged_at_line(header_.lines + scan.line_number(), "is one line more than the header promises");
      }
      for (double& value : row) {
        const auto v = number(take_word(*line));
        if (!v) {
          return source_.damaged_at_line(header_.lines + scan.line_number(),
                                         "does not hold " + std::to_string(header_.columns) + " numbers");
        }
        value = *v;
      }
      if (!take_word(*line).empty()) {
        return source_.damaged_at_line(header_.lines + scan.line_number(),
                                       "holds more than " + std::to_string(header_.columns) + " numbers");
      }
      take([&](const Field& f) { return row[f.column]; });
      ++i;
    }
    if (i != header_.points) return short_by("holds " + std::to_string(i));
    return {};
  }

  Result<void> binary(ScanFile& file) {
    file.format = "binary PCD";
    if (header_.record == 0 || header_.points > body_.size() / header_.record) {
      return short_by("the file ends after " + std::to_string(header_.record == 0 ? 0 : body_.size() / header_.record));
    }
    for (std::size_t i = 0; i < header_.points; ++i) {
      if (!pause(i)) return source_.cancelled();
      const char* record = body_.data() + i * header_.record;
      take([&](const Field& f) { return load(record + f.offset, f); });
    }
    return {};
  }

  Result<void> compressed(ScanFile& file) {
    file.format = "compressed PCD";
    std::array<std::uint32_t, 2> sizes{};  // packed, unpacked
    if (body_.size() < sizeof sizes) return short_by("the file ends before them");
    std::memcpy(sizes.data(), body_.data(), sizeof sizes);
    const std::string_view packed = body_.substr(sizeof sizes);
    if (sizes[0] > packed.size()) {
      return short_by("its packed block is cut short (" + std::to_string(packed.size()) + " of " +
                      std::to_string(sizes[0]) + " bytes)");
    }
    const std::size_t needed = header_.points * header_.record;
    if (sizes[1] != needed || needed > std::size_t{sizes[0]} * kLzfMostGrowth) {
      return short_by("its packed block does not hold that many");
    }
    const auto unpacked = unpack_lzf(packed.substr(0, sizes[0]), needed);
    if (!unpacked) return source_.damaged("the packed block of this PCD file is damaged");
    // Unpacked, all values of the first field come first, then those of the second...
    for (std::size_t i = 0; i < header_.points; ++i) {
      if (!pause(i)) return source_.cancelled();
      take([&](const Field& f) { return load(unpacked->data() + f.offset * header_.points + i * f.size, f); });
    }
    return {};
  }

  const Header& header_;
  std::string_view body_;
  const ScanSource& source_;
  PointSink sink_;
  Wanted wanted_{};
  bool with_normals_ = true;
  std::vector<Vec3f> normals_;
};

}  // namespace

Result<ScanFile> read_pcd(std::string_view bytes, const ScanSource& source) {
  const Result<Header> header = HeaderReader(bytes, source).run();
  if (!header) return tl::unexpected(header.error());
  if (header->points == 0) return source.no_shape("holds 0 points");
  return BodyReader(*header, bytes.substr(header->body_at), source).run();
}

}  // namespace baywright
