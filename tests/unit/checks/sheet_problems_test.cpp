#include <catch2/catch.hpp>
#include <limits>
#include <set>

#include "checks/check.hpp"

using namespace baywright;
using namespace baywright::checks;

namespace {

Limit limit_for(const CheckDef& check) { return {check.comparison, 1, check.unit, {Origin::Kind::shop_rule, "test"}}; }

Sheet sheet_with(const std::string& id, const Limit& limit) {
  Sheet sheet;
  sheet.limits[id] = limit;
  return sheet;
}

}  // namespace

TEST_CASE("an empty sheet has no problems", "[sheet]") { CHECK(problems_of(Sheet{}).empty()); }

TEST_CASE("a sheet with every known limit has no problems", "[sheet]") {
  Sheet sheet;
  for (const CheckDef& check : registry()) {
    if (check.limits == LimitPlace::by_class) continue;
    sheet.limits[check.id] = limit_for(check);
    for (const FurtherLimit& f : check.further_limits) {
      sheet.limits[f.id] = limit_for(check);
      sheet.limits[f.id].unit = f.unit.value_or(check.unit);
      sheet.limits[f.id].comparison = f.comparison.value_or(check.comparison);
    }
  }
  sheet.clearance.push_back({bay::PartClass::plain, 6, 20, 6, {Origin::Kind::shop_rule, "test"}});
  sheet.restriction = Sheet::RestrictionMeaning{flow::PressureKind::total, "compressor face"};
  CHECK(problems_of(sheet) == std::vector<std::string>{});
}

TEST_CASE("an unknown limit names the nearest known one", "[sheet]") {
  const auto problems = problems_of(sheet_with("sn.upp", limit_for(*find_check("sn.up"))));
  REQUIRE(problems.size() == 1);
  CHECK(problems[0] == "limit \"sn.upp\": there is no such check; the nearest known one is \"sn.up\"");
  CHECK(problems_of(sheet_with("in.loss_durty", {}))[0].find("\"in.loss_dirty\"") != std::string::npos);
}

TEST_CASE("wrong unit, wrong sense, no number and no origin are all reported", "[sheet]") {
  Limit limit;
  limit.unit = Unit::degree;
  limit.comparison = Comparison::at_most;
  limit.value = std::numeric_limits<double>::quiet_NaN();
  const auto problems = problems_of(sheet_with("sn.up", limit));
  REQUIRE(problems.size() == 4);
  CHECK(problems[0] == "limit \"sn.up\": is in \"deg\", the check measures in \"mm\"");
  CHECK(problems[1] == "limit \"sn.up\": says at most, the check needs at least");
}

TEST_CASE("clearance limits do not stand among the limits by id", "[sheet]") {
  CHECK(problems_of(sheet_with("cr.motion", limit_for(*find_check("cr.motion")))).size() == 1);
}

TEST_CASE("clearance rows are held to one per class, non-negative and with an origin", "[sheet]") {
  Sheet sheet;
  const Origin origin{Origin::Kind::shop_rule, "test"};
  sheet.clearance = {{bay::PartClass::hot, 1, 2, 3, origin}, {bay::PartClass::hot, 1, 2, 3, origin}};
  CHECK(problems_of(sheet).size() == 1);
  sheet.clearance = {{bay::PartClass::hot, 1, -2, 3, origin}};
  CHECK(problems_of(sheet).size() == 1);
  sheet.clearance = {{bay::PartClass::hot, 1, 2, 3, {}}};
  CHECK(problems_of(sheet).size() == 1);
}

TEST_CASE("a restriction meaning needs a station", "[sheet]") {
  Sheet sheet;
  sheet.restriction = Sheet::RestrictionMeaning{};
  CHECK(problems_of(sheet).size() == 1);
}

TEST_CASE("checks say all of themselves and their ids are unique", "[registry]") {
  std::set<std::string> ids;
  for (const CheckDef& check : registry()) {
    INFO(check.id);
    CHECK(ids.insert(check.id).second);
    CHECK_FALSE(check.title.empty());
    CHECK(check.question.back() == '?');
    CHECK(check.definition.back() == '.');
    CHECK(check.services.empty() == static_cast<bool>(check.measure_job));
    CHECK(check.services.empty() != static_cast<bool>(check.measure));
    CHECK_FALSE(check.inputs.empty());
    CHECK((check.limits == LimitPlace::by_class || !check.hint.empty()));
  }
  CHECK(find_check("sn.up")->title == "Straight ahead of the sensor");
  CHECK(find_check("nothing") == nullptr);
}
