#include "flow/charge_heat.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "cross_formulas.hpp"

using namespace baywright;
using namespace baywright::flow;
using measure::NotAssessed;
using Keys = std::vector<std::string>;

namespace {

/// 0.170 kg/s at 160 degC, boost 150 kPa, cooling air of 25 degC.
struct Cooled {
  FlowInputs inputs;
  Cooled() {
    inputs.rated = kilograms_per_second(0.170);
    inputs.ambient = Ambient{kilopascals(99), celsius(25), 0};
    inputs.charge.emplace();
    inputs.charge->boost = kilopascals(150);
    inputs.charge->outlet_temperature = celsius(160);
    inputs.charge->cooler.emplace();
    inputs.charge->cooler->effectiveness = 123.0 / 135;
    inputs.charge->cooler->cooling_air = celsius(25);
  }
  ChargeCooler& cooler() { return *inputs.charge->cooler; }
  ChargeWay way() const {
    const auto hot = compressor_outlet(inputs, NotAssessed{"none", {}});
    return {nullptr, nullptr, hot, behind_cooler(inputs, hot)};
  }
  ChargeHeat heat() const {
    const auto found = charge_heat(way(), inputs);
    if (const auto* refused = std::get_if<NotAssessed>(&found)) FAIL(refused->reason);
    return std::get<ChargeHeat>(found);
  }
};

}  // namespace

TEST_CASE("crossflow, both unmixed: its ends, and within 4 % of the exact series", "[cooler]") {
  CHECK(crossflow_unmixed(0, 0.5) == 0);
  CHECK(crossflow_unmixed(1, 0) == Approx(1 - std::exp(-1.0)));
  CHECK(crossflow_unmixed(1, 1e-7) == Approx(1 - std::exp(-1.0)).epsilon(1e-5));
  for (const double n : {0.3, 1.0, 2.0, 4.0}) {
    for (const double c : {0.1, 0.3, 0.7, 1.0}) {
      INFO(n << " " << c);
      CHECK(crossflow_unmixed(n, c) == Approx(test::crossflow_unmixed_series(n, c)).epsilon(0.04));
      CHECK(crossflow_unmixed(n, c) < 1 - std::exp(-n));
    }
  }
  CHECK_THROWS(crossflow_unmixed(1, 1.1));
}

TEST_CASE("other arrangements: their ends, and none beats counterflow", "[cooler]") {
  using Formula = double (*)(double, double);
  for (const Formula of : {Formula(crossflow_larger_mixed), Formula(crossflow_smaller_mixed), Formula(counterflow)}) {
    CHECK(of(0, 0.5) == 0);
    CHECK(of(1, 0) == Approx(1 - std::exp(-1.0)));
    CHECK(of(1, 1e-7) == Approx(1 - std::exp(-1.0)).epsilon(1e-5));
    CHECK_THROWS(of(1, 1.1));
    CHECK_THROWS(of(-1, 0.5));
  }
  CHECK(counterflow(3, 1) == Approx(0.75));
  CHECK(counterflow(3, 1 - 1e-7) == Approx(0.75).epsilon(1e-5));
  CHECK(counterflow(2, 0.5) == Approx((1 - std::exp(-1.0)) / (1 - 0.5 * std::exp(-1.0))));
  for (const double n : {0.3, 1.0, 2.0, 4.0}) {
    for (const double c : {0.1, 0.5, 1.0}) {
      INFO(n << " " << c);
      const double unmixed = test::crossflow_unmixed_series(n, c);
      CHECK(counterflow(n, c) > unmixed);
      CHECK(unmixed > crossflow_larger_mixed(n, c));
      CHECK(unmixed > crossflow_smaller_mixed(n, c));
    }
  }
  // At equal rates neither side is the larger one.
  CHECK(crossflow_larger_mixed(2, 1) == Approx(crossflow_smaller_mixed(2, 1)));
}

TEST_CASE("effectiveness from what the core passes", "[cooler]") {
  Cooled s;
  CHECK(std::get<CoolerEffect>(cooler_effect(s.inputs)).stated);
  s.cooler().effectiveness.reset();
  CHECK(std::get<NotAssessed>(cooler_effect(s.inputs)).missing == Keys{"flow/charge/cooler/effectiveness"});
  s.cooler().conductance_W_K = 2.5 * 0.170 * 1006;
  CHECK(std::get<NotAssessed>(cooler_effect(s.inputs)).missing == Keys{"flow/charge/cooler/air_kg_per_s"});
  s.cooler().air_flow = kilograms_per_second(0.170 / 0.6);
  const auto e = std::get<CoolerEffect>(cooler_effect(s.inputs));
  CHECK_FALSE(e.stated);
  CHECK(e.transfer_units == Approx(2.5));
  CHECK(e.capacity_ratio == Approx(0.6));
  CHECK(e.value == Approx(0.7632).epsilon(1e-4));  // Nellis & Klein, as row Q07
  CHECK(e.high == Approx(crossflow_unmixed(1.15 * 2.5, 0.6) - e.value));
  // Downward the core may also be one in which one side mixes: here the larger one, which makes it worse.
  CHECK(e.low == Approx(e.value - crossflow_larger_mixed(0.85 * 2.5, 0.6)));
  CHECK(e.larger_mixed == Approx(crossflow_larger_mixed(2.5, 0.6)));
  CHECK(e.smaller_mixed == Approx(crossflow_smaller_mixed(2.5, 0.6)));
  CHECK(e.counterflow == Approx(counterflow(2.5, 0.6)));
  // Less cooling air than charge air: its rate is the smaller, and what it takes is less of the hot side.
  s.cooler().air_flow = kilograms_per_second(0.085);
  const auto starved = std::get<CoolerEffect>(cooler_effect(s.inputs));
  CHECK(starved.value == Approx(0.5 * crossflow_unmixed(5, 0.5)));
  CHECK(starved.value < 0.5);
  s.inputs.rated.reset();
  CHECK(std::get<NotAssessed>(cooler_effect(s.inputs)).missing == Keys{"flow/rated_kg_per_s"});
  s.cooler().conductance_W_K.reset();
  CHECK(std::get<NotAssessed>(cooler_effect(s.inputs)).missing == Keys{"flow/charge/cooler/conductance_W_per_K"});
  CHECK(std::get<NotAssessed>(behind_cooler(s.inputs, ChargeTemperature{celsius(160), {}, ""})).missing ==
        Keys{"flow/charge/cooler/conductance_W_per_K"});
}

TEST_CASE("duty: 21.1 kW, 1,200 BTU a minute, of a supplier's sheet", "[cooler]") {
  const Cooled s;
  const ChargeHeat heat = s.heat();
  CHECK(to_celsius(heat.cold.value) == Approx(37));
  CHECK(heat.duty_W == Approx(0.170 * 1006 * 123));
  CHECK(heat.duty_W == Approx(21.1e3).epsilon(0.01));
  CHECK(heat.duty_W / kWattsPerBtuMinute == Approx(1200).epsilon(0.01));
  CHECK(heat.duty_band.high() == Approx(0.170 * 1006 * 0.03 * 135));
  Cooled worked;
  worked.inputs.charge->outlet_temperature.reset();
  worked.inputs.charge->inlet_temperature = celsius(25);
  worked.inputs.charge->compressor_efficiency = 0.72;
  const auto hot = std::get<ChargeTemperature>(compressor_outlet(worked.inputs, kilopascals(2)));
  const auto found = charge_heat({nullptr, nullptr, hot, behind_cooler(worked.inputs, hot)}, worked.inputs);
  const double more = 0.170 * 1006;
  CHECK(std::get<ChargeHeat>(found).duty_band.high() ==
        Approx(more * std::hypot(123.0 / 135 * hot.band.high(), 0.03 * (to_celsius(hot.value) - 25))));
}

TEST_CASE("density recovered: colder air, less what the way loses", "[cooler]") {
  Cooled s;
  ChargeLoss loss;
  const auto recovered = [&] { return std::get<DensityRecovery>(density_recovery(s.way(), loss, s.inputs)); };
  CHECK(recovered().value == Approx(433.15 / 310.15));
  loss.way.total = kilopascals(12.45);  // 5 % of 249 kPa
  CHECK(recovered().by_cooling == Approx(433.15 / 310.15));
  CHECK(recovered().value == Approx(0.95 * 433.15 / 310.15));
  loss.way.band.add({"way", Contribution::Kind::expanded, 1000, 2000, ""});
  // A degree more or less behind the cooler: 0.03 of 135 K is 4.05 K.
  const double colder = 0.95 * 433.15 / (310.15 - 4.05) - recovered().value;
  CHECK(recovered().band.high() == Approx(std::hypot(colder, 433.15 / 310.15 * 1000 / 249e3)));
  s.cooler().effectiveness = 0;
  loss.way.total = kilopascals(0);
  CHECK(recovered().value == Approx(1));
  loss.lacking = {"the job has no duct for charge hot air"};
  loss.missing = {"ducts: charge hot"};
  CHECK(std::get<NotAssessed>(density_recovery(s.way(), loss, s.inputs)).missing == Keys{"ducts: charge hot"});
  s.cooler().cooling_air.reset();
  CHECK(std::get<NotAssessed>(charge_heat(s.way(), s.inputs)).missing == Keys{"flow/charge/cooler/cooling_air_C"});
}
