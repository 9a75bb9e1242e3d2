#pragma once

#include <cstddef>
#include <vector>

namespace baywright {

/// Asks for large pages under a block that is about to be filled; a hint, nothing happens where it is not understood.
void ask_for_large_pages(void* block, std::size_t bytes);

/// For large arrays: filling small pages one after the other takes longer than the work itself.
template <class T>
void reserve_large(std::vector<T>& v, std::size_t count) {
  v.reserve(count);
  ask_for_large_pages(v.data(), count * sizeof(T));
}
template <class T, class... Value>
void resize_large(std::vector<T>& v, std::size_t count, const Value&... value) {
  reserve_large(v, count);
  v.resize(count, value...);
}

}  // namespace baywright
