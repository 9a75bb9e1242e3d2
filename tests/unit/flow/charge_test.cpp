#include "flow/charge.hpp"

#include <catch2/catch.hpp>
#include <cmath>

using namespace baywright;
using namespace baywright::flow;
using measure::NotAssessed;

namespace {

constexpr double kPsi_Pa = 6894.757;

FlowInputs boosted() {
  FlowInputs inputs;
  inputs.ambient = Ambient{kilopascals(99), celsius(25), 0};
  inputs.charge.emplace();
  inputs.charge->boost = kilopascals(150);
  inputs.charge->inlet_temperature = celsius(25);
  inputs.charge->compressor_efficiency = 0.72;
  inputs.charge->cooler.emplace();
  inputs.charge->cooler->effectiveness = 0.75;
  inputs.charge->cooler->cooling_air = celsius(30);
  inputs.charge->cooler->loss = kilopascals(9);
  return inputs;
}

std::vector<std::string> missing(const ChargeTemperatureOrNot& outcome) {
  REQUIRE(std::holds_alternative<NotAssessed>(outcome));
  return std::get<NotAssessed>(outcome).missing;
}

}  // namespace

TEST_CASE("temperature behind the compressor: the formula, and published pairs of boost and temperature", "[charge]") {
  const auto hot = std::get<ChargeTemperature>(compressor_outlet(boosted(), kilopascals(2.5)));
  const double ratio = (99.0 + 150) / (99 - 2.5);
  const double t2 = 298.15 * (1 + (std::pow(ratio, 0.286) - 1) / 0.72);
  CHECK(hot.value.si() == Approx(t2).epsilon(1e-12));
  CHECK(to_celsius(hot.value) == Approx(154).margin(0.5));
  // 24 to 27 psi at sea level from 25 degC: 150 to 177 degC at efficiencies of 0.75 to 0.68.
  FlowInputs sea = boosted();
  sea.ambient->pressure = kilopascals(101.325);
  const auto at = [&](double psi, double efficiency) {
    sea.charge->boost = pascals(psi * kPsi_Pa);
    sea.charge->compressor_efficiency = efficiency;
    return to_celsius(std::get<ChargeTemperature>(compressor_outlet(sea, kilopascals(0))).value);
  };
  CHECK(at(24, 0.75) == Approx(150).margin(2));
  CHECK(at(27, 0.68) == Approx(177).margin(2));
  CHECK(at(27, 1) == Approx(25 + 298.15 * (std::pow((101.325 + 27 * kPsi_Pa / 1000) / 101.325, 0.286) - 1)));
}

TEST_CASE("its uncertainty: 0.03 of efficiency and 2 % of the rise", "[charge]") {
  const auto hot = std::get<ChargeTemperature>(compressor_outlet(boosted(), kilopascals(2.5)));
  const double rise = hot.value.si() - 298.15;
  CHECK(hot.band.high() == Approx(rise * std::hypot(0.72 / 0.69 - 1, 0.02)));
  CHECK(hot.band.low() == Approx(rise * std::hypot(1 - 0.72 / 0.75, 0.02)));
}

TEST_CASE("what is missing is named; a stated temperature needs nothing else", "[charge]") {
  FlowInputs inputs;
  CHECK(missing(compressor_outlet(inputs, kilopascals(2))) ==
        std::vector<std::string>{"flow/ambient", "flow/charge/boost_kPa", "flow/charge/inlet_temperature_C",
                                 "flow/charge/compressor_efficiency"});
  CHECK(missing(compressor_outlet(boosted(), NotAssessed{"none", {}})) ==
        std::vector<std::string>{"flow/charge/outlet_temperature_C"});
  CHECK(missing(compressor_outlet(boosted(), NotAssessed{"none", {"flow/rated_kg_per_s"}})) ==
        std::vector<std::string>{"flow/rated_kg_per_s"});
  inputs.charge.emplace().outlet_temperature = celsius(160);
  const auto stated = std::get<ChargeTemperature>(compressor_outlet(inputs, NotAssessed{}));
  CHECK(to_celsius(stated.value) == Approx(160));
  CHECK(stated.band.high() == 0);
  CHECK(missing(behind_cooler(inputs, stated)) ==
        std::vector<std::string>{"flow/charge/cooler/effectiveness", "flow/charge/cooler/cooling_air_C"});
}

TEST_CASE("behind the cooler", "[charge]") {
  FlowInputs inputs = boosted();
  inputs.charge->outlet_temperature = celsius(160);
  const auto cold = std::get<ChargeTemperature>(behind_cooler(inputs, compressor_outlet(inputs, NotAssessed{})));
  CHECK(to_celsius(cold.value) == Approx(160 - 0.75 * 130));
  CHECK(cold.band.high() == Approx(0.03 * 130));
  inputs.charge->outlet_temperature.reset();
  const auto hot = std::get<ChargeTemperature>(compressor_outlet(inputs, kilopascals(2.5)));
  const auto worked = std::get<ChargeTemperature>(behind_cooler(inputs, hot));
  CHECK(worked.band.high() == Approx(std::hypot(0.25 * hot.band.high(), 0.03 * (hot.value.si() - 303.15))));
  CHECK(std::get<Pressure>(charge_pressure(inputs)).si() == Approx(249e3));
  inputs.charge->boost.reset();
  CHECK(std::get<NotAssessed>(charge_pressure(inputs)).missing == std::vector<std::string>{"flow/charge/boost_kPa"});
}

TEST_CASE("cooler duty of an engine of 300 CFM: 21.1 kW are 123 K", "[charge]") {
  // 0.170 kg/s through an effectiveness that takes 123 K out of 160 degC against 25: the manifold is at 37.
  FlowInputs inputs = boosted();
  inputs.charge->outlet_temperature = celsius(160);
  inputs.charge->cooler->effectiveness = 123.0 / 135;
  inputs.charge->cooler->cooling_air = celsius(25);
  const auto cold = std::get<ChargeTemperature>(behind_cooler(inputs, compressor_outlet(inputs, NotAssessed{})));
  CHECK(0.170 * 1006 * (160 - to_celsius(cold.value)) == Approx(21.1e3).epsilon(0.01));
}

TEST_CASE("pressure thrust: 24 and 27 psi on 2.25, 2.5 and 3 in", "[charge]") {
  const double bores[] = {2.25, 2.5, 3};
  const double at_24[] = {425, 524, 755}, at_27[] = {478, 590, 849};
  for (int i = 0; i < 3; ++i) {
    CHECK(pressure_thrust_N(pascals(24 * kPsi_Pa), bores[i] * 25.4) == Approx(at_24[i]).margin(1));
    CHECK(pressure_thrust_N(pascals(27 * kPsi_Pa), bores[i] * 25.4) == Approx(at_27[i]).margin(1));
  }
}
