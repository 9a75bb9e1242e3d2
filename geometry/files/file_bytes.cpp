#include "geometry/files/file_bytes.hpp"

#include <fcntl.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>

namespace baywright {
namespace {

constexpr std::size_t kLargePage = std::size_t{2} << 20;

class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  int get() const { return fd_; }

 private:
  int fd_;
};

tl::unexpected<Error> missing(const std::filesystem::path& path, const std::string& why) {
  return fail(ErrorCode::file_missing, path.string(), why);
}

}  // namespace

Result<FileBytes> FileBytes::read(const std::filesystem::path& path) {
  const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK));
  if (file.get() < 0) return missing(path, std::string("cannot open: ") + std::strerror(errno));
  struct stat info {};
  if (::fstat(file.get(), &info) != 0) return missing(path, std::string("cannot look at: ") + std::strerror(errno));
  if (!S_ISREG(info.st_mode)) return missing(path, "is not a plain file");
  FileBytes out;
  const auto size = static_cast<std::size_t>(info.st_size);
  const std::size_t room = (size / kLargePage + 1) * kLargePage;
  out.data_.reset(size < kLargePage ? static_cast<char*>(std::malloc(size + 1))
                                    : static_cast<char*>(std::aligned_alloc(kLargePage, room)));
  if (out.data_ == nullptr) return missing(path, "does not fit into memory (" + std::to_string(size) + " bytes)");
  if (size >= kLargePage) ::madvise(out.data_.get(), room, MADV_HUGEPAGE);  // a hint; slower without
  while (out.size_ < size) {
    const ssize_t n = ::read(file.get(), out.data_.get() + out.size_, size - out.size_);
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) return missing(path, std::string("cannot read: ") + std::strerror(errno));
    if (n == 0) break;
    out.size_ += static_cast<std::size_t>(n);
  }
  return out;
}

}  // namespace baywright
