#pragma once

#include <variant>

#include "flow/charge_loss.hpp"
#include "flow/cooler_effect.hpp"

namespace baywright::flow {

/// What the charge cooler does, at the rating.
struct ChargeHeat {
  ChargeTemperature hot, cold;  ///< behind the compressor; behind the cooler, in the manifold as well
  CoolerEffect effect;
  double duty_W = 0;  ///< heat taken out: rated flow times 1006 J/(kg K) times the fall of temperature
  Band duty_band;     ///< in watt
};
/// NotAssessed names every missing input.
std::variant<ChargeHeat, measure::NotAssessed> charge_heat(const ChargeWay& way, const FlowInputs& inputs);

/// How much denser the air is at the end of the cold duct than behind the compressor: (T2 / T3) (p3 / p2), total
/// states.
struct DensityRecovery {
  double value = 0;
  double by_cooling = 0;  ///< T2 / T3: what it would be if nothing were lost on the way
  Band band;              ///< of the value
};
/// NotAssessed where the temperatures are not known, or not all of the loss is.
std::variant<DensityRecovery, measure::NotAssessed> density_recovery(const ChargeWay& way, const ChargeLoss& loss,
                                                                     const FlowInputs& inputs);

/// One kilowatt is 56.869 BTU a minute (NIST SP 811).
inline constexpr double kWattsPerBtuMinute = 1055.05585262 / 60;

}  // namespace baywright::flow
