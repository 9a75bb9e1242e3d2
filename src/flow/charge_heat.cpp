#include "flow/charge_heat.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "flow/duct_heat.hpp"
#include "flow/march.hpp"
#include "geometry/base/words.hpp"

namespace baywright::flow {

using measure::NotAssessed;

std::variant<ChargeHeat, NotAssessed> charge_heat(const ChargeWay& way, const FlowInputs& inputs) {
  if (const auto* unknown = std::get_if<NotAssessed>(&way.hot_air)) return *unknown;
  if (const auto* unknown = std::get_if<NotAssessed>(&way.cold_air)) return *unknown;
  if (!rated_flow(inputs)) return NotAssessed{"the rated flow is not stated", {rated_flow_key(inputs)}};
  const auto effect = cooler_effect(inputs);
  if (const auto* unknown = std::get_if<NotAssessed>(&effect)) return *unknown;
  ChargeHeat out{std::get<ChargeTemperature>(way.hot_air),
                 std::get<ChargeTemperature>(way.cold_air),
                 std::get<CoolerEffect>(effect),
                 0,
                 {}};
  const double capacity_W_K = rated_flow(inputs)->si() * kHeatCapacity_J_kgK;
  out.duty_W = capacity_W_K * (out.hot.value.si() - out.cold.value.si());
  // Hotter air gives the same share of more: duty = capacity * effectiveness * (hot - cooling air).
  for (Contribution c : out.hot.band.contributions()) {
    c.low *= capacity_W_K * out.effect.value;
    c.high *= capacity_W_K * out.effect.value;
    out.duty_band.add(std::move(c));
  }
  const double over_W = capacity_W_K * std::abs(out.hot.value.si() - inputs.charge->cooler->cooling_air->si());
  out.duty_band.add(expanded_share(out.effect.source, out.effect.low * over_W, out.effect.high * over_W, ""));
  return out;
}

std::variant<DensityRecovery, NotAssessed> density_recovery(const ChargeWay& way, const ChargeLoss& loss,
                                                            const FlowInputs& inputs) {
  const auto heat = charge_heat(way, inputs);
  if (const auto* unknown = std::get_if<NotAssessed>(&heat)) return *unknown;
  if (!loss.lacking.empty()) return NotAssessed{joined(loss.lacking), loss.missing};
  if (loss.way.choked()) return NotAssessed{"the rated flow does not pass", {"flow"}};
  const auto start = charge_pressure(inputs);
  if (const auto* unknown = std::get_if<NotAssessed>(&start)) return *unknown;
  const auto& known = std::get<ChargeHeat>(heat);
  const double hot_K = known.hot.value.si(), cold_K = known.cold.value.si();
  const double p2_Pa = std::get<Pressure>(start).si(), left = 1 - loss.way.total.si() / p2_Pa;
  DensityRecovery out;
  out.by_cooling = hot_K / cold_K;
  out.value = out.by_cooling * left;
  out.band.add(expanded_share("loss of the charge air", out.by_cooling * loss.way.band.high() / p2_Pa,
                              out.by_cooling * loss.way.band.low() / p2_Pa, ""));
  const double cooling_K = inputs.charge->cooler->cooling_air->si();
  const auto recovered = [&](double at_hot_K, double effect) {
    return left * at_hot_K / (at_hot_K - effect * (at_hot_K - cooling_K));
  };
  // Both temperatures move together: a hotter compressor is a hotter manifold as well.
  for (const Contribution& c : known.hot.band.contributions()) {
    const double low = recovered(hot_K - c.low, known.effect.value),
                 high = recovered(hot_K + c.high, known.effect.value);
    out.band.add(expanded_share(c.source, std::max(0.0, out.value - low), std::max(0.0, high - out.value), ""));
  }
  const double less = recovered(hot_K, known.effect.value - known.effect.low);
  const double more = recovered(hot_K, std::min(1.0, known.effect.value + known.effect.high));
  out.band.add(
      expanded_share(known.effect.source, std::max(0.0, out.value - less), std::max(0.0, more - out.value), ""));
  return out;
}

}  // namespace baywright::flow
