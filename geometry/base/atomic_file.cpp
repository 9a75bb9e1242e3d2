#include "geometry/base/atomic_file.hpp"

#include <openssl/evp.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "geometry/base/expects.hpp"

namespace baywright {
namespace {

class File {
 public:
  explicit File(int fd) : fd_(fd) {}
  File(const File&) = delete;
  File& operator=(const File&) = delete;
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
  std::string part = path.string() + ".part-XXXXXX";
  File file(::mkstemp(part.data()));
  if (file.get() < 0) return system_error(ErrorCode::not_written, path, "cannot create a file in this folder");
  // mkstemp makes the file private; a saved document should follow the user's mask like any other file.
  const mode_t mask = ::umask(0);
  ::umask(mask);
  const bool written = ::fchmod(file.get(), 0666 & ~mask) == 0 && write_all(file.get(), bytes) &&
                       ::fsync(file.get()) == 0 && file.close();
  if (!written || ::rename(part.c_str(), path.c_str()) != 0) {
    const auto error = system_error(ErrorCode::not_written, path, "cannot write");
    ::unlink(part.c_str());
    return error;
  }
  const std::filesystem::path folder = path.has_parent_path() ? path.parent_path() : std::filesystem::path(".");
  File dir(::open(folder.c_str(), O_RDONLY | O_DIRECTORY));
  if (dir.get() >= 0) ::fsync(dir.get());
  return {};
}

Result<std::string> read_file(const std::filesystem::path& path, std::uintmax_t limit_bytes) {
  File file(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK));
  if (file.get() < 0) return system_error(ErrorCode::file_missing, path, "cannot open");
  struct stat info {};
  if (::fstat(file.get(), &info) != 0) return system_error(ErrorCode::file_missing, path, "cannot look at");
  if (!S_ISREG(info.st_mode)) return fail(ErrorCode::file_missing, path.string(), "is not a plain file");
  const auto size = static_cast<std::uintmax_t>(info.st_size);
  if (size > limit_bytes) {
    return fail(ErrorCode::bad_value, path.string(),
                "is " + std::to_string(size) + " bytes; at most " + std::to_string(limit_bytes) + " are read");
  }
  std::string bytes(size, '\0');
  std::size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t n = ::read(file.get(), bytes.data() + done, bytes.size() - done);
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) return system_error(ErrorCode::file_missing, path, "cannot read");
    if (n == 0) break;
    done += static_cast<std::size_t>(n);
  }
  bytes.resize(done);
  return bytes;
}

std::string sha256_hex(std::string_view bytes) {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned length = 0;
  const int ok = EVP_Digest(bytes.data(), bytes.size(), digest.data(), &length, EVP_sha256(), nullptr);
  EXPECTS(ok == 1);
  static constexpr char kHex[] = "0123456789abcdef";
  std::string text;
  for (unsigned i = 0; i < length; ++i) {
    text += kHex[digest[i] >> 4];
    text += kHex[digest[i] & 15];
  }
  return text;
}

}  // namespace baywright
