#pragma once

#include <map>
#include <mutex>
#include <thread>

namespace tbb {

template <class T>
class enumerable_thread_specific {
 public:
  T& local() {
    const std::lock_guard lock(mutex_);
    return values_[std::this_thread::get_id()];
  }

 private:
  std::mutex mutex_;
  std::map<std::thread::id, T> values_;
};

}  // namespace tbb
