#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>
#include <filesystem>
#include <functional>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

#include "geometry/base/result.hpp"
#include "geometry/large_pages.hpp"

namespace baywright {

// Arrays in one file, each as it lies in memory, for files of this program's own that may be lost at any time. Every
// byte of such a file is held by a checksum or known: what has changed is not read.

/// What a file must say of itself to be read at all.
struct BlockLabel {
  std::string kind;           ///< at most 8 characters: "BWPART"
  std::uint32_t version = 0;  ///< of the meaning of the blocks
  std::string key;            ///< SHA-256 as 64 hex digits, of what the content follows from; reading: "" for any
};

/// Types whose bytes are their value.
template <class T>
inline constexpr bool kIsPlain =
    std::is_standard_layout_v<T>&& std::is_trivially_destructible_v<T> && !std::is_pointer_v<T>;

class BlockWriter {
 public:
  /// An array that stays unchanged until the file is written. Names are at most 15 characters, each used once.
  template <class T>
  void add(std::string_view name, const std::vector<T>& array) {
    static_assert(kIsPlain<T>);
    add_bytes(name, sizeof(T), array.data(), array.size());
  }
  /// One value, copied. Its type must have no padding.
  template <class T>
  void add_item(std::string_view name, const T& item) {
    static_assert(kIsPlain<T> && std::has_unique_object_representations_v<T>);
    add_text(name, std::string(reinterpret_cast<const char*>(&item), sizeof item), sizeof item);
  }
  void add_text(std::string_view name, std::string text) { add_text(name, std::move(text), 1); }

  /// The file as pieces, one after the other; they refer to what was added.
  std::vector<std::string_view> pieces(const BlockLabel& label);

 private:
  struct Block {
    std::string name;
    std::size_t item_bytes = 0;
    const void* data = nullptr;
    std::size_t count = 0;
  };
  void add_bytes(std::string_view name, std::size_t item_bytes, const void* data, std::size_t count);
  void add_text(std::string_view name, std::string text, std::size_t item_bytes);

  std::vector<Block> blocks_;
  std::deque<std::string> texts_;
  std::string head_;
};

/// Reads such a file, block by block. Sizes are compared with the file's before memory is taken; blocks are read on all
/// cores. Errors: file_missing (there is none, or one of another version), file_damaged (says what); nothing half-read
/// is handed out.
class BlockFile {
 public:
  static Result<BlockFile> open(const std::filesystem::path& path, const BlockLabel& label);
  /// A file's bytes in memory.
  static Result<BlockFile> over(std::string bytes, const BlockLabel& label);

  /// As it was written.
  const std::string& key() const { return key_; }
  /// Items in a block; 0 when there is none of that name.
  std::size_t count(std::string_view name) const;
  /// Looks at some items in a row; false: they cannot be.
  template <class T>
  using Check = std::function<bool(const T* items, std::size_t count)>;
  /// The whole array, every item seen by `check`.
  template <class T>
  Result<void> read(std::string_view name, std::vector<T>& out, const Check<T>& check = {}) const {
    static_assert(kIsPlain<T>);
    const auto block = find(name, sizeof(T));
    if (!block) return tl::unexpected(block.error());
    out = {};
    resize_large(out, (*block)->count);
    ByteCheck bytes;
    if (check) {
      bytes = [&check](const std::byte* at, std::size_t size) {
        return check(reinterpret_cast<const T*>(at), size / sizeof(T));
      };
    }
    return read_bytes(**block, reinterpret_cast<std::byte*>(out.data()), bytes);
  }
  template <class T>
  Result<T> item(std::string_view name) const {
    std::vector<T> items;
    if (auto done = read<T>(name, items); !done) return tl::unexpected(done.error());
    if (items.size() != 1) return damaged(name, "is not one item");
    return items.front();
  }
  Result<std::string> text(std::string_view name) const;
  /// For what the content of a block turns out to be.
  static tl::unexpected<Error> damaged(std::string_view name, const std::string& what);

 private:
  class Bytes;
  struct Block {
    std::string name;
    std::uint64_t item_bytes = 0, count = 0, offset = 0, checksum = 0;
  };
  using ByteCheck = std::function<bool(const std::byte* at, std::size_t size)>;

  static Result<BlockFile> read_head(std::shared_ptr<const Bytes> bytes, const BlockLabel& label);
  Result<const Block*> find(std::string_view name, std::size_t item_bytes) const;
  Result<void> read_bytes(const Block& block, std::byte* to, const ByteCheck& check) const;
  std::shared_ptr<const Bytes> bytes_;
  std::vector<Block> blocks_;
  std::string key_;
};

}  // namespace baywright
