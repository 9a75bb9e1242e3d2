#include "flow/charge_loss.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "flow/flow_path.hpp"
#include "flow/loss_coefficients.hpp"
#include "tests/support/example_intake.hpp"

using namespace baywright;
using namespace baywright::flow;
using measure::NotAssessed;
using test::example_bay;
using test::example_spec;
using test::laid_out;
using Keys = std::vector<std::string>;

namespace {

/// The example's legs as a bare tube of 72.9 bore.
duct::Duct bare(const char* id, duct::Service service, double wall_mm = 1.65) {
  duct::DuctSpec spec = example_spec();
  spec.id = duct::DuctId(id);
  spec.service = service;
  spec.tube.wall_mm = wall_mm;
  spec.fittings.clear();
  bay::Bay bay = example_bay();
  bay.ports[1].outer_diameter_mm = 76.2;
  bay.ports[0].bore_mm = bay.ports[1].bore_mm = spec.tube.bore_mm();
  return laid_out(spec, bay);
}

/// 0.15 kg/s at 99 kPa, boost 150, 154 degC hot and 61 cold; the core takes 40 000 Q^2 Pa at 1.2 kg/m3.
struct Charge {
  FlowInputs inputs;
  duct::Duct hot = bare("hot", duct::Service::charge_hot), cold = bare("cold", duct::Service::charge_cold);
  bool has_hot = true, has_cold = true;
  Charge() {
    inputs.rated = kilograms_per_second(0.15);
    inputs.ambient = Ambient{kilopascals(99), celsius(25), 0};
    inputs.wall_roughness_mm = 0.01;
    inputs.charge.emplace();
    inputs.charge->boost = kilopascals(150);
    inputs.charge->outlet_temperature = celsius(154);
    inputs.charge->cooler.emplace();
    inputs.charge->cooler->effectiveness = 0.75;
    inputs.charge->cooler->cooling_air = celsius(30);
    FilterCurve curve;
    for (const double q : {0.05, 0.10, 0.15}) {
      curve.points.push_back({cubic_metres_per_second(q), pascals(400000 * q * q)});
    }
    inputs.charge->cooler->curve = curve;
  }
  ChargeLoss taken() const {
    const auto hot_air = compressor_outlet(inputs, NotAssessed{"none", {}});
    return charge_loss({has_hot ? &hot : nullptr, has_cold ? &cold : nullptr, hot_air, behind_cooler(inputs, hot_air)},
                       inputs);
  }
};

double sum_of(const Restriction& way, const std::string& prefix) {
  double sum = 0;
  for (const ElementLoss& e : way.elements) {
    if (e.name.rfind(prefix, 0) == 0) sum += e.loss.si();
  }
  return sum;
}

/// Friction and two bends on the dynamic pressure of the state given, by hand: incompressible.
double by_hand_Pa(double total_Pa, double temperature_K, double bore_m) {
  const double rho = total_Pa / (287.055 * temperature_K);
  const double v = 0.15 / (rho * std::numbers::pi / 4 * bore_m * bore_m);
  const double re = 4 * 0.15 / (std::numbers::pi * bore_m * viscosity_Pa_s(kelvins(temperature_K)));
  const double f = friction_factor(re, 0.01e-3 / bore_m);
  const double straights = f * (185.7 + 371.4 + 285.7) / 1000 / bore_m;
  return (straights + 2 * bend_loss(0.1143 / bore_m, degrees(90), f)) * 0.5 * rho * v * v;
}

}  // namespace

TEST_CASE("the whole way: hot duct, core, cold duct by hand", "[charge]") {
  const Charge c;
  const ChargeLoss found = c.taken();
  CHECK(found.lacking.empty());
  const double hot_K = 427.15, cold_K = 273.15 + 154 - 0.75 * 124;
  const double hot = by_hand_Pa(249e3, hot_K, 0.0729);
  CHECK(sum_of(found.way, "hot: ") == Approx(hot).epsilon(0.01));
  // The core: m^2 * 400000 / (1.2 rho), the square law has no viscous part; rho the mean of both sides.
  const double p = 249e3 - sum_of(found.way, "hot: ");
  const double mean = 0.5 * (p / (287.055 * hot_K) + p / (287.055 * cold_K));
  const double core = 400000 * 0.15 * 0.15 / (1.2 * mean);
  CHECK(sum_of(found.way, "cooler") == Approx(core).epsilon(1e-6));
  CHECK(core == Approx(3230).epsilon(0.02));
  CHECK(sum_of(found.way, "cold: ") == Approx(by_hand_Pa(p - core, cold_K, 0.0729)).epsilon(0.01));
  CHECK(found.way.total.si() == Approx(sum_of(found.way, "hot: ") + core + sum_of(found.way, "cold: ")).epsilon(1e-9));
  // Ends of the core's band: all of it as thin as ahead, as dense as behind.
  const auto core_at = std::find_if(found.way.elements.begin(), found.way.elements.end(),
                                    [](const ElementLoss& e) { return e.name == "cooler"; });
  const Contribution& density = core_at->band.back();
  CHECK(density.high == Approx(core * (mean / (p / (287.055 * hot_K)) - 1)).epsilon(1e-6));
  CHECK(density.low == Approx(core * (1 - mean / (p / (287.055 * cold_K)))).epsilon(1e-6));
}

TEST_CASE("a stated loss stands for hot duct and cooler; a curve comes before it", "[charge]") {
  Charge c;
  c.inputs.charge->cooler->loss = kilopascals(9);
  const double by_curve = c.taken().way.total.si();
  CHECK(by_curve < 6000);
  c.inputs.charge->cooler->curve.reset();
  const ChargeLoss stated = c.taken();
  CHECK(stated.lacking.empty());
  CHECK(stated.way.total.si() == Approx(9000 + sum_of(stated.way, "cold: ")));
  CHECK(sum_of(stated.way, "hot: ") == 0);
  CHECK(stated.way.band.high() >= 0.2 * 9000);
  c.has_hot = false;  // it is in the stated figure
  CHECK(c.taken().lacking.empty());
  c.has_cold = false;
  CHECK(c.taken().missing == Keys{"ducts: charge cold"});
}

TEST_CASE("pressure behind the cooler: by curve and hot duct, or as stated", "[charge]") {
  Charge c;
  const auto behind = [](const Charge& charge) {
    const auto hot_air = compressor_outlet(charge.inputs, NotAssessed{"none", {}});
    return pressure_behind_cooler(
        {charge.has_hot ? &charge.hot : nullptr, nullptr, hot_air, behind_cooler(charge.inputs, hot_air)},
        charge.inputs);
  };
  const Restriction way = c.taken().way;
  CHECK(std::get<Pressure>(behind(c)).si() == Approx(249e3 - sum_of(way, "hot: ") - sum_of(way, "cooler")));
  c.has_hot = false;
  CHECK(std::get<NotAssessed>(behind(c)).missing == Keys{"ducts: charge hot"});
  c.inputs.charge->cooler->curve.reset();
  c.inputs.charge->cooler->loss = kilopascals(9);
  CHECK(std::get<Pressure>(behind(c)).si() == Approx(240e3));
  c.inputs.charge->cooler->loss = kilopascals(250);
  CHECK(std::holds_alternative<NotAssessed>(behind(c)));
  c.inputs.charge->cooler->loss.reset();
  c.has_hot = true;
  CHECK(std::get<NotAssessed>(behind(c)).missing == Keys{"flow/charge/cooler/curve"});
}

TEST_CASE("what is missing is named, and what is known stays", "[charge]") {
  Charge c;
  c.has_hot = false;
  CHECK(c.taken().missing == Keys{"ducts: charge hot"});
  CHECK(sum_of(c.taken().way, "cooler") > 3000);
  CHECK(sum_of(c.taken().way, "cold: ") > 0);
  c = Charge();
  c.inputs.charge->cooler->curve.reset();
  CHECK(c.taken().missing == Keys{"flow/charge/cooler/curve"});
  CHECK(c.taken().way.total.si() == Approx(sum_of(c.taken().way, "hot: ") + sum_of(c.taken().way, "cold: ")));
  c = Charge();
  c.inputs.charge->cooler->curve->points.resize(2);
  CHECK(c.taken().missing == Keys{"flow/charge/cooler/curve"});
  c = Charge();
  c.inputs.charge->cooler->effectiveness.reset();
  CHECK(c.taken().missing == Keys{"flow/charge/cooler/effectiveness"});
  CHECK(c.taken().way.total.si() == Approx(sum_of(c.taken().way, "hot: ")));
  CHECK(c.taken().way.total.si() > 0);
  c = Charge();
  c.inputs.charge->boost.reset();
  c.inputs.rated.reset();
  CHECK(c.taken().missing == Keys{"flow/rated_kg_per_s", "flow/charge/boost_kPa"});
  CHECK(c.taken().way.elements.empty());
  c = Charge();
  c.inputs.charge.reset();
  const Keys all = c.taken().missing;
  for (const char* key : {"flow/charge/boost_kPa", "flow/charge/cooler/curve", "flow/charge/compressor_efficiency"}) {
    CHECK(std::count(all.begin(), all.end(), key) == 1);
  }
  c.inputs = {};
  CHECK(c.taken().missing.front() == "flow/rated_kg_per_s");
  c = Charge();
  c.inputs.rated = kilograms_per_second(std::nan(""));
  CHECK(c.taken().missing == Keys{"flow/rated_kg_per_s"});
}

TEST_CASE("laws of the charge way", "[charge]") {
  Charge c;
  const double plain = c.taken().way.total.si();
  c.hot = bare("hot", duct::Service::charge_hot, 8);
  CHECK(c.taken().way.total.si() > plain);
  c.hot = bare("hot", duct::Service::charge_hot, 22);
  CHECK(c.taken().way.chokes_at.empty());
  c.hot = bare("hot", duct::Service::charge_hot, 30);
  CHECK(c.taken().way.chokes_at.rfind("hot: straight", 0) == 0);
  c = Charge();
  c.inputs.charge->boost = kilopascals(200);  // denser air loses less
  CHECK(c.taken().way.total.si() < plain);
  c = Charge();
  c.inputs.charge->outlet_temperature = celsius(170);
  CHECK(c.taken().way.total.si() > plain);
  c = Charge();
  c.inputs.rated = kilograms_per_second(0.2);
  CHECK(c.taken().way.total.si() > 1.6 * plain);
  // What is not known of the temperature widens the band.
  c = Charge();
  c.inputs.charge->inlet_temperature = celsius(25);
  c.inputs.charge->compressor_efficiency = 0.72;
  c.inputs.charge->outlet_temperature.reset();
  const auto hot_air = compressor_outlet(c.inputs, kilopascals(2.5));
  const ChargeLoss unsure = charge_loss({&c.hot, &c.cold, hot_air, behind_cooler(c.inputs, hot_air)}, c.inputs);
  c.inputs.charge->outlet_temperature = std::get<ChargeTemperature>(hot_air).value;
  const ChargeLoss stated = c.taken();
  CHECK(unsure.way.total.si() == Approx(stated.way.total.si()));
  // On both sides of the cooler at once: what a hotter compressor does to the losses of the two ducts.
  const auto amount = [](const ChargeLoss& found) {
    double high = 0;
    for (const Contribution& a : found.way.band.contributions()) {
      if (a.group.find("efficiency of the compressor") == 0) high += a.high;
    }
    return high;
  };
  const auto& hot_band = std::get<ChargeTemperature>(hot_air).band.contributions().at(0);
  const double hot_K = std::get<ChargeTemperature>(hot_air).value.si(), cold_K = 303.15 + 0.25 * (hot_K - 303.15);
  CHECK(amount(stated) == 0);
  CHECK(amount(unsure) == Approx(sum_of(unsure.way, "hot: ") * hot_band.high / hot_K +
                                 sum_of(unsure.way, "cold: ") * 0.25 * hot_band.high / cold_K));
  CHECK(unsure.way.band.high() > stated.way.band.high());
}
