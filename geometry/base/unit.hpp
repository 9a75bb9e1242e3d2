#pragma once

#include <string>
#include <string_view>

namespace baywright {

/// Unit in which a measured value or a limit is *stored*. Display units are chosen at the border.
enum class Unit {
  none,  ///< a bare count or yes/no (1/0)
  count,
  mm,
  degree,
  ratio,
  pascal,
  kelvin,  ///< temperature
  kelvin_difference,
  kg_per_s,
  m_per_s,
  millilitre,
  percent,
  kilogram,
};

/// What a job wants to see and type.
enum class LengthUnit { mm, inch };
enum class PressureUnit { kPa, inH2O };
enum class TemperatureUnit { celsius, fahrenheit };
struct DisplayUnits {
  LengthUnit length = LengthUnit::mm;
  PressureUnit pressure = PressureUnit::kPa;
  TemperatureUnit temperature = TemperatureUnit::celsius;
  bool operator==(const DisplayUnits&) const = default;
};

inline constexpr double kMillimetresPerInch = 25.4;
inline constexpr double kKilogramsPerPound = 0.45359237;  ///< exact, avoirdupois
/// Conventional inch of water (4 degC), NIST SP 811 appendix B (value from memory of the table; 249.089 in trade use).
inline constexpr double kPascalsPerInchWater = 249.08891;

/// Stored value -> number to show, and the unit's symbol to print behind it ("mm", "in", "kPa", "inH2O", "°").
double to_display(double stored, Unit unit, const DisplayUnits& units);
std::string_view symbol(Unit unit, const DisplayUnits& units);
/// "12.3 mm" with a fixed number of decimals that suits the unit; C locale; never "-0.0". `more_decimals` adds places
/// where two numbers would otherwise print alike. Unit::none: "yes" from 0.5 on, else "no".
std::string format(double stored, Unit unit, const DisplayUnits& units, int more_decimals = 0);
/// The number alone, same decimals.
std::string format_number(double stored, Unit unit, const DisplayUnits& units, int more_decimals = 0);
/// A length as texts state it: as `format`, but one too small for its decimals does not read as nothing: "0.0012 mm".
std::string length_text(double length_mm, const DisplayUnits& units);
/// Name used in files ("mm", "degree", "pascal"...).
std::string_view file_name(Unit unit);

}  // namespace baywright
