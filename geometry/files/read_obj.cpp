#include <algorithm>
#include <array>

#include "geometry/files/polygon.hpp"
#include "geometry/files/scan_formats.hpp"
#include "geometry/files/text_scan.hpp"

namespace baywright {
namespace {

constexpr std::size_t kBlock = 1 << 16;

// Words that begin a line of the format and say nothing about vertices and flat faces.
constexpr std::array<std::string_view, 21> kPassed{
    "vn",       "vt",       "g",   "o",          "s",         "mg", "usemtl", "mtllib", "usemap", "maplib", "bevel",
    "c_interp", "d_interp", "lod", "shadow_obj", "trace_obj", "l",  "p",      "call",   "csh",    "vp"};
// Free-form geometry: not read, said aloud.
constexpr std::array<std::string_view, 16> kFreeForm{"cstype", "deg",  "bmat",  "step", "curv", "curv2",
                                                     "surf",   "parm", "trim",  "hole", "scrv", "sp",
                                                     "end",    "con",  "ctech", "stech"};

template <class List>
bool is_in(const List& list, std::string_view word) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

class ObjReader {
 public:
  ObjReader(std::string_view text, const ScanSource& source)
      : text_(text), scan_(text), source_(source), sink_(source.mm_per_unit) {}

  Result<ScanFile> run() {
    for (std::size_t n = 0; auto line = logical_line(); ++n) {
      if (n % kBlock == 0) {
        if (source_.progress.cancelled()) return source_.cancelled();
        source_.progress.report("reading " + source_.name,
                                static_cast<double>(scan_.position()) / static_cast<double>(text_.size()));
      }
      if (auto done = take(*line); !done) return tl::unexpected(done.error());
    }
    if (vertices_ == 0) return source_.no_shape("holds no vertices");
    if (highest_ > vertices_) {
      return source_.damaged_at_line(
          highest_line_, "names vertex " + std::to_string(highest_) + " but the file has " + std::to_string(vertices_));
    }
    ScanFile file;
    file.format = "OBJ";
    file.read_faces = sizes_.size();
    if (free_form_ > 0)
      file.warnings.emplace_back("free-form curves or surfaces were left out; export the mesh as polygons");
    PointSink::Points points = sink_.finish();
    if (sizes_.empty()) return finish_cloud(std::move(points), {}, std::move(file), source_);
    std::vector<TriMesh::Triangle> triangles;
    std::vector<std::uint32_t> polygon;
    std::size_t at = 0;
    for (const std::uint32_t n : sizes_) {
      polygon.assign(corners_.begin() + static_cast<std::ptrdiff_t>(at),
                     corners_.begin() + static_cast<std::ptrdiff_t>(at + n));
      split_polygon(polygon, points.points, triangles);
      at += n;
    }
    return finish_mesh(std::move(points), std::move(triangles), std::move(file), source_);
  }

 private:
  tl::unexpected<Error> wrong(std::string message) const {
    return source_.damaged_at_line(first_line_, std::move(message));
  }

  /// A line with its continuations ("\" at the end), without comments.
  std::optional<std::string_view> logical_line() {
    auto line = scan_.line();
    first_line_ = scan_.line_number();
    if (!line || line->empty() || line->back() != '\\') return line;
    joined_.clear();
    while (line && !line->empty() && line->back() == '\\') {
      joined_.append(line->substr(0, line->size() - 1)).push_back(' ');
      line = scan_.line();
    }
    if (line) joined_.append(*line);
    return joined_;
  }

  /// A comment begins with a word, not within one: "1.#INF" is what an old C library makes of infinity.
  static std::size_t comment_at(std::string_view line) {
    std::size_t at = line.find('#');
    while (at != std::string_view::npos && at > 0 && !is_blank(line[at - 1])) at = line.find('#', at + 1);
    return at;
  }

  Result<void> take(std::string_view line) {
    line = line.substr(0, comment_at(line));
    const std::string_view key = take_word(line);
    if (key.empty()) return {};
    if (key == "v") return vertex(line);
    if (key == "f" || key == "fo") return face(line);
    if (is_in(kPassed, key)) return {};
    if (is_in(kFreeForm, key)) {
      ++free_form_;
      return {};
    }
    return wrong("begins with no word of the OBJ format");
  }

  Result<void> vertex(std::string_view rest) {
    // x y z, then a weight or a colour, which are checked to be numbers and not used.
    std::array<double, 3> p{};
    std::size_t n = 0;
    for (std::string_view word = take_word(rest); !word.empty(); word = take_word(rest), ++n) {
      const auto value = number(word);
      if (!value) return wrong(quoted(word) + " is not a number");
      if (n < 3) p[n] = *value;
    }
    if (n < 3) return wrong("a vertex needs three coordinates");
    if (vertices_ == 0xfffffffeU) return wrong("more than 4294967294 vertices");
    sink_.add(p[0], p[1], p[2]);
    ++vertices_;
    return {};
  }

  Result<void> face(std::string_view rest) {
    const std::size_t before = corners_.size();
    for (std::string_view word = take_word(rest); !word.empty(); word = take_word(rest)) {
      // "7", "7/1", "7//3", "7/1/3": the first number is the vertex, negative ones count back from the last so far.
      const auto index = whole_number(word.substr(0, word.find('/')));
      if (!index) return wrong(quoted(word) + " is no vertex number");
      if (*index == 0) return wrong("names vertex 0; numbers begin at 1");
      if (*index < 0 && -*index > static_cast<long long>(vertices_)) {
        return wrong("names a vertex before the first (" + std::to_string(*index) + ")");
      }
      if (*index > 0xffffffffLL) return wrong("names vertex " + std::to_string(*index));
      if (*index > static_cast<long long>(highest_)) {
        highest_ = static_cast<std::size_t>(*index);
        highest_line_ = first_line_;
      }
      corners_.push_back(
          static_cast<std::uint32_t>(*index > 0 ? *index - 1 : static_cast<long long>(vertices_) + *index));
    }
    const std::size_t n = corners_.size() - before;
    if (n < 3) return wrong("a face needs at least 3 vertices, this one has " + std::to_string(n));
    sizes_.push_back(static_cast<std::uint32_t>(n));
    return {};
  }

  std::string_view text_;
  TextScan scan_;
  const ScanSource& source_;
  PointSink sink_;
  std::size_t vertices_ = 0;
  std::size_t first_line_ = 0;
  std::size_t highest_ = 0, highest_line_ = 0;
  std::size_t free_form_ = 0;
  std::vector<std::uint32_t> sizes_, corners_;
  std::string joined_;
};

}  // namespace

Result<ScanFile> read_obj(std::string_view bytes, const ScanSource& source) { return ObjReader(bytes, source).run(); }

}  // namespace baywright
