// How long it takes to open a job: with no cache, the first time with one, and again; beside plainly reading the bytes
// that the cache holds. Medians of 5, of the quick ones of 15; files in the page
// cache.
//   open_bench JOB_FOLDER          measures (its cache is removed first)
//   open_bench --make FILE MILLION writes a wavy scan of that many million triangles as binary STL or PLY
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "geometry/files/file_bytes.hpp"
#include "geometry/files/mesh_file.hpp"
#include "job/assemble.hpp"

namespace fs = std::filesystem;
using namespace baywright;

namespace {

constexpr int kRuns = 5, kQuickRuns = 15;

double processor_s() {
  double sum = 0;
  for (const int who : {RUSAGE_SELF, RUSAGE_CHILDREN}) {
    rusage use{};
    getrusage(static_cast<__rusage_who>(who), &use);
    for (const timeval& t : {use.ru_utime, use.ru_stime}) {
      sum += static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
    }
  }
  return sum;
}

void time_of(const char* what, int runs, const std::function<void()>& prepare, const std::function<void()>& work) {
  std::vector<double> wall, processor;
  for (int i = 0; i < runs; ++i) {
    prepare();
    const auto from = std::chrono::steady_clock::now();
    const double used = processor_s();
    work();
    wall.push_back(std::chrono::duration<double>(std::chrono::steady_clock::now() - from).count());
    processor.push_back(processor_s() - used);
  }
  std::sort(wall.begin(), wall.end());
  std::sort(processor.begin(), processor.end());
  std::printf("%-34s %8.3f s  (fastest %.3f)  processor %8.3f s\n", what, wall[wall.size() / 2], wall[0],
              processor[processor.size() / 2]);
}

int make(const fs::path& path, double million) {
  const int side = static_cast<int>(std::sqrt(million * 1e6 / 2));
  TriMesh mesh;
  for (int j = 0; j <= side; ++j) {
    for (int i = 0; i <= side; ++i) {
      const double x = 2000.0 * i / side, y = 2000.0 * j / side;
      mesh.vertices.emplace_back(static_cast<float>(x), static_cast<float>(y),
                                 static_cast<float>(30 * std::sin(0.01 * x) * std::cos(0.013 * y) +
                                                    0.2 * std::sin(1.7 * i) * std::cos(2.3 * j)));
    }
  }
  const auto row = static_cast<std::uint32_t>(side + 1);
  for (std::uint32_t j = 0; j + 1 < row; ++j) {
    for (std::uint32_t i = 0; i + 1 < row; ++i) {
      const std::uint32_t a = j * row + i;
      mesh.triangles.push_back({a, a + 1, a + row});
      mesh.triangles.push_back({a + 1, a + row + 1, a + row});
    }
  }
  const auto done = path.extension() == ".stl" ? write_stl(path, mesh) : write_ply(path, mesh);
  if (!done) std::fprintf(stderr, "%s\n", to_line(done.error()).c_str());
  return done ? 0 : 2;
}

void open(const fs::path& folder, bool cache) {
  job::ReadOptions options;
  options.cache = cache;
  const auto installation = job::open_job(folder, {}, options);
  if (!installation) {
    std::fprintf(stderr, "%s\n", to_line(installation.error().front()).c_str());
    std::exit(2);
  }
  for (const std::string& note : installation->notes) std::fprintf(stderr, "note: %s\n", note.c_str());
}

}  // namespace

int main(int argc, char** argv) {
  if (argc == 4 && std::string(argv[1]) == "--make") return make(argv[2], std::atof(argv[3]));
  if (argc != 2) return 2;
  const fs::path folder = argv[1], cache = folder / job::kCacheFolder;
  const auto nothing = [] {};
  const auto remove = [&] { fs::remove_all(cache); };
  time_of("no cache", kRuns, nothing, [&] { open(folder, false); });
  time_of("first opening, cache written", kRuns, remove, [&] { open(folder, true); });
  time_of("second opening", kQuickRuns, nothing, [&] { open(folder, true); });
  std::uintmax_t bytes = 0;
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(cache)) files.push_back(entry.path());
  for (const fs::path& file : files) bytes += fs::file_size(file);
  time_of("plain reading of the cache", kQuickRuns, nothing, [&] {
    for (const fs::path& file : files) {
      if (!FileBytes::read(file)) std::exit(2);
    }
  });
  std::printf("the cache holds %.1f MB in %zu files\n", 1e-6 * static_cast<double>(bytes), files.size());
  return 0;
}
