// The raw air side: declared, or a duct of its own from its entry on.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "flow/compressible.hpp"
#include "flow/entry_loss.hpp"
#include "flow/flow_path.hpp"
#include "flow/loss_coefficients.hpp"
#include "flow/unstated_air.hpp"
#include "tests/support/example_intake.hpp"
#include "tests/unit/flow/taken.hpp"

using namespace baywright;
using namespace baywright::flow;
using test::noted;

namespace {

/// The example's bay with an inlet 500 mm ahead of the air cleaner's, and a straight duct between them.
struct WithSnorkel {
  bay::Bay bay = test::example_bay();
  FlowInputs inputs = test::example_flow();
  duct::DuctSpec snorkel;

  WithSnorkel() {
    bay.ports.push_back(test::port("hood", {-800, 0, 0}, Vec3::UnitX(), 90, 0));
    bay.ports.push_back(test::port("filter-in", {-300, 0, 0}, -Vec3::UnitX(), 90, 0));
    for (bay::Port& port : bay.ports) {
      if (port.outer_diameter_mm == 90) port.bore_mm = 86;
    }
    snorkel.id = duct::DuctId("raw-air");
    snorkel.service = duct::Service::raw_air;
    snorkel.from.port = bay::PortId("hood");
    snorkel.to.port = bay::PortId("filter-in");
    snorkel.tube = {90, 2};
    snorkel.route.points = {{duct::PointId("R0"), {-800, 0, 0}, 0}, {duct::PointId("R1"), {-300, 0, 0}, 0}};
    inputs.components[0].inlet = bay::PortId("filter-in");
    inputs.raw_air_loss.reset();
    snorkel.entry = duct::Bellmouth{8.6, false};
  }

  std::vector<duct::Duct> ducts() const {
    return {test::laid_out(test::example_spec(), bay), test::laid_out(snorkel, bay)};
  }
  std::variant<Restriction, measure::NotAssessed> outcome() const {
    const auto all = ducts();
    return restriction(all[0], inputs, FilterState::clean, all);
  }
  Restriction taken() const {
    const auto r = outcome();
    if (const auto* refused = std::get_if<measure::NotAssessed>(&r)) FAIL(refused->reason);
    return std::get<Restriction>(r);
  }
};

/// First element of a duct's path.
LossElement first_of(const WithSnorkel& w) {
  const FrictionInputs friction{*w.inputs.rated, viscosity_Pa_s(w.inputs.ambient->temperature), 0.01};
  const FlowPath path = flow_path(test::laid_out(w.snorkel, w.bay), friction);
  REQUIRE_FALSE(path.elements.empty());
  return path.elements.front();
}

}  // namespace

TEST_CASE("a raw air duct with its entry counts element by element ahead of the filter", "[raw_air]") {
  const WithSnorkel w;
  const Restriction r = w.taken();
  REQUIRE(r.elements.size() > 3);
  CHECK(r.elements[0].name == "raw air: entry, bellmouth");
  CHECK(r.elements[0].loss_coefficient == Approx(.15));  // r/D 0.1, standing free
  CHECK(r.elements[1].name == "raw air: straight 500.0 mm");
  CHECK(r.elements[2].name == "filter (clean)");
  // By hand: q at 0.15 kg/s, 86 mm, 1.1566 kg/m3.
  const double v = 0.15 / (99000 / (287.055 * 298.15) * M_PI / 4 * 0.086 * 0.086);
  const double q = 0.5 * 99000 / (287.055 * 298.15) * v * v;
  CHECK(r.elements[0].loss.si() == Approx(.15 * q).epsilon(0.01));
  const double re = 4 * 0.15 / (M_PI * 0.086 * viscosity_Pa_s(celsius(25)));
  CHECK(r.elements[1].loss.si() == Approx(friction_factor(re, 0.01 / 86) * 500 / 86 * q).epsilon(0.01));
  CHECK(r.elements[0].mach == Approx(v / std::sqrt(1.4 * 287.055 * 298.15)).epsilon(0.01));
  CHECK(r.elements[0].total_behind.si() == Approx(99000 - r.elements[0].loss.si()));
  REQUIRE(r.elements[1].static_behind);
  CHECK(r.elements[1].static_behind->si() == Approx(r.elements[1].total_behind.si() - q).epsilon(1e-3));
  // All of it lies ahead of every tap of the intake.
  const auto all = w.ducts();
  const auto readings = gauge_readings(all[0], r, w.inputs);
  CHECK(readings.back().total_loss.si() == Approx(r.total.si()));
  const GaugeReading start = gauge_at(all[0], 0, "start", r, w.inputs);
  CHECK(start.total_loss.si() >= r.elements[0].loss.si() + r.elements[1].loss.si() + r.elements[2].loss.si() - 1e-9);
}

TEST_CASE("kinds of entries", "[raw_air]") {
  WithSnorkel w;
  w.snorkel.entry = duct::FlushEntry{};
  CHECK(first_of(w).k == kFlushEntryLoss);
  CHECK(first_of(w).bore_mm == 86);
  w.snorkel.entry = duct::ReentrantEntry{};
  CHECK(first_of(w).k == Approx(reentrant_entry_loss(2.0 / 86)));
  w.snorkel.entry = duct::Bellmouth{8.6, true};
  CHECK(first_of(w).k == Approx(.12));
  w.snorkel.entry = duct::ConeEntry{8.6, degrees(60)};
  CHECK(first_of(w).k == Approx(.18));
  w.snorkel.entry = duct::StatedEntry{pascals(240)};
  const Restriction r = w.taken();
  CHECK(r.elements[0].name == "raw air: entry (stated)");
  CHECK(r.elements[0].loss.si() == 240);
  CHECK(r.elements[0].band.size() == 1);
  CHECK(r.elements[1].name == "raw air: straight 500.0 mm");
}

TEST_CASE("an entry nobody knows the loss of is a missing input", "[raw_air]") {
  WithSnorkel w;
  w.snorkel.entry = duct::ConeEntry{20, degrees(30)};
  const auto outcome = w.outcome();
  REQUIRE(std::holds_alternative<measure::NotAssessed>(outcome));
  const auto& missing = std::get<measure::NotAssessed>(outcome).missing;
  REQUIRE(missing.size() == 1);
  CHECK(missing[0].find("ducts/raw-air/entry") == 0);
}

TEST_CASE("a raw air duct that is drawn without its entry", "[raw_air]") {
  WithSnorkel w;
  w.snorkel.entry.reset();
  SECTION("and no declared loss: not assessed, and the entry is what is missing") {
    const auto outcome = w.outcome();
    REQUIRE(std::holds_alternative<measure::NotAssessed>(outcome));
    CHECK(std::get<measure::NotAssessed>(outcome).missing == std::vector<std::string>{"ducts/raw-air/entry"});
  }
  SECTION("with a declared loss: that counts, and the estimate says so") {
    w.inputs.raw_air_loss = pascals(350);
    const Restriction r = w.taken();
    CHECK(r.elements[0].name == "raw air side (declared)");
    CHECK(r.elements[1].name == "filter (clean)");
    CHECK(noted(r, "how the air enters duct raw-air is not stated"));
  }
}

TEST_CASE("a raw air duct that does not end at the air cleaner does not count, and the estimate says so", "[raw_air]") {
  WithSnorkel w;
  w.inputs.components[0].inlet.reset();
  const auto outcome = w.outcome();
  REQUIRE(std::holds_alternative<measure::NotAssessed>(outcome));
  CHECK(std::get<measure::NotAssessed>(outcome).missing == std::vector<std::string>{"flow/components/inlet"});
  w.inputs.raw_air_loss = pascals(350);
  const Restriction r = w.taken();
  CHECK(r.elements[0].name == "raw air side (declared)");
  CHECK(noted(r, "duct raw-air does not end at the inlet"));
}

TEST_CASE("a second duct from outside that leads elsewhere is named, one to another air cleaner is not", "[raw_air]") {
  WithSnorkel w;
  w.bay.ports.push_back(test::port("hood-2", {-800, 300, 0}, Vec3::UnitX(), 90, 0));
  w.bay.ports.push_back(test::port("elsewhere", {-300, 300, 0}, -Vec3::UnitX(), 90, 0));
  duct::DuctSpec second = w.snorkel;
  second.id = duct::DuctId("second");
  second.from.port = bay::PortId("hood-2");
  second.to.port = bay::PortId("elsewhere");
  for (duct::RoutePoint& p : second.route.points) p.p_mm.y() = 300;
  auto all = w.ducts();
  all.push_back(test::laid_out(second, w.bay));
  const auto taken = [&] {
    const auto r = restriction(all[0], w.inputs, FilterState::clean, all);
    if (const auto* refused = std::get_if<measure::NotAssessed>(&r)) FAIL(refused->reason);
    return std::get<Restriction>(r);
  };
  CHECK(taken().elements[0].name == "raw air: entry, bellmouth");
  CHECK(noted(taken(),
              "duct second does not end at the inlet of this duct's air cleaner (flow/components/inlet): its "
              "loss is not counted"));
  Component other = w.inputs.components[0];
  other.id = ComponentId("other");
  other.inlet = bay::PortId("elsewhere");
  other.outlet = bay::PortId("other-out");
  w.inputs.components.push_back(other);
  CHECK_FALSE(noted(taken(), "duct second"));
}

TEST_CASE("static pressure behind what widens is that of the wider bore", "[raw_air]") {
  const FlowInputs inputs = test::example_flow();
  bay::Bay bay = test::example_bay();
  duct::DuctSpec spec = test::example_spec();
  const auto check = [&](const std::string& name, double bore_mm) {
    const duct::Duct duct = test::laid_out(spec, bay);
    const auto outcome = restriction(duct, inputs, FilterState::clean);
    REQUIRE(std::holds_alternative<Restriction>(outcome));
    const auto& r = std::get<Restriction>(outcome);
    const auto at = std::find_if(r.elements.begin(), r.elements.end(),
                                 [&](const ElementLoss& e) { return e.name.rfind(name, 0) == 0; });
    REQUIRE(at != r.elements.end());
    REQUIRE(at->static_behind);
    // By hand, density taken at the static pressure.
    const double total = at->total_behind.si(), area = M_PI / 4 * bore_mm * bore_mm * 1e-6;
    double q = 0;
    for (int i = 0; i < 20; ++i) q = 0.5 * 0.15 * 0.15 * 287.055 * 298.15 / ((total - q) * area * area);
    CHECK(total - at->static_behind->si() == Approx(q).epsilon(0.01));
    return std::pair(*at->static_behind, gauge_readings(duct, r, inputs).back().reading);
  };
  SECTION("a step at the end: what a gauge at the face reads") {
    bay.ports[1].bore_mm = 80;
    const auto [behind, reading] = check("step to a larger bore", 80);
    CHECK(99000 - behind.si() == Approx(reading.si()));
  }
  SECTION("a cone") {
    std::get<duct::Reducer>(spec.fittings[4].kind) = {60, {88.9, 1.65}};
    bay.ports[1].outer_diameter_mm = 88.9;
    bay.ports[1].bore_mm = 85.6;
    check("cone", 85.6);
  }
}

TEST_CASE("rated flow of an engine", "[rated_flow]") {
  FlowInputs inputs = test::example_flow();
  inputs.rated.reset();
  CHECK_FALSE(rated_flow(inputs));
  CHECK(rated_flow_key(inputs) == "flow/rated_kg_per_s");
  // 4 l at 2600/min breathe 5.2 m3/min, 0.9 of it, at (99 + 150) kPa and 55 degC.
  inputs.engine = EngineFlow{4000, 2600, 0.9, kilopascals(150), celsius(55)};
  const double expected = 0.9 * 249000 / (287.055 * 328.15) * 0.004 * 2600 / 120;
  CHECK(rated_flow(inputs)->si() == Approx(expected).epsilon(1e-12));
  const duct::Duct duct = test::laid_out(test::example_spec(), test::example_bay());
  const auto of_engine = restriction(duct, inputs, FilterState::clean);
  FlowInputs stated = inputs;
  stated.engine.reset();
  stated.rated = kilograms_per_second(expected);
  const auto of_flow = restriction(duct, stated, FilterState::clean);
  REQUIRE(std::holds_alternative<Restriction>(of_engine));
  CHECK(std::get<Restriction>(of_engine).total.si() == Approx(std::get<Restriction>(of_flow).total.si()));
  inputs.ambient.reset();
  CHECK(unstated_air(inputs) == std::vector<std::string>{"flow/ambient"});
  CHECK(unstated_air({}) == std::vector<std::string>{"flow/rated_kg_per_s", "flow/ambient"});
  CHECK(unstated_air(test::example_flow()).empty());
  const auto unknown = restriction(duct, inputs, FilterState::clean);
  CHECK(std::get<measure::NotAssessed>(unknown).missing == std::vector<std::string>{"flow/ambient"});
}

TEST_CASE("bends that are welded, and corrugated hose", "[elements]") {
  const bay::Bay bay = test::example_bay();
  const FrictionInputs friction{kilograms_per_second(0.15), viscosity_Pa_s(celsius(25)), 0.01};
  const double bore = 76.2 - 2 * 1.65, re = reynolds(friction, bore), f = friction_factor(re, 0.01 / bore);
  const auto element = [&](const duct::DuctSpec& spec, const std::string& name) {
    const FlowPath path = flow_path(test::laid_out(spec, bay), friction);
    const auto found = std::find_if(path.elements.begin(), path.elements.end(),
                                    [&](const LossElement& e) { return e.name.rfind(name, 0) == 0; });
    INFO(name);
    REQUIRE(found != path.elements.end());
    return *found;
  };
  duct::DuctSpec spec = test::example_spec();
  SECTION("segmented") {
    spec.route.points[1].pieces = 4;
    const LossElement e = element(spec, "bend of 4 pieces at P1");
    CHECK(e.k == Approx(segmented_bend_loss(114.3 / bore, 4, degrees(90), f)));
    CHECK(e.band[0].high == 1.15);  // below 100 mm
    CHECK(e.k > bend_loss(114.3 / bore, degrees(90), f));
  }
  SECTION("mitre: the corner and the two stretches up to it") {
    spec.route.points[1].pieces = 2;
    const LossElement e = element(spec, "mitre at P1");
    CHECK(e.k == Approx(mitre_loss(degrees(90), re) + f * 2 * 114.3 / bore));
  }
  SECTION("corrugated straight hose: its gap at its own friction") {
    auto& hose = std::get<duct::Coupler>(spec.fittings[2].kind);
    hose.shape = duct::CouplerShape::straight;
    hose.gap_mm = 60;
    hose.corrugation_mm = 6;
    const LossElement e = element(spec, "corrugated hose hump-1");
    CHECK(e.station_to_mm - e.station_from_mm == Approx(60));
    CHECK(e.k == Approx(corrugated_friction(bore, 6) * 60 / bore));
    // All that lies between the ends is there once.
    const FlowPath path = flow_path(test::laid_out(spec, bay), friction);
    double length = 0;
    for (const LossElement& part : path.elements) length += part.station_to_mm - part.station_from_mm;
    CHECK(length == Approx(test::laid_out(spec, bay).layout.length_mm));
  }
}
