#pragma once

#include "plain_threads.h"

namespace tbb {

class global_control {
 public:
  enum parameter { max_allowed_parallelism };
  global_control(parameter, std::size_t most) : before_(plain::allowed().exchange(most)) {}
  ~global_control() { plain::allowed() = before_; }
  global_control(const global_control&) = delete;
  global_control& operator=(const global_control&) = delete;

 private:
  std::size_t before_;
};

}  // namespace tbb
