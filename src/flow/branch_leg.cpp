#include "flow/branch_leg.hpp"

#include <algorithm>

#include "flow/compressible.hpp"
#include "flow/loss_coefficients.hpp"
#include "flow/march.hpp"
#include "geometry/base/expects.hpp"
#include "geometry/base/words.hpp"

namespace baywright::flow {
namespace {

// Common practice, no source.
constexpr double kAssumedShare = 0.01, kMostAssumedShare = 0.03;
constexpr double kStatedShareBand = 0.25;
constexpr double kLegBand = 0.20;  // of the dynamic pressure, whatever K is

}  // namespace

BranchShare branch_share(std::optional<MassFlow> crankcase_gas, MassFlow rated) {
  if (!crankcase_gas) return {kAssumedShare, 0, kMostAssumedShare, false};
  const double share = std::min(1.0, crankcase_gas->si() / rated.si());
  return {share, (1 - kStatedShareBand) * share, std::min(1.0, (1 + kStatedShareBand) * share), true};
}

std::vector<BranchLeg> branch_legs(const duct::Duct& duct, const Restriction& restriction, const FlowInputs& inputs) {
  EXPECTS(rated_flow(inputs) && inputs.ambient);
  std::vector<BranchLeg> legs;
  if (restriction.choked()) return legs;
  const BranchShare share = branch_share(inputs.crankcase_gas, *rated_flow(inputs));
  for (const duct::PlacedFitting& fitting : duct.layout.fittings) {
    const auto* port = std::get_if<duct::BranchPort>(&fitting.kind);
    if (!port) continue;
    BranchLeg leg;
    leg.name = named("branch port", fitting.id.value);
    leg.station_mm = fitting.station_from_mm;
    leg.share = share.value;
    const double bore = duct.layout.tube_at(leg.station_mm).bore_mm();
    const double area_ratio = std::min(1.0, port->bore_mm * port->bore_mm / (bore * bore));
    const Angle angle = port->angle.value_or(degrees(90));
    const auto k = [&](double q) { return joining_branch_loss(q, area_ratio, angle); };
    leg.loss_coefficient = k(share.value);
    const GaugeReading behind = gauge_at(duct, leg.station_mm, leg.name, restriction, inputs);
    const auto state = section_state(stream_of(inputs), inputs.ambient->pressure - behind.total_loss, bore);
    EXPECTS(state.has_value());  // the march passed here with less total pressure
    const double q_Pa = state->dynamic_pressure.si();
    leg.loss = pascals(leg.loss_coefficient * q_Pa);
    leg.suction = behind.total_loss - leg.loss;
    leg.band = behind.band;
    const auto [least, most] = std::minmax({k(share.least), k(share.value), k(share.most)});
    leg.band.add(expanded_share(share.stated ? "crankcase gas as stated, common practice, no source"
                                             : "crankcase gas assumed between 0 and 3 %",
                                (most - leg.loss_coefficient) * q_Pa, (leg.loss_coefficient - least) * q_Pa,
                                "crankcase gas"));
    leg.band.add(expanded_share("branch formula, common practice, no source", kLegBand * q_Pa, kLegBand * q_Pa, ""));
    legs.push_back(std::move(leg));
  }
  return legs;
}

}  // namespace baywright::flow
