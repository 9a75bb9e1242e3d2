#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <stdexcept>

#include "flow/compressible.hpp"
#include "flow/flow_model.hpp"
#include "flow/loss_coefficients.hpp"
#include "tests/support/example_intake.hpp"
#include "tests/unit/flow/taken.hpp"

using namespace baywright;
using namespace baywright::flow;
using test::example_bay;
using test::example_flow;
using test::example_spec;
using test::laid_out;
using test::noted;
using test::taken;

namespace {

std::vector<std::string> missing(const duct::Duct& duct, const FlowInputs& inputs,
                                 FilterState state = FilterState::clean) {
  const auto outcome = restriction(duct, inputs, state);
  REQUIRE(std::holds_alternative<measure::NotAssessed>(outcome));
  CHECK_FALSE(std::get<measure::NotAssessed>(outcome).reason.empty());
  return std::get<measure::NotAssessed>(outcome).missing;
}

const ElementLoss& element(const Restriction& r, const std::string& name) {
  const auto found = std::find_if(r.elements.begin(), r.elements.end(),
                                  [&](const ElementLoss& e) { return e.name.rfind(name, 0) == 0; });
  INFO(name);
  REQUIRE(found != r.elements.end());
  return *found;
}

duct::Duct example() { return laid_out(example_spec(), example_bay()); }

/// The same points without any fitting, between ports of the tube's own bore or with another bore at the compressor.
duct::Duct bare(double wall_mm = 1.65, std::optional<double> compressor_bore_mm = {}) {
  duct::DuctSpec spec = example_spec();
  spec.tube.wall_mm = wall_mm;
  spec.fittings.clear();
  bay::Bay bay = example_bay();
  bay.ports[1].outer_diameter_mm = 76.2;
  bay.ports[0].bore_mm = spec.tube.bore_mm();
  bay.ports[1].bore_mm = compressor_bore_mm.value_or(spec.tube.bore_mm());
  return laid_out(spec, bay);
}

}  // namespace

TEST_CASE("every missing input is named", "[restriction]") {
  const duct::Duct duct = example();
  CHECK(missing(duct, {}) == std::vector<std::string>{"flow/rated_kg_per_s", "flow/ambient", "flow/components/clean",
                                                      "flow/raw_air_loss_kPa"});
  CHECK(missing(duct, {}, FilterState::dirty)[2] == "flow/components/dirty");
  FlowInputs inputs = example_flow();
  inputs.rated.reset();
  CHECK(missing(duct, inputs) == std::vector<std::string>{"flow/rated_kg_per_s"});
  inputs = example_flow();
  inputs.components[0].dirty.reset();
  CHECK(missing(duct, inputs, FilterState::dirty) == std::vector<std::string>{"flow/components/dirty"});
  taken(duct, inputs, FilterState::clean);  // the clean one does not need it
}

TEST_CASE("a component counts for the duct that starts at its outlet, and for no other", "[restriction]") {
  const duct::Duct duct = example();
  FlowInputs inputs = example_flow();
  flow::Component other = inputs.components[0];
  other.id = flow::ComponentId("other");
  other.outlet = bay::PortId("compressor-in");
  for (flow::FilterCurve::Point& p : other.clean->points) p.loss = 3 * p.loss;
  const Pressure alone = taken(duct, inputs).total;
  inputs.components.insert(inputs.components.begin(), other);
  CHECK(taken(duct, inputs).total == alone);
  inputs.components.pop_back();
  CHECK(missing(duct, inputs) == std::vector<std::string>{"flow/components/clean"});
}

TEST_CASE("a sensor insert or a straightener without a loss is a missing input", "[restriction]") {
  duct::DuctSpec spec = example_spec();
  std::get<duct::SensorTube>(spec.fittings[0].kind).loss_coefficient.reset();
  CHECK(missing(laid_out(spec, example_bay()), example_flow()) ==
        std::vector<std::string>{"ducts/intake/fittings/sensor/loss_coefficient"});
  spec = example_spec();
  spec.fittings.push_back(test::fitting("straightener", "P1", 160, duct::FlowStraightener{30, 0}));
  CHECK(missing(laid_out(spec, example_bay()), example_flow()) ==
        std::vector<std::string>{"ducts/intake/fittings/straightener/loss_coefficient"});
}

TEST_CASE("values that are no values are not assessed", "[restriction]") {
  const duct::Duct duct = example();
  FlowInputs inputs = example_flow();
  inputs.rated = kilograms_per_second(std::nan(""));
  CHECK(missing(duct, inputs) == std::vector<std::string>{"flow"});
  inputs = example_flow();
  inputs.ambient->temperature = kelvins(-3);
  CHECK(missing(duct, inputs) == std::vector<std::string>{"flow"});
  inputs = example_flow();
  inputs.components[0].clean->points.resize(2);
  CHECK(missing(duct, inputs) == std::vector<std::string>{"flow/components/clean"});
  duct::Duct breather = duct;
  breather.spec.service = duct::Service::breather;
  CHECK(missing(breather, example_flow()).empty());
}

TEST_CASE("a duct that chokes says where, and loses at least what is lost ahead", "[restriction]") {
  const duct::Duct duct = example();
  FlowInputs inputs = example_flow();
  inputs.raw_air_loss = pascals(0);
  for (flow::FilterCurve::Point& p : inputs.components[0].clean->points) p.loss = pascals(p.flow.si());
  inputs.rated =
      kilograms_per_second(0.95);  // the bore of 72.9 passes up to 241 kg/(s m2) at 99 kPa: 1.0 kg/s, 60 less
  const Restriction r = taken(duct, inputs);
  REQUIRE(r.choked());
  CHECK(r.total.si() > 0);
  CHECK(r.total.si() < 99000);
  for (const ElementLoss& e : r.elements) CHECK(e.name != r.chokes_at);
  CHECK(gauge_readings(duct, r, inputs).empty());
  CHECK_FALSE(taken(duct, example_flow()).choked());
}

TEST_CASE("outside air at the ends of the accepted range is estimated, beyond it is not", "[restriction]") {
  const duct::Duct duct = example();
  FlowInputs inputs = example_flow();
  inputs.rated = kilograms_per_second(0.02);
  inputs.raw_air_loss = pascals(10);
  for (const double c : {kColdestAmbient_C, kHottestAmbient_C}) {
    for (const double kpa : {kLowestAmbient_kPa, kHighestAmbient_kPa}) {
      inputs.ambient = Ambient{kilopascals(kpa), celsius(c), 0};
      CHECK(taken(duct, inputs).total.si() > 0);
    }
  }
  inputs.ambient = Ambient{kilopascals(kLowestAmbient_kPa), celsius(kHottestAmbient_C), 1};  // vapour of 47 kPa in 20
  CHECK(missing(duct, inputs) == std::vector<std::string>{"flow"});
  inputs.ambient = Ambient{kilopascals(kHighestAmbient_kPa + 0.1), celsius(20), 0};
  CHECK(missing(duct, inputs) == std::vector<std::string>{"flow"});
}

TEST_CASE("the step into a port of another bore is part of the loss", "[restriction]") {
  // bare() ends in a bore of its own size; a compressor bore b times that is a sudden contraction of 0.5 (1 - b^2).
  const FlowInputs inputs = example_flow();
  const Restriction same = taken(bare(), inputs);
  const Restriction narrow = taken(bare(1.65, 45), inputs);
  REQUIRE(narrow.elements.size() == same.elements.size() + 1);
  const ElementLoss& step = narrow.elements.back();
  CHECK(step.loss_coefficient == Approx(0.5 * (1 - std::pow(45 / 72.9, 2))));
  CHECK(step.station_to_mm == bare().layout.length_mm);
  CHECK(narrow.total.si() > same.total.si() + 0.9 * step.loss_coefficient * 0.5 * 0.15 * 0.15 / 1.16 /
                                                  std::pow(3.14159265 * 0.0225 * 0.0225, 2));
  CHECK(taken(bare(1.65, 30), inputs).chokes_at == "step to a smaller bore");
  CHECK(taken(bare(1.65, 90), inputs).elements.back().loss_coefficient ==
        Approx(std::pow(1 - std::pow(72.9 / 90, 2), 2)));
}

TEST_CASE("each element of a bare duct by hand", "[restriction]") {
  const duct::Duct duct = bare();
  const FlowInputs inputs = example_flow();
  const Restriction r = taken(duct, inputs);
  // raw air, filter, straight 186, bend, straight 371, bend, straight 286
  REQUIRE(r.elements.size() == 7);
  CHECK(r.elements[0].loss.si() == 350);

  const double density = (99000 - 350) / (287.055 * 298.15);
  const double q = 0.15 / density;
  const double mu = viscosity_Pa_s(celsius(25));
  CHECK(r.elements[1].loss.si() ==
        Approx(5000 * q * mu / viscosity_Pa_s(celsius(20)) + 60000 * q * q * density / 1.2).epsilon(1e-9));

  const double bore = 0.0729;
  const double re = 4 * 0.15 / (M_PI * bore * mu);
  const double f = friction_factor(re, 0.01 / 72.9);
  CHECK(r.elements[2].loss_coefficient == Approx(f * 185.7 / 72.9));
  CHECK(r.elements[3].loss_coefficient == Approx(bend_loss(114.3 / 72.9, degrees(90), f)));
  CHECK(r.elements[4].loss_coefficient == Approx(f * 371.4 / 72.9));
  CHECK(r.elements[6].loss_coefficient == Approx(f * 285.7 / 72.9));

  // Incompressible hand value of the first bend with the density ahead of it; compressibility is within 1 %.
  const double ahead = 99000 - 350 - r.elements[1].loss.si() - r.elements[2].loss.si();
  const double rho = ahead / (287.055 * 298.15);
  const double v = 0.15 / (rho * M_PI / 4 * bore * bore);
  CHECK(r.elements[3].velocity_m_s == Approx(v).epsilon(0.01));
  CHECK(r.elements[3].loss.si() == Approx(r.elements[3].loss_coefficient * 0.5 * rho * v * v).epsilon(0.015));

  double sum = 0;
  for (const ElementLoss& e : r.elements) sum += e.loss.si();
  CHECK(r.total.si() == Approx(sum).epsilon(1e-12));
}

TEST_CASE("the worked intake of 100 mm bore at 0.30 kg/s", "[restriction]") {
  // 0.6 m straight + 90 degrees at 1.5 D + 45 degrees at 1.5 D, roughness 0.0015 mm, 99 kPa, 25 degC, incompressible:
  // Re 207 900, f 0.01564, q 630.7 Pa, losses 59.2 / 129.4 / 88.3 Pa (own regression values, no source). They were
  // taken with the Colebrook-White friction factor; Churchill's lies 0.5 % lower here, hence 1 % on what is friction
  // alone.
  const double mu = viscosity_Pa_s(celsius(25));
  const double re = 4 * 0.30 / (M_PI * 0.1 * mu);
  CHECK(re == Approx(207900).epsilon(1e-3));
  const double f = friction_factor(re, 0.0015 / 100);
  CHECK(f == Approx(0.01564).epsilon(1e-2));
  const double rho = density_kg_m3({kilopascals(99), celsius(25), 0});
  const double v = 0.30 / (rho * M_PI / 4 * 0.01);
  const double q = 0.5 * rho * v * v;
  CHECK(q == Approx(630.7).epsilon(1e-3));
  CHECK(q * f * 6 == Approx(59.2).epsilon(1e-2));
  CHECK(q * bend_loss(1.5, degrees(90), f) == Approx(129.4).epsilon(5e-3));
  CHECK(q * bend_loss(1.5, degrees(45), f) == Approx(88.3).epsilon(5e-3));
}

TEST_CASE("velocity and dynamic pressure of 300 cubic feet a minute", "[restriction]") {
  // 300 ft3/min at 1.2 kg/m3: 33.9 m/s and 690 Pa in a bore of 72.9, 62.2 m/s and 2319 Pa in 53.85.
  const double volume = 300 * 4.719474e-4;
  for (const auto& [bore, speed, dynamic] : {std::tuple{72.9, 33.9, 690.0}, std::tuple{53.85, 62.2, 2319.0}}) {
    Stream stream;
    stream.mass_flow = kilograms_per_second(1.2 * volume);
    stream.total_temperature = kelvins(293.15);
    // The total pressure at which the static density is 1.2: from the isentropic relation at that speed.
    const double t = 293.15 - speed * speed / (2 * 3.5 * 287.055);
    const double p = 1.2 * 287.055 * t;
    const auto s = section_state(stream, pascals(p * std::pow(293.15 / t, 3.5)), bore);
    REQUIRE(s);
    CHECK(s->velocity_m_s == Approx(speed).margin(0.05));
    CHECK(s->dynamic_pressure.si() == Approx(dynamic).margin(1));
  }
}

TEST_CASE("every fitting appears in order of flow and on its own velocity", "[restriction]") {
  const Restriction r = taken(example(), example_flow());
  std::vector<std::string> names;
  for (const ElementLoss& e : r.elements) names.push_back(e.name);
  CHECK(names == std::vector<std::string>{"raw air side (declared)", "filter (clean)", "straight 100.0 mm",
                                          "sensor insert", "straight 85.7 mm", "bend at P1", "straight 185.7 mm",
                                          "branch port breather", "straight 110.0 mm", "coupler hump-1",
                                          "straight 75.7 mm", "bend at P2", "straight 85.7 mm", "cone",
                                          "straight 90.0 mm", "coupler hump-2", "straight 50.0 mm"});
  CHECK(element(r, "sensor insert").loss_coefficient == 0.3);
  CHECK(element(r, "coupler hump-1").loss_coefficient == 0.05);
  CHECK(element(r, "branch port").loss_coefficient == Approx(1.55 * 0.01 - 0.01 * 0.01));
  // Cone on the velocity of its small end: 72.9 to 60 over 60 mm.
  const ElementLoss& cone = element(r, "cone");
  CHECK(cone.loss_coefficient ==
        Approx(0.05 * (std::pow(72.9 / 60, 2) - 1)));  // table row 0.05, linear from 0 at area ratio 1
  CHECK(cone.velocity_m_s > 1.4 * element(r, "bend at P2").velocity_m_s);
  CHECK(noted(r, "couplers without a stated loss"));
  CHECK(noted(r, "Mach number"));  // 46 m/s in the bore of 60
}

TEST_CASE("a stated coupler loss replaces the assumed one and its note", "[restriction]") {
  duct::DuctSpec spec = example_spec();
  for (duct::Fitting& f : spec.fittings) {
    if (auto* coupler = std::get_if<duct::Coupler>(&f.kind)) coupler->loss_coefficient = 0.2;
  }
  const Restriction r = taken(laid_out(spec, example_bay()), example_flow());
  CHECK(element(r, "coupler hump-1").loss_coefficient == 0.2);
  CHECK_FALSE(noted(r, "couplers without"));
}

TEST_CASE("a sensor tube of another bore makes two steps", "[restriction]") {
  duct::DuctSpec spec = example_spec();
  std::get<duct::SensorTube>(spec.fittings[0].kind).tube = {76.2, 3.65};  // bore 68.9 in a duct of 72.9
  const Restriction r = taken(laid_out(spec, example_bay()), example_flow());
  const double ratio = 68.9 / 72.9;
  CHECK(element(r, "step to a smaller bore").loss_coefficient == Approx(0.5 * (1 - ratio * ratio)));
  CHECK(element(r, "step to a larger bore").loss_coefficient == Approx(std::pow(1 - ratio * ratio, 2)));
  CHECK(element(r, "step to a smaller bore").station_from_mm == Approx(30));
  CHECK(element(r, "step to a larger bore").station_from_mm == Approx(150));
}

TEST_CASE("a bend with little straight behind it is warned about", "[restriction]") {
  duct::DuctSpec spec = example_spec();
  spec.fittings.clear();
  spec.route.points[1].bend_radius_mm = spec.route.points[2].bend_radius_mm = 60;
  spec.route.points[2].p_mm = {300, -150, 0};
  spec.route.points[3].p_mm = {-100, -150, 0};
  bay::Bay bay = example_bay();
  bay.ports[1].center_mm = {-100, -150, 0};
  bay.ports[1].outer_diameter_mm = 76.2;
  const Restriction r = taken(laid_out(spec, bay), example_flow());
  REQUIRE(element(r, "bend at P1").loss_coefficient >= 0.25);
  CHECK(noted(r, "bend at P1 has less than one bore of straight"));  // 30 mm behind 72.9
  CHECK_FALSE(noted(r, "bend at P2 has less"));
  CHECK_FALSE(noted(taken(bare(), example_flow()), "has less than one bore"));
}

TEST_CASE("gauge readings add the dynamic pressure at the tap", "[restriction]") {
  const duct::Duct duct = example();
  const FlowInputs inputs = example_flow();
  const Restriction r = taken(duct, inputs, FilterState::dirty);
  const auto readings = gauge_readings(duct, r, inputs);
  REQUIRE(readings.size() == 2);
  CHECK(readings[0].tap == "tap");
  CHECK(readings[1].tap == kCompressorFace);
  CHECK(readings[1].total_loss.si() == Approx(r.total.si()));
  // Tap at 150 on leg 2: station 185.7 + 371.4 + 2 arcs + 150 - 114.3
  const double arc = 114.3 * M_PI / 2;
  CHECK(readings[0].station_mm == Approx(185.7 + 371.4 + 2 * arc + 35.7));
  // Behind it: the rest of the straight that ends at the cone (50 of 85.7 mm), cone, straights, hump.
  double behind = 0;
  for (const ElementLoss& e : r.elements) {
    if (e.station_from_mm > readings[0].station_mm) behind += e.loss.si();
  }
  const double straight = element(r, "straight 85.7 mm").loss.si();
  CHECK(readings[0].total_loss.si() == Approx(r.total.si() - behind - straight * 50 / 85.7).epsilon(2e-3));
  for (const GaugeReading& g : readings) {
    const double bore = (g.tap == "tap" ? 72.9 : 60.0) / 1000;
    const double rho = (99000 - g.total_loss.si()) / (287.055 * 298.15);
    const double v = 0.15 / (rho * M_PI / 4 * bore * bore);
    CHECK((g.reading - g.total_loss).si() == Approx(0.5 * rho * v * v).epsilon(0.02));
    CHECK(g.band.high() > 0);
  }
  // The tube is narrower at the compressor: the gauge shows far more there than the loss between explains.
  CHECK((readings[1].reading - readings[0].reading).si() > 3 * (readings[1].total_loss - readings[0].total_loss).si());
}

TEST_CASE("the band adds one formula's errors linearly", "[restriction]") {
  const Restriction r = taken(bare(), example_flow());
  double bends = 0;
  double pipe = 0;
  for (const ElementLoss& e : r.elements) {
    if (e.name.rfind("bend", 0) == 0) bends += e.loss.si();
    if (e.name.rfind("straight", 0) == 0) pipe += e.loss.si();
  }
  const double filter = r.elements[1].loss.si();
  CHECK(r.band.high() == Approx(std::sqrt(std::pow(0.25 * bends, 2) + std::pow(0.10 * pipe, 2) +
                                          std::pow(0.05 * filter, 2) + std::pow(0.2 * 350, 2))));
  // Downward the bends may also profit from the straight behind them.
  CHECK(r.band.low() > std::sqrt(std::pow(0.10 * bends, 2) + std::pow(0.05 * filter, 2)));
}

TEST_CASE("laws", "[restriction]") {
  const FlowInputs inputs = example_flow();
  SECTION("a larger bore loses less") {
    double last = INFINITY;
    for (const double wall : {6.0, 4.0, 2.0, 1.0}) {
      const double total = taken(bare(wall), inputs).total.si();
      CHECK(total < last);
      last = total;
    }
  }
  SECTION("more flow loses more") {
    const duct::Duct duct = example();
    double last = 0;
    for (double m = 0.002; m < 0.3; m *= 1.05) {
      FlowInputs more = inputs;
      more.rated = kilograms_per_second(m);
      const double total = taken(duct, more).total.si();
      CHECK(total > last);
      last = total;
    }
  }
  SECTION("a longer duct never loses less") {
    const double before = taken(bare(), inputs).total.si();
    duct::DuctSpec spec = example_spec();
    spec.fittings.clear();
    spec.route.points[3].p_mm.x() -= 100;
    bay::Bay bay = example_bay();
    bay.ports[1].center_mm.x() -= 100;
    bay.ports[1].outer_diameter_mm = 76.2;
    CHECK(taken(laid_out(spec, bay), inputs).total.si() > before);
  }
  SECTION("a fitting without loss changes nothing") {
    duct::DuctSpec spec = example_spec();
    const double before = taken(example(), inputs).total.si();
    spec.fittings.push_back(test::fitting("tap-2", "P1", 200, duct::RestrictionTap{}));
    CHECK(taken(laid_out(spec, example_bay()), inputs).total.si() == Approx(before).epsilon(1e-12));
  }
  SECTION("a dirty filter loses more, thin air loses more") {
    const duct::Duct duct = example();
    const double clean = taken(duct, inputs).total.si();
    CHECK(taken(duct, inputs, FilterState::dirty).total.si() > clean);
    FlowInputs high = inputs;
    high.ambient = standard_atmosphere(2000);
    CHECK(taken(duct, high).total.si() > clean);
  }
}

TEST_CASE("the estimate has no jump on the way to turbulence, at Mach 0.1 or at the ends of tables", "[restriction]") {
  const duct::Duct duct = example();
  double last = 0, lowest_mach = 1, highest_mach = 0;
  for (double m = 0.002; m < 0.5; m *= 1.01) {
    FlowInputs inputs = example_flow();
    inputs.rated = kilograms_per_second(m);
    const Restriction r = taken(duct, inputs);
    if (r.choked()) break;
    for (const ElementLoss& e : r.elements) {
      if (e.mach > 0) lowest_mach = std::min(lowest_mach, e.mach);
      highest_mach = std::max(highest_mach, e.mach);
    }
    if (highest_mach > 0.5) break;  // next to choking the loss rightly grows out of all proportion
    // The flow grows by 1 %: a loss that goes with its square grows by 2, in thinning air by somewhat more.
    if (last > 0) CHECK(r.total.si() < 1.03 * last);
    last = r.total.si();
  }
  CHECK(lowest_mach < 0.01);  // what was walked through: laminar flow...
  CHECK(highest_mach > 0.3);  // ...to far above the seam of the two ways of marching
}

TEST_CASE("elements far apart add: two bends lose twice what one does, beside the pipe", "[restriction]") {
  // Legs of 3 m on a tube of 73 mm: 40 bores behind each bend.
  const auto path_of = [](int bends) {
    duct::DuctSpec spec = example_spec();
    spec.fittings.clear();
    spec.route.points = {{duct::PointId("P0"), {0, 0, 0}, 0}};
    Vec3 at(0, 0, 0);
    for (int i = 1; i <= bends + 1; ++i) {
      at += 3000 * (i % 2 == 1 ? Vec3::UnitX() : Vec3::UnitY());
      spec.route.points.push_back(
          {duct::PointId(std::string("P").append(std::to_string(i))), at, i <= bends ? 114.3 : 0});
    }
    bay::Bay bay = example_bay();
    bay.ports[0].bore_mm = bay.ports[1].bore_mm = spec.tube.bore_mm();
    bay.ports[1].outer_diameter_mm = 76.2;
    bay.ports[1].center_mm = at;
    bay.ports[1].axis = (bends + 1) % 2 == 1 ? Vec3(-Vec3::UnitX()) : Vec3(-Vec3::UnitY());
    return laid_out(spec, bay);
  };
  const auto bends_only = [](const Restriction& r) {
    double sum = 0, low = 0;
    for (const ElementLoss& e : r.elements) {
      if (e.name.rfind("bend", 0) != 0) continue;
      sum += e.loss.si();
      for (const Contribution& c : e.band) low += c.group == "outlet factor" ? c.low : 0;
    }
    return std::pair(sum, low);
  };
  const auto [one, low_one] = bends_only(taken(path_of(1), example_flow()));
  const auto [two, low_two] = bends_only(taken(path_of(2), example_flow()));
  CHECK(two == Approx(2 * one).epsilon(0.01));  // the second at slightly less pressure
  // So far apart there is nothing to take off for what stands behind a bend.
  CHECK(low_one == 0);
  CHECK(low_two == 0);
}

TEST_CASE("loss coefficients behave", "[loss]") {
  SECTION("friction falls with Reynolds number within each regime and rises with roughness") {
    for (double re = 10; re < 1500; re *= 1.1) CHECK(friction_factor(re * 1.1, 0) < friction_factor(re, 0));
    for (double re = 5000; re < 1e7; re *= 1.2) {
      CHECK(friction_factor(re * 1.2, 1e-4) < friction_factor(re, 1e-4));
      CHECK(friction_factor(re, 1e-3) > friction_factor(re, 1e-4));
    }
  }
  SECTION("a bend of no angle loses nothing, a sharper or longer one more") {
    CHECK(bend_loss(1.5, degrees(0), 0.018) == Approx(0).margin(1e-12));
    for (double a = 0; a < 180; a += 5)
      CHECK(bend_loss(1.5, degrees(a + 5), 0.018) > bend_loss(1.5, degrees(a), 0.018));
    CHECK(bend_loss(1.0, degrees(90), 0.018) > bend_loss(1.5, degrees(90), 0.018));
  }
  SECTION("table nodes of the contraction are met, a cone of no change loses nothing") {
    CHECK(contraction_loss(2, degrees(10), 0.018) == Approx(.05));
    CHECK(contraction_loss(4, degrees(30), 0.018) == Approx(.04));
    CHECK(contraction_loss(10, degrees(90), 0.018) == Approx(.19));
    CHECK(contraction_loss(4, degrees(180), 0.018) == Approx(.41));
    CHECK(contraction_loss(3, degrees(55), 0.018) == Approx(.065));
    CHECK(contraction_loss(1, degrees(20), 0.018) == Approx(0).margin(1e-12));
    CHECK(contraction_loss(2, degrees(2), 0.018) > .05);  // a long cone: wall friction takes over
    CHECK(diffuser_loss(1, degrees(10), 0.018) == Approx(0).margin(1e-12));
  }
  SECTION("the diffuser formula is continuous at its seams") {
    for (const double b : {0.3, 0.7}) {
      CHECK(diffuser_loss(b, degrees(19.999), 0.018) == Approx(diffuser_loss(b, degrees(20.001), 0.018)).epsilon(0.01));
    }
  }
  SECTION("outlet factor") {
    CHECK(outlet_factor(0.15, 2) == Approx(.60));
    CHECK(outlet_factor(0.175, 2) == Approx(.635));
    CHECK(outlet_factor(5, 100) == 1);
    CHECK(outlet_factor(0.01, 0) == Approx(.62));
  }
}
