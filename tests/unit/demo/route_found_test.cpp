#include <algorithm>
#include <catch2/catch.hpp>

#include "access/ways_out.hpp"
#include "demo_job.hpp"
#include "routing/comes_out.hpp"
#include "routing/route_search.hpp"

using namespace baywright;

namespace {

constexpr const char* kIntake = "intake";

/// The best route that is found for the first try's intake with the job's stock, while no tool is tried on any clamp;
/// then judged with everything, tools included, as `baywright check` does it.
routing::JudgedRoute found_and_checked(const routing::SearchOptions& options) {
  const job::Installation& whole = demo::checked("first-try").installation;
  REQUIRE(whole.stock.has_value());
  job::Installation quick = whole;
  quick.workshop.tools.clear();
  for (const std::string& check : demo::of_tools()) quick.sheet.not_required[check] = "left for the end";
  routing::SearchOptions with = options;
  with.stock = &*whole.stock;
  const auto result = routing::find_routes(quick, duct::DuctId(kIntake), with);
  REQUIRE(result.has_value());
  REQUIRE_FALSE(result->routes.empty());
  const auto judge = routing::Judge::of(whole, duct::DuctId(kIntake), {});
  REQUIRE(judge.has_value());
  const auto judged = judge->judge(result->routes.front().spec, result->routes.front().course, {});
  REQUIRE(judged.has_value());
  std::string open;
  for (const checks::Finding& f : judged->in_the_way) open += f.check + ", " + f.subject + "; ";
  INFO(open);
  CHECK(judged->meets);
  // Better than what was drawn.
  const routing::JudgedRoute given = judge->as_given();
  CHECK_FALSE(given.meets);
  CHECK(judged->bends < given.bends);
  CHECK(*judged->restriction_Pa < *given.restriction_Pa);
  CHECK(judged->least_room_mm.value_or(0) > 0);
  CHECK(given.least_room_mm.value_or(0) < 0);
  return *judged;
}

/// Not met, but for what people answered and what no way of the intake mends.
std::vector<std::string> not_met(const routing::JudgedRoute& route) {
  std::vector<std::string> out;
  for (const checks::Finding& f : route.findings) {
    if (f.verdict == checks::Verdict::not_met && routing::route_decides(f.check)) out.push_back(f.check);
  }
  return out;
}

}  // namespace

TEST_CASE("The first try's intake is mended with what the shop has", "[route]") {
  const auto route = found_and_checked({.time_s = 1e9, .repair = true});
  CHECK(route.spec.tube == demo::checked("first-try").installation.ducts.front().spec.tube);
  CHECK(not_met(route) == std::vector<std::string>{"ht.rise"});  // drawn in behind the radiator
}

// A minute and more of processor time: run by tests/long.sh.
TEST_CASE("A route from scratch meets where the first try does not", "[.scratch]") {
  const auto route = found_and_checked({.effort = 1, .time_s = 1e9});
  CHECK(route.bends == 2);
  CHECK(not_met(route) == std::vector<std::string>{"ht.rise"});
}

TEST_CASE("From scratch the first try's intake comes nearer, and a joint it has not is what stands in its way",
          "[route]") {
  job::Installation job = demo::checked("first-try").installation;
  job.workshop = {};  // its clamps are other ducts' and stay where they are
  const auto result = routing::find_routes(job, duct::DuctId("intake"), {.effort = 1, .time_s = 1e9});
  REQUIRE(result.has_value());
  // A rigid tube from filter to rocking engine can meet no sheet that asks for a soft joint: none is a route, the
  // nearest one has that in its way and little else.
  CHECK(result->routes.empty());
  REQUIRE_FALSE(result->near_misses.empty());
  const auto& best = result->near_misses.front();
  CHECK(best.bends <= 3);
  CHECK(best.bends < result->as_given.bends);
  REQUIRE(best.restriction_Pa.has_value());
  CHECK(*best.restriction_Pa < *result->as_given.restriction_Pa);
  CHECK(3 * best.in_the_way.size() <= result->as_given.in_the_way.size());
  std::string open;
  for (const checks::Finding& f : best.in_the_way) open += f.check + " ";
  INFO(open);
  const auto in_the_way = [&best](const std::string& check) {
    return std::any_of(best.in_the_way.begin(), best.in_the_way.end(),
                       [&](const checks::Finding& f) { return f.check == check; });
  };
  CHECK(in_the_way("fx.every"));
  for (const char* check : {"cr.static", "cr.motion", "cr.rotating", "cr.lines", "cr.bonnet", "ht.turbo", "in.bends",
                            "in.turn", "in.radius", "sn.up", "sn.down", "sn.clock", "br.after", "br.before"}) {
    CAPTURE(check);
    CHECK_FALSE(in_the_way(check));
  }
}

TEST_CASE("routes of charge air are ranked by what is lost from the compressor to the engine") {
  const demo::Checked& fitted = demo::checked("fitted");
  const auto loss = std::find_if(fitted.evaluation.findings.begin(), fitted.evaluation.findings.end(),
                                 [](const checks::Finding& f) { return f.check == "ch.loss"; });
  REQUIRE(loss != fitted.evaluation.findings.end());
  job::Installation quick = fitted.installation;
  quick.workshop.tools.clear();
  const auto judge = routing::Judge::of(quick, duct::DuctId("charge-hot"), {});
  REQUIRE(judge.has_value());
  const routing::JudgedRoute given = judge->as_given();
  REQUIRE(given.restriction_Pa.has_value());
  CHECK(*given.restriction_Pa == std::get<measure::Measured>(loss->outcome).lo);
  // Tighter bends lose more.
  duct::DuctSpec tight = given.spec;
  for (duct::RoutePoint& point : tight.route.points) point.bend_radius_mm *= 0.6;
  const auto tighter = judge->judge(tight, given.course, {});
  REQUIRE(tighter.has_value());
  CHECK(*tighter->restriction_Pa > *given.restriction_Pa);
  // A loss that is stated for hot duct and cooler together tells nothing of how the hot duct lies.
  job::Installation together = quick;
  together.job.flow.charge->cooler->curve.reset();
  together.job.flow.charge->cooler->loss = kilopascals(9);
  const auto loss_of = [](const job::Installation& installation, const char* duct) {
    return routing::Judge::of(installation, duct::DuctId(duct), {})->as_given().restriction_Pa;
  };
  CHECK_FALSE(loss_of(together, "charge-hot").has_value());
  CHECK(loss_of(together, "charge-cold").has_value());
  // Nor does what is known of a way with gaps, though it be too much already.
  job::Installation gap = quick;
  std::erase_if(gap.ducts, [](const duct::Duct& d) { return d.spec.id.value == "charge-cold"; });
  std::erase_if(gap.job.ducts, [](const duct::DuctSpec& d) { return d.id.value == "charge-cold"; });
  for (const double limit_Pa : {3000.0, 30000.0}) {
    gap.sheet.limits.at("ch.loss").value = limit_Pa;
    CHECK_FALSE(loss_of(gap, "charge-hot").has_value());
  }
  // Of a duct for raw air alone nothing is told.
  const auto raw = routing::Judge::of(quick, duct::DuctId("raw-air"), {});
  REQUIRE(raw.has_value());
  CHECK_FALSE(raw->as_given().restriction_Pa.has_value());
}

namespace {

/// A duct of the fitted job as it lies there, yet not the job's own to the letter, so that it counts as another route.
routing::JudgedRoute another_like(const duct::Duct& duct) {
  routing::JudgedRoute route;
  route.spec = duct.spec;
  route.spec.material += ", another bar";
  return route;
}

}  // namespace

TEST_CASE("how a route comes out is what the check finds, whatever was said of the route as it was") {
  const demo::Checked& fitted = demo::checked("fitted");
  const access::WaysOut& ways = *fitted.evaluation.ducts.front().measures.ways;
  std::size_t open = 0;
  for (const duct::Duct& duct : fitted.installation.ducts) {
    CAPTURE(duct.spec.id.value);
    std::shared_ptr<const access::WaysOut> as_given;
    const auto out = routing::how_it_comes_out(fitted.installation, another_like(duct), as_given, {});
    REQUIRE(out.has_value());
    std::vector<std::string> stay;
    std::size_t pieces = 0;
    for (const access::PieceWay& way : ways.pieces) {
      if (way.duct != duct.spec.id) continue;
      ++pieces;
      if (!way.found) stay.push_back(way.piece);
    }
    CHECK(out->pieces == pieces);
    CHECK(out->stay == stay);
    CHECK(out->shut_in.empty());
    open += stay.size();
  }
  // Three hoses of the cold side, of which the workshop says that they come out pressed together and bent.
  CHECK(open == 3);
  // Of the route that they said it of it holds.
  routing::JudgedRoute as_it_lies;
  as_it_lies.spec = fitted.installation.ducts[3].spec;
  REQUIRE(as_it_lies.spec.id.value == "charge-cold");
  std::shared_ptr<const access::WaysOut> as_given;
  CHECK_FALSE(routing::how_it_comes_out(fitted.installation, as_it_lies, as_given, {}).has_value());
}

TEST_CASE("what was said of one duct counts before what was said of all, in any order") {
  job::Installation job = demo::checked("fitted").installation;
  std::erase_if(job.job.answers, [](const checks::Answer& a) { return a.check == "cr.assemble"; });
  const checks::Answer all{"cr.assemble", {}, true, "workshop", ""};
  const checks::Answer intake{"cr.assemble", duct::DuctId("intake"), false, "workshop", ""};
  const auto stay = [&](const std::vector<checks::Answer>& answers) {
    job::Installation with = job;
    with.job.answers.insert(with.job.answers.end(), answers.begin(), answers.end());
    std::shared_ptr<const access::WaysOut> as_given;
    return routing::how_it_comes_out(with, another_like(with.ducts[1]), as_given, {})->stay;
  };
  const auto alone = stay({intake});
  CHECK_FALSE(alone.empty());  // the breather's hose comes out on a tube of the intake, which stays
  CHECK(stay({all, intake}) == alone);
  CHECK(stay({intake, all}) == alone);
  CHECK(stay({all}).size() < alone.size());
}

TEST_CASE("a piece of another duct that came out before a route was laid is told as shut in") {
  const demo::Checked& fitted = demo::checked("fitted");
  auto all_out = *fitted.evaluation.ducts.front().measures.ways;
  std::vector<std::string> others;
  for (access::PieceWay& way : all_out.pieces) {
    if (!way.found && way.duct.value != "breather") others.push_back(way.piece + " of duct " + way.duct.value);
    way.found = true;
  }
  std::shared_ptr<const access::WaysOut> as_given = std::make_shared<access::WaysOut>(std::move(all_out));
  routing::JudgedRoute route;
  route.spec = fitted.installation.ducts[1].spec;
  REQUIRE(route.spec.id.value == "breather");
  const auto out = routing::how_it_comes_out(fitted.installation, route, as_given, {});
  REQUIRE(out.has_value());
  CHECK(out->shut_in == others);
  CHECK_FALSE(others.empty());
}
