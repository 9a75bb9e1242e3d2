#include "flow/compressible.hpp"

#include <cmath>
#include <numbers>

#include "geometry/base/expects.hpp"

namespace baywright::flow {
namespace {

/// Mass-flow function of air, gamma = 1.4: M (1 + 0.2 M^2)^-3, rising from 0 to 0.5787 at M = 1.
double mass_flow_function(double mach) { return mach * std::pow(1 + 0.2 * mach * mach, -3); }

/// Subsonic inverse by bisection: 60 halvings reach the last bit.
std::optional<double> mach_of(double function) {
  if (!(function >= 0) || function > mass_flow_function(1)) return std::nullopt;
  double lo = 0;
  double hi = 1;
  for (int i = 0; i < 60; ++i) {
    const double mid = 0.5 * (lo + hi);
    (mass_flow_function(mid) < function ? lo : hi) = mid;
  }
  return 0.5 * (lo + hi);
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
  const double ratio = 1 + 0.2 * s.mach * s.mach;  // T0 / T
  s.static_pressure = pascals(total.si() * std::pow(ratio, -3.5));
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
  return total;
}

}  // namespace baywright::flow
