#include "flow/cooler_effect.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "flow/duct_heat.hpp"
#include "geometry/base/expects.hpp"

namespace baywright::flow {
namespace {

using measure::NotAssessed;

constexpr double kStatedBand = 0.03;       // common practice, no source
constexpr double kConductanceBand = 0.15;  // common practice, no source
constexpr const char* kCooler = "flow/charge/cooler/";

/// Of the charge air. The heat capacity of both airs is taken as that of dry air in `duct_heat`.
CoolerEffect by_transfer_units(double conductance_W_K, double hot_W_K, double cold_W_K) {
  const double smaller = std::min(hot_W_K, cold_W_K);
  CoolerEffect e;
  e.stated = false;
  e.transfer_units = conductance_W_K / smaller;
  e.capacity_ratio = smaller / std::max(hot_W_K, cold_W_K);
  const double share = smaller / hot_W_K;  // of the charge air's fall in the greater of both
  e.value = share * crossflow_unmixed(e.transfer_units, e.capacity_ratio);
  e.larger_mixed = share * crossflow_larger_mixed(e.transfer_units, e.capacity_ratio);
  e.smaller_mixed = share * crossflow_smaller_mixed(e.transfer_units, e.capacity_ratio);
  e.counterflow = share * counterflow(e.transfer_units, e.capacity_ratio);
  return e;
}

constexpr double kNoRatio = 1e-9;  ///< below it one side keeps its temperature: 1 - exp(-N) for all
void expect_exchanger(double transfer_units, double ratio) { EXPECTS(transfer_units >= 0 && ratio >= 0 && ratio <= 1); }

}  // namespace

double crossflow_unmixed(double transfer_units, double ratio) {
  expect_exchanger(transfer_units, ratio);
  if (ratio < kNoRatio) return -std::expm1(-transfer_units);
  return 1 - std::exp(std::pow(transfer_units, 0.22) / ratio * std::expm1(-ratio * std::pow(transfer_units, 0.78)));
}

double crossflow_larger_mixed(double transfer_units, double ratio) {
  expect_exchanger(transfer_units, ratio);
  if (ratio < kNoRatio) return -std::expm1(-transfer_units);
  return -std::expm1(ratio * std::expm1(-transfer_units)) / ratio;
}

double crossflow_smaller_mixed(double transfer_units, double ratio) {
  expect_exchanger(transfer_units, ratio);
  if (ratio < kNoRatio) return -std::expm1(-transfer_units);
  return -std::expm1(std::expm1(-ratio * transfer_units) / ratio);
}

double counterflow(double transfer_units, double ratio) {
  expect_exchanger(transfer_units, ratio);
  if (1 - ratio < kNoRatio) return transfer_units / (1 + transfer_units);
  const double left = std::exp(-transfer_units * (1 - ratio));
  return -std::expm1(-transfer_units * (1 - ratio)) / (1 - ratio * left);
}

std::variant<CoolerEffect, NotAssessed> cooler_effect(const FlowInputs& inputs) {
  const ChargeCooler cooler = inputs.charge ? inputs.charge->cooler.value_or(ChargeCooler()) : ChargeCooler();
  if (cooler.effectiveness) {
    CoolerEffect e;
    e.value = *cooler.effectiveness;
    e.low = e.high = kStatedBand;
    e.source = "effectiveness of the cooler, common practice, no source";
    return e;
  }
  std::vector<std::string> missing;
  if (!cooler.conductance_W_K && !cooler.air_flow) missing.push_back(std::string(kCooler) + "effectiveness");
  if (!cooler.conductance_W_K && cooler.air_flow) missing.push_back(std::string(kCooler) + "conductance_W_per_K");
  if (cooler.conductance_W_K && !cooler.air_flow) missing.push_back(std::string(kCooler) + "air_kg_per_s");
  if (cooler.conductance_W_K && cooler.air_flow && !rated_flow(inputs)) missing.push_back(rated_flow_key(inputs));
  if (!missing.empty()) return NotAssessed{"the effectiveness of the cooler is not known", std::move(missing)};
  const double hot = kHeatCapacity_J_kgK * rated_flow(inputs)->si(), cold = kHeatCapacity_J_kgK * cooler.air_flow->si();
  const double passed = *cooler.conductance_W_K;
  if (!(hot > 0 && cold > 0 && passed > 0)) {
    return NotAssessed{"the cooler's flows and conductance must be above 0", {"flow"}};
  }
  CoolerEffect e = by_transfer_units(passed, hot, cold);
  const CoolerEffect poor = by_transfer_units((1 - kConductanceBand) * passed, hot, cold);
  e.low = e.value - std::min({poor.value, poor.larger_mixed, poor.smaller_mixed});
  e.high = by_transfer_units((1 + kConductanceBand) * passed, hot, cold).value - e.value;
  e.source = "heat the cooler passes and which air mixes in it, common practice, no source";
  return e;
}

}  // namespace baywright::flow
