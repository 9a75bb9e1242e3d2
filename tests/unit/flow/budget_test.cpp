#include "flow/budget.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "flow/what_if.hpp"
#include "tests/support/example_intake.hpp"

using namespace baywright;
using namespace baywright::flow;

namespace {

struct Set {
  duct::Duct duct = test::laid_out(test::example_spec(), test::example_bay());
  FlowInputs inputs = test::example_flow();
  Budget budget{PressureKind::total, std::string(kCompressorFace), kilopascals(6)};
  Intake intake() const { return {duct, inputs, {}}; }
  Conditions own(double loading) const { return *job_conditions(inputs, loading); }
  Held at(const Conditions& conditions) const {
    const auto outcome = held(intake(), budget, conditions);
    if (const auto* refused = std::get_if<measure::NotAssessed>(&outcome)) FAIL(refused->reason);
    return std::get<Held>(outcome);
  }
};

Restriction known(const std::variant<Restriction, measure::NotAssessed>& outcome) {
  REQUIRE(std::holds_alternative<Restriction>(outcome));
  return std::get<Restriction>(outcome);
}

Crossing known(const std::variant<Crossing, measure::NotAssessed>& outcome) {
  REQUIRE(std::holds_alternative<Crossing>(outcome));
  return std::get<Crossing>(outcome);
}

}  // namespace

TEST_CASE("under the job's own conditions the estimate is the job's", "[budget]") {
  const Set s;
  CHECK(s.at(s.own(0)).value.si() == Approx(known(restriction(s.duct, s.inputs, FilterState::clean)).total.si()));
  CHECK(s.at(s.own(1)).value.si() == Approx(known(restriction(s.duct, s.inputs, FilterState::dirty)).total.si()));
  CHECK(s.at(s.own(0)).highest > s.at(s.own(0)).value);
}

TEST_CASE("loading lies between clean and dirty, in proportion, and beyond", "[budget]") {
  const Set s;
  // The curves differ in a alone: 5000 and 15000 Pa s/m3.
  const auto filter = [&](double loading) {
    const Held h = s.at(s.own(loading));
    const auto found = std::find_if(h.restriction.elements.begin(), h.restriction.elements.end(),
                                    [](const ElementLoss& e) { return e.name.rfind("filter", 0) == 0; });
    REQUIRE(found != h.restriction.elements.end());
    return found->loss.si();
  };
  const double clean = filter(0), dirty = filter(1);
  CHECK(filter(0.25) == Approx(clean + 0.25 * (dirty - clean)).epsilon(1e-6));
  CHECK(filter(2) == Approx(clean + 2 * (dirty - clean)).epsilon(1e-6));
  double last = 0;
  for (double loading = 0; loading < 3; loading += 0.1) {
    const double value = s.at(s.own(loading)).value.si();
    CHECK(value > last);
    last = value;
  }
}

TEST_CASE("curves stated at different densities are mixed at one", "[budget]") {
  Set s;
  const double same = s.at(s.own(0.5)).value.si();
  // The same element, its dirty curve stated at 0.9 kg/m3: b there is 0.75 of that at 1.2.
  for (auto& p : s.inputs.components[0].dirty->points) {
    const double q = p.flow.si();
    p.loss = pascals(15000 * q + 45000 * q * q);
  }
  s.inputs.components[0].dirty->reference_density_kg_m3 = 0.9;
  CHECK(s.at(s.own(0.5)).value.si() == Approx(same).epsilon(1e-6));
}

TEST_CASE("the flow at which the budget ends", "[budget]") {
  const Set s;
  const Crossing c = known(flow_at_budget(s.intake(), s.budget, 0));
  REQUIRE(c.estimate);
  REQUIRE(c.for_certain);
  CHECK(*c.for_certain < *c.estimate);
  Conditions there = s.own(0);
  there.flow = kilograms_per_second(*c.estimate);
  CHECK(s.at(there).value.si() == Approx(6000).epsilon(1e-6));
  there.flow = kilograms_per_second(*c.for_certain);
  CHECK(s.at(there).highest.si() == Approx(6000).epsilon(1e-6));
  // A dirty element ends it earlier.
  CHECK(*known(flow_at_budget(s.intake(), s.budget, 1)).estimate < *c.estimate);
}

TEST_CASE("a declared raw air loss goes with the square of the flow", "[budget]") {
  const Set s;
  Conditions twice = s.own(0);
  twice.flow = 2 * twice.flow;
  CHECK(s.at(twice).restriction.elements[0].loss.si() == Approx(4 * 350));
  Conditions thin = s.own(0);
  thin.ambient.pressure = 0.5 * thin.ambient.pressure;
  CHECK(s.at(thin).restriction.elements[0].loss.si() == Approx(2 * 350));
}

TEST_CASE("a budget that is never kept, and one that never ends", "[budget]") {
  Set s;
  s.budget.limit = pascals(1);
  const Crossing never = known(flow_at_budget(s.intake(), s.budget, 0));
  CHECK_FALSE(never.estimate);
  CHECK_FALSE(never.for_certain);
  s.budget.limit = kilopascals(90);
  const Crossing always = known(height_at_budget(s.intake(), s.budget, 0));
  CHECK(always.beyond);
}

TEST_CASE("height: the same mass costs more, the same volume less", "[budget]") {
  const Set s;
  double mass = 0, volume = INFINITY;
  for (const double height_m : {0.0, 500.0, 1500.0, 3000.0}) {
    const auto at = [&](AltitudeLaw law) { return s.at(*at_height(s.inputs, height_m, law, 1)).value.si(); };
    CHECK(at(AltitudeLaw::constant_mass) > mass);
    CHECK(at(AltitudeLaw::constant_volume) < volume);
    mass = at(AltitudeLaw::constant_mass);
    volume = at(AltitudeLaw::constant_volume);
  }
  // 1500 m on a map are 1499.6 m of the standard's heights.
  const Conditions c = *at_height(s.inputs, 1500, AltitudeLaw::constant_volume, 0);
  CHECK(c.ambient.pressure.si() == Approx(84556).epsilon(1e-4));
  CHECK(c.flow.si() == Approx(0.15 * density_kg_m3(c.ambient) / density_kg_m3(*s.inputs.ambient)));
  const Crossing found = known(height_at_budget(s.intake(), s.budget, 1));
  REQUIRE(found.estimate);
  CHECK(s.at(*at_height(s.inputs, *found.estimate, AltitudeLaw::constant_mass, 1)).value.si() ==
        Approx(6000).epsilon(1e-5));
}

TEST_CASE("a hot and moist day stays one at every height, and the job's own height has the job's own air", "[budget]") {
  Set s;
  s.inputs.ambient = Ambient{pascals(101325), celsius(40), 0.6};  // 25 K above the standard
  const Conditions high = *at_height(s.inputs, 2000, AltitudeLaw::constant_mass, 0);
  CHECK(to_celsius(high.ambient.temperature) == Approx(40 - 0.0065 * geopotential_m(2000)));
  CHECK(high.ambient.relative_humidity == 0.6);
  CHECK(high.ambient.pressure.si() == Approx(79495).epsilon(1e-3));
  // 1499.65 m on the standard's scale: 84556 Pa; 10 K colder than there.
  const double map_m = 1500 * 6356766.0 / (6356766.0 - 1500);
  s.inputs.ambient = Ambient{pascals(84556), kelvins(278.4 - 10), 0.3};
  const Conditions own = *at_height(s.inputs, map_m, AltitudeLaw::constant_volume, 1);
  CHECK(own.ambient.pressure.si() == Approx(84556).epsilon(1e-5));
  CHECK(own.ambient.temperature.si() == Approx(268.4).epsilon(1e-5));
  CHECK(own.flow.si() == Approx(0.15).epsilon(1e-4));
  CHECK(s.at(own).value.si() == Approx(s.at(s.own(1)).value.si()).epsilon(1e-4));
}

TEST_CASE("an indicator at the place of the limit may show the limit, ahead of it less", "[indicator]") {
  Set s;
  s.budget.kind = PressureKind::static_;
  const auto outcome = indicator_settings(s.intake(), s.budget);
  REQUIRE(std::holds_alternative<IndicatorSettings>(outcome));
  CHECK(std::get<IndicatorSettings>(outcome).note.empty());
  const auto& settings = std::get<IndicatorSettings>(outcome).taps;
  REQUIRE(settings.size() == 2);
  CHECK(settings[0].tap == "tap");
  CHECK(settings[1].tap == kCompressorFace);
  CHECK(settings[1].at_budget.si() == Approx(6000).epsilon(1e-6));
  CHECK(settings[1].permitted.si() == Approx(6000).epsilon(1e-6));
  CHECK(settings[0].at_budget < settings[1].at_budget);
  CHECK(settings[0].permitted < settings[0].at_budget);
  CHECK(settings[0].clean < settings[0].permitted);
  // What is taken off is the band of what lies between: with the true way that much worse the limit is just met.
  const auto loading = known(loading_at_budget(s.intake(), s.budget)).estimate;
  REQUIRE(loading);
  const Held then = s.at(s.own(*loading));
  Band between;
  for (const ElementLoss& e : then.restriction.elements) {
    if (e.station_from_mm >= settings[0].station_mm) {
      for (const Contribution& c : e.band) between.add(c);
    } else if (e.station_to_mm > settings[0].station_mm) {
      const double part = (e.station_to_mm - settings[0].station_mm) / (e.station_to_mm - e.station_from_mm);
      for (Contribution c : e.band) {
        c.low *= part;
        c.high *= part;
        between.add(c);
      }
    }
  }
  CHECK((settings[0].at_budget - settings[0].permitted).si() == Approx(between.high()).epsilon(1e-6));
}

TEST_CASE("no setting where a clean element is beyond the limit, or an input is missing", "[indicator]") {
  Set s;
  s.budget.limit = pascals(100);
  CHECK(std::holds_alternative<measure::NotAssessed>(indicator_settings(s.intake(), s.budget)));
  s = Set();
  s.inputs.components[0].clean.reset();
  const auto outcome = indicator_settings(s.intake(), s.budget);
  REQUIRE(std::holds_alternative<measure::NotAssessed>(outcome));
  CHECK(std::get<measure::NotAssessed>(outcome).missing == std::vector<std::string>{"flow/components/clean"});
  s = Set();
  s.inputs.rated.reset();
  CHECK(std::get<measure::NotAssessed>(indicator_settings(s.intake(), s.budget)).missing ==
        std::vector<std::string>{"flow/rated_kg_per_s"});
  s = Set();
  s.budget.station = "nowhere";
  CHECK(std::holds_alternative<measure::NotAssessed>(indicator_settings(s.intake(), s.budget)));
}

TEST_CASE("with a clean curve alone the element is loaded in proportion to the flow", "[indicator]") {
  Set s;
  const auto settings = [&] {
    const auto outcome = indicator_settings(s.intake(), s.budget);
    if (const auto* refused = std::get_if<measure::NotAssessed>(&outcome)) FAIL(refused->reason);
    return std::get<IndicatorSettings>(outcome);
  };
  const IndicatorSettings of_both = settings();
  s.inputs.components[0].dirty.reset();
  const IndicatorSettings of_clean = settings();
  CHECK(of_clean.note.find("no curve of the dirty element") != std::string::npos);
  // By hand: 93 000 Pa of total pressure at the face; 0.15 kg/s through 60 mm at 25 degC there make 49.32 m/s at
  // 1.0756 kg/m3, 1315 Pa below total, so a gauge shows 7315 Pa.
  REQUIRE(of_clean.taps.size() == 2);
  CHECK(of_clean.taps[1].at_budget.si() == Approx(7315).epsilon(3e-4));
  CHECK(of_clean.taps[1].permitted == of_clean.taps[1].at_budget);
  // The example's curves differ in a alone: loaded along them it comes to the same.
  for (const std::size_t i : {0u, 1u}) {
    CHECK(of_clean.taps[i].clean == of_both.taps[i].clean);
    CHECK(of_clean.taps[i].at_budget.si() == Approx(of_both.taps[i].at_budget.si()).epsilon(1e-6));
    CHECK(of_clean.taps[i].permitted.si() == Approx(of_both.taps[i].permitted.si()).epsilon(1e-6));
  }
  // How loaded a clean curve alone cannot say.
  CHECK(std::holds_alternative<measure::NotAssessed>(loading_at_budget(s.intake(), s.budget)));
}

TEST_CASE("a setting below what a clean element shows is not certain", "[indicator]") {
  Set s;
  s.budget.kind = PressureKind::static_;
  s.budget.limit = s.at(s.own(0)).value + pascals(20);  // less than the way behind the tap may be off
  const auto outcome = indicator_settings(s.intake(), s.budget);
  REQUIRE(std::holds_alternative<IndicatorSettings>(outcome));
  const auto& taps = std::get<IndicatorSettings>(outcome).taps;
  REQUIRE(taps.size() == 2);
  CHECK(taps[0].at_budget > taps[0].clean);
  CHECK_FALSE(taps[0].certain());
  CHECK(taps[1].certain());
}

TEST_CASE("a part of the curve that falls with the loading ends at nothing", "[budget]") {
  Set s;
  Component& cleaner = s.inputs.components[0];
  for (FilterCurve::Point& p : cleaner.clean->points) {
    p.loss = pascals(8000 * p.flow.si() + 60000 * p.flow.si() * p.flow.si());
  }
  for (FilterCurve::Point& p : cleaner.dirty->points) p.loss = pascals(200000 * p.flow.si() * p.flow.si());
  s.budget.limit = kilopascals(12);
  const Crossing c = known(loading_at_budget(s.intake(), s.budget));
  REQUIRE(c.estimate);
  REQUIRE(c.for_certain);
  CHECK(*c.estimate > 1);
  CHECK(*c.for_certain < *c.estimate);
  CHECK(s.at(s.own(*c.estimate)).value.si() == Approx(12000).epsilon(1e-6));
  CHECK(s.at(s.own(*c.for_certain)).highest.si() == Approx(12000).epsilon(1e-6));
  CHECK(std::holds_alternative<IndicatorSettings>(indicator_settings(s.intake(), s.budget)));
  // By hand: b at 2 is 60000 + 2 x 140000 at 1.2 kg/m3, a nothing, behind 350 Pa of raw air side.
  const Held twice = s.at(s.own(2));
  const double density = density_kg_m3(*s.inputs.ambient) * (99000 - 350) / 99000;
  CHECK(twice.restriction.elements[1].loss.si() == Approx(340000 / 1.2 * 0.15 * 0.15 / density).epsilon(1e-6));
}

TEST_CASE("between the curves the larger of both misfits counts", "[budget]") {
  Set s;
  FilterCurve& dirty = *s.inputs.components[0].dirty;
  dirty.points[1].loss = 1.08 * dirty.points[1].loss;
  const auto fitted = fit(dirty);
  REQUIRE(fitted);
  REQUIRE(fitted->worst_relative_error > 0.02);
  for (const double loading : {0.3, 0.7, 1.5}) {
    const Held h = s.at(s.own(loading));
    const ElementLoss& filter = h.restriction.elements[1];
    const auto misfit = std::find_if(filter.band.begin(), filter.band.end(),
                                     [](const Contribution& part) { return part.source == "fit of the filter curve"; });
    REQUIRE(misfit != filter.band.end());
    CHECK(misfit->high == Approx(fitted->worst_relative_error * filter.loss.si()));
  }
}

TEST_CASE("a bend less saves its own loss", "[what_if]") {
  const Set s;
  const Restriction all = known(restriction(s.duct, s.inputs, FilterState::clean));
  const Restriction less =
      known(restriction_without_bend(s.duct, s.inputs, FilterState::clean, {}, duct::PointId("P2")));
  const auto bend = std::find_if(all.elements.begin(), all.elements.end(),
                                 [](const ElementLoss& e) { return e.name == "bend at P2"; });
  REQUIRE(bend != all.elements.end());
  CHECK(less.elements.size() + 1 == all.elements.size());
  CHECK((all.total - less.total).si() == Approx(bend->loss.si()).epsilon(0.02));
  CHECK(known(restriction_without_bend(s.duct, s.inputs, FilterState::clean, {}, duct::PointId("P0"))).total ==
        all.total);
}
