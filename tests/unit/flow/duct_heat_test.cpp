#include "flow/duct_heat.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "flow/flow_path.hpp"
#include "tests/support/example_intake.hpp"

using namespace baywright;
using namespace baywright::flow;
using test::example_bay;
using test::example_flow;
using test::example_spec;
using test::laid_out;

namespace {

/// 0.15 kg/s with a bay of 75 degC around it.
WarmedAir air() { return {kilograms_per_second(0.15), celsius(75), celsius(25)}; }

/// A metre of bare tube of 76.2 x 1.65.
HeatedLength metre() {
  HeatedLength length;
  length.station_to_mm = 1000;
  length.bore_mm = 72.9;
  length.outer_diameter_mm = 76.2;
  return length;
}

FlowInputs warm_flow() {
  FlowInputs inputs = example_flow();
  inputs.bay_air = celsius(75);
  inputs.source_air = celsius(25);
  return inputs;
}

/// m cp dT/dx = U (outside - T) pi d by Euler steps, small enough for five digits; films by hand.
double integrated_K(double in_K, double outside_K, double u_W_mK, double length_m, double flow_kg_s) {
  constexpr int kSteps = 2000000;
  double t = in_K;
  for (int i = 0; i < kSteps; ++i) t += u_W_mK * (outside_K - t) / (flow_kg_s * 1006) * length_m / kSteps;
  return t;
}

}  // namespace

TEST_CASE("conductivity of air against the US Standard Atmosphere's table", "[heat]") {
  // Table of 1976, geopotential 0 m and 11 000 m: 0.025326 W/(m K) at 288.15 K, 0.019518 at 216.65 K (from memory).
  CHECK(conductivity_W_mK(kelvins(288.15)) == Approx(0.025326).epsilon(1e-4));
  CHECK(conductivity_W_mK(kelvins(216.65)) == Approx(0.019518).epsilon(2e-3));
  // Prandtl number of air around 25 degC: 0.707 in every table.
  const double prandtl = viscosity_Pa_s(celsius(25)) * kHeatCapacity_J_kgK / conductivity_W_mK(celsius(25));
  CHECK(prandtl == Approx(0.71).margin(0.01));
}

TEST_CASE("Nusselt number: laminar, Gnielinski, and the line between", "[heat]") {
  CHECK(nusselt(100, 0.7) == 3.66);
  CHECK(nusselt(2300, 0.7) == 3.66);
  // Re 100 000, Pr 0.7 by hand: lg Re = 5, xi = 7.5^-2 = 0.0177778, xi/8 = 0.00222222, root 0.0471405,
  // 0.7^(2/3) = 0.788374: 0.00222222 * 99000 * 0.7 / (1 + 12.7 * 0.0471405 * (0.788374 - 1)) = 154.000 / 0.873304.
  CHECK(nusselt(1e5, 0.7) == Approx(154.0 / 0.873304).epsilon(1e-5));
  CHECK(nusselt(3150, 0.7) == Approx(0.5 * (3.66 + nusselt(4000, 0.7))));
  for (double re = 2000; re < 1e6; re *= 1.03) CHECK(nusselt(1.03 * re, 0.7) >= nusselt(re, 0.7));
}

TEST_CASE("Nusselt number of gases against other published correlations", "[heat]") {
  // Kays and Crawford, gases of Prandtl 0.5 to 1: 0.022 Pr^0.5 Re^0.8 (from memory).
  for (const double re : {2e4, 5e4, 1e5, 2e5, 5e5}) {
    CHECK(nusselt(re, 0.7) == Approx(0.022 * std::sqrt(0.7) * std::pow(re, 0.8)).epsilon(0.07));
  }
  // A worked example of Incropera's textbook (from memory): an uninsulated sheet-metal duct of 0.15 m, 0.050 kg/s of
  // air, Re 20 384, Pr 0.70, by Dittus-Boelter 57.9. That formula is known for standing some 10 % above Gnielinski's
  // in gases.
  CHECK(nusselt(20384, 0.70) == Approx(57.9).epsilon(0.12));
  CHECK(nusselt(20384, 0.70) < 57.9);
}

TEST_CASE("a duct of a heating system in an attic, Cengel's worked example", "[heat]") {
  // From memory: 0.1499 kg/s of air at 80 degC, cp 1008, h 13.5 on 6.4 m2, wall at 60 degC: 71.3 degC at its end.
  CHECK(to_celsius(warmed(celsius(80), celsius(60), 13.5 * 6.4, kilograms_per_second(0.1499))) ==
        Approx(71.3).margin(0.05));
}

TEST_CASE("the limits of the balance", "[heat]") {
  const Temperature in = celsius(25), outside = celsius(75);
  const MassFlow flow = kilograms_per_second(0.15);
  CHECK(warmed(in, outside, 0, flow) == in);
  CHECK(warmed(in, outside, 1e6, flow).si() == Approx(outside.si()));
  // Few transfer units: U A dT / (m cp).
  CHECK((warmed(in, outside, 0.01, flow) - in).si() == Approx(0.01 * 50 / (0.15 * 1006)).epsilon(1e-4));
  CHECK((warmed(in, outside, 0.15 * 1006, flow) - in).si() == Approx(50 * (1 - std::exp(-1.0))));
  CHECK(warmed(in, in, 5, flow).si() == Approx(in.si()));
  CHECK(warmed(outside, in, 5, flow) < outside);  // a bay colder than the air takes heat
}

TEST_CASE("a metre of bare tube: films by hand and the equation integrated step by step", "[heat]") {
  // Re 142,000, Nu 235, 84 W/(m2 K) inside; outside 15.
  const double mu = viscosity_Pa_s(celsius(25)), k = conductivity_W_mK(celsius(25));
  const double re = 4 * 0.15 / (std::numbers::pi * 0.0729 * mu);
  const double h = nusselt(re, mu * 1006 / k) * k / 0.0729;
  CHECK(h == Approx(84).margin(1));
  const double per_metre = 1 / (1 / (h * std::numbers::pi * 0.0729) + 1 / (15 * std::numbers::pi * 0.0762));
  CHECK(conductance_W_K(metre(), air(), {}) == Approx(per_metre));
  const HeatedLength one[] = {metre()};
  const double ours = behind(one, celsius(25), air(), {}).si();
  CHECK(ours == Approx(integrated_K(298.15, 348.15, per_metre, 1, 0.15)).epsilon(1e-7));
  CHECK(ours - 298.15 == Approx(0.98).margin(0.03));
  // With 500 W/m2 falling on it the wall sees air that is 500/15 warmer.
  HeatedLength shone_on[] = {metre()};
  shone_on[0].radiant_W_m2 = 500;
  CHECK(behind(shone_on, celsius(25), air(), {.radiant_factor = 1}).si() ==
        Approx(integrated_K(298.15, 348.15 + 500 / 15.0, per_metre, 1, 0.15)).epsilon(1e-7));
  CHECK(behind(shone_on, celsius(25), air(), {}).si() == ours);
}

TEST_CASE("a hose and insulation resist by hand", "[heat]") {
  HeatedLength hose = metre();
  hose.outer_diameter_mm = 84.2;
  hose.rubber_m2K_W = 0.0421 * std::log(84.2 / 76.2) / 0.25;
  hose.insulation_m2K_W = 0.1;
  const double bare = 1 / (1 / conductance_W_K(metre(), air(), {}) - 1 / (15 * std::numbers::pi * 0.0762));  // inside
  CHECK(1 / conductance_W_K(hose, air(), {}) ==
        Approx(1 / bare + (hose.rubber_m2K_W + 0.1 + 1 / 15.0) / (std::numbers::pi * 0.0842)));
}

TEST_CASE("lengths of a duct: tube, hose, cone, end to end", "[heat]") {
  const duct::Duct duct = laid_out(example_spec(), example_bay());
  const auto lengths = heated_lengths(duct);
  double at = 0, rubber = 0;
  for (const HeatedLength& length : lengths) {
    CHECK(length.station_from_mm == Approx(at));
    CHECK(length.length_mm() <= 100 + 1e-9);
    at = length.station_to_mm;
    if (length.rubber_m2K_W > 0) {
      rubber += length.length_mm();
      CHECK(length.rubber_m2K_W == Approx(length.outer_diameter_mm / 2000 *
                                          std::log(length.outer_diameter_mm / (length.outer_diameter_mm - 10)) / 0.25));
    }
    CHECK(length.insulation_m2K_W == 0);
  }
  CHECK(at == Approx(duct.layout.length_mm));
  CHECK(rubber == Approx(2 * 90));  // two humps of 90, whole on the duct
  CHECK(lengths.back().bore_mm == Approx(60));
  const auto cone = duct.layout.find(duct::FittingId("cone"));
  bool seen = false;
  for (const HeatedLength& length : lengths) {
    if (length.station_from_mm != cone->station_from_mm) continue;
    seen = true;
    CHECK(length.outer_diameter_mm == Approx(0.5 * (76.2 + 63.5)));
  }
  CHECK(seen);
  duct::DuctSpec spec = example_spec();
  spec.insulated = true;
  for (const HeatedLength& length : heated_lengths(laid_out(spec, example_bay())))
    CHECK(length.insulation_m2K_W == 0.1);
}

TEST_CASE("cutting a length finer changes nothing", "[heat]") {
  std::vector<HeatedLength> many;
  for (int i = 0; i < 40; ++i) {
    HeatedLength part = metre();
    part.station_from_mm = 25 * i;
    part.station_to_mm = 25 * (i + 1);
    many.push_back(part);
  }
  const HeatedLength one[] = {metre()};
  CHECK(behind(many, celsius(25), air(), {}).si() == Approx(behind(one, celsius(25), air(), {}).si()).epsilon(1e-13));
}

TEST_CASE("rise at the compressor: its shares, and the band of the film outside", "[heat]") {
  HeatedWay way;
  way.behind = {metre()};
  way.housing_cm2 = 2000;
  FlowInputs inputs = warm_flow();
  inputs.source_air = celsius(28);
  const InletRise rise = inlet_rise(way, inputs);
  CHECK(rise.source_K == Approx(3));
  CHECK(rise.ahead_K == 0);
  // The cleaner: 0.2 m2 at 1/(1/15 + 1/15) = 7.5 W/(m2 K).
  CHECK(rise.housing_K == Approx(47 * (1 - std::exp(-1.5 / (0.15 * 1006)))));
  CHECK(rise.rise_K == Approx(rise.source_K + rise.housing_K + rise.behind_K));
  const WarmedAir warm{kilograms_per_second(0.15), celsius(75), celsius(28)};
  const auto with_film = [&](double film) {
    const double u = 1 / (1 / film + 1 / 15.0);
    return behind(way.behind, warmed(celsius(28), celsius(75), 0.2 * u, warm.mass_flow), warm, {.bay_W_m2K = film})
               .si() -
           298.15;
  };
  const auto& film = rise.band.contributions().at(0);
  CHECK(film.low == Approx(rise.rise_K - with_film(5)));
  CHECK(film.high == Approx(with_film(30) - rise.rise_K));
  // Nothing shines on it and nothing is insulated: films alone.
  CHECK(rise.band.contributions().size() == 3);
  way.behind[0].radiant_W_m2 = 300;
  way.radiant_stand_in = "parts/exhaust/surface_temperature_C";
  const InletRise shone = inlet_rise(way, inputs);
  CHECK(shone.rise_K == Approx(rise.rise_K));
  REQUIRE(shone.band.contributions().size() == 4);
  CHECK(shone.band.contributions()[3].low == 0);
  // In full, on top, and as much as still air outside and the livelier film inside let in.
  CHECK(shone.band.contributions()[3].kind == Contribution::Kind::bound);
  const Films still{.bay_W_m2K = 5, .inside_factor = 1.3},
      shining{.bay_W_m2K = 5, .inside_factor = 1.3, .radiant_factor = 1};
  const WarmedAir warmed_air{*inputs.rated, *inputs.bay_air, inputs.ambient->temperature};
  const Temperature in = inputs.ambient->temperature;
  const double added = (behind(way.behind, in, warmed_air, shining) - behind(way.behind, in, warmed_air, still)).si();
  CHECK(shone.band.contributions()[3].high == Approx(added).epsilon(0.02));
  CHECK(added > 1.05 * (300 / 15.0 / 47 * rise.behind_K));
  CHECK(shone.band.contributions()[3].missing == way.radiant_stand_in);
}

TEST_CASE("laws of the rise", "[heat]") {
  const auto rise_of = [](const duct::DuctSpec& spec, const FlowInputs& inputs) {
    HeatedWay way;
    way.behind = heated_lengths(laid_out(spec, example_bay()));
    return inlet_rise(way, inputs).rise_K;
  };
  const duct::DuctSpec spec = example_spec();
  const double plain = rise_of(spec, warm_flow());
  CHECK(plain > 0);
  SECTION("insulated less, and the less the better it is") {
    duct::DuctSpec wrapped = spec;
    wrapped.insulated = true;
    CHECK(rise_of(wrapped, warm_flow()) < plain);
    HeatedWay way;
    way.behind = heated_lengths(laid_out(wrapped, example_bay()));
    double last = plain;
    for (const double resistance : {0.01, 0.1, 1.0, 100.0}) {
      for (HeatedLength& length : way.behind) length.insulation_m2K_W = resistance;
      const double now = inlet_rise(way, warm_flow()).rise_K;
      CHECK(now < last);
      last = now;
    }
    CHECK(last < 0.02);
  }
  SECTION("more flow, less rise, outside the jump from laminar to turbulent") {
    double last = INFINITY;
    for (double m = 0.01; m < 1; m *= 1.2) {
      FlowInputs more = warm_flow();
      more.rated = kilograms_per_second(m);
      const double now = rise_of(spec, more);
      CHECK(now < last);
      last = now;
    }
  }
  SECTION("a warmer bay and thicker walls of hoses") {
    FlowInputs warmer = warm_flow();
    warmer.bay_air = celsius(100);
    CHECK(rise_of(spec, warmer) ==
          Approx(1.5 * plain).epsilon(1e-9));  // in proportion to 75 over outside instead of 50
    warmer.bay_air = celsius(25);
    CHECK(rise_of(spec, warmer) == Approx(0).margin(1e-9));
    warmer.bay_air = celsius(0);
    CHECK(rise_of(spec, warmer) < 0);
  }
  SECTION("a raw air duct adds, and so does air that is drawn in warm") {
    HeatedWay way;
    way.behind = heated_lengths(laid_out(spec, example_bay()));
    way.ahead = way.behind;
    const InletRise two = inlet_rise(way, warm_flow());
    CHECK(two.ahead_K == Approx(plain));
    CHECK(two.behind_K < plain);  // it comes warmer
    FlowInputs warm = warm_flow();
    warm.source_air = celsius(40);
    CHECK(rise_of(spec, warm) > 15);
    CHECK(rise_of(spec, warm) < 15 + plain);
    warm.source_air.reset();
    CHECK(rise_of(spec, warm) == Approx(plain));
  }
}
