#include "job/part_cache.hpp"

#include <sys/stat.h>
#include <unistd.h>

#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <thread>

#include <catch2/catch.hpp>

#include "geometry/base/atomic_file.hpp"
#include "geometry/base/checksum.hpp"
#include "geometry/clearance/tri_tree_impl.hpp"
#include "geometry/tube_solid.hpp"
#include "job/assemble.hpp"
#include "tests/support/job_folder.hpp"

using namespace baywright;
namespace fs = std::filesystem;

namespace {

const std::string kKey(64, '0');
const job::MakeSolids kNever = [](const std::vector<job::ShapeOrigin>&) -> Result<std::vector<Solid>> {
  return fail(ErrorCode::kernel_failed, "again", "not in this test");
};

job::ReadOptions with_cache() {
  job::ReadOptions options;
  options.cache = true;
  return options;
}

class CacheFolder : public test::JobFolder {
 public:
  explicit CacheFolder(const std::string& name) : test::JobFolder("part_cache_test", name) {}
  job::Installation open() const {
    auto installation = job::open_job(path, {}, with_cache());
    if (!installation) {
      for (const Error& error : installation.error()) UNSCOPED_INFO(to_line(error));
    }
    REQUIRE(installation.has_value());
    return std::move(*installation);
  }
  fs::path cache() const { return path / job::kCacheFolder; }
  std::vector<fs::path> entries() const {
    std::vector<fs::path> out;
    for (const auto& entry : fs::directory_iterator(cache())) {
      if (entry.path().extension() == ".part") out.push_back(entry.path());
    }
    return out;
  }
};

template <class T>
bool same_bytes(const std::vector<T>& a, const std::vector<T>& b) {
  return a.size() == b.size() && (a.empty() || std::memcmp(a.data(), b.data(), a.size() * sizeof(T)) == 0);
}

void check_same(const bay::Part& a, const bay::Part& b) {
  INFO("part " << a.id.value);
  CHECK(a.id == b.id);
  CHECK(a.color == b.color);
  CHECK(a.modelled == b.modelled);
  CHECK(a.encloses == b.encloses);
  CHECK(a.hidden == b.hidden);
  CHECK(a.scanned() == b.scanned());
  CHECK(a.doubt == b.doubt);
  CHECK(a.file == b.file);
  CHECK(a.content_hash == b.content_hash);
  REQUIRE((a.mesh == nullptr) == (b.mesh == nullptr));
  REQUIRE((a.cloud == nullptr) == (b.cloud == nullptr));
  if (a.mesh) {
    CHECK(a.mesh->origin_mm == b.mesh->origin_mm);
    CHECK(same_bytes(a.mesh->vertices, b.mesh->vertices));
    CHECK(a.mesh->triangles == b.mesh->triangles);
    CHECK(a.mesh->face == b.mesh->face);
    CHECK(a.mesh->chord_error_mm == b.mesh->chord_error_mm);
  }
  if (a.cloud) {
    CHECK(a.cloud->origin_mm == b.cloud->origin_mm);
    CHECK(same_bytes(a.cloud->points, b.cloud->points));
    CHECK(same_bytes(a.cloud->normals, b.cloud->normals));
  }
  const TriTree::Impl &s = *a.tree.impl(), &t = *b.tree.impl();
  CHECK(same_bytes(s.nodes, t.nodes));
  CHECK(same_bytes(s.vertices, t.vertices));
  CHECK(same_bytes(s.where, t.where));
  CHECK(same_bytes(s.radius, t.radius));
  REQUIRE(a.shapes.size() == b.shapes.size());
  for (std::size_t i = 0; i < a.shapes.size(); ++i) {
    CHECK(a.shapes[i].face_count() == b.shapes[i].face_count());
    const std::vector<std::uint32_t> faces{0, 1};
    const auto s_mesh = tessellate_faces(a.shapes[i], faces, 0.03), t_mesh = tessellate_faces(b.shapes[i], faces, 0.03);
    REQUIRE((s_mesh.has_value() && t_mesh.has_value()));
    CHECK(same_bytes(s_mesh->vertices, t_mesh->vertices));
    CHECK(s_mesh->chord_error_mm == t_mesh->chord_error_mm);
  }
  REQUIRE(a.solid.has_value() == b.solid.has_value());
  if (a.solid) {
    CHECK(a.solid->face_count() == b.solid->face_count());
    CHECK(a.solid->volume_mm3() == b.solid->volume_mm3());
    CHECK(a.solid->bounds().lo == b.solid->bounds().lo);
  }
}

void check_same(const job::Installation& a, const job::Installation& b) {
  CHECK(a.warnings == b.warnings);
  REQUIRE(a.bay.parts.size() == b.bay.parts.size());
  for (std::size_t i = 0; i < a.bay.parts.size(); ++i) check_same(a.bay.parts[i], b.bay.parts[i]);
  REQUIRE(a.files.size() == b.files.size());
  for (std::size_t i = 0; i < a.files.size(); ++i) {
    CHECK(a.files[i].sha256 == b.files[i].sha256);
    CHECK(a.files[i].warnings == b.files[i].warnings);
  }
}

/// A sheet of triangles with one corner that is no number and one far out.
std::string sheet_text() {
  std::string text;
  for (int i = 0; i <= 12; ++i) {
    for (int k = 0; k <= 12; ++k) {
      text += "v " + std::to_string(i * 20) + " " + std::to_string(k * 20) + " " + std::to_string(i * k % 7) + "\n";
    }
  }
  for (int i = 0; i < 12; ++i) {
    for (int k = 1; k <= 12; ++k) {
      const int a = i * 13 + k, b = a + 13;
      text += "f " + std::to_string(a) + " " + std::to_string(a + 1) + " " + std::to_string(b) + "\n";
      text += "f " + std::to_string(a + 1) + " " + std::to_string(b + 1) + " " + std::to_string(b) + "\n";
    }
  }
  return text + "v nan 0 0\nv 5e6 0 0\nf 1 2 170\nf 1 2 171\n";
}

std::string cloud_text() {
  std::string text;
  for (int i = 0; i < 90; ++i) text += std::to_string(i % 10 * 10) + " " + std::to_string(i / 10 * 10) + " 100\n";
  return text;
}

void put_rods(const CacheFolder& folder) {
  const auto rod = [](double y) { return *tube_solid({Collar{Vec3(0, y, 0), Vec3(200, y, 0), 20}}, 0); };
  REQUIRE(write_step(folder.path / "rods.step",
                     {{"left", Rgb{1, 0, 0.2F}, rod(100)}, {"right", std::nullopt, rod(-100)}}, "rods")
              .has_value());
}

/// One of each kind: mesh, cloud, one exact shape, two together, a small scan that is doubted, the same file twice.
void put_job(const CacheFolder& folder, const std::string& more_about_right = "") {
  folder.put("sheet.obj", sheet_text());
  folder.put("cloud.xyz", cloud_text());
  put_rods(folder);
  folder.put("job.json", R"({ "baywright_job": 1, "parts": [
    { "id": "sheet", "file": "sheet.obj", "mm_per_unit": 1, "uncertainty_mm": 1 },
    { "id": "cloud", "file": "cloud.xyz", "mm_per_unit": 1, "placement": { "yaw_deg": 30, "shift_mm": [1, 2, 3] } },
    { "id": "right", "file": "rods.step", "select": ["right"])" +
                             more_about_right + R"( },
    { "id": "both", "file": "rods.step", "placement": { "shift_mm": [0, 0, 50] } },
    { "id": "twin", "file": "sheet.obj", "mm_per_unit": 1 } ] })");
}

/// What the reader makes of one part of that job.
job::ReadPart read_part(const CacheFolder& folder, const std::string& id) {
  put_job(folder);
  const auto opened = job::open_job(folder.path);
  REQUIRE(opened.has_value());
  job::ReadPart read;
  read.part = *opened->bay.find_part(bay::PartId(id));
  read.about_file = {"a line", "and \xFF another"};
  read.doubt = "doubted";
  for (std::size_t i = 0; i < read.part.shapes.size(); ++i) read.origins.push_back({i + 1, 7});
  return read;
}

std::string bytes_of(const job::ReadPart& read) {
  const auto bytes = job::part_bytes(kKey, read);
  REQUIRE(bytes.has_value());
  return *bytes;
}

std::string contents(const fs::path& path) { return *read_file(path); }

}  // namespace

TEST_CASE("cache: the second opening gives the same to the last bit, and reads nothing anew", "[cache]") {
  const CacheFolder folder("same");
  put_job(folder);
  const auto plain = job::open_job(folder.path);
  REQUIRE(plain.has_value());
  CHECK_FALSE(fs::exists(folder.cache()));
  const auto first = folder.open();
  CHECK(first.cached_parts == 0);
  CHECK(first.notes.empty());
  CHECK(folder.entries().size() == 4);  // the twins share one
  const auto second = folder.open();
  CHECK(second.cached_parts == 4);
  CHECK(second.notes.empty());
  check_same(*plain, first);
  check_same(first, second);
  CHECK(second.bay.parts[2].solid->volume_mm3() == Approx(3.14159265358979 * 20 * 20 * 200).epsilon(1e-6));
  CHECK(second.bay.parts[3].color == Rgb{1, 0, 0.2F});
  // All gone: as the first time.
  fs::remove_all(folder.cache());
  check_same(first, folder.open());
}

TEST_CASE("cache: what shapes a part is in its key, and nothing else", "[cache]") {
  job::PartSpec spec;
  spec.file = "a.step";
  const auto key = [](const job::PartSpec& s, const char* hash = "x", const char* file = "a.step") {
    return job::part_key(job::part_place(s, file), hash);
  };
  std::set<std::string> keys{key(spec), key(spec, "y"), key(spec, "x", "a.stl")};
  std::vector<job::PartSpec> variants(11, spec);
  variants[0].select = {"a"};
  variants[1].select = {"a", "b"};
  variants[2].select = {"ab"};
  variants[3].mm_per_unit = 1;
  variants[4].mm_per_unit = 25.4;
  variants[5].chord_error_mm = 0.2;
  variants[6].placement.shift_mm = Vec3(0, 0, 1e-9);
  variants[7].placement.yaw = degrees(1);
  variants[8].placement.roll = degrees(1);
  variants[9].drop_hidden = true;
  variants[10].file = "other/a.step";
  for (const auto& variant : variants) keys.insert(key(variant));
  CHECK(keys.size() == 3 + variants.size());
  job::PartSpec other = spec;
  other.id = bay::PartId("other");
  other.part_class = bay::PartClass::hot;
  other.uncertainty_mm = 3;
  other.size_confirmed = true;
  CHECK(key(other) == key(spec));

  const CacheFolder folder("settings");
  put_job(folder);
  folder.open();
  put_job(folder, R"(, "chord_error_mm": 0.01)");
  const auto changed = folder.open();
  CHECK(changed.cached_parts == 3);
  CHECK(changed.bay.parts[2].chord_error_mm() < 0.02);
  CHECK(folder.entries().size() == 4);  // the old one is gone
}

TEST_CASE("cache: every flipped byte and every cut is noticed", "[cache]") {
  const CacheFolder folder("flips");
  for (const char* id : {"sheet", "cloud", "right"}) {
    INFO(id);
    const job::ReadPart read = read_part(folder, id);
    const std::string good = bytes_of(read);
    const auto back = job::part_of_bytes(good, kKey, kNever);
    REQUIRE(back.has_value());
    CHECK(back->about_file == read.about_file);
    CHECK(back->doubt == read.doubt);
    REQUIRE(back->origins.size() == read.origins.size());
    for (const auto& origin : back->origins) CHECK((origin.leaf == 1 && origin.piece == 7));
    CHECK(bytes_of(*back) == good);
    CHECK_FALSE(job::part_of_bytes(good, std::string(64, '1'), kNever).has_value());
    std::size_t taken = 0;
    // All of the head and the table, then every so many bytes.
    const std::size_t step = good.size() < 30'000 ? 1 : good.size() / 15'000;
    for (std::size_t i = 0; i < good.size(); i += i < 1500 ? 1 : step) {
      std::string bad = good;
      bad[i] = static_cast<char>(bad[i] ^ (1 << i % 8));
      if (job::part_of_bytes(std::move(bad), kKey, kNever)) ++taken;
    }
    for (std::size_t size = 0; size < good.size(); size += size < 1500 ? 1 : 97) {
      if (job::part_of_bytes(good.substr(0, size), kKey, kNever)) ++taken;
    }
    if (job::part_of_bytes(good + '\0', kKey, kNever)) ++taken;
    if (job::part_of_bytes(good + good, kKey, kNever)) ++taken;
    CHECK(taken == 0);
  }
}

TEST_CASE("cache: a damaged entry is named, read anew and healed", "[cache]") {
  const CacheFolder folder("damage");
  put_job(folder);
  const auto first = folder.open();
  for (const fs::path& entry : folder.entries()) {
    std::string bytes = contents(entry);
    bytes[bytes.size() / 2] = static_cast<char>(bytes[bytes.size() / 2] ^ 4);
    REQUIRE(write_file(entry, bytes).has_value());
  }
  const auto second = folder.open();
  CHECK(second.cached_parts == 0);
  REQUIRE(second.notes.size() == 4);
  CHECK(second.notes[0].find("part both: its file in .baywright-cache block ") == 0);
  CHECK(second.notes[0].find("has a wrong checksum; the part was read anew from its source") != std::string::npos);
  check_same(first, second);
  CHECK(folder.open().cached_parts == 4);
}

TEST_CASE("cache: what cannot be kept is said once and fails nothing", "[cache]") {
  const CacheFolder folder("blocked");
  put_job(folder);
  folder.put(job::kCacheFolder, "a file where the folder should be");
  const auto blocked = folder.open();
  REQUIRE(blocked.notes.size() == 1);
  CHECK(blocked.notes[0].find("nothing is kept for the next opening: ") == 0);
  CHECK(contents(folder.cache()) == "a file where the folder should be");
  fs::remove(folder.cache());

  // A link is not followed: neither read nor written nor cleaned.
  const CacheFolder elsewhere("elsewhere");
  elsewhere.put(std::string(64, 'a') + ".part", "not ours");
  fs::create_directory_symlink(elsewhere.path, folder.cache());
  const auto linked = folder.open();
  CHECK(linked.notes.size() == 1);
  CHECK(std::distance(fs::directory_iterator(elsewhere.path), fs::directory_iterator()) == 1);
  fs::remove(folder.cache());

  if (::geteuid() != 0) {  // root may write everywhere
    REQUIRE(::chmod(folder.path.c_str(), 0555) == 0);
    CHECK(folder.open().notes.size() == 1);
    CHECK_FALSE(fs::exists(folder.cache()));
    REQUIRE(::chmod(folder.path.c_str(), 0755) == 0);
  }
}

TEST_CASE("cache: the hash of a large source is known again by its whole content", "[cache]") {
  const CacheFolder folder("hashes");
  const fs::path sums = folder.path / "hashes.sums", scan = folder.path / "large.bin";
  std::string bytes(5'000'000, 'a');
  for (std::size_t i = 0; i < bytes.size(); i += 997) bytes[i] = static_cast<char>(i);
  folder.put("large.bin", bytes);
  const std::string right = sha256_hex(bytes);
  {
    job::KnownHashes hashes(sums);
    CHECK(hashes.sha256_of(scan).value() == right);
    CHECK(hashes.has_new());
    CHECK(hashes.write().has_value());
  }
  const auto again = [&] {
    job::KnownHashes hashes(sums);
    const std::string hash = hashes.sha256_of(scan).value();
    return std::pair(hash, hashes.has_new());
  };
  CHECK(again() == std::pair(right, false));
  // The same size and time, one byte different wherever it lies: another hash.
  const auto time = fs::last_write_time(scan);
  for (const std::size_t at : {std::size_t{0}, std::size_t{1'048'575}, std::size_t{1'048'576}, bytes.size() - 1}) {
    std::string other = bytes;
    other[at] ^= 1;
    folder.put("large.bin", other);
    fs::last_write_time(scan, time);
    CHECK(again() == std::pair(sha256_hex(other), true));
  }
  // Another name and time, the same content.
  folder.put("large.bin", bytes);
  CHECK(again() == std::pair(right, false));
  // A damaged list is no list.
  std::string list = read_file(sums).value();
  for (const std::size_t at : {std::size_t{10}, list.size() / 2, list.size() - 1}) {
    std::string other = list;
    other[at] ^= 4;
    folder.put("hashes.sums", other);
    CHECK(again() == std::pair(right, true));
  }
  CHECK_FALSE(job::KnownHashes(sums).sha256_of(folder.path / "nothing").has_value());
}

TEST_CASE("cache: entries nobody uses go, other files stay", "[cache]") {
  const CacheFolder folder("old");
  put_job(folder);
  folder.open();
  const auto before = folder.entries();
  const fs::path own = folder.cache() / "notes.txt", half = folder.cache() / (kKey + ".part.part-abcdef");
  std::ofstream(own) << "mine";
  std::ofstream(half) << "half";
  folder.open();  // nothing new: nothing is touched
  CHECK(folder.entries() == before);
  fs::last_write_time(half, fs::file_time_type::clock::now() - std::chrono::hours(48));
  folder.put("cloud.xyz", cloud_text() + "500 500 500\n");
  CHECK(folder.open().cached_parts == 3);
  CHECK(folder.entries() == before);  // the new one in the place of the old
  put_job(folder, R"(, "chord_error_mm": 0.05)");
  folder.put("cloud.xyz", cloud_text() + "500 500 500\n");
  folder.open();
  CHECK(folder.entries().size() == 4);
  CHECK(folder.entries() != before);
  CHECK(fs::exists(own));
  CHECK_FALSE(fs::exists(half));
  CHECK(folder.open().cached_parts == 4);
}

TEST_CASE("cache: several programs at once", "[cache]") {
  const CacheFolder folder("together");
  folder.put("sheet.obj", sheet_text());
  folder.put("cloud.xyz", cloud_text());
  folder.put("job.json", R"({ "baywright_job": 1, "parts": [
    { "id": "sheet", "file": "sheet.obj", "mm_per_unit": 1 }, { "id": "cloud", "file": "cloud.xyz", "mm_per_unit": 1 } ] })");
  const auto plain = job::open_job(folder.path);
  REQUIRE(plain.has_value());
  for (int round = 0; round < 5; ++round) {
    fs::remove_all(folder.cache());
    std::vector<std::optional<job::Installation>> opened(4);
    std::vector<std::thread> threads;
    for (auto& one : opened) {
      threads.emplace_back([&] {
        for (int i = 0; i < 3; ++i) {
          auto installation = job::open_job(folder.path, {}, with_cache());
          if (installation) one = std::move(*installation);
        }
      });
    }
    for (std::thread& thread : threads) thread.join();
    for (const auto& one : opened) {
      REQUIRE(one.has_value());
      CHECK(one->notes.empty());
      check_same(*plain, *one);
    }
    CHECK(std::distance(fs::directory_iterator(folder.cache()), fs::directory_iterator()) == 3);  // and the tag
  }
}

TEST_CASE("a stored solid is parsed once, when it is needed; else made again; else an error", "[cache]") {
  const Solid rod = *tube_solid({Collar{Vec3(0, 0, 0), Vec3(200, 0, 0), 20}}, 0);
  const Solid other = rod.moved(Pose::translation(Vec3(0.1, 0.2, 0.3)));
  const auto bytes = solid_bytes({other, rod});
  REQUIRE(bytes.has_value());
  const auto never = []() -> Result<std::vector<Solid>> {
    return fail(ErrorCode::kernel_failed, "again", "no source");
  };
  const auto stored = stored_solids(*bytes, 2, never);
  REQUIRE(stored.size() == 2);
  CHECK_FALSE(stored[0].empty());
  std::vector<std::thread> threads;
  std::vector<double> volumes(4);
  for (std::size_t i = 0; i < 4; ++i) threads.emplace_back([&, i] { volumes[i] = stored[i % 2].volume_mm3(); });
  for (std::thread& thread : threads) thread.join();
  CHECK(volumes[0] == other.volume_mm3());
  CHECK(volumes[1] == rod.volume_mm3());
  CHECK(stored[0].bounds().lo.x() == Approx(0.1).margin(1e-6));
  CHECK(stored[1].bounds().lo.x() == Approx(0).margin(1e-6));

  int asked = 0;
  const auto made = stored_solids("no shape at all", 1, [&]() -> Result<std::vector<Solid>> {
    ++asked;
    return std::vector<Solid>{rod};
  });
  CHECK(asked == 0);
  CHECK(made[0].ready().has_value());
  CHECK(made[0].volume_mm3() == rod.volume_mm3());
  CHECK(asked == 1);
  for (const auto& lost : {stored_solids("no shape at all", 1, never), stored_solids(*bytes, 3, never)}) {
    REQUIRE_FALSE(lost[0].ready().has_value());
    CHECK(to_line(lost[0].ready().error()) == "again: no source");
  }
}

TEST_CASE("cache: a reader or tree that gives something else needs another version", "[cache]") {
  // If this fails because a reader, the mesher or the tree was changed: raise kPartVersion in src/job/part_cache.cpp,
  // or jobs opened before go on with the old shapes; then note the new sums here.
  const CacheFolder folder("version");
  const std::string sheet = bytes_of(read_part(folder, "sheet")), cloud = bytes_of(read_part(folder, "cloud"));
  CHECK(checksum64(sheet.data(), sheet.size()) == 13355614330314178105U);
  CHECK(checksum64(cloud.data(), cloud.size()) == 5097134032882169388U);
  const auto rod = read_part(folder, "right");
  CHECK(rod.part.mesh->triangles.size() == 196);
  CHECK(rod.part.chord_error_mm() == Approx(0.0444005).epsilon(1e-5));
}
