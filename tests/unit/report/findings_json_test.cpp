#include <catch2/catch.hpp>

#include <cstdlib>
#include <nlohmann/json.hpp>

#include "geometry/base/atomic_file.hpp"
#include "sample.hpp"

using namespace baywright;
using nlohmann::json;

namespace {

json parsed(const sample::Sample& s) { return json::parse(report::findings_json(s.installation, s.evaluation)); }

const json& finding_about(const json& root, const std::string& check, const std::string& subject) {
  for (const json& f : root["findings"]) {
    if (f["check"] == check && f["subject"] == subject) return f;
  }
  FAIL("no finding " << check << " " << subject);
  return root;
}

}  // namespace

TEST_CASE("a job without anything gives a whole document that says so") {
  const json root = parsed({});
  CHECK(root["summary"]["verdict"] == "not checked");
  CHECK(root["findings"].empty());
  CHECK(root["ducts"].empty());
  CHECK(root["cautions"].size() == 16);
  CHECK(!root["not_modelled"].empty());
}

TEST_CASE("every finding arrives with its numbers to the last bit") {
  const sample::Sample s = sample::make_sample();
  const json root = parsed(s);
  REQUIRE(root["findings"].size() == s.evaluation.findings.size());
  for (std::size_t i = 0; i < s.evaluation.findings.size(); ++i) {
    const checks::Finding& f = s.evaluation.findings[i];
    const json& j = root["findings"][i];
    CAPTURE(f.check, f.subject);
    CHECK(j["number"] == i + 1);
    CHECK(j["check"] == f.check);
    CHECK(j["verdict"] == std::string(checks::name(f.verdict)));
    CHECK(j["subject"] == f.subject);
    const auto* m = std::get_if<measure::Measured>(&f.outcome);
    CHECK(j["measured"].is_null() == (m == nullptr));
    if (!m) continue;
    CHECK(j["measured"]["unit"] == std::string(file_name(m->unit)));
    CHECK(j["measured"]["lo"].get<double>() == m->lo);
    if (std::isfinite(m->hi)) {
      CHECK(j["measured"]["hi"].get<double>() == m->hi);
      CHECK(j["measured"]["highest"].get<double>() == m->highest());
    }
    CHECK(j["measured"]["lowest"].get<double>() == m->lowest());
    CHECK(j["measured"]["contributions"].size() == m->band.contributions().size());
    CHECK(j["limit"]["value"].get<double>() == f.limit->value);
    CHECK(j["limit"]["origin"]["text"] == "common practice, no source");
    CHECK(j["margin"].get<double>() == *checks::margin(f));
  }
}

TEST_CASE("the pose names load case and joint parameters in degrees and millimetres") {
  const json root = parsed(sample::make_sample());
  const json& pose = finding_about(root, "cr.motion", "tube 1 - rocker cover")["measured"]["pose"];
  REQUIRE(pose["bodies"].size() == 3);
  CHECK(pose["bodies"][0]["load_case"].is_null());
  const json& engine = pose["bodies"][1];
  CHECK(engine["body"] == "engine");
  CHECK(engine["load_case"] == "forward torque");
  CHECK(engine["parameters"][0]["value_deg"].get<double>() == Approx(1.8).epsilon(1e-12));
  CHECK(engine["parameters"][1]["value_mm"].get<double>() == 4.0);
  CHECK(pose["axial_share"] == 0.5);
}

TEST_CASE("the same taken another way stands beside the value") {
  const json root = parsed(sample::make_sample());
  const json& straight = finding_about(root, "sn.up", "sensor")["measured"];
  CHECK(straight["lo"] == 77.2);
  CHECK(straight["asides"] == json::parse(R"([{"what": "to the edge of the boss", "value": 59.2, "unit": "mm"}])"));
  CHECK(finding_about(root, "cr.motion", "tube 1 - rocker cover")["measured"]["asides"].empty());
}

TEST_CASE("numbers without a finite value are null with the reason beside them") {
  sample::Sample s = sample::make_sample();
  auto& first = std::get<measure::Measured>(s.evaluation.findings.front().outcome);
  first.lo = std::numeric_limits<double>::quiet_NaN();
  first.witness->on_duct_mm.y() = -std::numeric_limits<double>::infinity();
  const std::string bytes = report::findings_json(s.installation, s.evaluation);
  const json root = json::parse(bytes);  // refuses NaN and Infinity
  const json& far = finding_about(root, "cr.static", "tube 1 - fan")["measured"];
  CHECK(far["lo"] == 60.0);
  CHECK(far["hi"].is_null());
  CHECK(far["missing_numbers"][0]["key"] == "hi");
  const json& broken = root["findings"][0]["measured"];
  CHECK(broken["lo"].is_null());
  CHECK(broken["missing_numbers"][0]["key"] == "lo");
  CHECK(broken["witness"]["on_duct_mm"][1].is_null());
  CHECK(broken["witness"]["missing_numbers"].size() == 1);
}

TEST_CASE("inputs, exceptions and what could not be measured are listed") {
  const json root = parsed(sample::make_sample());
  CHECK(root["inputs"][1]["path"] == "scans/bay.ply");
  CHECK(root["inputs"][1]["bytes"] == 18234567);
  CHECK(root["inputs"][0]["sha256"] == std::string(64, '0'));
  const json& duct = root["ducts"][0];
  CHECK(duct["contact_exceptions"][0]["part"] == "rocker");
  CHECK(duct["parts_not_measured"][0] == "harness: the file holds no surface");
  CHECK(duct["restriction"]["clean"]["estimate"]["elements"].size() == 10);
  CHECK(duct["gauge_readings"]["dirty"][0]["below_ambient_Pa"] == 4430.0);
  CHECK(duct["bend_table"]["rows"].size() == 2);
  CHECK(duct["bend_table"]["developed_mm"].get<double>() ==
        Approx(1145.0).margin(0.1));  // 148.1 + 182.0 + 434.3 + 180.6 + 200.0
  // Each rigid tube has its own, from its own cut end: hump-1 parts the two bends.
  const json& first = duct["pieces"][0]["bend_table"];
  CHECK(first["rows"].size() == 1);
  CHECK(first["developed_mm"].get<double>() == duct["pieces"][0]["station_to_mm"].get<double>());
  double lengths = 0, gaps = 0;
  for (const json& piece : duct["pieces"]) {
    if (piece["kind"] != "tube") continue;
    lengths += piece["bend_table"]["developed_mm"].get<double>();
  }
  for (const json& fitting : duct["fittings"]) {
    if (fitting["kind"] != "coupler") continue;
    gaps += fitting["station_to_mm"].get<double>() - fitting["station_from_mm"].get<double>();
  }
  CHECK(lengths + gaps == Approx(duct["length_mm"].get<double>()));
  CHECK(root["motions"][2]["assumed"] == true);
}

TEST_CASE("names with broken UTF-8 do not stop the file") {
  sample::Sample s = sample::make_sample();
  s.installation.job.name = "bad \xC3\x28 name";
  CHECK(parsed(s)["job"]["name"].get<std::string>().find("bad ") == 0);
}

TEST_CASE("the same findings give the same bytes") {
  const sample::Sample a = sample::make_sample(), b = sample::make_sample();
  CHECK(report::findings_json(a.installation, a.evaluation) == report::findings_json(b.installation, b.evaluation));
}

TEST_CASE("docs/findings.schema.json is the schema of this build") {
  const auto file = read_file(std::string(BAYWRIGHT_SOURCE_DIR) + "/docs/findings.schema.json");
  REQUIRE(file);
  CHECK(json::parse(*file) == json::parse(report::findings_schema()));
  CHECK(*file == report::findings_schema());
}

// Used by validate_findings.py and to renew the schema in docs.
TEST_CASE("clamps and ways out arrive with their numbers") {
  const json without = parsed(sample::make_sample());
  CHECK(without["ways_out"].is_null());
  CHECK(without["ducts"][0]["clamps"].empty());
  const json root = parsed(sample::with_access(sample::make_sample()));
  const json& clamp = root["ducts"][0]["clamps"][0];
  CHECK(clamp["reach"] == "by feel");
  CHECK(clamp["declared_clock_deg"] == Approx(90).margin(1e-9));
  CHECK(clamp["declared_faces"].is_null());
  CHECK(clamp["taken"]["tool"] == "Spanner");
  CHECK(clamp["taken"]["strokes_per_turn"] == 6);
  CHECK(clamp["recommended"]["clock_deg"] == Approx(200).margin(1e-9));
  CHECK(clamp["recommended"]["in_sight"] == true);
  // The declared position stands apart from the stretch before it.
  const json& usable = clamp["tools"][0]["usable"];
  REQUIRE(usable.size() == 2);
  CHECK(usable[0]["from_deg"] == Approx(200).margin(1e-9));
  CHECK(usable[0]["to_deg"] == Approx(205).margin(1e-9));
  CHECK(usable[1]["from_deg"] == Approx(90).margin(1e-9));
  CHECK(clamp["tools"][0]["widest_arc"]["free_arc_deg"] == Approx(100).margin(1e-9));
  CHECK(clamp["tools"][1]["usable"].empty());
  CHECK(clamp["tools"][1]["widest_arc"].is_null());

  const json& pieces = root["ways_out"]["pieces"];
  REQUIRE(pieces.size() == 4);
  CHECK(root["ways_out"]["notes"][0] == "part bonnet stands open");
  CHECK(pieces[0]["with"] == "tube 2");
  CHECK(pieces[1]["order"].is_null());
  CHECK(pieces[1]["open"] == "the search ended after 4000 moves tried for it");
  const json& moves = pieces[2]["moves"];
  REQUIRE(moves.size() == 3);
  CHECK(moves[0]["kind"] == "drawn off");
  CHECK(moves[0]["slid_mm"] == 30.5);
  CHECK(moves[1]["turned_deg"] == Approx(28.6479).margin(1e-4));
  CHECK(moves[1]["about_mm"] == json::array({1.0, 2.0, 3.0}));
  CHECK(moves[2]["along"] == json::array({0.0, 0.0, 1.0}));
}

TEST_CASE("write the sample findings", "[.write]") {
  const sample::Sample s = sample::with_access(sample::make_sample());
  REQUIRE(write_file(std::getenv("BAYWRIGHT_FINDINGS_OUT"), report::findings_json(s.installation, s.evaluation)));
}
TEST_CASE("write the findings of an empty job", "[.write]") {
  REQUIRE(write_file(std::getenv("BAYWRIGHT_FINDINGS_OUT"), report::findings_json({}, {})));
}
TEST_CASE("write the schema", "[.write]") {
  REQUIRE(write_file(std::getenv("BAYWRIGHT_SCHEMA_OUT"), report::findings_schema()));
}

TEST_CASE("the clearance along a duct arrives slice by slice") {
  sample::Sample s = sample::make_sample();
  measure::ProfileSlice near, far;
  near.piece = 0;
  near.station_from_mm = 0;
  near.station_to_mm = 24.5;
  near.nearest = {1, 12.25, 12.3125};
  near.tightest = measure::SliceTightest{0, 30.5, 30.5625, 50};
  far.piece = 1;
  far.station_from_mm = 24.5;
  far.station_to_mm = 40;
  far.nearest = {-1, 60, std::numeric_limits<double>::infinity()};
  far.excepted = true;
  checks::DuctMeasures& m = s.evaluation.ducts.at(0).measures;
  m.profile_over_motion = {60, {near, far}};
  near.nearest = {1, 14.25, 14.25};
  m.profile_at_rest = {60, {near, far}};
  const json profile = parsed(s)["ducts"][0]["clearance_profile"];
  CHECK(profile["range_mm"] == 60);
  REQUIRE(profile["slices"].size() == 2);
  const json& first = profile["slices"][0];
  CHECK(first["piece"] == s.installation.ducts[0].layout.pieces[0].name);
  CHECK(first["station_to_mm"] == 24.5);
  CHECK(first["over_motion"]["part"] == "fan");
  CHECK(first["over_motion"]["lo_mm"] == 12.25);
  CHECK(first["at_rest"]["hi_mm"] == 14.25);
  CHECK(first["over_motion"]["tightest"]["part"] == "rocker");
  CHECK(first["over_motion"]["tightest"]["need_mm"] == 50);
  const json& second = profile["slices"][1];
  CHECK(second["excepted"] == true);
  CHECK(second["over_motion"]["part"].is_null());
  CHECK(second["over_motion"]["hi_mm"].is_null());
  CHECK(second["over_motion"]["missing_numbers"][0]["key"] == "hi_mm");
}
