#pragma once

#include <span>
#include <variant>

#include "duct/layout.hpp"
#include "flow/charge_loss.hpp"

namespace baywright::checks {

/// What is lost ahead of the compressor with the dirty filter, when it draws hardest: along the job's one intake.
/// NotAssessed where it has none or several, or where that chokes.
flow::InletLoss loss_ahead_of_compressor(std::span<const duct::Duct> ducts, const flow::FlowInputs& inputs);

/// The job's ducts on either side of the cooler, with their air. NotAssessed where it has several of one kind: which of
/// them the air takes is not known then.
std::variant<flow::ChargeWay, measure::NotAssessed> charge_way(std::span<const duct::Duct> ducts,
                                                               const flow::FlowInputs& inputs);

}  // namespace baywright::checks
