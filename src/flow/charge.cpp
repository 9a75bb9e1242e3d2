#include "flow/charge.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "flow/cooler_effect.hpp"

namespace baywright::flow {
namespace {

using measure::NotAssessed;

/// (gamma - 1) / gamma of air at intake temperatures, as compressor maps are read with.
constexpr double kExponent = 0.286;
constexpr double kEfficiencyBand = 0.03;    // common practice, no source
constexpr double kHeatCapacityBand = 0.02;  // of the rise

constexpr const char* kCharge = "flow/charge/";

Contribution expanded(std::string source, double low, double high) {
  return {std::move(source), Contribution::Kind::expanded, low, high, ""};
}

double outlet_K(double inlet_K, double pressure_ratio, double efficiency) {
  return inlet_K * (1 + (std::pow(pressure_ratio, kExponent) - 1) / efficiency);
}

NotAssessed lacking(const char* what, std::vector<std::string> missing) { return {what, std::move(missing)}; }

}  // namespace

ChargeTemperatureOrNot compressor_outlet(const FlowInputs& inputs, const InletLoss& inlet_loss) {
  const ChargeInputs charge = inputs.charge.value_or(ChargeInputs());
  if (charge.outlet_temperature) return ChargeTemperature{*charge.outlet_temperature, {}, "as stated"};
  std::vector<std::string> missing;
  if (!inputs.ambient) missing.emplace_back("flow/ambient");
  if (!charge.boost) missing.push_back(std::string(kCharge) + "boost_kPa");
  if (!charge.inlet_temperature) missing.push_back(std::string(kCharge) + "inlet_temperature_C");
  if (!charge.compressor_efficiency) missing.push_back(std::string(kCharge) + "compressor_efficiency");
  if (const auto* unknown = std::get_if<NotAssessed>(&inlet_loss)) {
    for (const std::string& key : unknown->missing) {
      if (std::find(missing.begin(), missing.end(), key) == missing.end()) missing.push_back(key);
    }
    if (unknown->missing.empty()) missing.push_back(std::string(kCharge) + "outlet_temperature_C");
  }
  if (!missing.empty()) {
    return lacking("the temperature at the compressor outlet is neither stated nor can it be worked out", missing);
  }
  const Pressure ahead = inputs.ambient->pressure - std::get<Pressure>(inlet_loss);
  if (!(ahead.si() > 0)) return lacking("more is lost ahead of the compressor than there is", {"flow"});
  const double ratio = (inputs.ambient->pressure + *charge.boost) / ahead;
  const double inlet_K = charge.inlet_temperature->si(), efficiency = *charge.compressor_efficiency;
  ChargeTemperature out;
  out.value = kelvins(outlet_K(inlet_K, ratio, efficiency));
  const double rise_K = out.value.si() - inlet_K;
  const double best = std::min(efficiency + kEfficiencyBand, 1.0);
  const double worst = std::max(efficiency - kEfficiencyBand, 0.5 * efficiency);
  out.band.add(expanded("efficiency of the compressor, common practice, no source",
                        out.value.si() - outlet_K(inlet_K, ratio, best),
                        outlet_K(inlet_K, ratio, worst) - out.value.si()));
  out.band.add(
      expanded("constant heat capacity of the formula", kHeatCapacityBand * rise_K, kHeatCapacityBand * rise_K));
  char text[48];
  std::snprintf(text, sizeof text, "pressure ratio %.2f", ratio);
  out.note = text;
  return out;
}

ChargeTemperatureOrNot behind_cooler(const FlowInputs& inputs, const ChargeTemperatureOrNot& compressor_outlet) {
  const ChargeCooler cooler = inputs.charge ? inputs.charge->cooler.value_or(ChargeCooler()) : ChargeCooler();
  std::vector<std::string> missing;
  if (const auto* unknown = std::get_if<NotAssessed>(&compressor_outlet)) missing = unknown->missing;
  const auto effect = cooler_effect(inputs);
  if (const auto* unknown = std::get_if<NotAssessed>(&effect)) {
    for (const std::string& key : unknown->missing) {
      if (std::find(missing.begin(), missing.end(), key) == missing.end()) missing.push_back(key);
    }
  }
  if (!cooler.cooling_air) missing.push_back(std::string(kCharge) + "cooler/cooling_air_C");
  if (!missing.empty() || std::holds_alternative<NotAssessed>(effect)) {
    return lacking("the temperature behind the cooler cannot be worked out", missing);
  }
  const auto& cools = std::get<CoolerEffect>(effect);
  const auto& hot = std::get<ChargeTemperature>(compressor_outlet);
  const double over_K = hot.value.si() - cooler.cooling_air->si();
  ChargeTemperature out;
  out.value = kelvins(hot.value.si() - cools.value * over_K);
  const double passes_on = 1 - cools.value;
  for (Contribution c : hot.band.contributions()) {
    c.low *= passes_on;
    c.high *= passes_on;
    out.band.add(std::move(c));
  }
  out.band.add(expanded(cools.source, cools.high * std::abs(over_K), cools.low * std::abs(over_K)));
  out.note = hot.note;
  return out;
}

double pressure_thrust_N(Pressure gauge, double hose_bore_mm) {
  const double bore_m = hose_bore_mm / 1000;
  return gauge.si() * std::numbers::pi / 4 * bore_m * bore_m;
}

std::variant<Pressure, NotAssessed> charge_pressure(const FlowInputs& inputs) {
  const ChargeInputs charge = inputs.charge.value_or(ChargeInputs());
  std::vector<std::string> missing;
  if (!inputs.ambient) missing.emplace_back("flow/ambient");
  if (!charge.boost) missing.push_back(std::string(kCharge) + "boost_kPa");
  if (!missing.empty()) return lacking("the pressure of the charge air is not known", missing);
  return inputs.ambient->pressure + *charge.boost;
}

}  // namespace baywright::flow
