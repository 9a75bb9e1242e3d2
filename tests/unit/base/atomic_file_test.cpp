#include "geometry/base/atomic_file.hpp"

#include <sys/stat.h>
#include <unistd.h>

#include <catch2/catch.hpp>

using namespace baywright;
namespace fs = std::filesystem;

namespace {

struct Folder {
  fs::path path = fs::temp_directory_path() / ("baywright-atomic-" + std::to_string(::getpid()));
  Folder() { fs::create_directories(path); }
  ~Folder() { fs::remove_all(path); }
};

}  // namespace

TEST_CASE("a file that cannot be made leaves nothing and says where", "[atomic_file]") {
  const Folder folder;
  const auto result = write_file(folder.path / "no-such-folder" / "a.json", "x");
  REQUIRE_FALSE(result);
  CHECK(result.error().code == ErrorCode::not_written);
  CHECK(result.error().where == (folder.path / "no-such-folder" / "a.json").string());
  CHECK(fs::is_empty(folder.path));
}

TEST_CASE("a file is replaced whole and nothing is left beside it", "[atomic_file]") {
  const Folder folder;
  const fs::path file = folder.path / "a.json";
  REQUIRE(write_file(file, "first and longer"));
  REQUIRE(write_file(file, "second"));
  CHECK(read_file(file).value() == "second");
  CHECK(std::distance(fs::directory_iterator(folder.path), fs::directory_iterator()) == 1);
}

TEST_CASE("writing onto a folder fails and keeps the folder", "[atomic_file]") {
  const Folder folder;
  const fs::path target = folder.path / "target";
  fs::create_directories(target / "inside");
  REQUIRE_FALSE(write_file(target, "x"));
  CHECK(fs::exists(target / "inside"));
  CHECK(std::distance(fs::directory_iterator(folder.path), fs::directory_iterator()) == 1);
}

TEST_CASE("files that belong together are replaced together or not at all", "[atomic_file]") {
  const Folder folder;
  const fs::path a = folder.path / "a.json", b = folder.path / "b.html", blocked = folder.path / "blocked";
  const auto count = [&] { return std::distance(fs::directory_iterator(folder.path), fs::directory_iterator()); };
  REQUIRE(write_files(std::vector<NewFile>{{a, "old a"}, {b, "old b"}}));
  CHECK(count() == 2);
  fs::create_directories(blocked);
  // The last cannot take its place, after the others have.
  const auto failed = write_files(std::vector<NewFile>{{a, "new a"}, {folder.path / "c", "new c"}, {blocked, "x"}});
  REQUIRE_FALSE(failed);
  CHECK(failed.error().where == blocked.string());
  CHECK(read_file(a).value() == "old a");
  CHECK_FALSE(fs::exists(folder.path / "c"));
  CHECK(count() == 3);
  // One cannot even be written beside its place.
  REQUIRE_FALSE(write_files(std::vector<NewFile>{{a, "new a"}, {folder.path / "absent" / "c", "x"}}));
  CHECK(read_file(a).value() == "old a");
  CHECK(count() == 3);
  REQUIRE(write_files(std::vector<NewFile>{{a, "new a"}, {b, "new b"}}));
  CHECK(read_file(a).value() == "new a");
  CHECK(read_file(b).value() == "new b");
  CHECK(count() == 3);
}

TEST_CASE("reading refuses what is not a plain file and what is too large", "[atomic_file]") {
  const Folder folder;
  CHECK(read_file(folder.path).error().code == ErrorCode::file_missing);
  CHECK(read_file(folder.path / "absent").error().code == ErrorCode::file_missing);
  const fs::path pipe = folder.path / "pipe";
  REQUIRE(::mkfifo(pipe.c_str(), 0600) == 0);
  CHECK(read_file(pipe).error().code == ErrorCode::file_missing);
  REQUIRE(write_file(folder.path / "big", std::string(1000, 'x')));
  CHECK(read_file(folder.path / "big", 999).error().code == ErrorCode::bad_value);
}

TEST_CASE("SHA-256 agrees with the published vectors", "[atomic_file]") {
  // FIPS 180-4 examples.
  CHECK(sha256_hex("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(sha256_hex("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}
