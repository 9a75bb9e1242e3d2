#pragma once

#include <algorithm>
#include <array>
#include <cmath>

#include "flow/interpolation.hpp"

namespace baywright::test {

// Formulas the program does not compute with, transcribed from their sources (docs/flow.md): second opinions that rows
// of tests/reference/flow_checks.csv and laws of the tests hold the program's own against.

inline double half_sine(double angle_deg) { return std::sin(angle_deg * M_PI / 360); }

// Friction factors (Darcy).
inline double haaland(double reynolds, double roughness) {
  return std::pow(-1.8 * std::log10(std::pow(roughness / 3.7, 1.11) + 6.9 / reynolds), -2);
}
/// By Newton from Haaland's value.
inline double colebrook(double reynolds, double roughness) {
  double x = 1 / std::sqrt(haaland(reynolds, roughness));  // 1 / sqrt(f)
  for (int i = 0; i < 20; ++i) {
    const double inside = roughness / 3.7 + 2.51 * x / reynolds;
    const double value = x + 2 * std::log10(inside);
    const double slope = 1 + 2 * 2.51 / reynolds / (inside * std::log(10.0));
    x -= value / slope;
  }
  return 1 / (x * x);
}
inline double swamee_jain(double reynolds, double roughness) {
  return 0.25 * std::pow(std::log10(roughness / 3.7 + 5.74 / std::pow(reynolds, 0.9)), -2);
}
inline double blasius(double reynolds) { return 0.3164 * std::pow(reynolds, -0.25); }

/// Crane's fully rough friction factor, roughness 0.0018 in.
inline double crane_rough(double bore_m) { return 0.25 * std::pow(std::log10(0.0018 * 0.0254 / (3.7 * bore_m)), -2); }
/// Crane's bend of 90 degrees in units of the rough friction factor, over radius / bore.
inline double crane_bend_90(double radius_ratio) {
  constexpr std::array<double, 12> kRatio = {1, 1.5, 2, 3, 4, 6, 8, 10, 12, 14, 16, 20};
  constexpr std::array<double, 12> kTimes = {20, 14, 12, 12, 14, 17, 24, 30, 34, 38, 42, 50};
  return flow::linear(kRatio, kTimes, radius_ratio);
}
inline double crane_bend(double bore_m, double radius_m, double angle_deg) {
  const double f = crane_rough(bore_m), ratio = radius_m / bore_m, k = crane_bend_90(ratio) * f;
  return (angle_deg / 90 - 1) * (0.25 * M_PI * f * ratio + 0.5 * k) + k;
}

// Idelchik's bend: closed forms beside his tables.
inline double idelchik_radius_factor(double radius_ratio) {
  return 0.21 * std::pow(radius_ratio, radius_ratio < 1 ? -2.5 : -0.5);
}
inline double idelchik_angle_factor(double angle_deg) {
  return angle_deg <= 70 ? 0.9 * std::sin(angle_deg * M_PI / 180) : 0.7 + 0.35 * angle_deg / 90;
}

/// Ito 1960: bends of 45, 90 and 180 degrees, hydraulically smooth; the factor linear between.
inline double ito_bend(double radius_ratio, double angle_deg, double reynolds) {
  const std::array<double, 3> angles = {45, 90, 180};
  const std::array<double, 3> factors = {1 + 5.13 * std::pow(radius_ratio, -1.47),
                                         radius_ratio >= 9.85 ? 1 : 0.95 + 4.42 * std::pow(radius_ratio, -1.96),
                                         1 + 5.06 * std::pow(radius_ratio, -4.52)};
  return 0.00431 * flow::linear(angles, factors, angle_deg) * angle_deg * std::pow(reynolds, -0.17) *
         std::pow(radius_ratio, 0.84);
}

inline double rennels_mitre(double angle_deg) {
  return 0.42 * half_sine(angle_deg) + 2.56 * std::pow(half_sine(angle_deg), 3);
}
inline double rennels_rounded_entry(double radius_ratio) {
  const double lambda = 1 + 0.622 * std::pow(1 - 0.30 * std::sqrt(radius_ratio) - 0.70 * radius_ratio, 4);
  return 0.0696 * (1 - 0.569 * radius_ratio) * lambda * lambda + std::pow(lambda - 1, 2);
}
inline double swamee_rounded_entry(double radius_ratio) { return 0.5 / (1 + 36 * std::pow(radius_ratio, 1.2)); }
inline double rennels_reentrant_entry(double wall_ratio) {
  return 1.12 - 22 * wall_ratio + 216 * wall_ratio * wall_ratio + 80 * std::pow(wall_ratio, 3);
}
/// Crane's conical contraction, on the small end.
inline double crane_contraction(double bore_ratio, double angle_deg) {
  const double area = 1 - bore_ratio * bore_ratio;
  return angle_deg < 45 ? 0.8 * half_sine(angle_deg) * area : 0.5 * std::sqrt(half_sine(angle_deg)) * area;
}

// Branches, on the velocity of the combined leg; `share` of the flow in the branch.
/// Leaving at 45 degrees, large branch.
inline double crane_leaving_branch(double share, double area_ratio) {
  const double v = share / area_ratio;
  const double g = share <= 0.6 ? 1 - 0.6 * share : 0.6;
  return g * (1 + v * v - 2 * v * std::cos(M_PI / 4));
}

// Gas flow.
inline double fanno_pressure_ratio(double mach) { return std::sqrt(1.2 / (1 + 0.2 * mach * mach)) / mach; }
/// Mass flow of an isothermal gas pipe; `friction` Darcy.
inline double isothermal_flow(double density, double friction, double p1, double p2, double length, double bore) {
  const double area = M_PI / 4 * bore * bore;
  return area * std::sqrt(density * (p1 * p1 - p2 * p2) / (p1 * (friction * length / bore + 2 * std::log(p1 / p2))));
}

// Moist air.
/// CIPM-2007 (Picard et al. 2008), 400 ppm carbon dioxide, kg/m3.
inline double cipm_density(double t_C, double p_Pa, double humidity) {
  const double T = t_C + 273.15;
  const double saturation = std::exp(1.2378847e-5 * T * T - 1.9121316e-2 * T + 33.93711047 - 6.3431645e3 / T);
  const double enhancement = 1.00062 + 3.14e-8 * p_Pa + 5.6e-7 * t_C * t_C;
  const double x = humidity * enhancement * saturation / p_Pa;
  const double z = 1 -
                   p_Pa / T *
                       (1.58123e-6 - 2.9331e-8 * t_C + 1.1043e-10 * t_C * t_C + (5.707e-6 - 2.051e-8 * t_C) * x +
                        (1.9898e-4 - 2.376e-6 * t_C) * x * x) +
                   p_Pa * p_Pa / (T * T) * (1.83e-11 - 0.765e-8 * x * x);
  return 3.483740e-3 * p_Pa / (z * T) * (1 - 0.3780 * x);
}
/// OIML R 111-1 E.3; humidity 0..1.
inline double oiml_density(double t_C, double p_Pa, double humidity) {
  return (0.34848 * p_Pa / 100 - 0.009 * 100 * humidity * std::exp(0.061 * t_C)) / (273.15 + t_C);
}
/// By the mass of water for a mass of dry air.
inline double density_by_humidity_ratio(double t_C, double ratio, double p_Pa) {
  return (1 + ratio) * p_Pa / (287.042 * (t_C + 273.15) * (1 + 1.607858 * ratio));
}

// Charge air.
inline double compressed_K(double t_K, double pressure_ratio, double efficiency) {
  return t_K * (1 + (std::pow(pressure_ratio, 0.4 / 1.4) - 1) / efficiency);
}
inline double compressor_efficiency(double t1_C, double t2_C, double pressure_ratio, double gamma) {
  return (t1_C + 273.15) * (std::pow(pressure_ratio, (gamma - 1) / gamma) - 1) / (t2_C - t1_C);
}
/// The exact series of Mason.
inline double crossflow_unmixed_series(double ntu, double ratio) {
  double sum = 0, term_n = 1, term_c = 1, of_n = 0, of_c = 0;  // sums of x^j / j! up to k
  for (int k = 0; k < 60; ++k) {
    of_n += term_n;
    of_c += term_c;
    sum += (1 - std::exp(-ntu) * of_n) * (1 - std::exp(-ratio * ntu) * of_c);
    term_n *= ntu / (k + 1);
    term_c *= ratio * ntu / (k + 1);
  }
  return sum / (ratio * ntu);
}

}  // namespace baywright::test
