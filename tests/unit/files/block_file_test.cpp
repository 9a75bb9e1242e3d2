#include "geometry/block_file.hpp"

#include <unistd.h>

#include <algorithm>
#include <array>
#include <filesystem>

#include <catch2/catch.hpp>

#include "geometry/base/atomic_file.hpp"

using namespace baywright;
namespace fs = std::filesystem;

namespace {

const BlockLabel kLabel{"BWTEST", 3, std::string(64, 'a')};

std::string joined(BlockWriter& out, const BlockLabel& label = kLabel) {
  std::string bytes;
  for (const std::string_view piece : out.pieces(label)) bytes += piece;
  return bytes;
}

ErrorCode code_of(const Result<BlockFile>& file) { return file ? ErrorCode::cancelled : file.error().code; }

}  // namespace

TEST_CASE("blocks: nothing, one item, arrays of every length come back, at multiples of 64 bytes") {
  BlockWriter none;
  CHECK(BlockFile::over(joined(none), kLabel).has_value());
  for (const std::size_t count : {0U, 1U, 5U, 100U, 700'000U}) {
    std::vector<std::array<std::uint32_t, 3>> rows(count);
    for (std::size_t i = 0; i < count; ++i) rows[i] = {static_cast<std::uint32_t>(i), 7, 9};
    BlockWriter out;
    out.add_text("words", "two words");
    out.add("rows", rows);
    out.add_item("one", std::uint64_t{42});
    const std::string bytes = joined(out);
    for (const char* word : {"two words"}) CHECK(bytes.find(word) % 64 == 0);
    const auto in = BlockFile::over(bytes, kLabel);
    REQUIRE(in.has_value());
    std::vector<std::array<std::uint32_t, 3>> read;
    CHECK(in->read("rows", read).has_value());
    CHECK(read == rows);
    CHECK(in->count("rows") == count);
    CHECK(in->count("nothing") == 0);
    CHECK(*in->text("words") == "two words");
    CHECK(*in->item<std::uint64_t>("one") == 42);
    CHECK_FALSE(in->item<std::uint32_t>("one").has_value());  // items of another size
    CHECK_FALSE(in->text("nothing").has_value());
    std::vector<std::uint32_t> flat;
    CHECK_FALSE(in->read("rows", flat).has_value());
  }
}

TEST_CASE("blocks: another kind, version or key is not read") {
  BlockWriter out;
  out.add_text("words", "text");
  const std::string bytes = joined(out);
  CHECK(code_of(BlockFile::over(bytes, {"OTHER", 3, kLabel.key})) == ErrorCode::file_damaged);
  CHECK(code_of(BlockFile::over(bytes, {"BWTEST", 4, kLabel.key})) == ErrorCode::file_missing);
  const auto any = BlockFile::over(bytes, {"BWTEST", 3, ""});
  REQUIRE(any.has_value());
  CHECK(any->key() == kLabel.key);
  CHECK(code_of(BlockFile::over(bytes, {"BWTEST", 3, std::string(64, 'b')})) == ErrorCode::file_damaged);
}

TEST_CASE("blocks: what a check does not accept is damage") {
  const std::vector<std::uint32_t> numbers{1, 2, 3};
  BlockWriter out;
  out.add("numbers", numbers);
  const auto in = BlockFile::over(joined(out), kLabel);
  REQUIRE(in.has_value());
  std::vector<std::uint32_t> read;
  const auto below = [](std::uint32_t limit) {
    return BlockFile::Check<std::uint32_t>([limit](const std::uint32_t* v, std::size_t n) {
      return std::all_of(v, v + n, [limit](std::uint32_t x) { return x < limit; });
    });
  };
  CHECK(in->read("numbers", read, below(4)).has_value());
  CHECK_FALSE(in->read("numbers", read, below(3)).has_value());
}

TEST_CASE("blocks: files that are none") {
  const fs::path folder = fs::path(BAYWRIGHT_BINARY_DIR) / "block_file_test";
  fs::create_directories(folder);
  CHECK(code_of(BlockFile::open(folder / "absent", kLabel)) == ErrorCode::file_missing);
  CHECK(code_of(BlockFile::open(folder, kLabel)) == ErrorCode::file_damaged);
  CHECK(code_of(BlockFile::open("/dev/zero", kLabel)) == ErrorCode::file_damaged);
  BlockWriter out;
  out.add_text("words", "text");
  REQUIRE(write_file(folder / "file", out.pieces(kLabel)).has_value());
  const auto in = BlockFile::open(folder / "file", kLabel);
  REQUIRE(in.has_value());
  CHECK(*in->text("words") == "text");
  // Links are not followed.
  fs::remove(folder / "link");
  fs::create_symlink(folder / "file", folder / "link");
  CHECK(code_of(BlockFile::open(folder / "link", kLabel)) == ErrorCode::file_damaged);
  // Cut short after it was opened.
  REQUIRE(::truncate((folder / "file").c_str(), 100) == 0);
  CHECK_FALSE(in->text("words").has_value());
  fs::remove_all(folder);
}
