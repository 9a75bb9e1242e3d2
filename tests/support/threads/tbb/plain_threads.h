// The little of oneTBB that this project uses, on plain threads, for the thread sanitizer alone: the sanitizer does not
// see how the compiled library hands work over and would call every hand-over a race. Slower, and never part of a
// program.
#pragma once

#include <atomic>
#include <cstddef>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace tbb::plain {

constexpr std::size_t kThreads = 4;  ///< more than a small machine's cores: threads that interrupt each other find more

/// What global_control allows at this time.
inline std::atomic<std::size_t>& allowed() {
  static std::atomic<std::size_t> value{kThreads};
  return value;
}

/// Helpers at work, over all loops: inner loops get what outer ones leave.
inline std::atomic<std::size_t>& helpers() {
  static std::atomic<std::size_t> value{0};
  return value;
}

/// True when one more helper may start; counted then. Relaxed, so that counting orders nothing that the program left
/// unordered.
inline bool take_helper() {
  std::size_t busy = helpers().load(std::memory_order_relaxed);
  const std::size_t most = allowed().load(std::memory_order_relaxed);
  while (busy + 1 < most) {
    if (helpers().compare_exchange_weak(busy, busy + 1, std::memory_order_relaxed)) return true;
  }
  return false;
}

/// Calls run(i) for each i below count, on this thread and on helpers; throws the first exception after all have ended.
template <class Run>
void share(std::size_t count, const Run& run) {
  std::atomic<std::size_t> next{0};
  std::exception_ptr thrown;
  std::mutex throwing;
  const auto work = [&] {
    try {
      for (;;) {
        const std::size_t i = next.fetch_add(1, std::memory_order_relaxed);
        if (i >= count) return;
        run(i);
      }
    } catch (...) {
      next.store(count, std::memory_order_relaxed);
      const std::lock_guard lock(throwing);
      if (!thrown) thrown = std::current_exception();
    }
  };
  std::vector<std::thread> threads;
  while (threads.size() + 1 < count && take_helper()) threads.emplace_back(work);
  work();
  for (std::thread& thread : threads) {
    thread.join();
    helpers().fetch_sub(1, std::memory_order_relaxed);
  }
  if (thrown) std::rethrow_exception(thrown);
}

}  // namespace tbb::plain
