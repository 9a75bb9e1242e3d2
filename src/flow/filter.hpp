#pragma once

#include <vector>

#include "geometry/base/quantity.hpp"
#include "geometry/base/result.hpp"

namespace baywright::flow {

/// Whether a pressure means total pressure, or the static one at the wall (which moving air lowers).
enum class PressureKind { total, static_ };

/// Loss of the air cleaner against volume flow, as its supplier gives it.
struct FilterCurve {
  struct Point {
    VolumeFlow flow;
    Pressure loss;
    bool operator==(const Point&) const = default;
  };
  std::vector<Point> points;  ///< at least 3, increasing flow
  /// static_: the restriction of ISO 5011, measured on a wall tap behind the outlet: loss + dynamic pressure there.
  PressureKind kind = PressureKind::total;
  double reference_density_kg_m3 = 1.2;
  double outlet_bore_mm = 0;  ///< needed when kind is static_
  bool operator==(const FilterCurve&) const = default;
};

/// Fit dp = a Q + b Q^2 with a, b >= 0 of total-pressure loss at the reference density (Forchheimer form, common
/// practice, no source for this product class). The squares of the *relative* errors are minimised.
struct FilterFit {
  double a = 0;  ///< Pa s/m3, grows with viscosity
  double b = 0;  ///< Pa s2/m6, grows with density
  double worst_relative_error = 0;
  VolumeFlow lowest, highest;  ///< range of flows the curve covers
};

/// Fails (bad_value) with fewer than 3 points, flows or losses that are not positive numbers or do not increase, no
/// positive reference density, a static curve without outlet bore or with losses below the dynamic pressure there.
Result<FilterFit> fit(const FilterCurve& curve);

/// Loss at actual volume flow, density and viscosity: a (mu / mu0) Q + b (rho / rho0) Q^2, Pa. mu0 is the viscosity at
/// 20 degC, the temperature ISO 5011 corrects to (from memory).
double filter_loss_Pa(const FilterFit& fit, double reference_density_kg_m3, VolumeFlow flow, double density_kg_m3,
                      double viscosity_Pa_s);

}  // namespace baywright::flow
