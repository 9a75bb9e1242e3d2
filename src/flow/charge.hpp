#pragma once

#include <optional>
#include <string>
#include <variant>

#include "flow/compressible.hpp"
#include "flow/flow_model.hpp"
#include "geometry/base/band.hpp"
#include "measure/measured.hpp"

namespace baywright::flow {

/// Temperature of the charge air at one place.
struct ChargeTemperature {
  Temperature value;
  Band band;  ///< in kelvin
  std::string note;
};
using ChargeTemperatureOrNot = std::variant<ChargeTemperature, measure::NotAssessed>;

/// What is lost ahead of the compressor, or why nobody knows.
using InletLoss = std::variant<Pressure, measure::NotAssessed>;

/// Total temperature behind the compressor: as stated, else T1 (1 + (PR^0.286 - 1) / eta) with
/// PR = (ambient + boost) / (ambient - inlet loss). The band holds the efficiency, read off a compressor map within
/// 0.03 (common practice, no source), and the constant heat capacity of that exponent, 2 % of the rise (at 450 K the
/// exponent of dry air is 0.282; computed). A stated temperature is taken at its word. NotAssessed names every missing
/// input.
ChargeTemperatureOrNot compressor_outlet(const FlowInputs& inputs, const InletLoss& inlet_loss);

/// Behind the cooler: T2 - effectiveness (T2 - cooling air). The band holds that of T2 and 0.03 of the effectiveness
/// (common practice, no source). NotAssessed names every missing input, those of T2 too.
ChargeTemperatureOrNot behind_cooler(const FlowInputs& inputs, const ChargeTemperatureOrNot& compressor_outlet);

/// Force that drives the two tubes of a hose apart, N: p pi D^2 / 4 with the bore D of the hose.
double pressure_thrust_N(Pressure gauge, double hose_bore_mm);

/// Total pressure (absolute) at the compressor outlet, at the rating. Behind the cooler: flow/charge_loss.hpp.
std::variant<Pressure, measure::NotAssessed> charge_pressure(const FlowInputs& inputs);

}  // namespace baywright::flow
