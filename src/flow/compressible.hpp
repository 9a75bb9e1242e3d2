#pragma once

#include <optional>

#include "geometry/base/quantity.hpp"

namespace baywright::flow {

inline constexpr double kHeatCapacityRatio = 1.4;  ///< of air at intake temperatures

/// A steady stream of air through a duct without heat exchange.
struct Stream {
  MassFlow mass_flow;
  double gas_constant_J_kgK = 287.055;
  Temperature total_temperature;
};

/// State at one section.
struct SectionState {
  double mach = 0;
  Pressure static_pressure;
  double density_kg_m3 = 0;
  double velocity_m_s = 0;
  Pressure dynamic_pressure;  ///< rho v^2 / 2
};

/// State of the stream where the total pressure is `total` and the bore `bore_mm`: subsonic root of
/// m sqrt(R T0 / gamma) / (A p0) = M (1 + 0.2 M^2)^-3. Nothing when the bore cannot pass the flow (it chokes).
std::optional<SectionState> section_state(const Stream& stream, Pressure total, double bore_mm);

/// Total pressure behind an element of loss coefficient `k` (>= 0): dp0 = (p0 / p) q dK by midpoint steps, one up to
/// Mach 0.1 and 20 above, so that a long element follows the density along it. Within 0.1 % of the Fanno line up to
/// Mach 0.3 and K 4. Nothing when it chokes; else the bore passes the flow at the total pressure returned.
std::optional<Pressure> total_behind(const Stream& stream, Pressure total, double bore_mm, double k);

}  // namespace baywright::flow
