#pragma once

#include <string>
#include <variant>
#include <vector>

#include "duct/layout.hpp"
#include "flow/charge.hpp"
#include "flow/flow_model.hpp"

namespace baywright::flow {

/// The ducts on either side of the cooler, and the air in them.
struct ChargeWay {
  const duct::Duct* hot = nullptr;   ///< compressor to cooler; null: the job has none
  const duct::Duct* cold = nullptr;  ///< cooler to engine; likewise
  ChargeTemperatureOrNot hot_air, cold_air;
};

/// Total pressure lost from the compressor outlet to the end of the cold duct, at the rating.
struct ChargeLoss {
  Restriction way;                   ///< what is known, in order of flow; of a way with gaps the loss is at least that
  std::vector<std::string> lacking;  ///< what is not in it and why, one line each; none: it is the whole way
  std::vector<std::string> missing;  ///< the inputs for that, as the job names them
};

/// Ducts as `restriction` takes them, from total pressure ambient + boost, each at its own air's total temperature,
/// whose band adds to theirs in proportion. The cooler's core by its curve, at the mean density of the air ahead and
/// behind; the loss at either of the two densities is its band, which what is not known of the temperatures lies far
/// within. Without a curve the job's stated loss stands for hot duct and cooler together, within 20 % (common practice,
/// no source). What is missing leaves a gap, of a duct the one fitting whose loss nobody stated; the way goes on behind
/// it, and what is known is a lower bound.
ChargeLoss charge_loss(const ChargeWay& way, const FlowInputs& inputs);

/// Total pressure behind the cooler, absolute, by the same steps. NotAssessed where something ahead of there is
/// missing, or where the flow does not come so far.
std::variant<Pressure, measure::NotAssessed> pressure_behind_cooler(const ChargeWay& way, const FlowInputs& inputs);

}  // namespace baywright::flow
