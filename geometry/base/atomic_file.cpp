#include "geometry/base/atomic_file.hpp"

#include <openssl/evp.h>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>
#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <memory>
#include <utility>
#include <vector>

#include "geometry/base/expects.hpp"

namespace baywright {
namespace {

class File {
 public:
  explicit File(int fd) : fd_(fd) {}
  File(const File&) = delete;
  File& operator=(const File&) = delete;
  File(File&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
  ~File() {
    if (fd_ >= 0) ::close(fd_);
  }
  int get() const { return fd_; }
  bool close() {
    const int fd = fd_;
    fd_ = -1;
    return ::close(fd) == 0;
  }

 private:
  int fd_;
};

tl::unexpected<Error> system_error(ErrorCode code, const std::filesystem::path& path, const char* what) {
  return fail(code, path.string(), std::string(what) + ": " + std::strerror(errno));
}

bool write_all(int fd, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t n = ::write(fd, bytes.data(), bytes.size());
    if (n < 0) {
      if (errno == EINTR) continue;
      return false;
    }
    bytes.remove_prefix(static_cast<std::size_t>(n));
  }
  return true;
}

}  // namespace

Result<void> write_file(const std::filesystem::path& path, std::string_view bytes) {
  return write_file(path, std::span(&bytes, 1));
}

namespace {

/// Writes the pieces, down to the disk, into a new file beside `path`; gives its name.
Result<std::string> write_beside(const std::filesystem::path& path, std::span<const std::string_view> pieces) {
  std::string part = path.string() + std::string(kHalfWritten) + "XXXXXX";
  File file(::mkstemp(part.data()));
  if (file.get() < 0) return system_error(ErrorCode::not_written, path, "cannot create a file in this folder");
  // mkstemp makes the file private; a saved document should follow the user's mask like any other file.
  const mode_t mask = ::umask(0);
  ::umask(mask);
  bool written = ::fchmod(file.get(), 0666 & ~mask) == 0;
  for (const std::string_view piece : pieces) written = written && write_all(file.get(), piece);
  written = written && ::fsync(file.get()) == 0 && file.close();
  if (written) return part;
  const auto error = system_error(ErrorCode::not_written, path, "cannot write");
  ::unlink(part.c_str());
  return error;
}

void sync_folder_of(const std::filesystem::path& path) {
  const std::filesystem::path folder = path.has_parent_path() ? path.parent_path() : std::filesystem::path(".");
  const File dir(::open(folder.c_str(), O_RDONLY | O_DIRECTORY));
  if (dir.get() >= 0) ::fsync(dir.get());
}

/// One file on its way to its place.
struct Move {
  std::filesystem::path path;
  std::string part;      ///< the new content; "" once it has its place
  std::string old_part;  ///< a second name of the old content; "" when there is none
  bool moved = false;
};

/// Puts back what was there, and lets go of all that is beside.
void undo(const std::vector<Move>& moves) {
  for (const Move& move : moves) {
    if (move.moved && move.old_part.empty()) ::unlink(move.path.c_str());
    if (move.moved && !move.old_part.empty()) ::rename(move.old_part.c_str(), move.path.c_str());
    if (!move.moved && !move.old_part.empty()) ::unlink(move.old_part.c_str());
    if (!move.part.empty()) ::unlink(move.part.c_str());
  }
}

}  // namespace

Result<void> write_file(const std::filesystem::path& path, std::span<const std::string_view> pieces) {
  const Result<std::string> part = write_beside(path, pieces);
  if (!part) return tl::unexpected(part.error());
  if (::rename(part->c_str(), path.c_str()) != 0) {
    const auto error = system_error(ErrorCode::not_written, path, "cannot write");
    ::unlink(part->c_str());
    return error;
  }
  sync_folder_of(path);
  return {};
}

Result<void> write_files(std::span<const NewFile> files) {
  std::vector<Move> moves;
  for (const NewFile& file : files) {
    const Result<std::string> part = write_beside(file.path, std::span(&file.bytes, 1));
    if (!part) {
      undo(moves);
      return tl::unexpected(part.error());
    }
    moves.push_back({file.path, *part, "", false});
    // A second name keeps the old content at hand. Where the disk has no such thing, a copy would take its time for a
    // case that hardly comes: then the file before this one is not put back, but made to be absent.
    const std::string old_part = *part + ".old";
    if (::link(file.path.c_str(), old_part.c_str()) == 0) moves.back().old_part = old_part;
  }
  for (Move& move : moves) {
    if (::rename(move.part.c_str(), move.path.c_str()) != 0) {
      const auto error = system_error(ErrorCode::not_written, move.path, "cannot write");
      undo(moves);
      return error;
    }
    move.part.clear();
    move.moved = true;
  }
  for (const Move& move : moves) {
    if (!move.old_part.empty()) ::unlink(move.old_part.c_str());
    sync_folder_of(move.path);
  }
  return {};
}

namespace {

struct OpenFile {
  File file;
  std::size_t size = 0;
};

Result<OpenFile> open_plain(const std::filesystem::path& path, std::uintmax_t limit_bytes) {
  OpenFile out{File(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK))};
  if (out.file.get() < 0) return system_error(ErrorCode::file_missing, path, "cannot open");
  struct stat info {};
  if (::fstat(out.file.get(), &info) != 0) return system_error(ErrorCode::file_missing, path, "cannot look at");
  if (!S_ISREG(info.st_mode)) return fail(ErrorCode::file_missing, path.string(), "is not a plain file");
  const auto size = static_cast<std::uintmax_t>(info.st_size);
  if (size > limit_bytes) {
    return fail(ErrorCode::bad_value, path.string(),
                "is " + std::to_string(size) + " bytes; at most " + std::to_string(limit_bytes) + " are read");
  }
  out.size = size;
  return out;
}

/// Reads up to `size` bytes; less at the end of the file. -1: errno says why.
ssize_t read_some(int fd, char* to, std::size_t size) {
  std::size_t done = 0;
  while (done < size) {
    const ssize_t n = ::read(fd, to + done, size - done);
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) return -1;
    if (n == 0) break;
    done += static_cast<std::size_t>(n);
  }
  return static_cast<ssize_t>(done);
}

std::string hex(std::span<const unsigned char> digest) {
  static constexpr char kHex[] = "0123456789abcdef";
  std::string text;
  for (const unsigned char byte : digest) {
    text += kHex[byte >> 4];
    text += kHex[byte & 15];
  }
  return text;
}

}  // namespace

Result<std::string> read_file(const std::filesystem::path& path, std::uintmax_t limit_bytes) {
  const auto open = open_plain(path, limit_bytes);
  if (!open) return tl::unexpected(open.error());
  std::string bytes(open->size, '\0');
  const ssize_t done = read_some(open->file.get(), bytes.data(), bytes.size());
  if (done < 0) return system_error(ErrorCode::file_missing, path, "cannot read");
  bytes.resize(static_cast<std::size_t>(done));
  return bytes;
}

Result<std::string> sha256_of_file(const std::filesystem::path& path, std::uintmax_t limit_bytes) {
  constexpr std::size_t kBlock = std::size_t{256} << 10;  // stays in the second cache between reading and hashing
  const auto open = open_plain(path, limit_bytes);
  if (!open) return tl::unexpected(open.error());
  const std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context(EVP_MD_CTX_new(), &EVP_MD_CTX_free);
  EXPECTS(context && EVP_DigestInit_ex(context.get(), EVP_sha256(), nullptr) == 1);
  std::vector<char> block(kBlock);
  for (std::size_t left = open->size; left > 0;) {
    const ssize_t n = read_some(open->file.get(), block.data(), std::min(left, block.size()));
    if (n < 0) return system_error(ErrorCode::file_missing, path, "cannot read");
    if (n == 0) break;
    EXPECTS(EVP_DigestUpdate(context.get(), block.data(), static_cast<std::size_t>(n)) == 1);
    left -= static_cast<std::size_t>(n);
  }
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned length = 0;
  EXPECTS(EVP_DigestFinal_ex(context.get(), digest.data(), &length) == 1);
  return hex({digest.data(), length});
}

std::string sha256_hex(std::string_view bytes) {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned length = 0;
  const int ok = EVP_Digest(bytes.data(), bytes.size(), digest.data(), &length, EVP_sha256(), nullptr);
  EXPECTS(ok == 1);
  return hex({digest.data(), length});
}

}  // namespace baywright
