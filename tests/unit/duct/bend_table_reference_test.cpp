// Every route of tests/reference/bend_table.csv: tables worked out by tests/reference/bend_table.py with other
// formulas.

#include <catch2/catch.hpp>
#include <fstream>
#include <map>
#include <sstream>

#include "duct/bend_table.hpp"
#include "tests/support/ducts.hpp"

using namespace baywright;
using namespace baywright::duct;

namespace {

struct Row {
  Vec3 point = Vec3::Zero();
  std::string straight, rotation, angle;
};
struct TableCase {
  double radius_mm = 0;
  std::vector<Row> rows;
};

std::map<std::string, TableCase> read_cases() {
  std::ifstream file(BAYWRIGHT_SOURCE_DIR "/tests/reference/bend_table.csv");
  std::map<std::string, TableCase> cases;
  std::string line;
  std::getline(file, line);
  while (std::getline(file, line)) {
    std::istringstream cells(line);
    std::vector<std::string> cell(8);
    for (std::string& text : cell) std::getline(cells, text, ',');
    TableCase& found = cases[cell[0]];
    found.radius_mm = std::stod(cell[1]);
    found.rows.push_back({{std::stod(cell[2]), std::stod(cell[3]), std::stod(cell[4])}, cell[5], cell[6], cell[7]});
  }
  return cases;
}

}  // namespace

TEST_CASE("Bend tables agree with those worked out another way") {
  const auto cases = read_cases();
  REQUIRE(cases.size() == 43);
  for (const auto& [name, expected] : cases) {
    INFO(name);
    std::vector<Vec3> points;
    for (const Row& row : expected.rows) points.push_back(row.point);
    const auto layout = lay_out_route(test::route(points, expected.radius_mm));
    REQUIRE(layout);
    const BendTable table = bend_table(*layout);
    REQUIRE(table.rows.size() == points.size() - 2);
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
      const Row& row = expected.rows[i + 1];
      CHECK(table.rows[i].length_before_mm == Approx(std::stod(row.straight)).margin(1e-6));
      CHECK(to_degrees(table.rows[i].rotation) == Approx(std::stod(row.rotation)).margin(1e-6));
      CHECK(to_degrees(table.rows[i].angle) == Approx(std::stod(row.angle)).margin(1e-6));
    }
    CHECK(table.last_length_mm == Approx(std::stod(expected.rows.back().straight)).margin(1e-6));
  }
}
