// Damaged in many ways, a file gives a value or one line; it never brings the program down or takes memory away.

#include <sys/resource.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <random>

#include "geometry/files/apart.hpp"
#include "geometry/files/mesh_file.hpp"
#include "geometry/files/step_file.hpp"
#include "tests/unit/files/data_table.hpp"

using namespace baywright;

namespace {

/// One to four changes: bytes replaced, cut out, doubled, numbers made huge, the end cut off.
std::string mutated(const std::string& original, std::mt19937& random) {
  std::string b = original;
  const auto below = [&](std::size_t n) { return std::uniform_int_distribution<std::size_t>(0, n - 1)(random); };
  for (std::size_t n = 1 + below(4); n > 0 && !b.empty(); --n) {
    // Headers are short and decide much: half of all changes fall there.
    const std::size_t at = below(2) == 0 ? below(std::min<std::size_t>(b.size(), 400)) : below(b.size());
    switch (below(6)) {
      case 0:
        b[at] = static_cast<char>(below(256));
        break;
      case 1:
        b[at] = "0123456789.-+#*,;()'$ \n"[below(23)];
        break;
      case 2:
        b.erase(at, 1 + below(40));
        break;
      case 3:
        b.insert(at, b.substr(below(b.size()), 1 + below(60)));
        break;
      case 4:
        b.insert(at, "99999999");
        break;
      default:
        b.resize(at);
    }
  }
  return b;
}

long peak_kB() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return usage.ru_maxrss;
}

void check_line(const Error& error) {
  const std::string line = to_line(error);
  REQUIRE_FALSE(line.empty());
  REQUIRE(line.find('\n') == std::string::npos);
  REQUIRE(line.size() < 600);
}

std::vector<std::filesystem::path> small_files(const std::vector<std::string>& folders, std::uintmax_t limit) {
  std::vector<std::filesystem::path> out;
  for (const std::string& folder : folders) {
    for (const auto& entry : std::filesystem::directory_iterator(std::string(BAYWRIGHT_TEST_DATA) + "/" + folder)) {
      if (entry.is_regular_file() && entry.file_size() <= limit) out.push_back(entry.path());
    }
  }
  std::sort(out.begin(), out.end());
  return out;
}

bool is_step_name(const std::filesystem::path& path) {
  const std::string s = path.extension();
  return s == ".stp" || s == ".step" || s == ".STEP" || s == ".p21";
}

}  // namespace

TEST_CASE("mutated meshes and clouds") {
  const test_data::TempFolder temp;
  std::mt19937 random(20240229);
  [[maybe_unused]] const long before = peak_kB();
  int values = 0;
  int errors = 0;
  for (const auto& file : small_files({"scan", "malformed"}, 70'000)) {
    if (is_step_name(file)) continue;
    const std::string original = test_data::slurp(file);
    const auto target = temp.path() / file.filename();
    for (int i = 0; i < 80; ++i) {
      INFO(file.filename().string() << ", change " << i);
      temp.put(target.filename(), mutated(original, random));
      const auto scan = read_scan(target, {.mm_per_unit = i % 2 == 0 ? 1.0 : 1000.0});
      if (!scan) {
        ++errors;
        check_line(scan.error());
        continue;
      }
      ++values;
      // What came through can be used.
      if (const auto* mesh = std::get_if<TriMesh>(&scan->shape)) {
        for (const TriMesh::Triangle& t : mesh->triangles) {
          for (const std::uint32_t v : t) REQUIRE(v < mesh->vertices.size());
        }
        REQUIRE(bounds(*mesh).size().allFinite());
      } else {
        REQUIRE(bounds(std::get<PointCloud>(scan->shape)).size().allFinite());
      }
    }
  }
  CHECK(values > 200);
  CHECK(errors > 200);
#if !defined(__SANITIZE_ADDRESS__)  // which keeps what was freed
  CHECK(peak_kB() - before < 100'000);
#endif
}

TEST_CASE("every beginning of a mesh or cloud") {
  const test_data::TempFolder temp;
  for (const auto& file : small_files({"scan", "malformed"}, 6'000)) {
    if (is_step_name(file)) continue;
    const std::string original = test_data::slurp(file);
    for (std::size_t n = 0; n < original.size(); n += 1 + original.size() / 60) {
      const auto scan = read_scan(temp.put(file.filename(), original.substr(0, n)), {});
      if (!scan) check_line(scan.error());
    }
  }
}

TEST_CASE("mutated STEP files") {
  const test_data::TempFolder temp;
  std::mt19937 random(7);
  int errors = 0;
  for (const char* name :
       {"nist_ftc_11_asme1_rb.stp", "sliced_cylinder.step", "red_cube_blue_cylinder.step", "#332_file.stp"}) {
    const std::string original = test_data::slurp(std::string(BAYWRIGHT_TEST_DATA) + "/step/" + name);
    for (int i = 0; i < 15; ++i) {
      INFO(name << ", change " << i);
      const auto model = read_step(temp.put("changed.stp", mutated(original, random)));
      if (!model) {
        ++errors;
        check_line(model.error());
      } else {
        CHECK(model->face_count() > 0);
      }
    }
  }
  CHECK(errors > 12);
}

TEST_CASE("a child that waits for what never comes is given up, one that answers is heard") {
  std::mutex quiet_point;
  const auto start = std::chrono::steady_clock::now();
  const auto waits = [](const Progress&) -> std::string {
    for (;;) ::pause();
  };
  const auto ends =
      run_each_apart({{waits, 0.05}, {[](const Progress&) { return std::string("done"); }, 60}}, 2, quiet_point, {});
  REQUIRE(ends[0]);
  CHECK_FALSE(ends[0]->finished);
  CHECK_FALSE(ends[0]->cancelled);
  REQUIRE(ends[1]);
  CHECK(ends[1]->finished);
  CHECK(ends[1]->bytes == "done");
  CHECK(std::chrono::steady_clock::now() - start > std::chrono::milliseconds(400));
}
