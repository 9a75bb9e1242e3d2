#include <cstdlib>
#include <filesystem>

#include <catch2/catch.hpp>

#include "geometry/base/atomic_file.hpp"
#include "job/assemble.hpp"
#include "job/job_file.hpp"
#include "tests/support/job_folder.hpp"
#include "texts.hpp"

using namespace baywright;
using test::kSource;
using test::lines_of;
using test::one_holds;
using test::replaced;

namespace {

/// The usual table with one piece of its text replaced; the complaints about it.
std::vector<std::string> tools_complaints(const std::string& from, const std::string& to) {
  const auto read =
      job::read_workshop(replaced(job::write_workshop(catalog::usual_workshop()), from, to), "tools.json");
  return read ? std::vector<std::string>{} : lines_of(read.error());
}

}  // namespace

TEST_CASE("the table of tools and clamps that is shipped is the one that is built in") {
  const std::string path = kSource + "/models/tools/default.json";
  const std::string text = job::write_workshop(catalog::usual_workshop());
  if (std::getenv("BAYWRIGHT_WRITE_DOCS")) {
    std::filesystem::create_directories(kSource + "/models/tools");
    REQUIRE(write_file(path, text));
  }
  const auto shipped = read_file(path);
  REQUIRE(shipped);
  CHECK(*shipped == text);
  const auto read = job::read_workshop(*shipped, "default.json");
  REQUIRE(read);
  CHECK(*read == catalog::usual_workshop());
}

TEST_CASE("what is wrong in a table of tools is told with its place") {
  CHECK(tools_complaints("\"baywright_tools\"", "\"baywright_tools\"").empty());
  CHECK(one_holds(tools_complaints("\"hexagons_mm\"", "\"hexagon_mm\""), "did you mean \"hexagons_mm\""));
  CHECK(one_holds(tools_complaints("\"lift_off_mm\": 15", "\"lift_off_mm\": -1"), "/tools/0/lift_off_mm"));
  CHECK(one_holds(tools_complaints("\"id\": \"stubby-driver\"", "\"id\": \"nut-driver\""), "/tools/1/id"));
  CHECK(one_holds(tools_complaints("\"baywright_tools\": 1", "\"baywright_tools\": 2"), "newer"));
  CHECK(one_holds(tools_complaints("\"along_mm\": 100", "\"along_mm\": 116"), "is longer than the handle"));
  CHECK(one_holds(tools_complaints("\"over_mm\": 150", "\"over_mm\": 400"), "reaches beyond the tool's end"));
  CHECK(one_holds(tools_complaints("\"over_mm\": 150", "\"over_mm\": 170"), "reaches into the hand"));
  CHECK(one_holds(tools_complaints("\"greatest_deg\": 85", "\"greatest_deg\": 181"), "greatest_deg"));
  CHECK(
      one_holds(tools_complaints("\"handle_length_mm\": 180", "\"handle_length_mm\": 90"), "longer than the handles"));
  CHECK(one_holds(tools_complaints("\"kind\": \"spring band\"", "\"kind\": \"lug\""), "hexagon_mm"));
  CHECK(one_holds(tools_complaints("\"kind\": \"worm\"", "\"kind\": \"spring band\""), "a spring band has none"));
  CHECK_FALSE(job::read_workshop("{", "tools.json"));
}

TEST_CASE("a job names its own table, and clamps that the table does not have are errors") {
  const test::JobFolder folder("workshop_test", "own_table");
  const auto job = [](const std::string& tools, const std::string& type) {
    return R"({ "baywright_job": 1, "tools": ")" + tools + R"(",
  "ports": [ { "id": "a", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 72.9, "outer_diameter_mm": 76.2 },
             { "id": "b", "center_mm": [600, 0, 0], "axis": [-1, 0, 0], "bore_mm": 72.9, "outer_diameter_mm": 76.2 } ],
  "ducts": [ { "id": "intake", "service": "intake", "from": { "port": "a" }, "to": { "port": "b" },
    "tube": { "outer_diameter_mm": 76.2, "wall_mm": 1.65 },
    "route": [ { "id": "P0", "at_mm": [0, 0, 0] }, { "id": "P1", "at_mm": [600, 0, 0] } ],
    "fittings": [ { "id": "C1", "kind": "coupler", "at": { "leg": "P0", "offset_mm": 300 }, "shape": "straight",
      "gap_mm": 5, "length_mm": 80, "clamps": [ { "end": "upstream", "type": ")" +
           type + R"(" } ] } ] } ] })";
  };
  const auto open = [&](const std::string& tools, const std::string& type) {
    folder.put("job.json", job(tools, type));
    return job::open_job(folder.path);
  };
  const auto usual = open("default", "worm-12");
  REQUIRE(usual);
  CHECK(usual->workshop == catalog::usual_workshop());
  const auto& fitting = usual->ducts.at(0).spec.fittings.at(0);
  CHECK(std::get<duct::Coupler>(fitting.kind).clamps.size() == 1);

  const auto unknown = open("default", "worm-13");
  REQUIRE_FALSE(unknown);
  const std::string line = to_line(unknown.error().front());
  CHECK(line.find("/ducts/0/fittings/0/clamps/0/type") != std::string::npos);
  CHECK(line.find("did you mean \"worm-12\"") != std::string::npos);

  CHECK_FALSE(open("tools.json", "worm-12"));  // there is no such file
  catalog::Workshop own = catalog::usual_workshop();
  own.clamps[1].id = catalog::ClampTypeId("ours");
  folder.put("tools.json", job::write_workshop(own));
  CHECK_FALSE(open("tools.json", "worm-12"));
  CHECK(open("tools.json", "ours"));
}
