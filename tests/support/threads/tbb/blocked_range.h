#pragma once

#include <cstddef>

namespace tbb {

template <class Value>
class blocked_range {
 public:
  blocked_range(Value begin, Value end, std::size_t grain = 1) : begin_(begin), end_(end), grain_(grain) {}
  Value begin() const { return begin_; }
  Value end() const { return end_; }
  std::size_t size() const { return static_cast<std::size_t>(end_ - begin_); }
  std::size_t grainsize() const { return grain_; }

 private:
  Value begin_, end_;
  std::size_t grain_;
};

}  // namespace tbb
