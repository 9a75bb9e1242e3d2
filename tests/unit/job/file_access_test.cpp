#include "job/file_access.hpp"

#include <sys/stat.h>
#include <filesystem>

#include <catch2/catch.hpp>

#include "geometry/base/atomic_file.hpp"

using namespace baywright;
namespace fs = std::filesystem;

namespace {

/// A job folder beside a file that is none of its business.
class Folders {
 public:
  Folders() : root(fs::path(BAYWRIGHT_BINARY_DIR) / "file_access_test") {
    fs::remove_all(root);
    fs::create_directories(root / "job" / "parts");
    for (const char* name : {"secret.step", "job/engine.step", "job/parts/head.step"}) {
      REQUIRE(write_file(root / name, "x").has_value());
    }
    fs::create_symlink(root / "secret.step", root / "job" / "innocent.step");
    fs::create_directory_symlink(root, root / "job" / "up");
    fs::create_symlink(root / "job" / "engine.step", root / "job" / "alias.step");
    ::mkfifo((root / "job" / "pipe.step").c_str(), 0600);
  }
  ~Folders() {
    std::error_code error;
    fs::remove_all(root, error);
  }
  fs::path root;
};

std::string refusal(const job::FileAccess& access, const std::string& named) {
  const auto found = access.find(named, "here");
  return found ? "" : found.error().message;
}

}  // namespace

TEST_CASE("only plain files inside the job folder are found") {
  const Folders folders;
  const job::FileAccess access(folders.root / "job", {});
  for (const char* name : {"engine.step", "parts/head.step", "./engine.step", "parts/../engine.step", "alias.step"}) {
    INFO(name);
    const auto found = access.find(name, "here");
    REQUIRE(found.has_value());
    CHECK_FALSE(found->outside);
  }
  const std::string secret = (folders.root / "secret.step").string();
  CHECK(refusal(access, "").find("not a file name") != std::string::npos);
  CHECK(refusal(access, secret).find("absolute path") != std::string::npos);
  CHECK(refusal(access, "/dev/null").find("absolute path") != std::string::npos);
  CHECK(refusal(access, "../secret.step").find("leads out of the job folder") != std::string::npos);
  CHECK(refusal(access, "parts/../../secret.step").find("leads out of the job folder") != std::string::npos);
  CHECK(refusal(access, "innocent.step").find("is a link that leads out") != std::string::npos);
  CHECK(refusal(access, "up/secret.step").find("is a link that leads out") != std::string::npos);
  CHECK(refusal(access, std::string("engine.step\0/../../secret.step", 30)).find("not a file name") !=
        std::string::npos);
  CHECK(refusal(access, "pipe.step").find("not a plain file") != std::string::npos);
  CHECK(refusal(access, "parts").find("is a folder") != std::string::npos);
  CHECK(refusal(access, ".").find("folder") != std::string::npos);
  CHECK(refusal(access, "..").find("leads out") != std::string::npos);
  CHECK(refusal(access, "engin.step") == "\"engin.step\" is not there; did you mean \"engine.step\"?");
  CHECK(refusal(access, "parts\\head.step").find("separated by /") != std::string::npos);
}

TEST_CASE("a folder whose name begins like the job's is not the job's") {
  const Folders folders;
  fs::create_directories(folders.root / "job-other");
  REQUIRE(write_file(folders.root / "job-other" / "a.step", "x").has_value());
  fs::create_symlink(folders.root / "job-other" / "a.step", folders.root / "job" / "b.step");
  CHECK_FALSE(job::FileAccess(folders.root / "job", {}).find("b.step", "here").has_value());
}

TEST_CASE("what the job allows by name may lie outside") {
  const Folders folders;
  const std::string secret = (folders.root / "secret.step").string();
  const job::FileAccess access(folders.root / "job", {secret, "innocent.step", "../secret.step", "pipe.step"});
  for (const std::string& name : {secret, std::string("innocent.step"), std::string("../secret.step")}) {
    INFO(name);
    const auto found = access.find(name, "here");
    REQUIRE(found.has_value());
    CHECK(found->outside);
  }
  CHECK_FALSE(access.find("up/secret.step", "here").has_value());  // another spelling is another permission
  CHECK_FALSE(access.find("pipe.step", "here").has_value());       // no permission makes a pipe a file
}
