#include <algorithm>
#include <random>

#include <catch2/catch.hpp>

#include "geometry/base/atomic_file.hpp"
#include "job/job_file.hpp"
#include "texts.hpp"

using namespace baywright;
using test::job_complaints;
using test::one_begins;

namespace {}  // namespace

TEST_CASE("a job with many mistakes reports all of them with their lines") {
  const auto lines = job_complaints(R"({
  "baywright_job": 1,
  "name": 7,
  "unitz": {},
  "bodies": [
    { "id": "engine", "motion": { "kind": "asumed", "roll_axis": {} } },
    { "id": "engine" }
  ],
  "parts": [
    { "id": "head", "file": "head.step", "body": "engin", "class": "hott", "uncertainty_mm": -1 },
    { "id": "head two", "file": "" }
  ],
  "ports": [
    { "id": "in", "center_mm": [0, 0], "axis": [0, 0, 0], "bore_mm": "3 kPa", "outer_diameter_mm": 76.2, "part": "haed" }
  ],
  "ducts": [
    {
      "id": "intake",
      "service": "intake",
      "from": { "port": "in", "duct": "x" },
      "to": {},
      "tube": { "outer_diameter_mm": 2, "wall_mm": 1 },
      "route": [
        { "id": "P0", "at_mm": [0, 0, 0], "bend_radius_mm": 5 },
        { "id": "P1", "at_mm": [100, 0, 0] },
        { "id": "P1", "at_mm": [100, 100, 0] }
      ],
      "fittings": [
        { "id": "F", "kind": "reducer", "at": { "leg": "P9", "offset_mm": 1 }, "length_mm": 3 }
      ]
    }
  ]
})");
  for (const std::string& line : lines) UNSCOPED_INFO(line);
  const std::vector<std::string> expected{
      "job.json: /name (line 3): is 7; expected text",
      "job.json: /unitz (line 4): is not a known key; did you mean \"units\"?",
      "job.json: /bodies/0/motion/kind (line 6): is \"asumed\"; did you mean \"assumed\"?",
      "job.json: /bodies/1/id (line 7): \"engine\" is already the id of the body at /bodies/0",
      "job.json: /parts/0/class (line 10): is \"hott\"; did you mean \"hot\"?",
      "job.json: /parts/0/uncertainty_mm (line 10): is -1; expected a length in mm from 0 to 1000",
      "job.json: /parts/0/body (line 10): there is no body \"engin\"; did you mean \"engine\"?",
      "job.json: /parts/1/id (line 11): is \"head two\"; expected an id",
      "job.json: /parts/1/file (line 11): is empty; expected text that is not empty",
      "job.json: /ports/0/center_mm (line 14): is a list of 2; expected a list of exactly 3",
      "job.json: /ports/0/axis (line 14): is a direction without length",
      "job.json: /ports/0/bore_mm (line 14): is \"3 kPa\"; expected a length in mm above 0",
      "job.json: /ducts/0/from (line 20): mixes keys; expected \"port\", or \"duct\" and \"fitting\"",
      "job.json: /ducts/0/from/duct (line 20): there is no duct \"x\"; known: intake",
      "job.json: /ducts/0/to (line 21): says nothing; expected \"port\", or \"duct\" and \"fitting\"",
      "job.json: /ducts/0/tube/wall_mm (line 22): leaves no bore",
      "job.json: /ducts/0/route/0/bend_radius_mm (line 24): stands at an end of the route",
      "job.json: /ducts/0/route/1 (line 25): has no \"bend_radius_mm\"",
      "job.json: /ducts/0/route/2/id (line 26): \"P1\" is already the id of the route point at /ducts/0/route/1",
      "job.json: /ducts/0/fittings/0 (line 29): \"to\" is missing; expected an object",
      "job.json: /ducts/0/fittings/0/at/leg (line 29): there is no route point \"P9\"",
  };
  for (const std::string& start : expected) {
    INFO("wanted: " << start);
    CHECK(one_begins(lines, start));
  }
  // The part with a broken id keeps "haed" from being called wrong: it may be meant.
  CHECK_FALSE(one_begins(lines, "job.json: /ports/0/part"));
  CHECK(lines.size() == expected.size());
}

TEST_CASE("references into nothing are errors") {
  const auto lines = job_complaints(R"({
  "baywright_job": 1,
  "ports": [{ "id": "a", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 50, "outer_diameter_mm": 40, "part": "box" }],
  "ducts": [
    { "id": "one", "service": "intake", "from": { "port": "b" }, "to": { "duct": "two", "fitting": "nipple" },
      "tube": { "outer_diameter_mm": 50, "wall_mm": 2 },
      "route": [{ "id": "P0", "at_mm": [0, 0, 0] }, { "id": "P1", "at_mm": [9, 0, 0] }],
      "fittings": [{ "id": "F", "kind": "bracket", "at": { "leg": "P1", "offset_mm": 1 }, "body": "frame" }] },
    { "id": "three", "service": "intake", "from": { "port": "a" }, "to": { "duct": "one", "fitting": "F" },
      "tube": { "outer_diameter_mm": 50, "wall_mm": 2 },
      "route": [{ "id": "P0", "at_mm": [0, 0, 0] }, { "id": "P1", "at_mm": [9, 0, 0] }] }
  ]
})");
  for (const std::string& line : lines) UNSCOPED_INFO(line);
  CHECK(one_begins(lines, "job.json: /ports/0/part (line 3): there is no part \"box\"; the job has none"));
  CHECK(one_begins(lines, "job.json: /ports/0/bore_mm (line 3): is not smaller than outer_diameter_mm"));
  CHECK(one_begins(lines, "job.json: /ducts/0/from/port (line 5): there is no port \"b\""));
  CHECK(one_begins(lines, "job.json: /ducts/0/to/duct (line 5): there is no duct \"two\"; known: one, three"));
  CHECK(one_begins(lines, "job.json: /ducts/0/fittings/0/at/leg (line 8): \"P1\" is the last point of the route"));
  CHECK(one_begins(lines, "job.json: /ducts/0/fittings/0/body (line 8): there is no body \"frame\""));
  CHECK(one_begins(lines, "job.json: /ducts/1/to/fitting (line 9): there is no branch port \"F\"; the job has none"));
  CHECK(lines.size() == 7);
}

TEST_CASE("lengths and the like may be given as text with a unit, and are written as numbers") {
  const auto job = job::read_job(R"({ "baywright_job": 1,
    "parts": [{ "id": "a", "file": "a.ply", "mm_per_unit": "1 in", "surface_temperature_C": "212 degF" }],
    "ports": [{ "id": "p", "center_mm": ["1 ft", 0, "-2 in"], "axis": [0, 3, 4], "bore_mm": "2 7/8 in", "outer_diameter_mm": "3 in" }],
    "flow": { "rated_kg_per_s": "540 kg/h", "raw_air_loss_kPa": "1 inH2O" } })",
                                 "job.json");
  REQUIRE(job.has_value());
  CHECK(job->ports[0].center_mm == Vec3(304.8, 0, -50.8));
  CHECK(job->ports[0].axis.isApprox(Vec3(0, 0.6, 0.8), 1e-15));
  CHECK(job->ports[0].bore_mm == 73.025);
  const std::string written = job::write_job(*job);
  for (const char* piece :
       {"\"mm_per_unit\": 25.4", "\"surface_temperature_C\": 100", "[304.8, 0, -50.8]", "\"outer_diameter_mm\": 76.2",
        "\"rated_kg_per_s\": 0.15", "\"raw_air_loss_kPa\": 0.24908891"}) {
    INFO(written);
    CHECK(written.find(piece) != std::string::npos);
  }
}

TEST_CASE("two statements of one thing about the air are refused, with the place") {
  const std::string head = R"({ "baywright_job": 1,
    "ports": [{ "id": "hood", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 86, "outer_diameter_mm": 90 },
              { "id": "in", "center_mm": [500, 0, 0], "axis": [-1, 0, 0], "bore_mm": 86, "outer_diameter_mm": 90 },
              { "id": "out", "center_mm": [900, 0, 0], "axis": [1, 0, 0], "bore_mm": 86, "outer_diameter_mm": 90 }],
    "ducts": [{ "id": "raw", "service": "SERVICE", "from": { "port": "hood" }, "to": { "port": "in" },
      "tube": { "outer_diameter_mm": 90, "wall_mm": 2 }, "entry": { "kind": "bellmouth", "radius_mm": 9 },
      "route": [{ "id": "R0", "at_mm": [0, 0, 0] }, { "id": "R1", "at_mm": [500, 0, 0] }] }],
)";
  const auto with_flow = [&](const std::string& flow, const std::string& service = "raw air") {
    std::string text = head;
    text.replace(text.find("SERVICE"), 7, service);
    return job_complaints(
        text + "    \"flow\": { \"components\": [{ \"id\": \"c\", \"inlet\": \"in\", \"outlet\": \"out\" }]" + flow +
        " } }");
  };
  const std::string engine =
      R"(, "engine": { "displacement_cm3": 4000, "speed_per_min": 2600, "volumetric_efficiency": 0.9,
         "manifold_boost_kPa": 150, "manifold_temperature_C": 55 })";
  const std::string ambient = R"(, "ambient": { "pressure_kPa": 99, "temperature_C": 25 })";
  CHECK(with_flow("").empty());
  CHECK(with_flow(engine).empty());
  auto lines = with_flow(", \"raw_air_loss_kPa\": 0.3");
  REQUIRE(lines.size() == 1);
  CHECK(one_begins(lines, "job.json: /flow/raw_air_loss_kPa (line"));
  CHECK(lines[0].find("duct \"raw\"") != std::string::npos);
  lines = with_flow(", \"rated_kg_per_s\": 0.15" + engine + ambient);
  REQUIRE(lines.size() == 1);
  CHECK(one_begins(lines, "job.json: /flow/engine (line"));
  CHECK(lines[0].find("0.15 kg/s; the engine gives 0.2062)") != std::string::npos);
  lines = with_flow("", "intake");
  REQUIRE(lines.size() == 1);
  CHECK(one_begins(lines, "job.json: /ducts/0/entry (line"));
  // The manifold has no more pressure than the compressor gives.
  CHECK(with_flow(engine + ", \"charge\": { \"boost_kPa\": 150 }").empty());
  lines = with_flow(engine + ", \"charge\": { \"boost_kPa\": 149 }");
  REQUIRE(lines.size() == 1);
  CHECK(one_begins(lines, "job.json: /flow/engine/manifold_boost_kPa (line"));
  CHECK(lines[0].find("is above flow/charge/boost_kPa (149)") != std::string::npos);
  // Gas from the crankcase is a part of the flow; a cooler's effectiveness follows from what it passes.
  CHECK(with_flow(R"(, "rated_kg_per_s": 0.15, "crankcase_gas_kg_per_s": "0.2 lb/min")").empty());
  lines = with_flow(R"(, "rated_kg_per_s": 0.15, "crankcase_gas_kg_per_s": 0.15)");
  REQUIRE(lines.size() == 1);
  CHECK(one_begins(lines, "job.json: /flow/crankcase_gas_kg_per_s (line"));
  CHECK(with_flow(R"(, "charge": { "cooler": { "conductance_W_per_K": 400, "air_kg_per_s": 0.6 } })").empty());
  lines = with_flow(R"(, "charge": { "cooler": { "conductance_W_per_K": 400, "effectiveness": 0.7 } })");
  REQUIRE(lines.size() == 1);
  CHECK(one_begins(lines, "job.json: /flow/charge/cooler/conductance_W_per_K (line"));
}

TEST_CASE("a duct that begins at another one has no entry") {
  const auto lines = job_complaints(R"({ "baywright_job": 1,
    "ports": [{ "id": "hood", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 86, "outer_diameter_mm": 90 },
              { "id": "in", "center_mm": [500, 0, 0], "axis": [-1, 0, 0], "bore_mm": 86, "outer_diameter_mm": 90 },
              { "id": "by", "center_mm": [500, 0, 75], "axis": [-1, 0, 0], "bore_mm": 20, "outer_diameter_mm": 24 }],
    "ducts": [
      { "id": "raw", "service": "raw air", "from": { "port": "hood" }, "to": { "port": "in" },
        "tube": { "outer_diameter_mm": 90, "wall_mm": 2 },
        "route": [{ "id": "R0", "at_mm": [0, 0, 0] }, { "id": "R1", "at_mm": [500, 0, 0] }],
        "fittings": [{ "id": "nipple", "kind": "branch port", "at": { "leg": "R0", "offset_mm": 250 }, "clock_deg": 0,
                       "bore_mm": 20, "outer_diameter_mm": 24, "height_mm": 30 }] },
      { "id": "side", "service": "raw air", "from": { "duct": "raw", "fitting": "nipple" }, "to": { "port": "by" },
        "tube": { "outer_diameter_mm": 24, "wall_mm": 2 }, "entry": { "kind": "bellmouth", "radius_mm": 9 },
        "route": [{ "id": "S0", "at_mm": [250, 0, 75] }, { "id": "S1", "at_mm": [500, 0, 75] }] }] })");
  for (const std::string& line : lines) UNSCOPED_INFO(line);
  REQUIRE(lines.size() == 1);
  CHECK(one_begins(lines, "job.json: /ducts/1/entry (line"));
  CHECK(lines[0].find("begins at duct \"raw\"") != std::string::npos);
}

TEST_CASE("a corrugated elbow is not welded of pieces") {
  const auto job = [](const std::string& of_point, const std::string& of_hose) {
    return R"({ "baywright_job": 1,
  "ports": [{ "id": "a", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 46, "outer_diameter_mm": 50 },
            { "id": "b", "center_mm": [300, 300, 0], "axis": [0, -1, 0], "bore_mm": 46, "outer_diameter_mm": 50 }],
  "ducts": [{ "id": "one", "service": "intake", "from": { "port": "a" }, "to": { "port": "b" },
    "tube": { "outer_diameter_mm": 50, "wall_mm": 2 },
    "route": [{ "id": "P0", "at_mm": [0, 0, 0] },
              { "id": "P1", "at_mm": [300, 0, 0], "bend_radius_mm": 75)" +
           of_point + R"( },
              { "id": "P2", "at_mm": [300, 300, 0] }],
    "fittings": [{ "id": "E", "kind": "coupler", "at": { "leg": "P0", "offset_mm": 200 }, "shape": "elbow",
                   "gap_mm": 180, "length_mm": 260)" +
           of_hose + R"( }] }] })";
  };
  const std::string pieces = ", \"pieces\": 3", corrugated = ", \"corrugation_mm\": 6";
  CHECK(job_complaints(job(pieces, "")).empty());
  CHECK(job_complaints(job("", corrugated)).empty());
  const auto lines = job_complaints(job(pieces, corrugated));
  for (const std::string& line : lines) UNSCOPED_INFO(line);
  REQUIRE(lines.size() == 1);
  CHECK(one_begins(lines, "job.json: /ducts/0/route/1/pieces (line 7): stands at the bend of corrugated elbow \"E\""));
}

TEST_CASE("hundreds of errors are cut short, not endless") {
  std::string text = "{ \"baywright_job\": 1, \"parts\": [";
  for (int i = 0; i < 1000; ++i) text += std::string(i > 0 ? "," : "") + "5";
  const auto lines = job_complaints(text + "] }");
  REQUIRE(lines.size() == 201);
  CHECK(lines.back() == "job.json: 800 more errors; correct the first ones");
}

TEST_CASE("damaged text is refused or read, never worse") {
  const auto page = read_file(std::string(BAYWRIGHT_SOURCE_DIR) + "/docs/job-file.md");
  REQUIRE(page.has_value());
  const std::string fence = "```json\n";
  const std::size_t from = page->find(fence) + fence.size();
  const std::string sound = page->substr(from, page->find("```", from) - from);
  const std::string pieces = "{}[]\",:0-9.eE\\\n\0tru\xFF";
  std::mt19937 random(31);
  const auto below = [&](std::size_t n) { return std::uniform_int_distribution<std::size_t>(0, n - 1)(random); };
  std::size_t refused = 0;
  constexpr int kRounds = 2000;
  for (int round = 0; round < kRounds; ++round) {
    std::string text = sound;
    for (std::size_t changes = 1 + below(3); changes > 0; --changes) {
      const std::size_t at = below(text.size());
      switch (below(3)) {
        case 0:
          text[at] = pieces[below(pieces.size())];
          break;
        case 1:
          text.erase(at, 1 + below(20));
          break;
        default:
          text.insert(at, text.substr(below(text.size()), 1 + below(40)));
          break;
      }
    }
    const auto job = job::read_job(text, "job.json");
    if (job) continue;
    ++refused;
    CHECK_FALSE(job.error().empty());
    for (const Error& error : job.error()) CHECK_FALSE(error.message.empty());
  }
  CHECK(refused > kRounds / 2);
}

TEST_CASE("a contact length that would switch clearance off is refused") {
  for (const auto& [length, fine] : {std::pair(180.0, true), std::pair(180.1, false), std::pair(100000.0, false)}) {
    const std::string text = R"({ "baywright_job": 1, "ports": [{ "id": "p", "center_mm": [0, 0, 0], "axis": [1, 0, 0],
      "bore_mm": 56, "outer_diameter_mm": 60, "contact_length_mm": )" +
                             std::to_string(length) + " }] }";
    const auto lines = job_complaints(text);
    INFO(length);
    CHECK(lines.empty() == fine);
    if (!fine) CHECK(one_begins(lines, "job.json: /ports/0/contact_length_mm"));
  }
}

TEST_CASE("a duct that says it has no sensor and has one is contradictory") {
  const auto job = [](const std::string& words) {
    return R"({ "baywright_job": 1,
  "ports": [{ "id": "a", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 40, "outer_diameter_mm": 50 },
            { "id": "b", "center_mm": [900, 0, 0], "axis": [-1, 0, 0], "bore_mm": 40, "outer_diameter_mm": 50 }],
  "ducts": [{ "id": "one", "service": "intake", "from": { "port": "a" }, "to": { "port": "b" }, )" +
           words + R"("tube": { "outer_diameter_mm": 50, "wall_mm": 2 },
    "route": [{ "id": "P0", "at_mm": [0, 0, 0] }, { "id": "P1", "at_mm": [900, 0, 0] }],
    "fittings": [{ "id": "S", "kind": "sensor tube", "at": { "leg": "P0", "offset_mm": 100 }, "length_mm": 100,
                   "sensor_offset_mm": 50, "clock_deg": 0, "tube": { "outer_diameter_mm": 50, "wall_mm": 2 } }] }] })";
  };
  CHECK(job_complaints(job("")).empty());
  CHECK(job_complaints(job(R"("sensor": "fitted", "breather": "none", )")).empty());
  CHECK(one_begins(job_complaints(job(R"("sensor": "none", )")),
                   "job.json: /ducts/0/sensor (line 4): says none, but the fitting \"S\" is a sensor tube"));
  CHECK(one_begins(job_complaints(job(R"("sensor": "nil", )")),
                   "job.json: /ducts/0/sensor (line 4): is \"nil\"; expected \"fitted\" or \"none\""));
}

TEST_CASE("a volume flow without its density is told what is missing") {
  const auto lines = job_complaints(R"({ "baywright_job": 1, "flow": { "rated_kg_per_s": "300 CFM" } })");
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].find("300 CFM at 1.2 kg/m3") != std::string::npos);
}

TEST_CASE("an answer goes to a check that asks, once") {
  const auto lines = job_complaints(R"({ "baywright_job": 1, "answers": [
  { "check": "em.doc", "answer": "yes", "by": "office" },
  { "check": "sn.up", "answer": "yes", "by": "office" },
  { "check": "em.docs", "duct": "intake", "answer": "maybe" },
  { "check": "em.docs", "answer": "no", "by": "office" },
  { "check": "em.docs", "answer": "yes", "by": "office" }
] })");
  CHECK(one_begins(lines, "job.json: /answers/0/check (line 2): \"em.doc\" is no check; did you mean \"em.docs\"?"));
  CHECK(one_begins(lines, "job.json: /answers/1/check (line 3): \"sn.up\" is measured, not asked; "));
  CHECK(one_begins(lines, "job.json: /answers/2/answer (line 4): "));
  CHECK(one_begins(lines, "job.json: /answers/2 (line 4): "));  // by whom?
  CHECK(one_begins(lines, "job.json: /answers/4 (line 6): answers the same as /answers/3"));
}

TEST_CASE("shields and filter elements refer to what is there") {
  const auto lines = job_complaints(R"({ "baywright_job": 1, "parts": [
  { "id": "exhaust", "file": "a.stl", "mm_per_unit": 1, "class": "hot", "shielded_by": "exhaust" },
  { "id": "head", "file": "a.stl", "mm_per_unit": 1, "shielded_by": "exhaust" },
  { "id": "pipe", "file": "a.stl", "mm_per_unit": 1, "class": "hot", "shielded_by": "sheild" }
], "filter_elements": [
  { "component": "cleaner", "from_mm": [0, 0, 0], "axis": [1, 0, 0], "length_mm": 200, "diameter_mm": 100,
    "draw": [0, 0, 1], "draw_mm": 200, "housing": "box" }
] })");
  CHECK(one_begins(lines, "job.json: /parts/0/shielded_by (line 2): a part does not shield itself"));
  CHECK(one_begins(lines, "job.json: /parts/1/shielded_by (line 3): only a part of class \"hot\" is shielded"));
  CHECK(one_begins(lines, "job.json: /parts/2/shielded_by (line 4): "));
  CHECK(one_begins(lines, "job.json: /filter_elements/0/component (line 6): \"cleaner\" is no component"));
  CHECK(one_begins(lines, "job.json: /filter_elements/0/housing (line 7): "));
}

TEST_CASE("what a search of routes may move, and where, has to be there and to make sense") {
  const auto lines = job_complaints(R"({ "baywright_job": 1,
"parts": [ { "id": "box", "file": "a.stl", "mm_per_unit": 1 } ],
"ports": [ { "id": "a", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 26, "outer_diameter_mm": 30, "part": "box" } ],
"routing": { "may_move": [
  { "parts": ["bx"], "slides": [ { "along": [1, 0, 0], "from_mm": 5, "to_mm": -5 } ] },
  { "parts": ["box"], "ports": ["a"], "turn": { "axis": { "point_mm": [0, 0, 0], "direction": [0, 0, 1] }, "from_deg": 3, "to_deg": 5 } },
  { "parts": ["box"], "slides": [ { "along": [1, 0, 0] } ] },
  { "slides": [ { "along": [1, 0, 0], "from_mm": -9, "to_mm": -5 } ] },
  { "parts": [], "ports": [], "places": [ { "name": "p", "yaw_deg": 5 }, { "name": "p" } ] }
], "keep_out": [
  { "name": "r", "shape": { "kind": "box", "from_mm": [0, 0, 0], "to_mm": [9, 0, 9] } },
  { "name": "r", "shape": { "kind": "hull", "points_mm": [[0, 0, 0], [9, 0, 0], [0, 9, 0], [9, 9, 0.5]] } }
], "prefer": [ { "name": "s", "shape": { "kind": "cone" } } ],
"locked": [ { "duct": "nobody", "points": ["P1"] } ] } })");
  const std::string at = "job.json: /routing/";
  CHECK(one_begins(lines, at + "may_move/0/parts/0 (line 5): there is no part \"bx\"; did you mean \"box\"?"));
  CHECK(one_begins(lines, at + "may_move/0/slides/0/from_mm (line 5): is above to_mm; give the least first"));
  CHECK(one_begins(lines, at + "may_move/1/ports/0 (line 6): belongs to part box and moves with it"));
  CHECK(one_begins(lines, at + "may_move/1/turn/from_deg (line 6): is above 0; 0 is the place as given"));
  CHECK(one_begins(lines, at + "may_move/2/parts/0 (line 7): is moved by /routing/may_move/1/parts/0 already"));
  CHECK(one_begins(lines, at + "may_move/2/slides/0 (line 7): leaves no room to move"));
  CHECK(one_begins(lines, at + "may_move/3 (line 8): names nothing that moves"));
  CHECK(one_begins(lines, at + "may_move/3/slides/0/to_mm (line 8): is below 0"));
  CHECK(one_begins(lines, at + "may_move/4/places/0 (line 9): turns about no point; give \"about_mm\""));
  CHECK(one_begins(lines, at + "may_move/4/places/1/name (line 9): \"p\" is already the name of "));
  CHECK(one_begins(lines, at + "may_move/4/places/1 (line 9): is the place as given"));
  CHECK(one_begins(lines, at + "keep_out/0/shape/to_mm (line 11): is not above from_mm along y"));
  CHECK(one_begins(lines, at + "keep_out/1/name (line 12): \"r\" is already the name of /routing/keep_out/0"));
  CHECK(one_begins(lines, at + "keep_out/1/shape/points_mm (line 12): lie in one plane"));
  CHECK(one_begins(lines, at + "prefer/0/shape/kind (line 13): "));
  CHECK(one_begins(lines, at + "locked/0/duct (line 14): there is no duct \"nobody\""));
}

TEST_CASE("what nobody wrote is not complained about beside an object that could not be read") {
  // A region of no known kind, and a box without its corner, would be boxes of no size.
  const auto lines = job_complaints(R"({ "baywright_job": 1, "routing": { "keep_out": [
  { "name": "r", "shape": { "kind": "boxx", "from_mm": [0, 0, 0] } },
  { "name": "s", "shape": { "from_mm": [0, 0, 0] } },
  { "name": "t", "shape": { "kind": "box", "from_mm": [0, 0, 0] } } ] } })");
  for (const std::string& line : lines) UNSCOPED_INFO(line);
  const std::string at = "job.json: /routing/keep_out/";
  CHECK(one_begins(lines, at + "0/shape/kind (line 2): is \"boxx\"; did you mean \"box\"?"));
  CHECK(one_begins(lines, at + "1/shape (line 3): \"kind\" is missing"));
  CHECK(one_begins(lines, at + "2/shape (line 4): \"to_mm\" is missing"));
  CHECK(lines.size() == 3);
}

TEST_CASE("numbers in complaints are written as people write them, and no word is offered that is too far away") {
  const auto lines = job_complaints(R"({ "baywright_job": 1,
"ports": [ { "id": "a", "center_mm": [200000, 0, 1e300], "axis": [1, 0, 0], "bore_mm": 26, "outer_diameter_mm": 30 } ],
"answers": [ { "check": "em.docs", "answer": "Ja", "by": "me" } ] })");
  for (const std::string& line : lines) UNSCOPED_INFO(line);
  CHECK(one_begins(lines,
                   "job.json: /ports/0/center_mm/0 (line 2): is 200000; expected a length in mm from -100000 to "
                   "100000"));
  CHECK(one_begins(lines, "job.json: /ports/0/center_mm/2 (line 2): is 1e+300; "));
  CHECK(one_begins(lines, "job.json: /answers/0/answer (line 3): is \"Ja\"; expected \"yes\" or \"no\""));
  CHECK(lines.size() == 3);
}

TEST_CASE("an access opening encloses an area and is flat enough to count as flat") {
  const auto with = [](const std::string& outline) {
    return R"({ "baywright_job": 1,
"openings": [ { "id": "top", "outline_mm": )" +
           outline + " } ] }";
  };
  const auto refused = [&](const std::string& outline, const std::string& why) {
    const auto lines = job_complaints(with(outline));
    for (const std::string& line : lines) UNSCOPED_INFO(line);
    CHECK(lines.size() == 1);
    CHECK(one_begins(lines, "job.json: /openings/0/outline_mm (line 2): " + why));
  };
  const auto accepted = [&](const std::string& outline) {
    CAPTURE(outline);
    CHECK(job::read_job(with(outline), "job.json").has_value());
  };
  const std::string no_area = "encloses no area: the corners lie on one line, or the outline crosses itself";
  refused("[[0, 0, 0], [0, 0, 0], [0, 0, 0]]", no_area);
  refused("[[0, 0, 500], [100, 100, 500], [300, 300, 500]]", no_area);
  refused("[[0, 0, 0], [100, 0, 0], [0, 80, 0], [100, 80, 0]]", no_area);  // two halves that cancel
  refused("[[90000, 0, 0], [90400, 0, 0], [90400, 0.5, 0], [90000, 0.5, 0]]", no_area);
  accepted("[[0, 0, 0], [400, 0, 0], [400, 5, 0], [0, 5, 0]]");
  accepted("[[-560, 540, 600], [240, 540, 560], [240, -540, 560], [-560, -540, 600]]");

  // Every other corner of a rectangle lifted by h: each lies h / 2 off the plane half-way. Sides of 120 and 160, 200
  // across: 5 mm. Sides of 600 and 800, 1000 across: 20 mm.
  accepted("[[0, 0, 0], [120, 0, 9.9], [120, 160, 0], [0, 160, 9.9]]");
  refused("[[0, 0, 0], [120, 0, 10.2], [120, 160, 0], [0, 160, 10.2]]",
          "is not flat: its corners lie up to 5.1 mm off one plane, where 5.0 mm are allowed; correct them");
  accepted("[[0, 0, 0], [600, 0, 39.9], [600, 800, 0], [0, 800, 39.9]]");
  refused("[[0, 0, 0], [600, 0, 44], [600, 800, 0], [0, 800, 44]]",
          "is not flat: its corners lie up to 22.0 mm off one plane, where 20.0 mm are allowed; correct them");
}

TEST_CASE("points that are locked lie between the ends of a route, one behind the other") {
  const std::string text = R"({ "baywright_job": 1, "ports": [
  { "id": "a", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 26, "outer_diameter_mm": 30 },
  { "id": "b", "center_mm": [400, 300, 300], "axis": [0, 0, -1], "bore_mm": 26, "outer_diameter_mm": 30 } ],
"ducts": [ { "id": "pipe", "service": "breather", "from": { "port": "a" }, "to": { "port": "b" },
  "tube": { "outer_diameter_mm": 30, "wall_mm": 2 },
  "route": [ { "id": "P0", "at_mm": [0, 0, 0] }, { "id": "P1", "at_mm": [400, 0, 0], "bend_radius_mm": 50 },
    { "id": "P2", "at_mm": [400, 300, 0], "bend_radius_mm": 50 }, { "id": "P3", "at_mm": [400, 300, 300] } ] } ],
"routing": { "locked": [ { "duct": "pipe", "points": [POINTS] } ] } })";
  const auto with = [&](const std::string& points) {
    std::string out = text;
    return job_complaints(out.replace(out.find("POINTS"), 6, points));
  };
  CHECK(with(R"("P1", "P2")").empty());
  CHECK(one_begins(with(R"("P0", "P1")"),
                   "job.json: /routing/locked/0/points/0 (line 8): \"P0\" is an end of the route"));
  CHECK(one_begins(with(R"("P2", "P1")"),
                   "job.json: /routing/locked/0/points/1 (line 8): \"P1\" does not follow \"P2\""));
  CHECK(one_begins(with(R"("P7")"), "job.json: /routing/locked/0/points/0 (line 8): there is no route point \"P7\""));
}
