#pragma once

#include <compare>
#include <numbers>

namespace baywright {

/// A number with a physical dimension, stored in SI. There is no implicit way in or out: values enter by a
/// named factory (`degrees(30)`) and leave by a named reader (`to_degrees(a)`), so that degrees cannot reach
/// `std::sin` and a pressure cannot be added to an angle. Lengths are the exception: they are plain `double`
/// with the suffix `_mm`, because vectors of a typed length do not work with Eigen.
template <class Tag>
class Quantity {
 public:
  constexpr Quantity() = default;
  static constexpr Quantity from_si(double value) { return Quantity(value); }
  constexpr double si() const { return si_; }

  friend constexpr Quantity operator+(Quantity a, Quantity b) { return Quantity(a.si_ + b.si_); }
  friend constexpr Quantity operator-(Quantity a, Quantity b) { return Quantity(a.si_ - b.si_); }
  friend constexpr Quantity operator-(Quantity a) { return Quantity(-a.si_); }
  friend constexpr Quantity operator*(double k, Quantity a) { return Quantity(k * a.si_); }
  friend constexpr double operator/(Quantity a, Quantity b) { return a.si_ / b.si_; }
  friend constexpr auto operator<=>(Quantity, Quantity) = default;

 private:
  explicit constexpr Quantity(double value) : si_(value) {}
  double si_ = 0;
};

/// Plane angle, stored in radians.
using Angle = Quantity<struct AngleTag>;
constexpr Angle radians(double r) { return Angle::from_si(r); }
constexpr Angle degrees(double d) { return Angle::from_si(d * std::numbers::pi / 180.0); }
constexpr double to_degrees(Angle a) { return a.si() * 180.0 / std::numbers::pi; }

/// Pressure or pressure difference, stored in pascal.
using Pressure = Quantity<struct PressureTag>;
constexpr Pressure pascals(double p) { return Pressure::from_si(p); }
constexpr Pressure kilopascals(double p) { return Pressure::from_si(1000.0 * p); }
constexpr double to_kilopascals(Pressure p) { return p.si() / 1000.0; }

/// Mass flow, stored in kilogram per second.
using MassFlow = Quantity<struct MassFlowTag>;
constexpr MassFlow kilograms_per_second(double m) { return MassFlow::from_si(m); }

/// Volume flow, stored in cubic metre per second.
using VolumeFlow = Quantity<struct VolumeFlowTag>;
constexpr VolumeFlow cubic_metres_per_second(double v) { return VolumeFlow::from_si(v); }

/// Thermodynamic temperature, stored in kelvin. A temperature *difference* is a `double` with suffix `_K`.
using Temperature = Quantity<struct TemperatureTag>;
constexpr Temperature kelvins(double t) { return Temperature::from_si(t); }
constexpr Temperature celsius(double t) { return Temperature::from_si(t + 273.15); }
constexpr double to_celsius(Temperature t) { return t.si() - 273.15; }

}  // namespace baywright
