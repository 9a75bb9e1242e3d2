#include "job/part_cache.hpp"

#include <tbb/parallel_for.h>
#include <tbb/parallel_invoke.h>

#include <array>
#include <bit>
#include <chrono>
#include <cstring>
#include <string_view>
#include <tuple>

#include "geometry/base/atomic_file.hpp"
#include "geometry/clearance/tri_tree_blocks.hpp"
#include "geometry/shape_blocks.hpp"
#include "job/assemble.hpp"

namespace baywright::job {
namespace fs = std::filesystem;
namespace {

/// To be raised whenever a reader, the mesher, the tree or the layout below gives something else than before.
constexpr std::uint32_t kPartVersion = 3;
constexpr const char* kSuffix = ".part";
constexpr const char* kHashes = "hashes.sums";
/// For backup programs; the words are fixed by the convention for such files.
constexpr const char* kTag = "CACHEDIR.TAG";
constexpr std::string_view kTagText =
    "Signature: 8a477f597d28d172789f06886806bc55\n"
    "# Shapes as Baywright has read them, so that the job opens sooner. May be deleted at any time.\n";

BlockLabel label(const std::string& key) { return {"BWPART", kPartVersion, key}; }

/// Numbers and texts in a row, exact.
class Packer {
 public:
  Packer& number(std::uint64_t v) {
    bytes_.append(reinterpret_cast<const char*>(&v), sizeof v);
    return *this;
  }
  Packer& real(double v) { return number(std::bit_cast<std::uint64_t>(v)); }
  Packer& text(std::string_view s) {
    number(s.size());
    bytes_.append(s);
    return *this;
  }
  std::string take() { return std::move(bytes_); }

 private:
  std::string bytes_;
};

class Unpacker {
 public:
  explicit Unpacker(std::string_view bytes) : bytes_(bytes) {}
  std::uint64_t number() {
    std::uint64_t v = 0;
    const std::string_view raw = take(sizeof v);
    if (good_) std::memcpy(&v, raw.data(), sizeof v);
    return v;
  }
  double real() { return std::bit_cast<double>(number()); }
  std::string text() { return std::string(take(number())); }
  /// Everything was there, and nothing is left.
  bool done() const { return good_ && bytes_.empty(); }
  bool good() const { return good_; }

 private:
  std::string_view take(std::uint64_t size) {
    good_ = good_ && size <= bytes_.size();
    if (!good_) return {};
    const std::string_view out = bytes_.substr(0, size);
    bytes_.remove_prefix(size);
    return out;
  }
  std::string_view bytes_;
  bool good_ = true;
};

std::string facts_of(const ReadPart& read) {
  Packer out;
  out.number(read.part.modelled).number(read.part.encloses).number(read.part.color.has_value());
  for (const float c : read.part.color.value_or(Rgb{})) out.real(static_cast<double>(c));
  out.text(read.doubt).number(read.part.solid.has_value()).number(read.origins.size());
  for (const ShapeOrigin& from : read.origins) {
    out.number(from.leaf).number(from.piece.has_value()).number(from.piece.value_or(0));
  }
  for (const auto* lines : {&read.about_file, &read.part.hidden}) {
    out.number(lines->size());
    for (const std::string& line : *lines) out.text(line);
  }
  return out.take();
}

bool take_facts(const std::string& bytes, ReadPart& read, bool& is_one_solid) {
  Unpacker in(bytes);
  read.part.modelled = in.number() != 0;
  read.part.encloses = in.number() != 0;
  const bool colored = in.number() != 0;
  Rgb color{};
  for (float& c : color) c = static_cast<float>(in.real());
  if (colored) read.part.color = color;
  read.doubt = in.text();
  is_one_solid = in.number() != 0;
  for (std::uint64_t left = in.number(); left > 0 && in.good(); --left) {
    ShapeOrigin from{in.number(), std::nullopt};
    const bool is_piece = in.number() != 0;
    const std::size_t piece = in.number();
    if (is_piece) from.piece = piece;
    read.origins.push_back(from);
  }
  for (auto* lines : {&read.about_file, &read.part.hidden}) {
    for (std::uint64_t left = in.number(); left > 0 && in.good(); --left) lines->push_back(in.text());
  }
  return in.done();
}

/// Blocks of a part; it must stay until they are written.
Result<void> add_part(BlockWriter& out, const ReadPart& read) {
  // Every member is named: one that is new does not compile before it is decided whether it is kept.
  const auto& [part, about_file, doubt, origins] = read;
  const auto& [id, name, body, part_class, temperature, uncertainty, uncertainty_source, alignment, color, mesh, cloud,
               tree, solid, shapes, modelled, model_assumed, encloses, hidden, removed_first, file, doubt_of_job,
               incomplete, content_hash] = part;
  static_cast<void>(std::tie(about_file, doubt, origins, solid, color, modelled, encloses, hidden));  // in facts_of()
  static_cast<void>(std::tie(id, name, body, part_class, temperature, uncertainty, uncertainty_source, alignment,
                             model_assumed, removed_first, file, doubt_of_job, incomplete, content_hash));  // the job's
  out.add_text("facts", facts_of(read));
  if (mesh) add_blocks(out, *mesh);
  if (cloud) add_blocks(out, *cloud);
  add_blocks(out, tree);
  if (shapes.empty()) return {};
  auto bytes = solid_bytes(shapes);
  if (!bytes) return tl::unexpected(bytes.error());
  out.add_text("shapes", std::move(*bytes));
  return {};
}

Result<ReadPart> read_entry(const BlockFile& in, const MakeSolids& again) {
  ReadPart out;
  const auto facts = in.text("facts");
  if (!facts) return tl::unexpected(facts.error());
  bool is_one_solid = false;
  if (!take_facts(*facts, out, is_one_solid)) return BlockFile::damaged("facts", "does not say what it should");
  const bool is_mesh = in.count("mesh") == 1;
  const std::size_t sources = in.count(is_mesh ? "mesh.triangles" : "cloud.points");
  Result<TriMesh> mesh;
  Result<PointCloud> cloud;
  Result<TriTree> tree;
  tbb::parallel_invoke(
      [&] {
        if (is_mesh) mesh = read_mesh_blocks(in);
        if (!is_mesh) cloud = read_cloud_blocks(in);
      },
      [&] { tree = read_tree_blocks(in, sources); });
  if (!mesh) return tl::unexpected(mesh.error());
  if (!cloud) return tl::unexpected(cloud.error());
  if (!tree) return tl::unexpected(tree.error());
  if (is_mesh) out.part.mesh = std::make_shared<const TriMesh>(std::move(*mesh));
  if (!is_mesh) out.part.cloud = std::make_shared<const PointCloud>(std::move(*cloud));
  out.part.tree = std::move(*tree);
  if (out.origins.empty()) return out;
  auto bytes = in.text("shapes");
  if (!bytes) return tl::unexpected(bytes.error());
  out.part.shapes =
      stored_solids(std::move(*bytes), out.origins.size(), [again, origins = out.origins] { return again(origins); });
  if (is_one_solid) out.part.solid = out.part.shapes.front();
  return out;
}

bool is_entry(const std::string& name) {
  return name.size() == 64 + std::strlen(kSuffix) && name.ends_with(kSuffix) &&
         name.find_first_not_of("0123456789abcdef") == 64;
}

}  // namespace

std::string part_place(const PartSpec& spec, const fs::path& path) {
  Packer out;
  out.text(spec.file).text(path.filename().string());  // a suffix says what it is, and lines about the file may name it
  out.number(spec.select.size());
  for (const std::string& name : spec.select) out.text(name);
  for (const auto& setting : {spec.mm_per_unit, spec.chord_error_mm}) {
    out.number(setting.has_value()).real(setting.value_or(0));
  }
  out.number(spec.drop_hidden);
  const Placement& placed = spec.placement;
  for (int k = 0; k < 3; ++k) out.real(placed.shift_mm[k]);
  for (const Angle& turn : {placed.roll, placed.pitch, placed.yaw}) out.real(turn.si());
  return sha256_hex(out.take());
}

std::string part_key(const std::string& place, const std::string& content_hash) {
  return sha256_hex(Packer().number(kPartVersion).text(kernel_version()).text(place).text(content_hash).take());
}

Result<std::string> part_bytes(const std::string& key, const ReadPart& read) {
  BlockWriter out;
  if (auto added = add_part(out, read); !added) return tl::unexpected(added.error());
  std::string bytes;
  for (const std::string_view piece : out.pieces(label(key))) bytes += piece;
  return bytes;
}

Result<ReadPart> part_of_bytes(std::string bytes, const std::string& key, const MakeSolids& again) {
  const auto in = BlockFile::over(std::move(bytes), label(key));
  if (!in) return tl::unexpected(in.error());
  return read_entry(*in, again);
}

namespace {

/// Where hashes are kept: not where the folder is a link.
std::optional<fs::path> hashes_in(const std::optional<fs::path>& folder) {
  std::error_code error;
  if (!folder || fs::symlink_status(*folder, error).type() == fs::file_type::symlink) return std::nullopt;
  return *folder / kHashes;
}

}  // namespace

PartCache::PartCache(const std::optional<fs::path>& job_folder)
    : folder_(job_folder ? std::optional(*job_folder / kCacheFolder) : std::nullopt), hashes_(hashes_in(folder_)) {}

std::optional<PartCache::Found> PartCache::find(const std::string& place, const std::string& name,
                                                const MakeSolids& again) {
  std::error_code error;
  if (!folder_ || fs::symlink_status(*folder_, error).type() != fs::file_type::directory) return std::nullopt;
  const auto found = [&]() -> Result<Found> {
    const auto in = BlockFile::open(*folder_ / (place + kSuffix), label(""));
    if (!in) return tl::unexpected(in.error());
    auto read = read_entry(*in, again);
    if (!read) return tl::unexpected(read.error());
    return Found{in->key(), std::move(*read)};
  }();
  if (found) return *found;
  if (found.error().code != ErrorCode::file_missing) {
    note("part " + name + ": its file in " + kCacheFolder + " " + found.error().message +
         "; the part was read anew from its source");
  }
  return std::nullopt;
}

void PartCache::keep(const std::string& place, const std::string& key, const ReadPart& read) {
  if (folder_) fresh_.emplace(place, Found{key, read});
}

void PartCache::write() {
  if (!folder_ || (fresh_.empty() && !hashes_.has_new())) return;
  const auto lost = [&](const std::string& why) {
    note(std::string("nothing is kept for the next opening: ") + why);
    fresh_.clear();
  };
  std::error_code error;
  const fs::file_type type = fs::symlink_status(*folder_, error).type();
  if (type == fs::file_type::not_found) {
    if (!fs::create_directory(*folder_, error) && error) return lost(folder_->string() + ": " + error.message());
  } else if (type != fs::file_type::directory) {
    return lost(folder_->string() + " is no folder");
  }
  if (!fs::exists(*folder_ / kTag, error)) {
    if (auto tagged = write_file(*folder_ / kTag, kTagText); !tagged) return lost(to_line(tagged.error()));
  }
  remove_unused();
  std::vector<const std::pair<const std::string, Found>*> entries;
  for (const auto& entry : fresh_) entries.push_back(&entry);
  std::vector<Result<void>> written(entries.size());
  tbb::parallel_for(std::size_t{0}, entries.size(), [&](std::size_t i) {
    const auto& [place, found] = *entries[i];
    BlockWriter out;
    written[i] = add_part(out, found.read);
    if (written[i]) written[i] = write_file(*folder_ / (place + kSuffix), out.pieces(label(found.key)));
  });
  if (hashes_.has_new()) written.push_back(hashes_.write());
  for (const auto& done : written) {
    if (!done) return lost(to_line(done.error()));  // one line: the others will say the same
  }
  fresh_.clear();
}

void PartCache::remove_unused() const {
  constexpr std::chrono::hours kLeftBehind{24};  // a half-written file of a program that still writes is younger
  std::error_code error;
  for (auto it = fs::directory_iterator(*folder_, error); !error && it != fs::directory_iterator();
       it.increment(error)) {
    const std::string name = it->path().filename().string();
    std::error_code ignored;
    if (is_entry(name)) {
      if (!used_.contains(name.substr(0, 64))) fs::remove(it->path(), ignored);
    } else if (name.find(kHalfWritten) != std::string::npos) {
      const auto age = fs::file_time_type::clock::now() - fs::last_write_time(it->path(), ignored);
      if (!ignored && age > kLeftBehind) fs::remove(it->path(), ignored);
    }
  }
}

void PartCache::note(std::string line) {
  const std::lock_guard lock(mutex_);
  notes_.insert(std::move(line));
}

std::vector<std::string> PartCache::notes() const {
  const std::lock_guard lock(mutex_);
  return {notes_.begin(), notes_.end()};
}

}  // namespace baywright::job
