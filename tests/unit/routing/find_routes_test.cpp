#include <catch2/catch.hpp>

#include "checks/check.hpp"
#include "checks/evaluation.hpp"
#include "job/lay_out_ducts.hpp"
#include "routing/judge.hpp"
#include "routing/route_search.hpp"
#include "searched.hpp"
#include "session/evaluate.hpp"
#include "tests/support/case_count.hpp"
#include "tests/support/planted_bay.hpp"

using namespace baywright;
using namespace baywright::routing;
using test::checked_with;
using test::options_of;

namespace {

std::string open_findings(const checks::Evaluation& evaluation) {
  std::string text;
  for (const checks::Finding& f : evaluation.findings) {
    if (f.verdict == checks::Verdict::met || f.verdict == checks::Verdict::not_applicable) continue;
    text += f.check + " " + f.subject + ": " + std::string(checks::name(f.verdict)) + "; ";
  }
  return text;
}

}  // namespace

TEST_CASE("the planted duct is met in full, the job's own one mostly is not", "[planted]") {
  int bad = 0;
  const auto runs = static_cast<unsigned>(test::case_count(6));
  for (unsigned seed = 1; seed <= runs; ++seed) {
    CAPTURE(seed);
    const test::PlantedBay bay = test::planted_bay(options_of(seed, 10));
    const checks::Evaluation evaluation = checked_with(bay.installation, bay.planted);
    INFO(open_findings(evaluation));
    CHECK(checks::exit_code(evaluation.summary) == 0);
    bad += checks::exit_code(session::evaluate(bay.installation)->summary) == 1;
  }
  CHECK(2 * bad > static_cast<int>(runs));
}

TEST_CASE("every route that is returned passes the full check", "[planted]") {
  const auto runs = static_cast<unsigned>(test::case_count(5));
  unsigned solved = 0;
  for (unsigned seed = 1; seed <= runs; ++seed) {
    CAPTURE(seed);
    const test::PlantedBay bay = test::planted_bay(options_of(seed, 10));
    const auto result = find_routes(bay.installation, duct::DuctId("intake"), {.effort = 2, .time_s = 10});
    REQUIRE(result.has_value());
    solved += !result->routes.empty();
    for (const JudgedRoute& route : result->routes) {
      const checks::Evaluation evaluation = checked_with(bay.installation, route.spec);
      INFO(open_findings(evaluation));
      CHECK(checks::exit_code(evaluation.summary) == 0);
    }
    for (std::size_t i = 0; i < result->routes.size(); ++i) {
      for (std::size_t j = i + 1; j < result->routes.size(); ++j)
        CHECK(different(result->routes[i], result->routes[j]));
    }
  }
  CHECK(solved + 1 >= runs);
}

TEST_CASE("a bay with a wall across it has no route, and the wall is named", "[planted]") {
  const auto runs = static_cast<unsigned>(test::case_count(2));
  for (unsigned seed = 1; seed <= runs; ++seed) {
    CAPTURE(seed);
    test::PlantOptions options = options_of(seed, 10);
    options.blocked = true;
    const test::PlantedBay bay = test::planted_bay(options);
    const auto result = find_routes(bay.installation, duct::DuctId("intake"), {.effort = 1, .time_s = 10});
    REQUIRE(result.has_value());
    CHECK(result->routes.empty());
    REQUIRE_FALSE(result->near_misses.empty());
    const auto& in_the_way = result->near_misses.front().in_the_way;
    REQUIRE_FALSE(in_the_way.empty());
    CHECK(std::any_of(in_the_way.begin(), in_the_way.end(),
                      [](const checks::Finding& f) { return f.part == bay::PartId("still"); }));
  }
}

TEST_CASE("a soft joint that takes too little is in the way of every route, as it was of the one given", "[planted]") {
  test::PlantedBay bay = test::planted_bay(options_of(2, 12));
  for (duct::Fitting& fitting : bay.installation.job.ducts.front().fittings) {
    if (auto* soft = std::get_if<duct::Coupler>(&fitting.kind)) soft->axial_mm = soft->lateral_mm = 0.2;
  }
  bay.installation.ducts = *job::lay_out_ducts(bay.installation.job.ducts, bay.installation.bay);
  const auto result = find_routes(bay.installation, duct::DuctId("intake"), {.effort = 1, .time_s = 1e9});
  REQUIRE(result.has_value());
  CHECK(result->routes.empty());
  REQUIRE_FALSE(result->near_misses.empty());
  const auto& in_the_way = result->near_misses.front().in_the_way;
  CHECK(std::any_of(in_the_way.begin(), in_the_way.end(),
                    [](const checks::Finding& f) { return f.check == "fx.motion"; }));
}

TEST_CASE("an input that nobody stated is lacking on every route and stands against none", "[planted]") {
  test::PlantedBay bay = test::planted_bay(options_of(3, 15));
  bay.installation.job.flow.components.front().clean.reset();
  const auto result = find_routes(bay.installation, duct::DuctId("intake"), {.effort = 1, .time_s = 1e9});
  REQUIRE(result.has_value());
  REQUIRE_FALSE(result->routes.empty());
  const auto& findings = result->routes.front().findings;
  CHECK(std::any_of(findings.begin(), findings.end(), [](const checks::Finding& f) {
    return f.check == "in.loss_clean" && f.verdict == checks::Verdict::not_checked;
  }));
}

TEST_CASE("a part whose shape is not believed is no room: nothing meets beside it", "[planted]") {
  test::PlantedBay bay = test::planted_bay(options_of(3, 15));
  bay.installation.bay.parts.front().doubt = "a bay of 900 m";
  const auto result = find_routes(bay.installation, duct::DuctId("intake"), {.effort = 1, .time_s = 1e9});
  REQUIRE(result.has_value());
  CHECK(result->routes.empty());
}

TEST_CASE("where a duct lies decides all checks of it but those of answers, material, bores and flow", "[judge]") {
  for (const char* check : {"cr.static", "cr.motion", "cl.reach", "cl.torque", "cl.sight", "cl.body", "fx.motion",
                            "fx.align", "fx.every", "sn.heat", "sn.plug", "br.slope", "in.loss_clean", "fb.grip"}) {
    CAPTURE(check);
    CHECK(route_decides(check));
  }
  int others = 0;
  for (const checks::CheckDef& check : checks::registry()) {
    if (check.asked || check.services.empty()) CHECK_FALSE(route_decides(check.id));
    others += !check.asked && !check.services.empty() && !route_decides(check.id);
  }
  CHECK(others == 17);
  CHECK_FALSE(route_decides("no.check"));
}

TEST_CASE("the same seed and effort give the same routes", "[planted]") {
  const test::PlantedBay bay = test::planted_bay(options_of(4, 12));
  const SearchOptions options{.effort = 1, .time_s = 1e9, .seed = 7};
  const auto once = find_routes(bay.installation, duct::DuctId("intake"), options);
  const auto again = find_routes(bay.installation, duct::DuctId("intake"), options);
  REQUIRE(once.has_value());
  REQUIRE(again.has_value());
  REQUIRE_FALSE(once->routes.empty());
  REQUIRE(once->routes.size() == again->routes.size());
  for (std::size_t i = 0; i < once->routes.size(); ++i) CHECK(once->routes[i].spec == again->routes[i].spec);
  CHECK(once->tried == again->tried);
}

TEST_CASE("a search that is cancelled says so, and one whose time is up before the first round too", "[planted]") {
  const test::PlantedBay bay = test::planted_bay(options_of(2, 12));
  const Progress stopped;
  stopped.cancel();
  const auto none = find_routes(bay.installation, duct::DuctId("intake"), {}, stopped);
  REQUIRE_FALSE(none.has_value());
  CHECK(none.error().code == ErrorCode::cancelled);
  const auto short_one = find_routes(bay.installation, duct::DuctId("intake"), {.effort = 3, .time_s = 0});
  REQUIRE(short_one.has_value());
  CHECK(short_one->time_was_up);
  CHECK(short_one->rounds == 0);
}

TEST_CASE("what is not searched is refused in one line", "[requirements]") {
  test::PlantedBay bay = test::planted_bay(options_of(1, 12));
  const auto unknown = find_routes(bay.installation, duct::DuctId("outtake"), {});
  REQUIRE_FALSE(unknown.has_value());
  CHECK(to_line(unknown.error()) == "job: there is no duct 'outtake'");

  bay.installation.ducts.front().spec.route.points[1].pieces = 4;
  const auto welded = find_routes(bay.installation, duct::DuctId("intake"), {});
  REQUIRE_FALSE(welded.has_value());
  CHECK(to_line(welded.error()).find("is welded of pieces") != std::string::npos);
  bay.installation.ducts.front().spec.route.points[1].pieces.reset();
  bay.installation.ducts.front().spec.to = {};
  const auto open = find_routes(bay.installation, duct::DuctId("intake"), {});
  REQUIRE_FALSE(open.has_value());
}
