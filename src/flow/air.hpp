#pragma once

#include "geometry/base/quantity.hpp"

namespace baywright::flow {

// Outside air that is accepted: beyond any place where engines work (common practice, no source). The job's reader and
// the estimate hold to the same figures, ends included.
inline constexpr double kLowestAmbient_kPa = 20;
inline constexpr double kHighestAmbient_kPa = 120;
inline constexpr double kColdestAmbient_C = -80;
inline constexpr double kHottestAmbient_C = 80;

/// Outside air at the place of work.
struct Ambient {
  Pressure pressure;
  Temperature temperature;
  double relative_humidity = 0;  ///< 0..1
  bool operator==(const Ambient&) const = default;
};

/// Pressure of water vapour over water at saturation, Pa (Magnus form, 611.2 exp(17.62 t / (243.12 + t)), t in degC).
double saturation_pressure_Pa(Temperature t);
/// Density of moist air, kg/m3: dry air and vapour as two ideal gases, (p - e) / (287.055 T) + e / (461.495 T).
/// Within 0.1 % of the CIPM-2007 formula between 10 and 40 degC. EXPECTS a pressure above that of the vapour.
double density_kg_m3(const Ambient& ambient);
/// Dynamic viscosity of air, Pa s: Sutherland's formula with the constants of the US Standard Atmosphere 1976,
/// 1.458e-6 T^1.5 / (T + 110.4).
double viscosity_Pa_s(Temperature t);
/// ISO 2533 atmosphere, dry, at a geopotential height of 0..11 km. EXPECTS that range.
Ambient standard_atmosphere(double geopotential_m);
/// Temperature of the standard atmosphere where it has this pressure: 288.15 (p / 101325)^(1 / 5.25588) K, below the
/// sea too. EXPECTS a pressure above 0.
Temperature standard_temperature(Pressure pressure);
/// Geopotential height of a geometric one (what maps and satellite receivers show): r Z / (r + Z), r = 6 356 766 m.
double geopotential_m(double geometric_m);

}  // namespace baywright::flow
