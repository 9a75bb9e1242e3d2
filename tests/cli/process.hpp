#pragma once

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

extern char** environ;

namespace baywright::test {

inline std::string contents(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

/// A folder that goes away with the test.
class Folder {
 public:
  Folder() {
    static std::atomic<int> count{0};
    path_ = std::filesystem::temp_directory_path() /
            ("baywright-cli-" + std::to_string(::getpid()) + "-" + std::to_string(count++));
    std::filesystem::create_directories(path_);
  }
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  const std::filesystem::path& path() const { return path_; }
  std::filesystem::path operator/(const std::string& name) const { return path_ / name; }

 private:
  std::filesystem::path path_;
};

/// The program running with arguments; its output goes to files.
class Process {
 public:
  Process(std::vector<std::string> arguments, const std::filesystem::path& out, const std::filesystem::path& err,
          const std::string& program = BAYWRIGHT_PROGRAM, const std::filesystem::path& working_folder = ".")
      : err_(err) {
    arguments.insert(arguments.begin(), program);
    std::vector<char*> raw;
    for (std::string& argument : arguments) raw.push_back(argument.data());
    raw.push_back(nullptr);
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    const auto open = [&](int fd, const std::filesystem::path& path) {
      posix_spawn_file_actions_addopen(&actions, fd, path.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0644);
    };
    posix_spawn_file_actions_addchdir_np(&actions, working_folder.c_str());
    open(STDOUT_FILENO, out);
    open(STDERR_FILENO, err);
    const int failed = posix_spawn(&child_, raw[0], &actions, nullptr, raw.data(), environ);
    posix_spawn_file_actions_destroy(&actions);
    if (failed != 0) throw std::runtime_error("cannot start " + arguments[0]);
  }

  /// Waits until its error output holds `text`; false when it ends or a minute passes before that.
  bool says(const std::string& text) {
    for (int i = 0; i < 600; ++i) {
      if (contents(err_).find(text) != std::string::npos) return true;
      if (::waitpid(child_, &status_, WNOHANG) == child_) {
        ended_ = true;
        return false;
      }
      std::this_thread::sleep_for(std::chrono::milliseconds(100));
    }
    return false;
  }
  void interrupt() const { ::kill(child_, SIGINT); }
  /// Exit code; 128 and the signal when one ended it.
  int wait() {
    if (!ended_) ::waitpid(child_, &status_, 0);
    ended_ = true;
    return WIFEXITED(status_) ? WEXITSTATUS(status_) : 128 + WTERMSIG(status_);
  }

 private:
  pid_t child_ = 0;
  int status_ = 0;
  bool ended_ = false;
  std::filesystem::path err_;
};

struct Outcome {
  int code = 0;
  std::string out, err;
};
inline Outcome run_in(const std::filesystem::path& working_folder, const std::string& program,
                      const std::vector<std::string>& arguments) {
  const Folder folder;
  Process process(arguments, folder / "out", folder / "err", program, working_folder);
  Outcome outcome;
  outcome.code = process.wait();
  outcome.out = contents(folder / "out");
  outcome.err = contents(folder / "err");
  return outcome;
}
inline Outcome run(const std::vector<std::string>& arguments) { return run_in(".", BAYWRIGHT_PROGRAM, arguments); }

}  // namespace baywright::test
