#pragma once

#include <functional>
#include <mutex>
#include <string>
#include <vector>

#include "geometry/base/progress.hpp"
#include "geometry/base/result.hpp"

namespace baywright {

/// How a piece of work in a process of its own ended.
struct ApartEnd {
  bool finished = false;  ///< false: it crashed, was killed by a limit, or was cancelled
  bool cancelled = false;
  std::string bytes;  ///< what the work returned; empty unless finished
};

/// Runs `work` in a child process and hands back the bytes it returns. For code that may crash, hang or take all memory
/// on hostile input: none of that reaches the caller. The child prints nothing, leaves no core file, dies with its
/// parent, and is killed when `progress` is cancelled, after `limit_s` of processor time, or after ten times that on
/// the clock (it waits for something that never comes). Progress reported by the work is passed on.
///
/// @param quiet_point  held while the process is copied: whoever changes global state that `work` reads holds it too.
///                     `work` itself must not lock it.
/// Fails: kernel_failed when no process can be started.
Result<ApartEnd> run_apart(const std::function<std::string(const Progress&)>& work, double limit_s,
                           std::mutex& quiet_point, const Progress& progress);

/// Several pieces of such work, at most `at_once` at a time, with their ends in the same order. All children are
/// started by the calling thread, which does nothing else meanwhile: no lock is held while a process is copied unless
/// other threads of the caller's hold one.
struct ApartWork {
  std::function<std::string(const Progress&)> work;
  double limit_s = 0;
};
std::vector<Result<ApartEnd>> run_each_apart(const std::vector<ApartWork>& works, std::size_t at_once,
                                             std::mutex& quiet_point, const Progress& progress);

}  // namespace baywright
