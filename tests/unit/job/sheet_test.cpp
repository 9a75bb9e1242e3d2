#include <algorithm>

#include <catch2/catch.hpp>

#include "checks/check.hpp"
#include "geometry/base/atomic_file.hpp"
#include "job/job_file.hpp"
#include "texts.hpp"

using namespace baywright;
using test::lines_of;
using test::one_begins;

namespace {

std::vector<std::string> sheet_complaints(const std::string& text) {
  const auto sheet = job::read_sheet(text, "sheet.json");
  return sheet ? std::vector<std::string>{} : lines_of(sheet.error());
}

}  // namespace

TEST_CASE("a sheet without limits is a sheet") {
  const auto sheet = job::read_sheet(R"({ "baywright_sheet": 1, "name": "empty" })", "sheet.json");
  REQUIRE(sheet.has_value());
  CHECK(sheet->limits.empty());
  CHECK_FALSE(sheet->restriction.has_value());
}

TEST_CASE("the default sheet reads, and has a limit for every check that takes one") {
  const auto sheet = job::read_sheet(job::default_sheet_text(), "default sheet");
  if (!sheet) {
    for (const Error& error : sheet.error()) UNSCOPED_INFO(to_line(error));
  }
  REQUIRE(sheet.has_value());
  CHECK(checks::problems_of(*sheet).empty());
  CHECK(sheet->clearance.size() == bay::kPartClasses.size());
  CHECK(sheet->limits.at("sn.up").value == 101.6);  // 4 in
  CHECK(sheet->limits.at("sn.up").unit == Unit::mm);
  CHECK(sheet->limits.at("in.loss_clean").value == Approx(15 * 249.08891));  // pascal
  for (const auto& [id, limit] : sheet->limits) CHECK_FALSE(limit.origin.text.empty());
  // A third, and not a shade under it: 1 mm of 3 mm is allowed.
  CHECK(sheet->limits.at("fx.align").value >= 1.0 / 3);
  CHECK(sheet->limits.at("fx.align").value < 0.335);
}

TEST_CASE("the documented sheet reads") {
  const auto page = read_file(std::string(BAYWRIGHT_SOURCE_DIR) + "/docs/sheet-file.md");
  REQUIRE(page.has_value());
  const std::string fence = "```json\n";
  const std::size_t from = page->find(fence) + fence.size();
  const auto lines = sheet_complaints(page->substr(from, page->find("```", from) - from));
  for (const std::string& line : lines) UNSCOPED_INFO(line);
  CHECK(lines.empty());
}

TEST_CASE("every mistake in a sheet is named with its line") {
  const auto lines = sheet_complaints(R"({
  "baywright_sheet": 1,
  "limits": {
    "sn.upp": { "at_least": 4, "unit": "in", "origin": "supplier", "text": "page 1" },
    "sn.up": { "at_least": 4, "unit": "kPa", "origin": "supplier", "text": "page 1" },
    "sn.down": { "at_most": 4, "unit": "in", "origin": "supplier", "text": "page 1" },
    "sn.clock": { "at_most": 45, "at_least": 3, "unit": "deg", "origin": "supplier", "text": "page 1" },
    "br.after": { "at_least": 9, "unit": "inch", "origin": "me", "text": "" }
  },
  "clearance": [
    { "class": "plain", "same_body_mm": 6, "at_rest_mm": 20, "over_motion_mm": 6, "origin": "shop rule", "text": "ours" },
    { "class": "plain", "same_body_mm": 6, "at_rest_mm": 20, "over_motion_mm": 6, "origin": "shop rule", "text": "ours" }
  ],
  "restriction": { "meaning": "gauge", "station": "compressor face" }
})");
  for (const std::string& line : lines) UNSCOPED_INFO(line);
  CHECK(one_begins(lines, "sheet.json: / (line 1): \"name\" is missing"));
  CHECK(one_begins(lines,
                   "sheet.json: /limits/sn.upp (line 4): there is no such check; the nearest known one is \"sn.up\""));
  CHECK(one_begins(lines, "sheet.json: /limits/sn.up/unit (line 5): is \"kPa\", the check measures in \"mm\""));
  CHECK(one_begins(lines, "sheet.json: /limits/sn.down (line 6): says at most, the check needs at least"));
  CHECK(one_begins(lines, "sheet.json: /limits/sn.clock (line 7): mixes keys; expected \"at_most\""));
  CHECK(one_begins(lines, "sheet.json: /limits/br.after/unit (line 8): is \"inch\""));
  CHECK(one_begins(lines, "sheet.json: /limits/br.after/origin (line 8): is \"me\""));
  CHECK(one_begins(lines, "sheet.json: /limits/br.after/text (line 8): is empty"));
  CHECK(one_begins(lines, "sheet.json: /clearance/1 (line 12): "));
  CHECK(one_begins(lines, "sheet.json: /restriction/meaning (line 14): is \"gauge\""));
  CHECK(lines.size() == 10);
}

TEST_CASE("hoses and clamps may have distances of their own") {
  const auto sheet = job::read_sheet(R"({ "baywright_sheet": 1, "name": "rubber", "clearance": [
    { "class": "hot", "same_body_mm": 25, "at_rest_mm": 25, "over_motion_mm": 25, "origin": "shop rule", "text": "metal",
      "hose": { "same_body_mm": 76, "at_rest_mm": "3 in", "over_motion_mm": 76, "origin": "published", "text": "rubber" } }
  ] })",
                                     "sheet.json");
  REQUIRE(sheet.has_value());
  using Kind = duct::Piece::Kind;
  const checks::ClearanceRow& row = sheet->clearance.at(0);
  CHECK(row.of(Kind::tube)->at_rest_mm == 25);
  CHECK(row.of(Kind::coupler)->at_rest_mm == Approx(76.2));
  CHECK(row.of(Kind::coupler)->origin.text == "rubber");
  CHECK(row.of(Kind::clamps)->over_motion_mm == 25);
  const auto lines = sheet_complaints(R"({ "baywright_sheet": 1, "name": "rubber", "clearance": [
    { "class": "hot", "same_body_mm": 25, "at_rest_mm": 25, "over_motion_mm": 25, "origin": "shop rule", "text": "metal",
      "hose": { "same_body_mm": 76, "at_rest_mm": -76, "origin": "published", "text": "rubber" } }
  ] })");
  CHECK(one_begins(lines, "sheet.json: /clearance/0/hose/at_rest_mm (line 3): "));
  CHECK(one_begins(lines, "sheet.json: /clearance/0/hose (line 3): \"over_motion_mm\" is missing"));
}

TEST_CASE("a limit that must not be reached") {
  const std::string head = R"({ "baywright_sheet": 1, "name": "side", "limits": { "sn.bottom": { ")";
  const std::string tail = R"(": 90, "unit": "deg", "origin": "shop rule", "text": "ours" } } })";
  const auto sheet = job::read_sheet(head + "below" + tail, "sheet.json");
  REQUIRE(sheet.has_value());
  CHECK(sheet->limits.at("sn.bottom").comparison == checks::Comparison::below);
  CHECK(one_begins(sheet_complaints(head + "at_most" + tail),
                   "sheet.json: /limits/sn.bottom (line 1): says at most, the check needs below"));
}

TEST_CASE("a limit keeps the value and unit it was stated in") {
  const auto sheet = job::read_sheet(R"({ "baywright_sheet": 1, "name": "s", "limits": {
    "in.loss_clean": { "at_most": 15, "unit": "inH2O", "origin": "supplier", "text": "page 1" },
    "sn.up": { "at_least": 4.5, "unit": "in", "origin": "supplier", "text": "page 1" },
    "sn.clock": { "at_most": 45, "unit": "deg", "origin": "supplier", "text": "page 1" } } })",
                                     "sheet.json");
  REQUIRE(sheet.has_value());
  const DisplayUnits metric, us{LengthUnit::inch, PressureUnit::inH2O, TemperatureUnit::fahrenheit};
  const checks::Limit &loss = sheet->limits.at("in.loss_clean"), &up = sheet->limits.at("sn.up");
  CHECK(format(loss.value, loss.unit, us) == "15.00 inH2O");
  CHECK(checks::stated_otherwise(loss, us).empty());
  CHECK(checks::stated_otherwise(loss, metric) == "15 inH2O");
  CHECK(checks::stated_otherwise(up, metric) == "4.5 in");
  CHECK(checks::stated_otherwise(up, us).empty());
  CHECK(checks::stated_otherwise(sheet->limits.at("sn.clock"), metric).empty());
}

TEST_CASE("a unit that the check does not measure in is named as written, at its own line") {
  const auto lines = sheet_complaints(R"({ "baywright_sheet": 1, "name": "s", "limits": {
    "sn.up": {
      "at_least": 4,
      "unit": "kPa", "origin": "supplier", "text": "page 1" } } })");
  REQUIRE(lines.size() == 1);
  CHECK(lines[0] == "sheet.json: /limits/sn.up/unit (line 4): is \"kPa\", the check measures in \"mm\"");
}

TEST_CASE("a unit of a sheet written another way is recognized") {
  for (const auto& [written, meant] : {std::pair("kpa", "kPa"), std::pair("inches of water", "inH2O")}) {
    const auto lines = sheet_complaints(std::string(R"({ "baywright_sheet": 1, "name": "s", "limits": {
      "in.loss_clean": { "at_most": 15, "unit": ")") +
                                        written + R"(", "origin": "supplier", "text": "page 1" } } })");
    REQUIRE(lines.size() == 1);
    CHECK(one_begins(lines, "sheet.json: /limits/in.loss_clean/unit (line 2): is \"" + std::string(written) +
                                "\"; did you mean \"" + meant + "\"?"));
  }
}
