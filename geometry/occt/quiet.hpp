#pragma once

#include <mutex>

namespace baywright::occt {

/// Takes the kernel's printers away (it would write to standard output, where our own results go). Cheap to repeat.
void be_quiet();

/// The kernel's STEP reader and writer keep their settings and counters in globals: one at a time in a process.
std::mutex& step_mutex();

}  // namespace baywright::occt
