#include "checks/charge_air.hpp"

#include <string>

namespace baywright::checks {

using measure::NotAssessed;

flow::InletLoss loss_ahead_of_compressor(std::span<const duct::Duct> ducts, const flow::FlowInputs& inputs) {
  const duct::Duct* intake = nullptr;
  for (const duct::Duct& duct : ducts) {
    if (duct.spec.service != duct::Service::intake) continue;
    if (intake) return NotAssessed{"the job has several intakes", {}};
    intake = &duct;
  }
  if (!intake) return NotAssessed{"the job has no intake", {}};
  const auto dirty = flow::restriction(*intake, inputs, flow::FilterState::dirty, ducts);
  if (const auto* refused = std::get_if<NotAssessed>(&dirty)) return *refused;
  const auto& known = std::get<flow::Restriction>(dirty);
  if (known.choked()) return NotAssessed{"the intake chokes", {}};
  return known.total;
}

std::variant<flow::ChargeWay, NotAssessed> charge_way(std::span<const duct::Duct> ducts,
                                                      const flow::FlowInputs& inputs) {
  flow::ChargeWay way;
  for (const duct::Duct& duct : ducts) {
    const bool hot = duct.spec.service == duct::Service::charge_hot;
    if (!hot && duct.spec.service != duct::Service::charge_cold) continue;
    const duct::Duct*& place = hot ? way.hot : way.cold;
    if (place) {
      const std::string kind(duct::name(duct.spec.service));
      return NotAssessed{"the job has several ducts for " + kind + " air, and which of them the air takes is not known",
                         {"ducts: one " + kind}};
    }
    place = &duct;
  }
  way.hot_air = flow::compressor_outlet(inputs, loss_ahead_of_compressor(ducts, inputs));
  way.cold_air = flow::behind_cooler(inputs, way.hot_air);
  return way;
}

}  // namespace baywright::checks
