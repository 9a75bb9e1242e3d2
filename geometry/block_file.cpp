// Layout, all numbers with the low byte first:
//   head        kind, version, byte order, size of the file, key, number of blocks, checksum of head and table
//   table       one row per block: name, bytes per item, items, place, checksum
//   blocks      each at a multiple of 64 bytes; zeros between them
// The checksum of a block is taken over the checksums of its runs of about 1 MB, so that runs can be read, summed and
// looked at by different threads, each while it is in the cache.
#include "geometry/block_file.hpp"

#include <tbb/blocked_range.h>
#include <tbb/parallel_for.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cerrno>
#include <cstring>
#include <limits>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "geometry/base/checksum.hpp"
#include "geometry/base/expects.hpp"

namespace baywright {
namespace {

constexpr std::size_t kAlign = 64;
constexpr std::size_t kRun_bytes = std::size_t{1} << 20;
constexpr std::uint32_t kByteOrder = 0x04030201;
constexpr std::uint32_t kMostBlocks = 1000;

struct Head {
  std::array<char, 8> kind{};
  std::uint32_t version = 0;
  std::uint32_t byte_order = kByteOrder;
  std::uint64_t file_bytes = 0;
  std::array<char, 64> key{};
  std::uint64_t blocks = 0;
  std::uint64_t checksum = 0;  ///< of head and table, this field being 0
};

struct Row {
  std::array<char, 16> name{};
  std::uint64_t item_bytes = 0, count = 0, offset = 0, checksum = 0;
};

std::uint64_t aligned(std::uint64_t at) { return (at + kAlign - 1) / kAlign * kAlign; }

/// Whole items, about 1 MB of them.
std::size_t run_bytes(std::size_t item_bytes) { return std::max<std::size_t>(1, kRun_bytes / item_bytes) * item_bytes; }

template <class F>
void for_runs(std::size_t bytes, std::size_t item_bytes, const F& f) {
  const std::size_t run = run_bytes(item_bytes), runs = (bytes + run - 1) / run;
  tbb::parallel_for(tbb::blocked_range<std::size_t>(0, runs, 1), [&](const auto& range) {
    for (std::size_t i = range.begin(); i < range.end(); ++i) f(i, i * run, std::min(run, bytes - i * run));
  });
}

std::size_t runs_of(std::size_t bytes, std::size_t item_bytes) {
  return (bytes + run_bytes(item_bytes) - 1) / run_bytes(item_bytes);
}

std::uint64_t sum_of_sums(const std::vector<std::uint64_t>& sums) {
  return checksum64(sums.data(), sums.size() * sizeof sums[0]);
}

std::uint64_t checksum_of(const void* data, std::size_t bytes, std::size_t item_bytes) {
  std::vector<std::uint64_t> sums(runs_of(bytes, item_bytes));
  for_runs(bytes, item_bytes, [&](std::size_t i, std::size_t from, std::size_t size) {
    sums[i] = checksum64(static_cast<const char*>(data) + from, size);
  });
  return sum_of_sums(sums);
}

std::uint64_t checksum_of(Head head, const std::vector<Row>& table) {
  head.checksum = 0;
  std::string bytes(reinterpret_cast<const char*>(&head), sizeof head);
  bytes.append(reinterpret_cast<const char*>(table.data()), table.size() * sizeof(Row));
  return checksum64(bytes.data(), bytes.size());
}

template <std::size_t N>
std::array<char, N> letters(std::string_view text) {
  EXPECTS(text.size() <= N);
  std::array<char, N> out{};
  std::copy(text.begin(), text.end(), out.begin());
  return out;
}

tl::unexpected<Error> damage(const std::string& what) { return fail(ErrorCode::file_damaged, "", what); }

}  // namespace

void BlockWriter::add_bytes(std::string_view name, std::size_t item_bytes, const void* data, std::size_t count) {
  EXPECTS(!name.empty() && name.size() < sizeof(Row::name) && blocks_.size() < kMostBlocks);
  for (const Block& block : blocks_) EXPECTS(block.name != name);
  blocks_.push_back({std::string(name), item_bytes, data, count});
}

void BlockWriter::add_text(std::string_view name, std::string text, std::size_t item_bytes) {
  texts_.push_back(std::move(text));
  add_bytes(name, item_bytes, texts_.back().data(), texts_.back().size() / item_bytes);
}

std::vector<std::string_view> BlockWriter::pieces(const BlockLabel& label) {
  static constexpr std::array<char, kAlign> kZeros{};
  Head head;
  head.kind = letters<8>(label.kind);
  head.version = label.version;
  EXPECTS(label.key.size() == head.key.size());
  head.key = letters<64>(label.key);
  head.blocks = blocks_.size();
  std::vector<Row> table;
  std::uint64_t at = sizeof(Head) + blocks_.size() * sizeof(Row);
  for (const Block& block : blocks_) {
    const std::size_t bytes = block.item_bytes * block.count;
    table.push_back({letters<16>(block.name), block.item_bytes, block.count, aligned(at),
                     checksum_of(block.data, bytes, block.item_bytes)});
    at = table.back().offset + bytes;
  }
  head.file_bytes = at;
  head.checksum = checksum_of(head, table);
  head_.assign(reinterpret_cast<const char*>(&head), sizeof head);
  head_.append(reinterpret_cast<const char*>(table.data()), table.size() * sizeof(Row));
  std::vector<std::string_view> out{head_};
  at = head_.size();
  for (std::size_t i = 0; i < blocks_.size(); ++i) {
    out.emplace_back(kZeros.data(), table[i].offset - at);
    out.emplace_back(static_cast<const char*>(blocks_[i].data), blocks_[i].item_bytes * blocks_[i].count);
    at = table[i].offset + out.back().size();
  }
  return out;
}

/// Where a file's bytes come from.
class BlockFile::Bytes {
 public:
  explicit Bytes(std::string memory) : size_(memory.size()), memory_(std::move(memory)) {}
  Bytes(int fd, std::uint64_t size) : size_(size), fd_(fd) {}
  Bytes(const Bytes&) = delete;
  Bytes& operator=(const Bytes&) = delete;
  ~Bytes() {
    if (fd_ >= 0) ::close(fd_);
  }

  std::uint64_t size() const { return size_; }
  /// False when they are not there.
  bool copy(std::uint64_t offset, void* to, std::size_t size) const {
    if (offset > size_ || size > size_ - offset) return false;
    if (fd_ < 0) {
      std::copy_n(memory_.data() + offset, size, static_cast<char*>(to));
      return true;
    }
    for (std::size_t done = 0; done < size;) {
      const ssize_t n = ::pread(fd_, static_cast<char*>(to) + done, size - done, static_cast<off_t>(offset + done));
      if (n < 0 && errno == EINTR) continue;
      if (n <= 0) return false;
      done += static_cast<std::size_t>(n);
    }
    return true;
  }

 private:
  std::uint64_t size_ = 0;
  std::string memory_;
  int fd_ = -1;
};

Result<BlockFile> BlockFile::open(const std::filesystem::path& path, const BlockLabel& label) {
  const int fd = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOFOLLOW);
  if (fd < 0 && errno == ENOENT) return fail(ErrorCode::file_missing, "", "is not there");
  if (fd < 0) return damage(std::string("cannot be opened: ") + std::strerror(errno));
  struct stat info {};
  const bool plain = ::fstat(fd, &info) == 0 && S_ISREG(info.st_mode);
  auto bytes = std::make_shared<const Bytes>(fd, plain ? static_cast<std::uint64_t>(info.st_size) : 0);
  if (!plain) return damage("is not a plain file");
  return read_head(std::move(bytes), label);
}

Result<BlockFile> BlockFile::over(std::string bytes, const BlockLabel& label) {
  return read_head(std::make_shared<const Bytes>(std::move(bytes)), label);
}

Result<BlockFile> BlockFile::read_head(std::shared_ptr<const Bytes> bytes, const BlockLabel& label) {
  Head head;
  if (!bytes->copy(0, &head, sizeof head)) return damage("is cut short");
  if (head.kind != letters<8>(label.kind) || head.byte_order != kByteOrder) return damage("is of another kind");
  if (head.version != label.version) return fail(ErrorCode::file_missing, "", "is of another version");
  if (!label.key.empty() && head.key != letters<64>(label.key)) return damage("belongs to something else");
  if (head.file_bytes != bytes->size()) return damage("has not the size it states");
  if (head.blocks > kMostBlocks) return damage("has an impossible number of blocks");
  std::vector<Row> table(head.blocks);
  if (!bytes->copy(sizeof head, table.data(), table.size() * sizeof(Row))) return damage("is cut short");
  if (head.checksum != checksum_of(head, table)) return damage("has a damaged head");
  BlockFile out;
  out.key_.assign(head.key.data(), head.key.size());
  std::uint64_t at = sizeof head + table.size() * sizeof(Row);
  for (const Row& row : table) {
    const std::string name(row.name.data(), strnlen(row.name.data(), row.name.size()));
    std::array<char, kAlign> between{};
    const bool placed = row.offset == aligned(at) && row.offset <= bytes->size() &&
                        bytes->copy(at, between.data(), row.offset - at) && between == decltype(between){};
    if (!placed || row.item_bytes == 0 || row.count > (bytes->size() - row.offset) / row.item_bytes) {
      return damaged(name, "is not where it should be");
    }
    out.blocks_.push_back({name, row.item_bytes, row.count, row.offset, row.checksum});
    at = row.offset + row.item_bytes * row.count;
  }
  if (at != bytes->size()) return damage("has something after its last block");
  out.bytes_ = std::move(bytes);
  return out;
}

tl::unexpected<Error> BlockFile::damaged(std::string_view name, const std::string& what) {
  return damage("block \"" + std::string(name) + "\" " + what);
}

std::size_t BlockFile::count(std::string_view name) const {
  for (const Block& block : blocks_) {
    if (block.name == name) return block.count;
  }
  return 0;
}

Result<const BlockFile::Block*> BlockFile::find(std::string_view name, std::size_t item_bytes) const {
  for (const Block& block : blocks_) {
    if (block.name != name) continue;
    if (block.item_bytes != item_bytes) return damaged(name, "has items of another size");
    return &block;
  }
  return damaged(name, "is missing");
}

Result<void> BlockFile::read_bytes(const Block& block, std::byte* to, const ByteCheck& check) const {
  const std::size_t bytes = block.item_bytes * block.count;
  std::vector<std::uint64_t> sums(runs_of(bytes, block.item_bytes));
  std::atomic<bool> there = true, possible = true;
  for_runs(bytes, block.item_bytes, [&](std::size_t i, std::size_t from, std::size_t size) {
    if (!bytes_->copy(block.offset + from, to + from, size)) {
      there = false;
      return;
    }
    sums[i] = checksum64(to + from, size);
    if (check && !check(to + from, size)) possible = false;
  });
  if (!there) return damaged(block.name, "is cut short");
  if (sum_of_sums(sums) != block.checksum) return damaged(block.name, "has a wrong checksum");
  if (!possible) return damaged(block.name, "holds impossible values");
  return {};
}

Result<std::string> BlockFile::text(std::string_view name) const {
  const auto block = find(name, 1);
  if (!block) return tl::unexpected(block.error());
  std::string out((*block)->count, '\0');
  if (auto done = read_bytes(**block, reinterpret_cast<std::byte*>(out.data()), {}); !done) {
    return tl::unexpected(done.error());
  }
  return out;
}

}  // namespace baywright
