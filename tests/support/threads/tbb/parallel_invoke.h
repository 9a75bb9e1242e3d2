#pragma once

#include <array>
#include <functional>

#include "plain_threads.h"

namespace tbb {

template <class... Work>
void parallel_invoke(const Work&... work) {
  const std::array<std::function<void()>, sizeof...(Work)> all{std::cref(work)...};
  plain::share(all.size(), [&](std::size_t i) { all[i](); });
}

}  // namespace tbb
