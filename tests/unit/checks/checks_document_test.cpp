#include "checks/checks_document.hpp"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <sstream>

using namespace baywright;

namespace {

std::string text_of(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  REQUIRE(file.good());
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

}  // namespace

TEST_CASE("docs/checks.md says what the registry says", "[document]") {
  const std::string document = text_of(BAYWRIGHT_SOURCE_DIR "/docs/checks.md");
  const std::string begin = "<!-- begin: made from the registry of checks -->\n";
  const std::string end = "<!-- end -->";
  const auto from = document.find(begin);
  const auto to = document.find(end);
  REQUIRE(from != std::string::npos);
  REQUIRE(to != std::string::npos);
  const std::string printed = document.substr(from + begin.size(), to - from - begin.size());
  const std::string expected = '\n' + checks::check_sections();
  if (printed != expected) {
    const std::string path = BAYWRIGHT_BINARY_DIR "/check_sections.md";
    std::ofstream(path) << expected;
    FAIL("the sections differ; put " << path << " between the two marks of docs/checks.md");
  }
}

TEST_CASE("every drawing of docs/checks.md is there", "[document]") {
  const std::string document = text_of(BAYWRIGHT_SOURCE_DIR "/docs/checks.md");
  int drawings = 0;
  for (std::size_t at = document.find("](checks/"); at != std::string::npos; at = document.find("](checks/", at + 1)) {
    const std::string name = document.substr(at + 2, document.find(')', at) - at - 2);
    INFO(name);
    CHECK(std::filesystem::exists(std::string(BAYWRIGHT_SOURCE_DIR "/docs/") + name));
    ++drawings;
  }
  CHECK(drawings == 4);
}
