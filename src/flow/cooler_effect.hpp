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
  /// What a core that passes the same heat would have were it built otherwise; worked out only.
  double larger_mixed = 0, smaller_mixed = 0, counterflow = 0;
};
/// As stated, within 0.03 (common practice, no source); else from the heat its core passes for each kelvin and its
/// cooling air, as a crossflow exchanger with both sides unmixed at the rated flow: fins on both sides. Its band: what
/// 15 % of that heat make (common practice, no source), and downward the worse of the two that let one side mix, for
/// nobody says which a core is. NotAssessed names what is missing.
std::variant<CoolerEffect, measure::NotAssessed> cooler_effect(const FlowInputs& inputs);

/// Effectiveness on the side of the smaller heat capacity rate of a crossflow exchanger, both sides unmixed:
/// 1 - exp(N^0.22 / C (exp(-C N^0.78) - 1)); 1 - exp(-N) at C 0. @param ratio C, 0..1
double crossflow_unmixed(double transfer_units, double ratio);
/// The same with the side of the larger rate mixed: (1 - exp(-C (1 - exp(-N)))) / C.
double crossflow_larger_mixed(double transfer_units, double ratio);
/// The same with the side of the smaller rate mixed: 1 - exp(-(1 - exp(-C N)) / C).
double crossflow_smaller_mixed(double transfer_units, double ratio);
/// Counterflow, more than which no arrangement reaches: (1 - exp(-N (1 - C))) / (1 - C exp(-N (1 - C))); N / (1 + N)
/// at C 1.
double counterflow(double transfer_units, double ratio);

}  // namespace baywright::flow
