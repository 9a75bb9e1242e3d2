#include "app/demo_command.hpp"

#include <spawn.h>
#include <sys/wait.h>

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <filesystem>
#include <sstream>
#include <vector>

#include "app/check_command.hpp"
#include "app/console.hpp"
#include "app/refresh_copies.hpp"
#include "geometry/base/atomic_file.hpp"

extern char** environ;

namespace baywright::app {
namespace {

namespace fs = std::filesystem;

/// Where the demo's jobs and the program that makes its geometry are: beside the installed program, or in its build
/// tree, which links to the jobs.
struct DemoFiles {
  fs::path jobs;
  fs::path maker;
};

Result<DemoFiles> find_demo_files() {
  std::error_code code;
  const fs::path self = fs::read_symlink("/proc/self/exe", code);
  const fs::path bin = self.parent_path();
  const std::vector<DemoFiles> places = {
      {bin / ".." / "share" / "baywright" / "models" / "tarn40", bin / ".." / "libexec" / "baywright" / "make_tarn40"},
      {bin / ".." / ".." / "models" / "tarn40", bin / ".." / ".." / "models" / "make_tarn40"},
  };
  for (const DemoFiles& place : places) {
    if (fs::exists(place.jobs / "fitted" / "job.json", code) && fs::exists(place.maker, code)) return place;
  }
  const auto missing = [&code](const DemoFiles& place) {
    const fs::path job = place.jobs / "fitted" / "job.json";
    return fs::exists(job, code) ? place.maker : job;
  };
  return fail(ErrorCode::file_missing, missing(places.front()).lexically_normal().string(),
              "is not beside this program, and the demo needs it; install or build the whole project");
}

Result<void> run_program(const fs::path& program, const std::string& argument) {
  std::string name = program.string();
  std::string first = argument;
  char* const arguments[] = {name.data(), first.data(), nullptr};
  pid_t child = 0;
  const int error = ::posix_spawn(&child, program.c_str(), nullptr, nullptr, arguments, environ);
  if (error != 0) return fail(ErrorCode::kernel_failed, program.string(), "cannot be started");
  int status = 0;
  while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  if (WIFEXITED(status) && WEXITSTATUS(status) == 0) return {};
  if (WIFSIGNALED(status) && WTERMSIG(status) == SIGINT) return fail(ErrorCode::cancelled, "", "cancelled");
  return fail(ErrorCode::kernel_failed, program.string(), "did not finish; its message stands above");
}

constexpr const char* kJobs[] = {"as-found", "first-try", "fitted"};

/// What a user gets a copy of: the jobs, what they are held against, and the texts about them. Each job folder has the
/// sheet beside its job.
Result<std::vector<CopiedFile>> files_to_copy(const fs::path& from) {
  std::vector<CopiedFile> files;
  std::error_code code;
  for (auto it = fs::recursive_directory_iterator(from, code); !code && it != fs::recursive_directory_iterator();
       it.increment(code)) {
    const fs::path name = it->path().filename();
    if (it->is_directory() && (name == "generated" || name == job::kCacheFolder)) it.disable_recursion_pending();
    const fs::path suffix = it->path().extension();
    if (it->is_regular_file() && (suffix == ".json" || suffix == ".md")) {
      files.push_back({it->path(), it->path().lexically_relative(from).generic_string()});
    }
  }
  if (code) return fail(ErrorCode::file_missing, from.string(), "cannot list this folder: " + code.message());
  for (const char* job : kJobs) files.push_back({from / "sheet.json", std::string(job) + "/sheet.json"});
  std::sort(files.begin(), files.end(), [](const CopiedFile& a, const CopiedFile& b) { return a.name < b.name; });
  return files;
}

/// Copies the jobs; what the user has changed stays, and both that and what was renewed is said.
Result<void> copy_jobs(const fs::path& from, const fs::path& to) {
  std::error_code code;
  fs::create_directories(to, code);
  if (code) return fail(ErrorCode::not_written, to.string(), "cannot make this folder: " + code.message());
  const auto files = files_to_copy(from);
  if (!files) return tl::unexpected(files.error());
  const auto refreshed = refresh_copies(*files, to);
  if (!refreshed) return tl::unexpected(refreshed.error());
  for (const std::string& name : refreshed->renewed) {
    print("Renewed, as it was unchanged since an earlier version put it there: " + (to / name).string() + "\n");
  }
  for (const std::string& name : refreshed->kept) {
    print("Kept, as it may have been changed: " + (to / name).string() +
          " (it differs from this version's; delete it to get that)\n");
  }
  return {};
}

/// Whether `note` says that the maker of this hash made all files, and every one it lists is still there.
bool all_made(const std::string& note, const std::string& maker_hash, const fs::path& folder) {
  std::istringstream lines(note);
  std::string line;
  if (!std::getline(lines, line) || line != maker_hash) return false;
  int count = 0;
  std::error_code code;
  for (; std::getline(lines, line); ++count) {
    if (!fs::is_regular_file(folder / line, code)) return false;
  }
  return count > 0;
}

/// Makes the STEP files and the scan unless this maker has made them before and they are all there.
Result<void> make_parts(const fs::path& maker, const fs::path& folder) {
  const Result<std::string> program = read_file(maker);
  if (!program) return tl::unexpected(program.error());
  const std::string mark = sha256_hex(*program);
  if (const auto known = read_file(folder / "made-by"); known && all_made(*known, mark, folder)) return {};
  print("Making the demo's STEP files and scan in " + folder.string() + " (takes a moment, only once)\n");
  std::error_code code;
  fs::remove(folder / "made-by", code);
  fs::create_directories(folder, code);
  if (code) return fail(ErrorCode::not_written, folder.string(), "cannot make this folder: " + code.message());
  if (auto made = run_program(maker, folder.string()); !made) return made;
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder, code)) names.push_back(entry.path().filename().string());
  if (code) return fail(ErrorCode::file_missing, folder.string(), "cannot list this folder: " + code.message());
  std::sort(names.begin(), names.end());
  std::string note = mark + "\n";
  for (const std::string& name : names) note += name + "\n";
  return write_file(folder / "made-by", note);
}

/// Each job folder gets the geometry its job names: one file under two names where the disk can do that.
Result<void> complete_job(const fs::path& jobs, const fs::path& job) {
  std::error_code code;
  const auto put = [&](const fs::path& from, const fs::path& to) {
    std::error_code ignored;
    if (fs::equivalent(from, to, ignored)) return;
    fs::remove(to, ignored);
    fs::create_hard_link(from, to, ignored);
    if (ignored) fs::copy_file(from, to, fs::copy_options::overwrite_existing, code);
  };
  fs::create_directories(job / "generated", code);
  for (auto it = fs::directory_iterator(jobs / "generated", code); !code && it != fs::directory_iterator();
       it.increment(code)) {
    if (it->path().filename() != "made-by") put(it->path(), job / "generated" / it->path().filename());
    if (code) break;
  }
  if (code) return fail(ErrorCode::not_written, job.string(), "cannot complete the demo's job: " + code.message());
  return {};
}

/// The window's program: beside this one when installed, in its own folder of a build tree; "" when it was not built.
std::string window_program() {
  std::error_code code;
  const fs::path bin = fs::read_symlink("/proc/self/exe", code).parent_path();
  for (const fs::path& place : {bin / "baywright-view", bin / ".." / ".." / "viewer" / "baywright-view"}) {
    if (fs::exists(place, code)) return place.lexically_normal().string();
  }
  return "";
}

}  // namespace

int run_demo(const DemoOptions& options, const std::string& program) {
  const fs::path out = options.out;
  const fs::path jobs = out / "tarn40";
  const Result<DemoFiles> files = find_demo_files();
  if (!files) return report_failure({files.error()});
  if (auto copied = copy_jobs(files->jobs, jobs); !copied) return report_failure({copied.error()});
  if (auto made = make_parts(files->maker, jobs / "generated"); !made) return report_failure({made.error()});

  for (const char* name : kJobs) {
    if (auto done = complete_job(jobs, jobs / name); !done) return report_failure({done.error()});
    print("\n== " + (jobs / name).string() + "\n");
    job::ReadOptions read = options.read;
    read.allowed_folders = {jobs};  // the demo's own, as earlier versions laid it
    const int status = run_check({.job = (jobs / name).string(),
                                  .out = (out / "reports" / name).string(),
                                  .read = read,
                                  .brief = true,
                                  .no_pictures = options.no_pictures});
    // 1 (not met) and 3 (open) are results of a check; anything else is a failure of it.
    if (status != 0 && status != 1 && status != 3) return status;
  }
  const std::string window = window_program();
  print("\nThe Tarn 40 is invented, with all its numbers. Next:\n  look    " +
        (out / "reports" / "first-try" / "report.html").string() +
        (window.empty() ? "" : "\n  walk    " + window + " " + (jobs / "first-try").string()) + "\n  change  " +
        (jobs / "first-try" / "job.json").string() + "\n  again   " + program + " check " +
        (jobs / "first-try").string() + "\n");
  return 0;
}

}  // namespace baywright::app
