#include "flow/compressible.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "geometry/base/expects.hpp"

namespace baywright::flow {
namespace {

/// T0 / T at a Mach number, gamma = 1.4.
double temperature_ratio(double mach) { return 1 + 0.2 * mach * mach; }

/// Mass-flow function of air: M (1 + 0.2 M^2)^-3, rising from 0 to 0.5787 at M = 1, concave.
double mass_flow_function(double mach) {
  const double ratio = temperature_ratio(mach);
  return mach / (ratio * ratio * ratio);
}

/// Subsonic inverse by Newton from the left: the function is concave and never above M, so no step goes past the root.
std::optional<double> mach_of(double function) {
  if (!(function >= 0) || function > mass_flow_function(1)) return std::nullopt;
  constexpr int kMost = 60;  // next to Mach 1 each step halves the rest, elsewhere five or six reach the last bit
  constexpr double kNothing = 1e-16;
  double mach = function;
  for (int i = 0; i < kMost; ++i) {
    const double ratio = temperature_ratio(mach);
    const double slope = (1 - mach * mach) / (ratio * ratio * ratio * ratio);
    if (!(slope > 0)) break;
    const double step = (function - mass_flow_function(mach)) / slope;
    if (!(step > kNothing)) break;
    mach = std::min(mach + step, 1.0);
  }
  return mach;
}

/// Loss of total pressure per unit of K, (p0 / p) q.
Pressure loss_rate(Pressure total, const SectionState& state) {
  return (total / state.static_pressure) * state.dynamic_pressure;
}

}  // namespace

std::optional<SectionState> section_state(const Stream& stream, Pressure total, double bore_mm) {
  EXPECTS(bore_mm > 0 && stream.gas_constant_J_kgK > 0 && stream.total_temperature.si() > 0);
  if (!(total.si() > 0)) return std::nullopt;
  const double area = std::numbers::pi / 4 * std::pow(bore_mm / 1000, 2);
  const double speed = std::sqrt(stream.gas_constant_J_kgK * stream.total_temperature.si() / kHeatCapacityRatio);
  const std::optional<double> mach = mach_of(stream.mass_flow.si() * speed / (area * total.si()));
  if (!mach) return std::nullopt;
  SectionState s;
  s.mach = *mach;
  const double ratio = temperature_ratio(s.mach);
  s.static_pressure = pascals(total.si() / (ratio * ratio * ratio * std::sqrt(ratio)));
  s.density_kg_m3 = s.static_pressure.si() * ratio / (stream.gas_constant_J_kgK * stream.total_temperature.si());
  s.velocity_m_s = stream.mass_flow.si() / (s.density_kg_m3 * area);
  s.dynamic_pressure = pascals(0.5 * s.density_kg_m3 * s.velocity_m_s * s.velocity_m_s);
  return s;
}

std::optional<Pressure> total_behind(const Stream& stream, Pressure total, double bore_mm, double k) {
  constexpr double kSmallMach = 0.1;  // below it one midpoint step is within 0.1 % of the Fanno line
  constexpr int kSteps = 20;
  const auto start = section_state(stream, total, bore_mm);
  if (!start) return std::nullopt;
  const int steps = start->mach > kSmallMach ? kSteps : 1;
  const double dk = k / steps;
  for (int i = 0; i < steps; ++i) {
    const auto here = section_state(stream, total, bore_mm);
    if (!here) return std::nullopt;
    const Pressure halfway = total - 0.5 * dk * loss_rate(total, *here);
    const auto middle = section_state(stream, halfway, bore_mm);
    if (!middle) return std::nullopt;
    total = total - dk * loss_rate(halfway, *middle);
  }
  // The last step may lead to where the bore no longer passes the flow.
  if (!section_state(stream, total, bore_mm)) return std::nullopt;
  return total;
}

}  // namespace baywright::flow
