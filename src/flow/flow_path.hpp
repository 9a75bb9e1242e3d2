#pragma once

#include <optional>
#include <string>
#include <vector>

#include "duct/layout.hpp"
#include "geometry/base/quantity.hpp"

namespace baywright::flow {

/// How far a loss may lie from its stated value, as a share of it.
struct RelativeBand {
  std::string source;
  double low = 0;
  double high = 0;
  std::string group;  ///< losses of one formula share its error and add linearly
};

/// One element of the duct that loses total pressure, in order of flow.
struct LossElement {
  std::string name;
  double station_from_mm = 0, station_to_mm = 0;
  double bore_mm = 0;  ///< of the velocity that K refers to
  double k = 0;        ///< loss coefficient
  std::vector<RelativeBand> band;
  std::optional<double> bore_behind_mm = {};  ///< where it is another one: behind what widens
};

struct FlowPath {
  std::vector<LossElement> elements;
  std::vector<std::string> notes;
  std::vector<std::string> missing;  ///< inputs without which an element has no loss, as the job names them
};

/// What friction needs to know. The Reynolds number 4 m / (pi D mu) does not depend on density.
struct FrictionInputs {
  MassFlow mass_flow;
  double viscosity_Pa_s = 0;
  double roughness_mm = 0;
  std::optional<MassFlow> crankcase_gas = {};  ///< through each branch port; absent: assumed (flow/branch_leg.hpp)
};
double reynolds(const FrictionInputs& inputs, double bore_mm);

/// Elements of a duct from its upstream end to its downstream end: its entry where it has one, straights between
/// tangent points, bends, cones, corrugated hose, sensor insert, couplers, branch ports, flow straighteners, steps in
/// bore, those to the ports at both ends included.
FlowPath flow_path(const duct::Duct& duct, const FrictionInputs& inputs);

}  // namespace baywright::flow
