#pragma once

#include <optional>
#include <string>
#include <vector>

#include "flow/flow_model.hpp"

namespace baywright::flow {

/// Crankcase gas at a branch port, as a share of the flow behind it.
struct BranchShare {
  double value = 0;
  double least = 0, most = 0;  ///< about 95 %
  bool stated = false;         ///< else 1 %, between 0 and 3 % (common practice, no source)
};
/// Of the job: what it states over the rated flow, the gas in it; that within 25 % (common practice, no source). Every
/// branch port counts as if all of the gas came through it.
BranchShare branch_share(std::optional<MassFlow> crankcase_gas, MassFlow rated);

/// What happens to the gas of a branch port, of which the intake's own restriction holds nothing.
struct BranchLeg {
  std::string name;             ///< "branch port B1"
  double station_mm = 0;        ///< of its axis
  double share = 0;             ///< of the flow behind it
  double loss_coefficient = 0;  ///< from the branch's bore to the flow behind it, on that flow; negative: drawn in
  Pressure loss;                ///< of the gas' total pressure on that way; negative: the main flow gives it some
  Pressure suction;             ///< how far the gas' total pressure in the branch lies below outside
  Band band;                    ///< of the suction, in pascal
};

/// For each branch port of an intake in order of station. EXPECTS a `restriction` of the same duct and inputs; none
/// when it chokes.
std::vector<BranchLeg> branch_legs(const duct::Duct& duct, const Restriction& restriction, const FlowInputs& inputs);

}  // namespace baywright::flow
