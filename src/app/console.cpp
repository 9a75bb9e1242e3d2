#include "app/console.hpp"

#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <mutex>
#include <string_view>

namespace baywright::app {
namespace {

bool output_failed = false;
std::mutex progress_mutex;
std::string last_step;
bool line_open = false;
/// Into a file or pipe only now and then a line: enough to see that work goes on.
constexpr std::chrono::seconds kLogPace{2};
std::chrono::steady_clock::time_point last_line;

// A signal handler may touch only lock-free atomics, so the shared cancel flag is polled by way of this one.
std::atomic<const Progress*> running{nullptr};

extern "C" void on_interrupt(int) {
  if (const Progress* progress = running.load()) progress->cancel();
  std::signal(SIGINT, SIG_DFL);  // a second Ctrl+C ends the program at once
}

}  // namespace

void print(const std::string& text) {
  errno = 0;
  const bool written = std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
  // A reader that went away (`| head`) has seen what it wanted.
  if (!written && errno != EPIPE) output_failed = true;
}

bool output_was_lost() { return output_failed; }

void print_errors(const std::vector<Error>& errors) {
  for (const Error& error : errors) std::fprintf(stderr, "baywright: %s\n", to_line(error).c_str());
}

void print_notes(const std::vector<std::string>& notes) {
  for (const std::string& note : notes) std::fprintf(stderr, "baywright: note: %s\n", note.c_str());
}

bool wants_color() {
  const char* term = std::getenv("TERM");
  return ::isatty(STDOUT_FILENO) && !std::getenv("NO_COLOR") && term && std::string_view(term) != "dumb";
}

Progress console_progress() {
  static const bool terminal = ::isatty(STDERR_FILENO);
  static const Progress progress([](std::string_view step, double fraction) {
    const std::lock_guard lock(progress_mutex);
    if (terminal) {
      char percent[16] = "";
      if (fraction >= 0) std::snprintf(percent, sizeof percent, " %3.0f %%", 100 * fraction);
      std::fprintf(stderr, "\r\033[K%.*s%s", static_cast<int>(step.size()), step.data(), percent);
      line_open = true;
    } else if (const auto now = std::chrono::steady_clock::now(); step != last_step && now - last_line > kLogPace) {
      std::fprintf(stderr, "%.*s\n", static_cast<int>(step.size()), step.data());
      last_line = now;
      last_step = step;
    }
  });
  running.store(&progress);
  std::signal(SIGINT, on_interrupt);
  return progress;
}

void end_progress() {
  const std::lock_guard lock(progress_mutex);
  if (line_open) std::fputs("\r\033[K", stderr);
  line_open = false;
  last_step.clear();
}

int report_failure(const std::vector<Error>& errors) {
  constexpr int kBadInput = 2;
  constexpr int kCancelled = 130;
  end_progress();
  print_errors(errors);
  return !errors.empty() && errors.front().code == ErrorCode::cancelled ? kCancelled : kBadInput;
}

}  // namespace baywright::app
