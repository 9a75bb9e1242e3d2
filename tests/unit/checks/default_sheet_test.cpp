#include <catch2/catch.hpp>

#include "checks/check.hpp"
#include "job/job_file.hpp"

using namespace baywright;
using namespace baywright::checks;

namespace {

Sheet default_sheet() {
  const auto sheet = job::read_sheet(job::default_sheet_text(), "default.json");
  if (!sheet) FAIL(to_line(sheet.error().front()));
  return *sheet;
}

}  // namespace

TEST_CASE("the default sheet fits the registry and leaves no check without a limit", "[sheet]") {
  const Sheet sheet = default_sheet();
  CHECK(problems_of(sheet) == std::vector<std::string>{});
  for (const CheckDef& check : registry()) {
    if (check.limits == LimitPlace::by_class) continue;
    INFO(check.id);
    // What the intake manifold may see is the engine supplier's to say; br.fit follows from other limits.
    CHECK(sheet.limits.count(check.id) == (check.id == "ch.manifold" || check.id == "br.fit" ? 0 : 1));
    for (const FurtherLimit& f : check.further_limits) CHECK(sheet.limits.count(f.id) == 1);
  }
  REQUIRE(sheet.restriction);
  CHECK(sheet.restriction->kind == flow::PressureKind::total);
  CHECK(sheet.restriction->station == flow::kCompressorFace);
}

TEST_CASE("the default limits are those of common practice", "[sheet]") {
  const Sheet sheet = default_sheet();
  const auto value = [&](const char* id) { return sheet.limits.at(id).value; };
  CHECK(value("in.bends") == 3);
  CHECK(value("in.turn") == 270);
  CHECK(value("in.radius") == 1.5);
  CHECK(value("in.taper") == 15);
  CHECK(value("in.taper.expansion") == 7);
  CHECK(value("in.loss_clean") == Approx(15 * kPascalsPerInchWater));
  CHECK(value("in.loss_dirty") == Approx(20 * kPascalsPerInchWater));
  CHECK(value("sn.up") == Approx(4 * 25.4));
  CHECK(value("sn.down") == Approx(3 * 25.4));
  CHECK(value("sn.clock") == 45);
  CHECK(value("sn.bottom") == 90);
  CHECK(value("br.after") == Approx(9 * 25.4));
  CHECK(value("br.before") == Approx(12 * 25.4));
  CHECK(value("fx.every") == 1);
  CHECK(value("fb.grip") == 2);
}

TEST_CASE("every class of part has a clearance row", "[sheet]") {
  const Sheet sheet = default_sheet();
  REQUIRE(sheet.clearance.size() == 10);
  for (const ClearanceRow& row : sheet.clearance) {
    INFO(bay::name(row.part_class));
    CHECK(row.same_body_mm <= row.at_rest_mm);
    CHECK(row.over_motion_mm <= row.at_rest_mm);
    CHECK(row.over_motion_mm > 0);
  }
  // Rubber near the exhaust: 76 mm bare, at the worst pose too; a clamp anywhere 5 / 15 / 6.
  using Kind = duct::Piece::Kind;
  for (const ClearanceRow& row : sheet.clearance) {
    INFO(bay::name(row.part_class));
    REQUIRE(row.of(Kind::coupler));
    const bool hot = row.part_class == bay::PartClass::hot;
    CHECK(row.of(Kind::coupler)->over_motion_mm == (hot ? 76 : row.over_motion_mm));
    CHECK(row.of(Kind::coupler)->same_body_mm == (hot ? 76 : row.same_body_mm));
    CHECK(row.of(Kind::clamps)->same_body_mm >= 5);
    CHECK(row.of(Kind::clamps)->at_rest_mm >= 15);
    CHECK(row.of(Kind::clamps)->over_motion_mm >= 6);
    if (row.part_class == bay::PartClass::plain) CHECK(row.of(Kind::clamps)->at_rest_mm == 15);
  }
}

TEST_CASE("clearance is followed beyond the greatest limit of the sheet", "[sheet]") {
  CHECK(search_range_mm(Sheet(), 60) == 60);
  CHECK(search_range_mm(default_sheet(), 60) == 76 + 20);  // rubber near exhaust parts
  CHECK(search_range_mm(default_sheet(), 150) == 150);
}
