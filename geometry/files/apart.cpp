#include "geometry/files/apart.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdint>
#include <cstring>
#include <optional>

namespace baywright {
namespace {

// The pipe carries progress records ('P', the fraction), then one result record ('R', the length, the bytes).
constexpr char kProgress = 'P';
constexpr char kResult = 'R';
constexpr int kPoll_ms = 50;

bool send(int fd, const void* data, std::size_t size) {
  const char* at = static_cast<const char*>(data);
  while (size > 0) {
    const ssize_t n = ::write(fd, at, size);
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return false;
    at += n;
    size -= static_cast<std::size_t>(n);
  }
  return true;
}

void limit(int what, rlim_t amount) {
  rlimit old{};
  ::getrlimit(static_cast<__rlimit_resource_t>(what), &old);
  if (old.rlim_max != RLIM_INFINITY && amount > old.rlim_max) amount = old.rlim_max;
  const rlimit now{amount, old.rlim_max};
  ::setrlimit(static_cast<__rlimit_resource_t>(what), &now);
}

/// What the child does; never returns.
[[noreturn]] void be_the_child(const std::function<std::string(const Progress&)>& work, double limit_s, int fd) {
  ::prctl(PR_SET_PDEATHSIG, SIGKILL);
  for (const int s : {SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT, SIGTERM, SIGINT, SIGXCPU}) std::signal(s, SIG_DFL);
  limit(RLIMIT_CORE, 0);
  limit(RLIMIT_CPU, static_cast<rlim_t>(limit_s) + 1);
  const int nowhere = ::open("/dev/null", O_WRONLY | O_CLOEXEC);
  if (nowhere >= 0) {
    ::dup2(nowhere, STDOUT_FILENO);
    ::dup2(nowhere, STDERR_FILENO);
  }
  const Progress passed_on([fd](std::string_view /*step*/, double fraction) {
    send(fd, &kProgress, 1) && send(fd, &fraction, sizeof fraction);
  });
  int code = 1;
  try {
    const std::string bytes = work(passed_on);
    const std::uint64_t size = bytes.size();
    if (send(fd, &kResult, 1) && send(fd, &size, sizeof size) && send(fd, bytes.data(), bytes.size())) code = 0;
  } catch (const std::exception&) {
    code = 2;  // the parent sees an unfinished child, as after a crash
  }
  ::_exit(code);
}

/// Takes records off the front of what has come so far.
class Inbox {
 public:
  /// True when there was a record of progress.
  bool add(const char* data, std::size_t size) {
    raw_.append(data, size);
    bool moved = false;
    while (!raw_.empty() && raw_.front() == kProgress && raw_.size() >= 1 + sizeof(double)) {
      std::memcpy(&fraction_, raw_.data() + 1, sizeof fraction_);
      raw_.erase(0, 1 + sizeof(double));
      moved = true;
    }
    return moved;
  }
  double fraction() const { return fraction_; }
  /// True when the result came whole.
  bool take(std::string& bytes) {
    std::uint64_t size = 0;
    constexpr std::size_t head = 1 + sizeof size;
    if (raw_.size() < head || raw_.front() != kResult) return false;
    std::memcpy(&size, raw_.data() + 1, sizeof size);
    if (raw_.size() - head != size) return false;
    raw_.erase(0, head);
    bytes = std::move(raw_);
    return true;
  }

 private:
  std::string raw_;
  double fraction_ = 0;
};

int wait_for(pid_t child) {
  int status = 0;
  while (::waitpid(child, &status, 0) < 0) {
    if (errno != EINTR) return -1;
  }
  return status;
}

/// Time on the clock for a second of processor time allowed: a loaded machine is no reason to give up.
constexpr double kClockPerProcessor = 10;

/// A piece of work on its way.
struct Child {
  std::chrono::steady_clock::time_point give_up;
  std::size_t number = 0;
  pid_t pid = -1;
  int from = -1;  ///< end of the pipe to read from
  Inbox inbox;
};

std::optional<Child> start(const ApartWork& work, std::mutex& quiet_point) {
  std::array<int, 2> ends{};
  // Also so that a child started by another thread does not inherit the writing end and keep the pipe open.
  const std::scoped_lock lock(quiet_point);
  if (::pipe2(ends.data(), O_CLOEXEC) != 0) return std::nullopt;
  Child child;
  child.from = ends[0];
  child.give_up =
      std::chrono::steady_clock::now() + std::chrono::duration_cast<std::chrono::steady_clock::duration>(
                                             std::chrono::duration<double>(kClockPerProcessor * work.limit_s));
  child.pid = ::fork();
  if (child.pid == 0) be_the_child(work.work, work.limit_s, ends[1]);
  ::close(ends[1]);
  if (child.pid > 0) return child;
  ::close(ends[0]);
  return std::nullopt;
}

/// False when nothing more will come.
bool receive(Child& child, bool& moved) {
  std::array<char, 1 << 16> block{};
  const ssize_t n = ::read(child.from, block.data(), block.size());
  if (n < 0 && errno == EINTR) return true;
  if (n <= 0) return false;
  moved = child.inbox.add(block.data(), static_cast<std::size_t>(n)) || moved;
  return true;
}

}  // namespace

std::vector<Result<ApartEnd>> run_each_apart(const std::vector<ApartWork>& works, std::size_t at_once,
                                             std::mutex& quiet_point, const Progress& progress) {
  std::vector<Result<ApartEnd>> ends(works.size());
  std::vector<Child> running;
  std::size_t next = 0;
  bool killed = false;
  while (next < works.size() || !running.empty()) {
    if (progress.cancelled() && !killed) {
      killed = true;
      for (const Child& child : running) ::kill(child.pid, SIGKILL);
      for (; next < works.size(); ++next) ends[next]->cancelled = true;
    }
    for (; next < works.size() && running.size() < std::max<std::size_t>(1, at_once); ++next) {
      auto child = start(works[next], quiet_point);
      if (!child) {
        ends[next] =
            fail(ErrorCode::kernel_failed, "", "no process can be started to read this file; free some memory");
        continue;
      }
      child->number = next;
      running.push_back(std::move(*child));
    }
    const auto now = std::chrono::steady_clock::now();
    for (const Child& child : running) {
      if (now > child.give_up) ::kill(child.pid, SIGKILL);  // its pipe closes, and it counts as one that crashed
    }
    std::vector<pollfd> ready;
    for (const Child& child : running) ready.push_back({child.from, POLLIN, 0});
    if (::poll(ready.data(), ready.size(), kPoll_ms) <= 0) continue;
    bool moved = false;
    for (std::size_t i = running.size(); i-- > 0;) {
      Child& child = running[i];
      if (ready[i].revents == 0 || receive(child, moved)) continue;
      ::close(child.from);
      const int status = wait_for(child.pid);
      ApartEnd& end = *ends[child.number];
      end.cancelled = killed;
      end.finished = !killed && WIFEXITED(status) && WEXITSTATUS(status) == 0 && child.inbox.take(end.bytes);
      running.erase(running.begin() + static_cast<std::ptrdiff_t>(i));
    }
    if (!moved) continue;
    auto sum = static_cast<double>(next - running.size());
    for (const Child& child : running) sum += child.inbox.fraction();
    progress.report("reading shapes", sum / static_cast<double>(works.size()));
  }
  return ends;
}

Result<ApartEnd> run_apart(const std::function<std::string(const Progress&)>& work, double limit_s,
                           std::mutex& quiet_point, const Progress& progress) {
  return run_each_apart({{work, limit_s}}, 1, quiet_point, progress).front();
}

}  // namespace baywright
