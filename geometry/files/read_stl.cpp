#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstring>

#include "geometry/files/scan_formats.hpp"
#include "geometry/files/text_scan.hpp"
#include "geometry/vertex_weld.hpp"

namespace baywright {
namespace {

constexpr std::size_t kHeader = 84;      // 80 free bytes and the count
constexpr std::size_t kFacet = 50;       // normal, three corners, two attribute bytes
constexpr std::size_t kBlock = 1 << 12;  // facets between two looks at the cancel flag; fits the second cache

std::uint32_t stated_count(std::string_view bytes) {
  std::uint32_t n = 0;  // the format is little-endian, as is every machine this is built for
  std::memcpy(&n, bytes.data() + 80, sizeof n);
  return n;
}

// ---- binary -----------------------------------------------------------------------------------------------------

Result<ScanFile> read_binary(std::string_view bytes, const ScanSource& source) {
  const std::size_t count = stated_count(bytes);
  const std::size_t there = (bytes.size() - kHeader) / kFacet;
  if (count > there) {
    return source.damaged("the header promises " + std::to_string(count) + " triangles but the file ends within the " +
                          std::to_string(there + 1) + ". of them; export or download it again");
  }
  if (count == 0) return source.no_shape("holds 0 facets");
  ScanFile file;
  file.format = "binary STL";
  file.read_faces = count;
  if (const std::size_t rest = bytes.size() - kHeader - count * kFacet; rest > 0) {
    file.warnings.push_back(std::to_string(rest) + " bytes after the last facet were left out");
  }
  // Equal corners of neighbouring facets become one vertex: exactly equal floats, before any scaling.
  VertexWeld weld(count / 2 + 3);
  std::vector<TriMesh::Triangle> triangles;
  triangles.reserve(count);
  std::vector<Vec3f> corners;
  std::vector<std::uint32_t> numbers;
  for (std::size_t from = 0; from < count; from += kBlock) {
    if (source.progress.cancelled()) return source.cancelled();
    source.progress.report("reading " + source.name, static_cast<double>(from) / static_cast<double>(count));
    corners.clear();
    const std::size_t to = std::min(count, from + kBlock);
    for (std::size_t i = from; i < to; ++i) {
      const char* at = bytes.data() + kHeader + i * kFacet;
      std::array<Vec3f, 3> c;
      for (std::size_t k = 0; k < 3; ++k) std::memcpy(c[k].data(), at + 12 * (k + 1), 12);
      if (c[0].allFinite() && c[1].allFinite() && c[2].allFinite()) {
        corners.insert(corners.end(), c.begin(), c.end());
      } else {
        ++file.dropped_triangles;
      }
    }
    numbers.resize(corners.size());
    weld.add_all(corners.data(), corners.size(), numbers.data());
    for (std::size_t i = 0; i < numbers.size(); i += 3)
      triangles.push_back({numbers[i], numbers[i + 1], numbers[i + 2]});
  }
  PointSink sink(source.mm_per_unit);
  sink.reserve(weld.points().size());
  for (const Vec3f& p : weld.points()) sink.add(p.x(), p.y(), p.z());
  return finish_mesh(sink.finish(), std::move(triangles), std::move(file), source);
}

// ---- ASCII ------------------------------------------------------------------------------------------------------

/// Words of the text with the line each stands in.
class Words {
 public:
  explicit Words(std::string_view text) : scan_(text) {}

  /// "" at the end.
  std::string_view next() {
    for (;;) {
      if (const std::string_view word = take_word(rest_); !word.empty()) return word;
      const auto line = scan_.line();
      if (!line) return {};
      rest_ = *line;
    }
  }
  void skip_line() { rest_ = {}; }
  std::size_t line() const { return scan_.line_number(); }
  std::size_t position() const { return scan_.position(); }

 private:
  TextScan scan_;
  std::string_view rest_;
};

bool is_keyword(std::string_view word, std::string_view keyword) {
  if (word.size() != keyword.size()) return false;
  for (std::size_t i = 0; i < word.size(); ++i) {
    if (std::tolower(static_cast<unsigned char>(word[i])) != keyword[i]) return false;
  }
  return true;
}

class AsciiReader {
 public:
  AsciiReader(std::string_view text, const ScanSource& source)
      : text_(text), words_(text), source_(source), sink_(source.mm_per_unit) {}

  Result<ScanFile> run() {
    file_.format = "ASCII STL";
    if (auto done = solids(); !done) return tl::unexpected(done.error());
    if (file_.read_faces == 0) return source_.no_shape("holds 0 facets");
    PointSink::Points corners = sink_.finish();
    VertexWeld weld(file_.read_faces / 2 + 3);
    std::vector<TriMesh::Triangle> triangles;
    triangles.reserve(file_.read_faces);
    for (std::size_t i = 0; i < corners.points.size(); i += 3) {
      const std::array<Vec3f, 3> p{corners.points[i], corners.points[i + 1], corners.points[i + 2]};
      if (!p[0].allFinite() || !p[1].allFinite() || !p[2].allFinite()) {
        ++file_.dropped_triangles;
        continue;
      }
      triangles.push_back({weld.add(p[0]), weld.add(p[1]), weld.add(p[2])});
    }
    corners.points = weld.take();
    corners.bad = 0;  // counted as triangles
    return finish_mesh(std::move(corners), std::move(triangles), std::move(file_), source_);
  }

 private:
  tl::unexpected<Error> expected(std::string_view what, std::string_view got) const {
    if (got.empty()) {
      return source_.damaged_at_line(words_.line(), "the file ends where " + quoted(what) +
                                                        " should follow: it is cut short; export or download it again");
    }
    return source_.damaged_at_line(words_.line(), quoted(what) + " should stand where " + quoted(got) + " is");
  }

  Result<void> keyword(std::string_view what) {
    const std::string_view got = words_.next();
    if (!is_keyword(got, what)) return expected(what, got);
    return {};
  }

  Result<void> solids() {
    std::string_view word = words_.next();
    if (!is_keyword(word, "solid")) return expected("solid", word);
    while (!word.empty()) {
      words_.skip_line();  // the solid's name may be anything
      for (word = words_.next(); is_keyword(word, "facet"); word = words_.next()) {
        if (auto done = facet(); !done) return done;
        if (file_.read_faces % kBlock == 0) {
          if (source_.progress.cancelled()) return source_.cancelled();
          source_.progress.report("reading " + source_.name,
                                  static_cast<double>(words_.position()) / static_cast<double>(text_.size()));
        }
      }
      if (!is_keyword(word, "endsolid")) return expected("endsolid", word);
      words_.skip_line();
      word = words_.next();
      if (!word.empty() && !is_keyword(word, "solid")) return expected("solid", word);
    }
    return {};
  }

  Result<void> facet() {
    if (auto k = keyword("normal"); !k) return k;
    // The normal is not used: its sense follows from the corners, and files in use hold zeros and nonsense there.
    for (int i = 0; i < 3; ++i) {
      const std::string_view word = words_.next();
      if (!number(word)) return expected("a number of the normal", word);
    }
    if (auto k = keyword("outer"); !k) return k;
    if (auto k = keyword("loop"); !k) return k;
    for (int corner = 0; corner < 3; ++corner) {
      if (auto k = keyword("vertex"); !k) return k;
      std::array<double, 3> p{};
      for (double& value : p) {
        const std::string_view word = words_.next();
        const auto v = number(word);
        if (!v) return expected("a coordinate", word);
        value = *v;
      }
      sink_.add(p[0], p[1], p[2]);
    }
    if (auto k = keyword("endloop"); !k) return k;
    if (auto k = keyword("endfacet"); !k) return k;
    ++file_.read_faces;
    return {};
  }

  std::string_view text_;
  Words words_;
  const ScanSource& source_;
  PointSink sink_;
  ScanFile file_;
};

bool begins_like_text(std::string_view bytes) {
  std::string_view head = bytes.substr(0, 512);
  while (!head.empty() && std::isspace(static_cast<unsigned char>(head.front())) != 0) head.remove_prefix(1);
  return head.size() >= 5 && is_keyword(head.substr(0, 5), "solid") && head.find('\0') == std::string_view::npos;
}

}  // namespace

bool is_binary_stl(std::string_view bytes) {
  return bytes.size() >= kHeader && bytes.size() == kHeader + kFacet * std::size_t{stated_count(bytes)};
}

Result<ScanFile> read_stl(std::string_view bytes, const ScanSource& source) {
  // Many binary files begin with the word "solid", so the size decides first.
  if (is_binary_stl(bytes)) return read_binary(bytes, source);
  if (begins_like_text(bytes)) return AsciiReader(bytes, source).run();
  if (bytes.size() < kHeader) return source.damaged("is too short for an STL file and does not begin with \"solid\"");
  return read_binary(bytes, source);
}

}  // namespace baywright
