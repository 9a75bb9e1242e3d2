#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>

#include "geometry/files/ply_header.hpp"
#include "geometry/files/polygon.hpp"
#include "geometry/files/scan_formats.hpp"
#include "geometry/files/text_scan.hpp"

namespace baywright {
namespace {

constexpr std::size_t kBlock = 1 << 16;
constexpr std::size_t kMostCorners = 1 << 20;  // of one polygon

/// A number as it lies in a binary file; the caller has checked that the bytes are there.
template <bool kSwap>
double load(const char* at, PlyType type) {
  const auto as = [at](auto value) {
    char raw[sizeof value];
    std::memcpy(raw, at, sizeof value);
    if constexpr (kSwap) std::reverse(raw, raw + sizeof value);
    std::memcpy(&value, raw, sizeof value);
    return static_cast<double>(value);
  };
  switch (type) {
    case PlyType::int8:
      return as(std::int8_t{});
    case PlyType::uint8:
      return as(std::uint8_t{});
    case PlyType::int16:
      return as(std::int16_t{});
    case PlyType::uint16:
      return as(std::uint16_t{});
    case PlyType::int32:
      return as(std::int32_t{});
    case PlyType::uint32:
      return as(std::uint32_t{});
    case PlyType::float32:
      return as(float{});
    case PlyType::float64:
      return as(double{});
  }
  return 0;
}

/// Numbers of a binary body, one after the other.
template <bool kSwap>
class BinaryBody {
 public:
  BinaryBody(std::string_view bytes, std::size_t at) : bytes_(bytes), at_(at) {}

  bool room_for(std::size_t count, std::size_t bytes_each) const {
    return bytes_each == 0 || count <= (bytes_.size() - at_) / bytes_each;
  }
  std::optional<double> next(PlyType type) {
    const std::size_t n = size_of(type);
    if (bytes_.size() - at_ < n) return std::nullopt;
    const double value = load<kSwap>(bytes_.data() + at_, type);
    at_ += n;
    return value;
  }
  bool skip(std::size_t count, PlyType type) {
    if (!room_for(count, size_of(type))) return false;
    at_ += count * size_of(type);
    return true;
  }
  static constexpr bool kBinary = true;
  /// The next `bytes` bytes, which the caller knows to be there.
  const char* take(std::size_t bytes) {
    const char* row = bytes_.data() + at_;
    at_ += bytes;
    return row;
  }
  static double at(const char* row, PlyType type) { return load<kSwap>(row, type); }
  static std::uint32_t index(const char* from) {
    std::uint32_t n = 0;
    std::memcpy(&n, from, sizeof n);
    return kSwap ? __builtin_bswap32(n) : n;
  }
  std::size_t least_bytes(const PlyElement& e) const { return e.least_bytes(); }
  std::string place() const { return "byte " + std::to_string(at_); }
  double fraction() const { return static_cast<double>(at_) / static_cast<double>(bytes_.size()); }
  /// Anything behind the last element.
  std::size_t left_over() const { return bytes_.size() - at_; }

 private:
  std::string_view bytes_;
  std::size_t at_;
};

/// Words of an ASCII body. Rows may be broken over lines, as some writers do.
class TextBody {
 public:
  TextBody(std::string_view bytes, std::size_t at, std::size_t line)
      : size_(bytes.size()), base_(at), line_(line), scan_(bytes.substr(at)) {}

  bool room_for(std::size_t count, std::size_t bytes_each) const {
    return bytes_each == 0 || count <= (size_ - base_) / bytes_each + 1;
  }
  std::optional<double> next(PlyType /*type*/) {
    for (;;) {
      if (const std::string_view word = take_word(rest_); !word.empty()) return number(word);
      const auto line = scan_.line();
      if (!line) return std::nullopt;
      rest_ = *line;
    }
  }
  bool skip(std::size_t count, PlyType type) {
    for (std::size_t i = 0; i < count; ++i) {
      if (!next(type)) return false;
    }
    return true;
  }
  static constexpr bool kBinary = false;
  std::size_t least_bytes(const PlyElement& e) const { return 2 * e.properties.size(); }
  std::string place() const { return "line " + std::to_string(line_ + scan_.line_number()); }
  double fraction() const { return static_cast<double>(base_ + scan_.position()) / static_cast<double>(size_); }
  std::size_t left_over() {
    return next(PlyType::float32) || !trimmed(rest_).empty() ? size_ - base_ - scan_.position() + 1 : 0;
  }

 private:
  std::size_t size_, base_, line_;
  TextScan scan_;
  std::string_view rest_;
};

template <class Body>
class BodyReader {
 public:
  BodyReader(const PlyHeader& header, Body body, const ScanSource& source)
      : header_(header), body_(std::move(body)), source_(source), sink_(source.mm_per_unit) {}

  Result<ScanFile> run(ScanFile file) {
    for (const PlyElement& e : header_.elements) {
      const std::size_t least = body_.least_bytes(e);
      if (e.count > 0 && least == 0) return source_.damaged("element " + e.name + " has rows but no property");
      if (!body_.room_for(e.count, least)) {
        return source_.damaged("the header promises " + std::to_string(e.count) + " of element " + e.name +
                               " but the file is too short; export or download it again");
      }
      auto done = e.name == "vertex" ? vertices(e) : e.name == "face" ? faces(e) : skip_rows(e);
      if (!done) return tl::unexpected(done.error());
    }
    if (const std::size_t rest = body_.left_over(); rest > 0) {
      file.warnings.push_back("data after the last promised row were left out (" + std::to_string(rest) + " bytes)");
    }
    if (!has_vertices_) return source_.no_shape("holds no vertices");
    PointSink::Points points = sink_.finish();
    file.read_faces = sizes_.size();
    if (sizes_.empty()) return finish_cloud(std::move(points), std::move(normals_), std::move(file), source_);
    std::vector<TriMesh::Triangle> triangles;
    if (auto done = split(points.points, triangles); !done) return tl::unexpected(done.error());
    return finish_mesh(std::move(points), std::move(triangles), std::move(file), source_);
  }

 private:
  tl::unexpected<Error> cut_short(const PlyElement& e, std::size_t row) const {
    return fail(ErrorCode::file_damaged, source_.name + ": " + body_.place(),
                "row " + std::to_string(row + 1) + " of " + std::to_string(e.count) + " of element " + e.name +
                    " is cut short or not a number; export or download the file again");
  }

  Result<void> pause(std::size_t row) const {
    if (row % kBlock != 0) return {};
    if (source_.progress.cancelled()) return source_.cancelled();
    source_.progress.report("reading " + source_.name, body_.fraction());
    return {};
  }

  /// Reads or skips one property that is not wanted.
  bool pass(const PlyProperty& p) {
    if (!p.list_count) return body_.next(p.type).has_value();
    const auto n = body_.next(*p.list_count);
    return n && *n >= 0 && body_.skip(static_cast<std::size_t>(*n), p.type);
  }

  Result<void> skip_rows(const PlyElement& e) {
    for (std::size_t row = 0; row < e.count; ++row) {
      if (auto p = pause(row); !p) return p;
      for (const PlyProperty& p : e.properties) {
        if (!pass(p)) return cut_short(e, row);
      }
    }
    return {};
  }

  Result<void> vertices(const PlyElement& e) {
    const auto x = e.find({"x", "X"}), y = e.find({"y", "Y"}), z = e.find({"z", "Z"});
    if (e.count == 0) return {};
    if (!x || !y || !z) return source_.damaged("element vertex has no properties x, y, z");
    for (const std::size_t k : {*x, *y, *z}) {
      if (e.properties[k].list_count) return source_.damaged("a coordinate of element vertex is a list");
    }
    if (e.count > 0xfffffffeU) return source_.damaged("more than 4294967294 vertices");
    has_vertices_ = true;
    const auto nx = e.find({"nx", "normal_x"}), ny = e.find({"ny", "normal_y"}), nz = e.find({"nz", "normal_z"});
    const auto plain = [&](const std::optional<std::size_t>& k) { return k && !e.properties[*k].list_count; };
    const bool with_normals = plain(nx) && plain(ny) && plain(nz);
    sink_.reserve(e.count);
    if (with_normals) normals_.reserve(e.count);
    if constexpr (Body::kBinary) {
      if (!e.has_list()) {
        const std::array<std::size_t, 6> columns{*x, *y, *z, nx.value_or(0), ny.value_or(0), nz.value_or(0)};
        return fixed_rows(e, columns, with_normals);
      }
    }
    std::vector<double> row_values(e.properties.size());
    for (std::size_t row = 0; row < e.count; ++row) {
      if (auto p = pause(row); !p) return p;
      for (std::size_t k = 0; k < e.properties.size(); ++k) {
        const PlyProperty& p = e.properties[k];
        if (p.list_count) {
          if (!pass(p)) return cut_short(e, row);
          continue;
        }
        const auto value = body_.next(p.type);
        if (!value) return cut_short(e, row);
        row_values[k] = *value;
      }
      sink_.add(row_values[*x], row_values[*y], row_values[*z]);
      if (with_normals) normals_.emplace_back(Vec3(row_values[*nx], row_values[*ny], row_values[*nz]).cast<float>());
    }
    return {};
  }

  /// Vertices of a binary file without lists: rows of one length, whose presence has been checked as a whole.
  Result<void> fixed_rows(const PlyElement& e, const std::array<std::size_t, 6>& columns, bool with_normals) {
    std::array<std::size_t, 6> offset{};
    std::array<PlyType, 6> type{};
    for (std::size_t k = 0; k < columns.size(); ++k) {
      for (std::size_t i = 0; i < columns[k]; ++i) offset[k] += size_of(e.properties[i].type);
      type[k] = e.properties[columns[k]].type;
    }
    const std::size_t length = e.least_bytes();
    for (std::size_t row = 0; row < e.count; ++row) {
      if (auto p = pause(row); !p) return p;
      const char* at = body_.take(length);
      const auto value = [&](std::size_t k) { return Body::at(at + offset[k], type[k]); };
      sink_.add(value(0), value(1), value(2));
      if (with_normals) normals_.emplace_back(Vec3(value(3), value(4), value(5)).cast<float>());
    }
    return {};
  }

  Result<void> faces(const PlyElement& e) {
    auto list = e.find({"vertex_indices", "vertex_index", "vertex_ids", "vertexindices", "vertex"});
    if (!list || !e.properties[*list].list_count) {
      list.reset();
      for (std::size_t k = 0; k < e.properties.size() && !list; ++k) {
        if (e.properties[k].list_count) list = k;
      }
    }
    if (e.count == 0) return {};
    if (!list) return source_.damaged("element face has no list of vertices");
    sizes_.reserve(e.count);
    corners_.reserve(3 * e.count);
    for (std::size_t row = 0; row < e.count; ++row) {
      if (auto p = pause(row); !p) return p;
      for (std::size_t k = 0; k < e.properties.size(); ++k) {
        if (!(k == *list ? corners(e.properties[k]) : pass(e.properties[k]))) return cut_short(e, row);
      }
    }
    return {};
  }

  bool corners(const PlyProperty& p) {
    const auto n = body_.next(*p.list_count);
    if (!n || *n < 0 || *n > static_cast<double>(kMostCorners)) return false;
    const auto count = static_cast<std::size_t>(*n);
    if constexpr (Body::kBinary) {
      const bool is_signed = p.type == PlyType::int32;
      if ((is_signed || p.type == PlyType::uint32) && body_.room_for(count, 4)) {
        const char* at = body_.take(4 * count);
        for (std::size_t i = 0; i < count; ++i) {
          const std::uint32_t index = Body::index(at + 4 * i);
          corners_.push_back(is_signed && index > 0x7fffffffU ? 0xffffffffU : index);
        }
        sizes_.push_back(static_cast<std::uint32_t>(count));
        return true;
      }
    }
    if (!body_.room_for(count, 1)) return false;
    for (std::size_t i = 0; i < count; ++i) {
      const auto index = body_.next(p.type);
      if (!index) return false;
      // What is no vertex number at all becomes one that no file can have; split() names the face.
      const bool whole = *index >= 0 && *index < 4294967295.0 && *index == std::floor(*index);
      corners_.push_back(whole ? static_cast<std::uint32_t>(*index) : 0xffffffffU);
    }
    sizes_.push_back(static_cast<std::uint32_t>(count));
    return true;
  }

  Result<void> split(const std::vector<Vec3f>& points, std::vector<TriMesh::Triangle>& triangles) const {
    triangles.reserve(corners_.size() / 3);
    std::vector<std::uint32_t> polygon;
    std::size_t at = 0;
    for (std::size_t f = 0; f < sizes_.size(); ++f) {
      const std::size_t n = sizes_[f];
      for (std::size_t k = at; k < at + n; ++k) {
        if (corners_[k] >= points.size()) {
          return source_.damaged("face " + std::to_string(f + 1) +
                                 " names a vertex that does not exist (the file has " + std::to_string(points.size()) +
                                 ")");
        }
      }
      if (n < 3) return source_.damaged("face " + std::to_string(f + 1) + " has fewer than 3 vertices");
      if (n == 3) {
        triangles.push_back({corners_[at], corners_[at + 1], corners_[at + 2]});
      } else {
        polygon.assign(corners_.begin() + static_cast<std::ptrdiff_t>(at),
                       corners_.begin() + static_cast<std::ptrdiff_t>(at + n));
        split_polygon(polygon, points, triangles);
      }
      at += n;
    }
    return {};
  }

  const PlyHeader& header_;
  Body body_;
  const ScanSource& source_;
  PointSink sink_;
  bool has_vertices_ = false;
  std::vector<Vec3f> normals_;
  std::vector<std::uint32_t> sizes_, corners_;
};

}  // namespace

Result<ScanFile> read_ply(std::string_view bytes, const ScanSource& source) {
  const Result<PlyHeader> header = read_ply_header(bytes, source);
  if (!header) return tl::unexpected(header.error());
  ScanFile file;
  switch (header->format) {
    case PlyFormat::ascii:
      file.format = "ASCII PLY";
      return BodyReader(*header, TextBody(bytes, header->body_at, header->lines), source).run(std::move(file));
    case PlyFormat::little:
      file.format = "binary PLY";
      return BodyReader(*header, BinaryBody<false>(bytes, header->body_at), source).run(std::move(file));
    case PlyFormat::big:
      file.format = "binary big-endian PLY";
      return BodyReader(*header, BinaryBody<true>(bytes, header->body_at), source).run(std::move(file));
  }
  return source.damaged("states a format that PLY does not know");
}

}  // namespace baywright
