#pragma once

#include <algorithm>

#include "blocked_range.h"
#include "plain_threads.h"

namespace tbb {

class simple_partitioner {};

template <class Value, class Body>
void parallel_for(const blocked_range<Value>& range, const Body& body, simple_partitioner = {}) {
  if (range.begin() >= range.end()) return;
  const std::size_t grain = std::max<std::size_t>(1, range.grainsize());
  plain::share((range.size() + grain - 1) / grain, [&](std::size_t i) {
    const Value first = range.begin() + static_cast<Value>(i * grain);
    const Value last = range.begin() + static_cast<Value>(std::min((i + 1) * grain, range.size()));
    body(blocked_range<Value>(first, last, grain));
  });
}

template <class Index, class Body>
void parallel_for(Index first, Index last, const Body& body) {
  if (first >= last) return;
  plain::share(static_cast<std::size_t>(last - first), [&](std::size_t i) { body(first + static_cast<Index>(i)); });
}

}  // namespace tbb
