#include <cstdlib>
#include <filesystem>

#include <catch2/catch.hpp>

#include "geometry/base/atomic_file.hpp"
#include "job/job_file.hpp"
#include "job/node.hpp"
#include "texts.hpp"

using namespace baywright;
using test::documented_job;
using test::replaced;
using test::text_of;
namespace fs = std::filesystem;

namespace {

/// Every key named anywhere in a schema.
void collect_keys(const job::Node& node, std::vector<std::string>& keys) {
  for (const auto& member : node.members) {
    if (member.key == "properties") {
      for (const auto& property : member.value.members) keys.push_back(property.key);
    }
    collect_keys(member.value, keys);
  }
  for (const auto& item : node.items) collect_keys(item, keys);
}

}  // namespace

TEST_CASE("every key of the schema stands in the page about the job file") {
  const auto schema = job::parse_json(job::job_schema(), "schema");
  REQUIRE(schema.has_value());
  std::vector<std::string> keys;
  collect_keys(*schema, keys);
  CHECK(keys.size() > 100);
  const std::string page = text_of("docs/job-file.md");
  for (const std::string& key : keys) {
    INFO(key);
    CHECK((page.find('`' + key + '`') != std::string::npos || page.find("`\"" + key + "\"`") != std::string::npos));
  }
}

TEST_CASE("an independent validator agrees with the reader") {
  if (std::system("python3 -c 'import jsonschema' 2>/dev/null") != 0) {
    WARN("SKIPPED: python3-jsonschema is not installed");
    return;
  }
  const fs::path folder = fs::path(BAYWRIGHT_BINARY_DIR) / "schema_test";
  fs::create_directories(folder / "good");
  fs::create_directories(folder / "bad");
  REQUIRE(write_file(folder / "schema.json", job::job_schema()).has_value());
  const std::vector<std::string> good{
      documented_job(),
      "{ \"baywright_job\": 1 }",
      replaced(documented_job(), "\"outer_diameter_mm\": 76.2,\n      \"part\"",
               "\"outer_diameter_mm\": \"3 in\",\n      \"part\""),
      replaced(documented_job(), "\"kind\": \"hinge\"", "\"kind\": \"hinge\""),
  };
  const std::vector<std::string> bad{
      "{}",
      "[]",
      "{ \"baywright_job\": 2 }",
      "{ \"baywright_job\": 1, \"unitz\": {} }",
      replaced(documented_job(), "\"bore_mm\": 72.9", "\"bore_mm\": -72.9"),
      replaced(documented_job(), "\"bore_mm\": 72.9", "\"bore_mm\": \"72.9 kPa\""),
      replaced(documented_job(), "\"bore_mm\": 72.9", "\"bore\": 72.9"),
      replaced(documented_job(), "\"class\": \"hot\"", "\"class\": \"warm\""),
      replaced(documented_job(), "\"center_mm\": [-190, 415, 370]", "\"center_mm\": [-190, 415]"),
      replaced(documented_job(), "\"kind\": \"hinge\"", "\"kind\": \"slide\""),
      replaced(documented_job(), "\"kind\": \"restriction tap\"", "\"kind\": \"tap\""),
      replaced(documented_job(), "{ \"port\": \"filter-out\" }",
               "{ \"port\": \"filter-out\", \"duct\": \"breather\" }"),
      replaced(documented_job(), "{ \"duct\": \"intake\", \"fitting\": \"breather-in\" }", "{ \"duct\": \"intake\" }"),
      replaced(documented_job(), "\"id\": \"P1\"", "\"id\": \"P 1\""),
      replaced(documented_job(), "\"relative_humidity\": 0.5", "\"relative_humidity\": 50"),
      replaced(documented_job(), "\"motion\": {\n        \"kind\": \"load cases\"",
               "\"motion\": {\n        \"sort\": \"load cases\""),
  };
  for (std::size_t i = 0; i < good.size(); ++i) {
    INFO("good " << i);
    CHECK(job::read_job(good[i], "job.json").has_value());
    REQUIRE(write_file(folder / "good" / (std::to_string(i) + ".json"), good[i]).has_value());
  }
  for (std::size_t i = 0; i < bad.size(); ++i) {
    INFO("bad " << i);
    CHECK_FALSE(job::read_job(bad[i], "job.json").has_value());
    REQUIRE(write_file(folder / "bad" / (std::to_string(i) + ".json"), bad[i]).has_value());
  }
  const std::string script = std::string(BAYWRIGHT_SOURCE_DIR) + "/tests/unit/job/validate.py";
  CHECK(std::system(("python3 '" + script + "' '" + folder.string() + "'").c_str()) == 0);
}
