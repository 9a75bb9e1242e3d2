#include "flow/air.hpp"

#include <cmath>

#include "geometry/base/expects.hpp"

namespace baywright::flow {
namespace {

constexpr double kGasConstantDryAir = 287.055;  // J/(kg K), two-gas formula
constexpr double kGasConstantVapour = 461.495;  // J/(kg K)
// ISO 2533: at the sea, and the exponent of the layer below 11 km.
constexpr double kStandard_K = 288.15, kStandard_Pa = 101325, kStandardExponent = 5.25588;

}  // namespace

double saturation_pressure_Pa(Temperature t) {
  const double c = to_celsius(t);
  return 611.2 * std::exp(17.62 * c / (243.12 + c));
}

double density_kg_m3(const Ambient& ambient) {
  const double temperature_K = ambient.temperature.si();
  const double vapour = ambient.relative_humidity * saturation_pressure_Pa(ambient.temperature);
  EXPECTS(temperature_K > 0 && vapour >= 0 && ambient.pressure.si() > vapour);
  return (ambient.pressure.si() - vapour) / (kGasConstantDryAir * temperature_K) +
         vapour / (kGasConstantVapour * temperature_K);
}

double viscosity_Pa_s(Temperature t) {
  EXPECTS(t.si() > 0);
  return 1.458e-6 * std::pow(t.si(), 1.5) / (t.si() + 110.4);
}

Ambient standard_atmosphere(double geopotential_m) {
  EXPECTS(geopotential_m >= 0 && geopotential_m <= 11000);
  Ambient air;
  air.temperature = kelvins(kStandard_K - 0.0065 * geopotential_m);
  air.pressure = pascals(kStandard_Pa * std::pow(air.temperature.si() / kStandard_K, kStandardExponent));
  return air;
}

Temperature standard_temperature(Pressure pressure) {
  EXPECTS(pressure.si() > 0);
  return kelvins(kStandard_K * std::pow(pressure.si() / kStandard_Pa, 1 / kStandardExponent));
}

double geopotential_m(double geometric_m) {
  constexpr double kEarthRadius_m = 6356766;
  return kEarthRadius_m * geometric_m / (kEarthRadius_m + geometric_m);
}

}  // namespace baywright::flow
