#include "job/file_access.hpp"

#include <sys/stat.h>
#include <filesystem>
#include <fstream>

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
  // The job's own files, written in a way that breaks when the folder is sent to somebody.
  for (const std::string& named :
       {(folders.root / "job" / "engine.step").string(), std::string("../job/engine.step")}) {
    CHECK(refusal(access, named) ==
          "\"" + named + "\" is in the job folder; write it relative to that: \"engine.step\"");
  }
  CHECK(refusal(access, "pipe.step").find("not a plain file") != std::string::npos);
  CHECK(refusal(access, "parts").find("is a folder") != std::string::npos);
  CHECK(refusal(access, ".").find("folder") != std::string::npos);
  CHECK(refusal(access, "..").find("leads out") != std::string::npos);
  std::ofstream(folders.root / "job" / "job.json") << "{}";
  CHECK(refusal(access, "jobs.json") == "\"jobs.json\" is not there");  // a job does not refer to itself
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

TEST_CASE("only folders the user allows widen what may be read") {
  const Folders folders;
  fs::create_directories(folders.root / "shared" / "deep");
  REQUIRE(write_file(folders.root / "shared" / "deep" / "scan.ply", "x").has_value());
  ::mkfifo((folders.root / "shared" / "pipe.step").c_str(), 0600);
  fs::create_symlink(folders.root / "secret.step", folders.root / "shared" / "out.step");
  fs::create_symlink(folders.root / "shared", folders.root / "alias");
  for (const char* allowed : {"shared", "alias"}) {  // an allowed folder may be named through a link
    const job::FileAccess access(folders.root / "job", {folders.root / allowed});
    for (const std::string& named : {std::string("../shared/deep/scan.ply"), std::string("../alias/deep/scan.ply"),
                                     (folders.root / "shared" / "deep" / "scan.ply").string()}) {
      INFO(named);
      const auto found = access.find(named, "here");
      REQUIRE(found.has_value());
      CHECK(found->outside);
      CHECK_FALSE(access.folder_to_allow(named));
    }
    CHECK(access.find("engine.step", "here").has_value());
    CHECK_FALSE(access.find("../secret.step", "here").has_value());
    CHECK_FALSE(access.find("innocent.step", "here").has_value());
    CHECK_FALSE(access.find("../shared/out.step", "here").has_value());  // a link out of the allowed folder
    CHECK_FALSE(access.find("../shared", "here").has_value());
    CHECK(refusal(access, "../shared/pipe.step").find("not a plain file") != std::string::npos);
  }
  // What is no folder allows nothing.
  const job::FileAccess nothing(folders.root / "job", {folders.root / "secret.step", folders.root / "absent", ""});
  CHECK_FALSE(nothing.find("../secret.step", "here").has_value());
}

TEST_CASE("a refusal says which folder to allow, and nothing about what is in it") {
  const Folders folders;
  const job::FileAccess access(folders.root / "job", {});
  CHECK(access.folder_to_allow("../secret.step") == folders.root);
  CHECK(access.folder_to_allow("innocent.step") == fs::canonical(folders.root));
  CHECK(access.folder_to_allow("engine.step") == std::nullopt);
  CHECK(access.folder_to_allow("not-there.step") == std::nullopt);
  CHECK(refusal(access, "../secret.step").find("--allow-dir " + folders.root.string()) != std::string::npos);
  const std::string there = refusal(access, "../secret.step");
  const std::string absent = refusal(access, "../absent.step");
  CHECK(there.substr(there.find(' ')) == absent.substr(absent.find(' ')));
}

TEST_CASE("folders to allow are listed once, without those below another, as words of a shell") {
  CHECK(job::allow_option({}).empty());
  CHECK(job::allow_option({"b", "a/x", "a", "b", "ab"}) == "--allow-dir a --allow-dir ab --allow-dir b");
  CHECK(job::allow_option({"my scans"}) == "--allow-dir 'my scans'");
  CHECK(job::allow_option({"Bob's; rm *"}) == "--allow-dir 'Bob'\\''s; rm *'");
}
