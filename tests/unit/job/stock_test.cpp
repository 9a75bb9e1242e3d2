#include <cstdlib>
#include <filesystem>

#include <catch2/catch.hpp>

#include "geometry/base/atomic_file.hpp"
#include "job/node.hpp"
#include "job/stock_file.hpp"
#include "tests/support/job_folder.hpp"
#include "texts.hpp"

using namespace baywright;
using test::kSource;
using test::replaced;
namespace fs = std::filesystem;

namespace {

std::string example() { return *read_file(kSource + "/models/stock/example.json"); }

/// All complaints, one a line; "" where it is read.
std::string stock_complaints(const std::string& text) {
  std::string lines;
  const auto read = job::read_stock(text, "stock.json", catalog::usual_workshop());
  if (read) return lines;
  for (const Error& e : read.error()) lines += to_line(e) + "\n";
  return lines;
}

bool in_text(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

void collect_stock_keys(const job::Node& node, std::vector<std::string>& keys) {
  for (const auto& member : node.members) {
    if (member.key == "properties") {
      for (const auto& property : member.value.members) keys.push_back(property.key);
    }
    if (member.key != "coupler") collect_stock_keys(member.value, keys);
  }
  for (const auto& item : node.items) collect_stock_keys(item, keys);
}

}  // namespace

TEST_CASE("the example's stock is read, and what is written of it reads the same", "[stock]") {
  const auto stock = job::read_stock(example(), "example.json", catalog::usual_workshop());
  REQUIRE(stock);
  REQUIRE(stock->tubes.size() == 3);
  REQUIRE(stock->couplers.size() == 2);
  REQUIRE(stock->brackets.size() == 1);
  CHECK(stock->brackets[0].for_outer_diameter_mm == 76.2);
  CHECK(stock->tubes[0].size == duct::TubeSize{76.2, 1.65});
  CHECK(stock->tubes[0].bend_radii_mm == std::vector<double>{114.3, 76.2, 152.4});
  CHECK(stock->tubes[0].end_straight_mm == 40);
  CHECK(to_degrees(stock->tubes[2].angle_step) == Approx(5));
  CHECK(stock->couplers[0].coupler.hump_height_mm == 12);
  const auto again = job::read_stock(job::write_stock(*stock), "stock.json", catalog::usual_workshop());
  REQUIRE(again);
  CHECK(*again == *stock);
}

TEST_CASE("what is wrong in a stock file is told with its place and what to do", "[stock]") {
  CHECK(in_text(stock_complaints(replaced(example(), "\"bend_radii_mm\"", "\"bend_radius_mm\"")),
                "did you mean \"bend_radii_mm\""));
  CHECK(in_text(stock_complaints(replaced(example(), "[114.3, 76.2, 152.4]", "[]")), "/tubes/0/bend_radii_mm"));
  CHECK(
      in_text(stock_complaints(replaced(example(), "[114.3, 76.2, 152.4]", "[114.3, 38.1]")),
              "/tubes/0/bend_radii_mm/1 (line 8): is not above half the outer diameter; give the radius of the centr"));
  CHECK(in_text(stock_complaints(replaced(example(), "[114.3, 76.2, 152.4]", "[114.3, 114.3]")),
                "/tubes/0/bend_radii_mm/1"));
  CHECK(in_text(stock_complaints(replaced(example(), "\"wall_mm\": 1.65", "\"wall_mm\": 40")), "/tubes/0/tube"));
  CHECK(in_text(stock_complaints(replaced(example(), "\"id\": \"al-63\"", "\"id\": \"al-76\"")), "/tubes/1/id"));
  CHECK(in_text(stock_complaints(replaced(example(), "\"angle_step_deg\": 5", "\"angle_step_deg\": -5")),
                "/tubes/2/angle_step_deg"));
  CHECK(in_text(stock_complaints(replaced(example(), "\"least_straight_mm\": 90,", "")), "least_straight_mm"));
  CHECK(in_text(stock_complaints(replaced(example(), "worm-12", "worm-13")), "/couplers/0/coupler/clamps/0/type"));
  CHECK(in_text(stock_complaints(replaced(example(), "\"shape\": \"hump\"", "\"shape\": \"elbow\"")),
                "/couplers/0/coupler/shape"));
  CHECK(in_text(stock_complaints(replaced(example(), "\"length_mm\": 110", "\"length_mm\": 15")),
                "/couplers/0/coupler/length_mm"));
  CHECK(in_text(stock_complaints(replaced(example(), "\"axial_mm\": 10", "\"axial_mm\": 0")), "takes no movement"));
  CHECK(in_text(stock_complaints(replaced(example(), "\"brackets\": [",
                                          "\"brackets\": [ { \"id\": \"strap-76\", \"for_outer_diameter_mm\": 60, "
                                          "\"source\": \"invented\" },")),
                "/brackets/1/id"));
  CHECK(in_text(stock_complaints(replaced(example(), "\"baywright_stock\": 1", "\"baywright_stock\": 2")), "newer"));
  CHECK(in_text(stock_complaints("[]"), "expected an object"));
  CHECK_FALSE(stock_complaints("{").empty());
}

TEST_CASE("a stock file that is not there says what one holds", "[stock]") {
  const auto none = job::open_stock(kSource + "/models/stock/none.json", catalog::usual_workshop());
  REQUIRE_FALSE(none);
  CHECK(in_text(to_line(none.error().front()), "docs/stock-file.md"));
}

TEST_CASE("the stock file's schema is the one that is shipped, and its page names every key", "[stock]") {
  const std::string path = kSource + "/docs/stock.schema.json";
  if (std::getenv("BAYWRIGHT_WRITE_DOCS")) REQUIRE(write_file(path, job::stock_schema()));
  const auto shipped = read_file(path);
  REQUIRE(shipped);
  CHECK(*shipped == job::stock_schema());
  const auto schema = job::parse_json(job::stock_schema(), "schema");
  REQUIRE(schema);
  std::vector<std::string> keys;
  collect_stock_keys(*schema, keys);
  CHECK(keys.size() > 10);
  const std::string page = *read_file(kSource + "/docs/stock-file.md");
  for (const std::string& key : keys) {
    INFO(key);
    CHECK(in_text(page, '`' + key + '`'));
  }
}

TEST_CASE("the stock file's schema takes what the reader takes", "[stock]") {
  if (std::system("python3 -c 'import jsonschema' 2>/dev/null") != 0) {
    WARN("SKIPPED: python3-jsonschema is not installed");
    return;
  }
  const fs::path folder = fs::path(BAYWRIGHT_BINARY_DIR) / "stock_schema_test";
  fs::create_directories(folder / "good");
  fs::create_directories(folder / "bad");
  REQUIRE(write_file(folder / "schema.json", job::stock_schema()));
  const std::vector<std::string> good{
      example(), replaced(example(), "\"outer_diameter_mm\": 76.2", "\"outer_diameter_mm\": \"3 in\""),
      replaced(example(), "\"end_straight_mm\": 40,", "")};
  const std::vector<std::string> bad{"{}",
                                     "[]",
                                     replaced(example(), "\"baywright_stock\": 1", "\"baywright_stock\": 2"),
                                     replaced(example(), "\"bend_radii_mm\"", "\"bend_radius_mm\""),
                                     replaced(example(), "[114.3, 76.2, 152.4]", "[]"),
                                     replaced(example(), "[114.3, 76.2, 152.4]", "114.3"),
                                     replaced(example(), "\"least_straight_mm\": 90,", ""),
                                     replaced(example(), "\"angle_step_deg\": 5", "\"angle_step_deg\": -5"),
                                     replaced(example(), "\"shape\": \"hump\"", "\"shape\": \"bump\"")};
  for (std::size_t i = 0; i < good.size(); ++i) {
    INFO("good " << i);
    CHECK(stock_complaints(good[i]).empty());
    REQUIRE(write_file(folder / "good" / (std::to_string(i) + ".json"), good[i]));
  }
  for (std::size_t i = 0; i < bad.size(); ++i) {
    INFO("bad " << i);
    CHECK_FALSE(stock_complaints(bad[i]).empty());
    REQUIRE(write_file(folder / "bad" / (std::to_string(i) + ".json"), bad[i]));
  }
  const std::string script = kSource + "/tests/unit/job/validate.py";
  CHECK(std::system(("python3 '" + script + "' '" + folder.string() + "'").c_str()) == 0);
}
