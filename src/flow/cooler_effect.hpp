#pragma once

#include <string>
#include <variant>

#include "flow/flow_model.hpp"

namespace baywright::flow {

/// Effectiveness of the charge cooler, (hot in - hot out) / (hot in - cooling air), at the rating.
struct CoolerEffect {
  double value = 0;
  double low = 0, high = 0;  ///< about 95 %, as amounts of it
  std::string source;        ///< of that band
  bool stated = true;        ///< else from the two below
  double transfer_units = 0;
  double capacity_ratio = 0;  ///< smaller over larger heat capacity rate
};
/// As stated, within 0.03 (common practice, no source); else from the heat its core passes for each kelvin and its
/// cooling air, as a crossflow exchanger with both sides unmixed at the rated flow, within what 15 % of that heat make
/// (common practice, no source). NotAssessed names what is missing.
std::variant<CoolerEffect, measure::NotAssessed> cooler_effect(const FlowInputs& inputs);

/// Effectiveness on the side of the smaller heat capacity rate of a crossflow exchanger, both sides unmixed:
/// 1 - exp(N^0.22 / C (exp(-C N^0.78) - 1)); 1 - exp(-N) at C 0. @param ratio C, 0..1
double crossflow_unmixed(double transfer_units, double ratio);

}  // namespace baywright::flow
