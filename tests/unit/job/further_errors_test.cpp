#include "job/further_errors.hpp"

#include <algorithm>
#include <random>

#include <catch2/catch.hpp>

#include "geometry/base/atomic_file.hpp"
#include "tests/support/job_folder.hpp"
#include "texts.hpp"

using namespace baywright;
using test::one_holds;
using test::replaced;

namespace {

/// Two ducts between four ports; the second stops 100 mm short of its port.
constexpr const char* kJob = R"({ "baywright_job": 1,
  "parts": [{ "id": "frame", "file": "frame.ply" }],
  "ports": [
    { "id": "a", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 46, "outer_diameter_mm": 50 },
    { "id": "b", "center_mm": [900, 0, 0], "axis": [-1, 0, 0], "bore_mm": 46, "outer_diameter_mm": 50 },
    { "id": "c", "center_mm": [0, 300, 0], "axis": [1, 0, 0], "bore_mm": 46, "outer_diameter_mm": 50 },
    { "id": "d", "center_mm": [900, 300, 0], "axis": [-1, 0, 0], "bore_mm": 46, "outer_diameter_mm": 50 }
  ],
  "ducts": [
    { "id": "one", "service": "intake", "from": { "port": "a" }, "to": { "port": "b" },
      "tube": { "outer_diameter_mm": 50, "wall_mm": 2 },
      "route": [{ "id": "P0", "at_mm": [0, 0, 0] }, { "id": "P1", "at_mm": [900, 0, 0] }] },
    { "id": "two", "service": "charge hot", "from": { "port": "c" }, "to": { "port": "d" },
      "tube": { "outer_diameter_mm": 50, "wall_mm": 2 },
      "route": [{ "id": "P0", "at_mm": [0, 300, 0] }, { "id": "P1", "at_mm": [800, 300, 0] }] }
  ],
  "sheet": "sheet.json" })";

std::vector<std::string> opening_complaints(const std::string& text) {
  const test::JobFolder folder("further_errors_test", "job");
  folder.put("job.json", text);
  folder.put("sheet.json", R"({ "baywright_sheet": 1, "name": "s", "limits": { "sn.upp": { "at_least": 4, "unit": "in",
    "origin": "supplier", "text": "page 7" } } })");
  const auto opened = job::open_job(folder.path);
  std::vector<std::string> lines;
  REQUIRE_FALSE(opened.has_value());
  for (const Error& error : opened.error()) lines.push_back(to_line(error));
  for (const std::string& line : lines) UNSCOPED_INFO(line);
  return lines;
}

}  // namespace

TEST_CASE("a bad key in one place silences nothing elsewhere") {
  const auto lines = opening_complaints(replaced(kJob, "\"wall_mm\": 2 }", "\"wall_mm\": 2, \"colour\": 3 }"));
  REQUIRE(lines.size() == 4);
  CHECK(lines[0].starts_with("job.json: /ducts/0/tube/colour (line 11): is not a known key"));
  CHECK(one_holds(lines, "job.json: /parts/0/file (line 2): "));  // frame.ply is not there
  CHECK(one_holds(lines, "sn.upp"));
  CHECK(one_holds(lines, "duct two"));
}

TEST_CASE("what hangs on a mistake already told is left out") {
  // The second duct's own mistake may be why it ends short.
  CHECK_FALSE(one_holds(opening_complaints(replaced(kJob, "[800, 300, 0]", "[800, 300, 0, 0]")), "duct two"));
  // A port that cannot be read is no reason to complain about the duct that ends on it.
  const auto port = opening_complaints(replaced(kJob, "[900, 300, 0], \"axis\": [-1, 0, 0], \"bore_mm\": 46",
                                                "[900, 300, 0], \"axis\": [-1, 0, 0], \"bore_mm\": \"x\""));
  CHECK(one_holds(port, "/ports/3/bore_mm"));
  CHECK_FALSE(one_holds(port, "duct two"));
  CHECK_FALSE(one_holds(port, "/ducts"));
  // Nor is a list that is none, or whose key is misspelt.
  CHECK_FALSE(one_holds(opening_complaints(replaced(kJob, "\"ports\": [", "\"ports\": 5, \"openings\": [")),
                        "there is no port"));
  const auto misspelt = opening_complaints(replaced(kJob, "\"ports\":", "\"portz\":"));
  CHECK(one_holds(misspelt, "/portz (line 3): is not a known key; did you mean \"ports\"?"));
  CHECK_FALSE(one_holds(misspelt, "there is no port"));
  // A file that is named wrongly is complained about once.
  CHECK_FALSE(one_holds(opening_complaints(replaced(kJob, "\"file\": \"frame.ply\"", "\"file\": 7")), "frame.ply"));
}

TEST_CASE("what ends on a duct with a mistake is left out, the rest is laid out") {
  const auto lines = opening_complaints(
      replaced(kJob, "\"to\": { \"port\": \"b\" }", "\"to\": { \"duct\": \"two\", \"fitting\": \"B\" }"));
  CHECK(one_holds(lines, "/ducts/0/to/fitting"));
  CHECK_FALSE(one_holds(lines, "duct one"));
  CHECK(one_holds(lines, "duct two"));
}

TEST_CASE("a motion that cannot be built is told beside a bad key") {
  const auto lines = opening_complaints(
      replaced(kJob, "\"parts\":",
               "\"bodies\": [{ \"id\": \"engine\", \"nmae\": \"Engine\", \"motion\": { \"kind\": \"measured\", "
               "\"marks\": [{ \"id\": \"A\", \"at_mm\": [0, 0, 0] }, { \"id\": \"B\", \"at_mm\": [0, 0, 0] }, "
               "{ \"id\": \"C\", \"at_mm\": [0, 0, 0] }], \"cases\": [{ \"name\": \"rock\", \"moved_mm\": "
               "[[1, 0, 0], [0, 0, 0], [0, 0, 0]] }] } }], \"parts\":"));
  CHECK(one_holds(lines, "/bodies/0/nmae"));
  CHECK(one_holds(lines, "/bodies/0/motion (line 2)"));
}

TEST_CASE("damaged jobs get a second look without harm") {
  const test::JobFolder folder("further_errors_test", "damaged");
  const std::string sound = kJob;
  std::mt19937 random(7);
  const auto below = [&](std::size_t n) { return std::uniform_int_distribution<std::size_t>(0, n - 1)(random); };
  std::size_t looked = 0;
  for (int round = 0; round < 1500; ++round) {
    std::string text = sound;
    for (std::size_t changes = 1 + below(3); changes > 0; --changes) {
      const std::size_t at = below(text.size());
      if (below(2) == 0)
        text[at] = "0123456789abcdeP\"-"[below(18)];
      else
        text.erase(at, 1 + below(3));
    }
    const job::JobReading reading = job::read_as_far_as_possible(text, "job.json");
    if (reading.errors.empty() || !reading.examined) continue;
    ++looked;
    for (const Error& error : job::further_errors(reading, folder.path, {})) CHECK_FALSE(error.message.empty());
  }
  CHECK(looked > 200);
}

TEST_CASE("what is wrong with a route is told with its place and line") {
  // Alone, and beside a mistake elsewhere.
  for (const std::string& text : {std::string(kJob), replaced(kJob, "\"parts\":", "\"colour\": 3, \"parts\":")}) {
    CHECK(one_holds(opening_complaints(text),
                    "job.json: /ducts/1/route/1 (line 15): duct two: point P1: lies 100.0 mm away"));
  }
  CHECK(one_holds(opening_complaints(replaced(kJob, "[900, 0, 0] }]", "[0, 0, 0] }]")),
                  "job.json: /ducts/0/route/0 (line 12): duct one: leg P0 - P1: has no length"));
  const std::string coupler =
      "[900, 0, 0] }], \"fittings\": [{ \"id\": \"C\", \"kind\": \"coupler\", \"shape\": "
      "\"straight\", \"at\": { \"leg\": \"P0\", \"offset_mm\": 2000 }, \"gap_mm\": 5, "
      "\"length_mm\": 60, \"wall_mm\": 4 }]";
  CHECK(one_holds(opening_complaints(replaced(kJob, "[900, 0, 0] }]", coupler)),
                  "job.json: /ducts/0/fittings/0 (line 12): duct one: fitting C"));
}

TEST_CASE("a job file of another name is called by it") {
  const test::JobFolder folder("further_errors_test", "other-name");
  folder.put("variant.json", replaced(kJob, "\"wall_mm\": 2 }", "\"wall_mm\": 2, \"colour\": 3 }"));
  folder.put("sound.json", kJob);
  for (const char* name : {"variant.json", "sound.json"}) {
    const auto opened = job::open_job(folder.path / name);
    REQUIRE_FALSE(opened.has_value());
    for (const Error& error : opened.error()) CHECK(error.where.starts_with(std::string(name) + ": /"));
  }
}

TEST_CASE("clamps and tools are looked at beside other mistakes") {
  const std::string hose =
      R"("fittings": [{ "id": "h", "kind": "coupler", "shape": "hump", "gap_mm": 20, "length_mm": 96,
        "at": { "leg": "P0", "offset_mm": 200 }, "clamps": [{ "end": "upstream", "type": "worm12" }] }],
      "route": [{ "id": "P0", "at_mm": [0, 0, 0] })";
  const std::string text = replaced(kJob, R"("route": [{ "id": "P0", "at_mm": [0, 0, 0] })", hose);
  std::string bad = text;
  bad.replace(bad.find("\"parts\""), 7, "\"partz\"");
  const auto lines = opening_complaints(bad);
  CHECK(one_holds(lines, "partz"));
  CHECK(one_holds(lines, "/ducts/0/fittings/0/clamps/0/type (line"));
  CHECK(one_holds(lines, "there is no clamp \"worm12\" in the table of tools and clamps; did you mean \"worm-12\"?"));
  bad.insert(bad.find("\"sheet\""), "\"tools\": \"mine.json\", ");
  CHECK(one_holds(opening_complaints(bad), "\"mine.json\" is not there; write \"tools\": \"default\""));
}

TEST_CASE("a sheet that is not there: what to do instead") {
  const test::JobFolder folder("further_errors_test", "no-sheet");
  for (const char* parts : {"", "\"partz\": [], "}) {  // alone, and beside a mistake of the job
    folder.put("job.json", std::string("{ \"baywright_job\": 1, ") + parts + "\"sheet\": \"sheet.json\" }");
    const auto opened = job::open_job(folder.path);
    REQUIRE_FALSE(opened.has_value());
    const std::string line = to_line(opened.error().back());
    CHECK(line.find("job.json: /sheet (line 1): \"sheet.json\" is not there; write \"sheet\": \"default\"") == 0);
  }
}
