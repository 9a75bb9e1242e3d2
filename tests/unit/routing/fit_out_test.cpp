#include "routing/fit_out.hpp"

#include <algorithm>
#include <catch2/catch.hpp>

#include "job/lay_out_ducts.hpp"
#include "routing/judge.hpp"
#include "tests/support/planted_bay.hpp"
#include "tests/support/rocking_bay.hpp"

namespace baywright::routing {
namespace {

using checks::Comparison;

/// A straight duct from the vehicle to an engine that moves 4 mm sideways, far from everything; a stock with one hump
/// hose and one bracket.
struct Straight {
  Straight() {
    const test::PlantedBay planted = test::planted_bay({});
    job = planted.installation;
    bay::LoadCaseMotion motion;
    motion.cases = {{"aside", Angle(), Angle(), Angle(), Vec3(0, 4, 0)}};
    job.bay.bodies[1].spec = motion;
    job.bay.bodies[1].motion = bay::build_motion(motion)->set;
    job.bay.ports = {test::port("filter-out", {0, 0, 0}, Vec3::UnitX(), 60, 0),
                     test::port("compressor-in", {1200, 0, 0}, -Vec3::UnitX(), 60, 1)};
    for (bay::Port& p : job.bay.ports) p.bore_mm = 56;
    job.bay.parts = {test::box_part("block", {500, -900, -100}, {700, -800, 100}, 0)};
    duct::Coupler hump = std::get<duct::Coupler>(planted.planted.fittings.front().kind);
    hump.shape = duct::CouplerShape::hump;
    hump.hump_height_mm = 6;
    stock.couplers = {{duct::StockCouplerId("hump"), "", 60, hump, "test"}};
    stock.brackets = {{duct::StockBracketId("strap"), "", 60, "test"}};
    duct::DuctSpec& spec = job.job.ducts.front();
    spec.fittings.clear();
    spec.metal = duct::Metal::aluminium;
    spec.route = test::route({{0, 0, 0}, {1200, 0, 0}}, 90);
    lay_out();
  }

  void lay_out() { job.ducts = *job::lay_out_ducts(job.job.ducts, job.bay); }
  void asks(const char* check, Comparison comparison, double value, Unit unit) {
    job.sheet.not_required.erase(check);
    job.sheet.limits[check] = {comparison, value, unit, {}};
  }
  duct::Coupler& hump() { return stock.couplers[0].coupler; }

  /// The best; none: nothing that is added helps.
  std::optional<FittedOut> fitted() const {
    const auto judge = Judge::of(job, duct::DuctId("intake"), {});
    REQUIRE(judge.has_value());
    const auto need = requirements_of(job, job.ducts.front());
    REQUIRE(need.has_value());
    std::vector<duct::FittingId> own;
    for (const duct::Fitting& f : job.job.ducts.front().fittings) own.push_back(f.id);
    const auto against = [&](const duct::Duct& d) { return judge->of_fittings(d); };
    auto all = fitted_out(job, job.ducts.front(), own, *need, stock, against, {});
    return all.empty() ? std::nullopt : std::optional(std::move(all.front()));
  }

  job::Installation job;
  duct::Stock stock;
};

template <class Kind>
std::ptrdiff_t count_of(const duct::Duct& duct) {
  return std::count_if(duct.spec.fittings.begin(), duct.spec.fittings.end(),
                       [](const duct::Fitting& f) { return std::holds_alternative<Kind>(f.kind); });
}

TEST_CASE("one joint where one takes the motion, and nothing where the duct has one that does", "[fitout]") {
  Straight s;
  const auto fitted = s.fitted();
  REQUIRE(fitted.has_value());
  CHECK(fitted->in_the_way.empty());
  REQUIRE(fitted->duct.spec.fittings.size() == 1);
  CHECK(fitted->duct.spec.fittings[0].id.value == "hump");
  s.job.job.ducts.front() = fitted->duct.spec;
  s.lay_out();
  CHECK_FALSE(s.fitted().has_value());
}

TEST_CASE("a second joint where one alone cannot move that far sideways, for two let the tube between them lean",
          "[fitout]") {
  Straight s;
  s.hump().lateral_mm = 3;  // of the 4 that the engine moves
  const auto fitted = s.fitted();
  REQUIRE(fitted.has_value());
  CHECK(fitted->in_the_way.empty());
  CHECK(count_of<duct::Coupler>(fitted->duct) == 2);
  CHECK(fitted->duct.spec.fittings[1].id.value == "hump-2");
}

TEST_CASE("brackets where a tube hangs free over more than the sheet allows", "[fitout]") {
  Straight s;
  s.asks("fx.held", Comparison::at_most, 400, Unit::mm);
  const auto fitted = s.fitted();
  REQUIRE(fitted.has_value());
  CHECK(fitted->in_the_way.empty());
  // 1200 mm less a gap are three stretches of 400: the ports, the joint between them and a bracket. One step after the
  // other it may be one more.
  CHECK(count_of<duct::Bracket>(fitted->duct) >= 1);
  CHECK(count_of<duct::Bracket>(fitted->duct) + count_of<duct::Coupler>(fitted->duct) <= 4);
  for (const duct::Fitting& f : fitted->duct.spec.fittings) {
    const auto* bracket = std::get_if<duct::Bracket>(&f.kind);
    if (bracket) CHECK((bracket->body.value == "vehicle" || bracket->body.value == "engine"));
  }
  s.stock.brackets.clear();
  // Joints hold the ends of a tube too, but no joint may be all that does.
  const auto without = s.fitted();
  REQUIRE(without.has_value());
  CHECK(count_of<duct::Bracket>(without->duct) == 0);
}

TEST_CASE("nothing is put on a tube of another size, nor in a duct that has no straight for it", "[fitout]") {
  Straight s;
  s.stock.couplers[0].for_outer_diameter_mm = 63.5;
  CHECK_FALSE(s.fitted().has_value());
  s.stock.couplers[0].for_outer_diameter_mm = 60;
  s.hump().length_mm = 1300;
  CHECK_FALSE(s.fitted().has_value());
}

TEST_CASE("a hose lies on a port's own spigot only where its length is stated", "[fitout]") {
  Straight s;
  s.asks("fx.held", Comparison::at_most, 5000, Unit::mm);
  const auto at_an_end = [&s](double spigot_mm) {
    for (bay::Port& p : s.job.bay.ports) p.spigot_length_mm = spigot_mm > 0 ? std::optional(spigot_mm) : std::nullopt;
    s.lay_out();
    const auto fitted = s.fitted();
    REQUIRE(fitted.has_value());
    const auto& placed = fitted->duct.layout.fittings;
    return std::any_of(placed.begin(), placed.end(), [&](const duct::PlacedFitting& p) {
      return p.station_from_mm < 1 || p.station_to_mm > fitted->duct.layout.length_mm - 1;
    });
  };
  CHECK_FALSE(at_an_end(0));
  CHECK(at_an_end(60));
  CHECK_FALSE(at_an_end(20));  // (70 - 12) / 2 = 29 mm of hose lie on it
}

TEST_CASE("a row that comes behind one of the same size is tried as well", "[fitout]") {
  Straight s;
  duct::StockCoupler stiff = s.stock.couplers[0];
  stiff.id = duct::StockCouplerId("stiff");
  stiff.coupler.angle = degrees(0.01);
  stiff.coupler.axial_mm = 0.01;
  s.stock.couplers.insert(s.stock.couplers.begin(), stiff);
  s.hump().lateral_mm = s.stock.couplers[1].coupler.lateral_mm = 3;
  const auto fitted = s.fitted();
  REQUIRE(fitted.has_value());
  CHECK(fitted->in_the_way.empty());
  for (const duct::Fitting& f : fitted->duct.spec.fittings) CHECK(f.id.value.starts_with("hump"));
}

TEST_CASE("a joint that is alone in the way is taken off again", "[fitout]") {
  Straight s;
  s.job.bay.ports[1].body = 0;                               // nothing moves between the ends
  s.asks("in.joints", Comparison::at_most, 2, Unit::count);  // the tube's two ends on the ports
  s.lay_out();
  const auto judge = Judge::of(s.job, duct::DuctId("intake"), {});
  REQUIRE(judge.has_value());
  duct::DuctSpec with = s.job.job.ducts.front();
  with.fittings = {test::fitting_at(with.route, "hump", 500, s.hump())};
  const duct::Duct duct{with, *duct::lay_out(with, s.job.bay)};
  const auto of = [&](const duct::Duct& d) { return judge->of_fittings(d); };
  REQUIRE_FALSE(of(duct).empty());
  std::string bare;
  for (const checks::Finding& f : of(s.job.ducts.front())) bare += f.check + " " + f.subject + "; ";
  INFO(bare);
  const auto out = fitted_out(s.job, duct, {}, *requirements_of(s.job, s.job.ducts.front()), s.stock, of, {});
  REQUIRE(out.size() == 1);
  CHECK(out.front().duct.spec.fittings.empty());
}

}  // namespace
}  // namespace baywright::routing
