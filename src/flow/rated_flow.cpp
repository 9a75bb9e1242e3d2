#include "flow/flow_model.hpp"
#include "flow/unstated_air.hpp"

namespace baywright::flow {
namespace {

constexpr double kDryAir_J_kgK = 287.055;
constexpr double kTurnsPerFilling = 2;  // four-stroke

}  // namespace

std::optional<MassFlow> rated_flow(const FlowInputs& inputs) {
  if (inputs.rated) return inputs.rated;
  if (!inputs.engine || !inputs.ambient) return std::nullopt;
  const EngineFlow& engine = *inputs.engine;
  const Pressure manifold = inputs.ambient->pressure + engine.manifold_boost;
  const double density_kg_m3 = manifold.si() / (kDryAir_J_kgK * engine.manifold_temperature.si());
  const double swept_m3_s = engine.displacement_cm3 * 1e-6 * engine.speed_rpm / 60 / kTurnsPerFilling;
  return kilograms_per_second(engine.volumetric_efficiency * density_kg_m3 * swept_m3_s);
}

std::string rated_flow_key(const FlowInputs& inputs) {
  return inputs.engine && !inputs.rated ? "flow/ambient" : "flow/rated_kg_per_s";
}

std::vector<std::string> unstated_air(const FlowInputs& inputs) {
  std::vector<std::string> keys;
  if (!rated_flow(inputs)) keys.push_back(rated_flow_key(inputs));
  if (!inputs.ambient && (keys.empty() || keys[0] != "flow/ambient")) keys.emplace_back("flow/ambient");
  return keys;
}

}  // namespace baywright::flow
