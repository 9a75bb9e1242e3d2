#include "job/known_hashes.hpp"

#include <tbb/blocked_range.h>
#include <tbb/parallel_for.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cerrno>
#include <vector>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "geometry/base/atomic_file.hpp"
#include "geometry/base/checksum.hpp"
#include "geometry/block_file.hpp"

namespace baywright::job {
namespace fs = std::filesystem;
namespace {

constexpr std::size_t kRun_bytes = std::size_t{1} << 20;  // stays in the cache between reading and summing
constexpr std::uintmax_t kLarge_bytes = std::uintmax_t{4} << 20;
constexpr std::size_t kMostKept = 500;
constexpr std::uint32_t kHashesVersion = 1;
const BlockLabel kLabel{"BWSUMS", kHashesVersion, std::string(64, '0')};

/// An open file.
class Source {
 public:
  explicit Source(const fs::path& path) : fd_(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK)) {}
  Source(const Source&) = delete;
  Source& operator=(const Source&) = delete;
  ~Source() {
    if (fd_ >= 0) ::close(fd_);
  }
  /// Size of a plain file.
  std::optional<std::uint64_t> size() const {
    struct stat info {};
    if (fd_ < 0 || ::fstat(fd_, &info) != 0 || !S_ISREG(info.st_mode)) return std::nullopt;
    return static_cast<std::uint64_t>(info.st_size);
  }
  bool read(std::uint64_t from, char* to, std::size_t size) const {
    for (std::size_t done = 0; done < size;) {
      const ssize_t n = ::pread(fd_, to + done, size - done, static_cast<off_t>(from + done));
      if (n < 0 && errno == EINTR) continue;
      if (n <= 0) return false;
      done += static_cast<std::size_t>(n);
    }
    return true;
  }

 private:
  int fd_ = -1;
};

/// What is different after a write.
struct Stamp {
  std::int64_t bytes = 0, modified_s = 0, modified_ns = 0, changed_s = 0, changed_ns = 0;
  bool operator==(const Stamp&) const = default;
};
std::optional<Stamp> stamp_of(const fs::path& path) {
  struct stat info {};
  if (::stat(path.c_str(), &info) != 0) return std::nullopt;
  return Stamp{info.st_size, info.st_mtim.tv_sec, info.st_mtim.tv_nsec, info.st_ctim.tv_sec, info.st_ctim.tv_nsec};
}

struct Row {
  std::uint64_t bytes = 0, sum = 0;
  std::array<char, 64> sha256{};
};

}  // namespace

Result<std::uint64_t> content_sum(const fs::path& path) {
  const Source source(path);
  const auto size = source.size();
  if (!size) return fail(ErrorCode::file_missing, path.string(), "cannot be read");
  std::vector<std::uint64_t> sums((*size + kRun_bytes - 1) / kRun_bytes);
  std::atomic<bool> there = true;
  tbb::parallel_for(tbb::blocked_range<std::size_t>(0, sums.size(), 1), [&](const auto& range) {
    std::vector<char> run(kRun_bytes);
    for (std::size_t i = range.begin(); i < range.end(); ++i) {
      const std::size_t bytes = std::min<std::uint64_t>(kRun_bytes, *size - i * kRun_bytes);
      if (!source.read(i * kRun_bytes, run.data(), bytes)) there = false;
      sums[i] = checksum64(run.data(), bytes);
    }
  });
  if (!there) return fail(ErrorCode::file_missing, path.string(), "cannot be read");
  return checksum64(sums.data(), sums.size() * sizeof sums[0]);
}

void KnownHashes::read() {
  was_read_ = true;
  const auto in = BlockFile::open(*file_, kLabel);
  if (!in) return;  // lost or damaged: hashes are made again
  std::vector<Row> rows;
  if (!in->read("sums", rows)) return;
  for (const Row& row : rows)
    known_.emplace(Sum{row.bytes, row.sum}, std::string(row.sha256.data(), row.sha256.size()));
}

Result<std::string> KnownHashes::sha256_of(const fs::path& source) {
  const auto before = stamp_of(source);
  if (!file_ || !before || static_cast<std::uintmax_t>(before->bytes) < kLarge_bytes) return sha256_of_file(source);
  const auto sum = content_sum(source);
  if (!sum) return sha256_of_file(source);  // which says why
  const Sum of{static_cast<std::uint64_t>(before->bytes), *sum};
  {
    const std::lock_guard lock(mutex_);
    if (!was_read_) read();
    if (const auto found = known_.find(of); found != known_.end()) {
      used_.insert(*found);
      return found->second;
    }
  }
  auto hash = sha256_of_file(source);
  if (hash && stamp_of(source) == before) {
    const std::lock_guard lock(mutex_);
    has_new_ = true;
    used_.emplace(of, *hash);
  }
  return hash;
}

bool KnownHashes::has_new() const {
  const std::lock_guard lock(mutex_);
  return has_new_;
}

Result<void> KnownHashes::write() const {
  const std::lock_guard lock(mutex_);
  // What another opening knew is worth keeping as well, within reason.
  std::map<Sum, std::string> all = used_;
  if (known_.size() <= kMostKept) all.insert(known_.begin(), known_.end());
  std::vector<Row> rows;
  for (const auto& [of, sha256] : all) {
    Row row{of.bytes, of.sum, {}};
    std::copy(sha256.begin(), sha256.end(), row.sha256.begin());
    rows.push_back(row);
  }
  BlockWriter out;
  out.add("sums", rows);
  return write_file(*file_, out.pieces(kLabel));
}

}  // namespace baywright::job
