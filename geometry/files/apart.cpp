#include "geometry/files/apart.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>
#include <array>
#include <cerrno>
#include <csignal>
#include <cstdint>
#include <cstring>

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
  explicit Inbox(const Progress& progress) : progress_(progress) {}

  void add(const char* data, std::size_t size) {
    raw_.append(data, size);
    while (!raw_.empty() && raw_.front() == kProgress && raw_.size() >= 1 + sizeof(double)) {
      double fraction = 0;
      std::memcpy(&fraction, raw_.data() + 1, sizeof fraction);
      progress_.report("reading shapes", fraction);
      raw_.erase(0, 1 + sizeof(double));
    }
  }
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
  const Progress& progress_;
  std::string raw_;
};

int wait_for(pid_t child) {
  int status = 0;
  while (::waitpid(child, &status, 0) < 0) {
    if (errno != EINTR) return -1;
  }
  return status;
}

}  // namespace

Result<ApartEnd> run_apart(const std::function<std::string(const Progress&)>& work, double limit_s,
                           std::mutex& quiet_point, const Progress& progress) {
  std::array<int, 2> ends{};
  pid_t child = -1;
  {
    // Also so that a child started by another thread does not inherit the writing end and keep the pipe open.
    const std::scoped_lock lock(quiet_point);
    if (::pipe2(ends.data(), O_CLOEXEC) != 0) return fail(ErrorCode::kernel_failed, "", "no pipe can be opened");
    child = ::fork();
    if (child == 0) be_the_child(work, limit_s, ends[1]);
    ::close(ends[1]);
  }
  if (child < 0) {
    ::close(ends[0]);
    return fail(ErrorCode::kernel_failed, "", "no process can be started to read this file; free some memory");
  }
  ApartEnd end;
  Inbox inbox(progress);
  std::array<char, 1 << 16> block{};
  for (;;) {
    if (progress.cancelled() && !end.cancelled) {
      end.cancelled = true;
      ::kill(child, SIGKILL);
    }
    pollfd ready{ends[0], POLLIN, 0};
    if (::poll(&ready, 1, kPoll_ms) <= 0) continue;
    const ssize_t n = ::read(ends[0], block.data(), block.size());
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) break;
    inbox.add(block.data(), static_cast<std::size_t>(n));
  }
  ::close(ends[0]);
  const int status = wait_for(child);
  end.finished = !end.cancelled && WIFEXITED(status) && WEXITSTATUS(status) == 0 && inbox.take(end.bytes);
  return end;
}

}  // namespace baywright
