#include "geometry/base/unit.hpp"

#include <charconv>
#include <cmath>

namespace baywright {

double to_display(double stored, Unit unit, const DisplayUnits& units) {
  switch (unit) {
    case Unit::mm:
      return units.length == LengthUnit::inch ? stored / kMillimetresPerInch : stored;
    case Unit::pascal:
      return units.pressure == PressureUnit::inH2O ? stored / kPascalsPerInchWater : stored / 1000.0;
    case Unit::kelvin:
      return units.temperature == TemperatureUnit::fahrenheit ? (stored - 273.15) * 1.8 + 32.0 : stored - 273.15;
    case Unit::kelvin_difference:
      return units.temperature == TemperatureUnit::fahrenheit ? stored * 1.8 : stored;
    case Unit::kilogram:
      return units.length == LengthUnit::inch ? stored / kKilogramsPerPound : stored;
    case Unit::none:
    case Unit::count:
    case Unit::degree:
    case Unit::ratio:
    case Unit::kg_per_s:
    case Unit::m_per_s:
    case Unit::millilitre:
    case Unit::percent:
      break;
  }
  return stored;
}

std::string_view symbol(Unit unit, const DisplayUnits& units) {
  switch (unit) {
    case Unit::none:
    case Unit::count:
      return "";
    case Unit::mm:
      return units.length == LengthUnit::inch ? "in" : "mm";
    case Unit::degree:
      return "°";
    case Unit::ratio:
      return "";
    case Unit::pascal:
      return units.pressure == PressureUnit::inH2O ? "inH2O" : "kPa";
    case Unit::kelvin:
      return units.temperature == TemperatureUnit::fahrenheit ? "°F" : "°C";
    case Unit::kelvin_difference:
      return units.temperature == TemperatureUnit::fahrenheit ? "°F" : "K";
    case Unit::kg_per_s:
      return "kg/s";
    case Unit::m_per_s:
      return "m/s";
    case Unit::millilitre:
      return "ml";
    case Unit::percent:
      return "%";
    case Unit::kilogram:
      return units.length == LengthUnit::inch ? "lb" : "kg";
  }
  return "";
}

namespace {

int decimals(Unit unit, const DisplayUnits& units) {
  switch (unit) {
    case Unit::none:
    case Unit::count:
      return 0;
    case Unit::mm:
      return units.length == LengthUnit::inch ? 3 : 1;
    case Unit::degree:
    case Unit::kelvin:
    case Unit::kelvin_difference:
    case Unit::m_per_s:
    case Unit::millilitre:
      return 1;
    case Unit::ratio:
    case Unit::percent:
      return 2;
    case Unit::pascal:
    case Unit::kilogram:
      return 2;
    case Unit::kg_per_s:
      return 4;
  }
  return 3;
}

}  // namespace

std::string format_number(double stored, Unit unit, const DisplayUnits& units, int more_decimals) {
  const int places = decimals(unit, units) + more_decimals;
  double shown = to_display(stored, unit, units);
  // A value that rounds to zero must not print as "-0.0".
  if (std::abs(shown) < 0.5 * std::pow(10.0, -places)) shown = 0;
  // to_chars, not printf: a window toolkit may have set a locale with a decimal comma. Room for the longest double.
  char text[400];
  const auto end = std::to_chars(text, text + sizeof text, shown, std::chars_format::fixed, places);
  return std::string(text, end.ptr);
}

std::string format(double stored, Unit unit, const DisplayUnits& units, int more_decimals) {
  if (unit == Unit::none) return stored >= 0.5 ? "yes" : "no";
  std::string text = format_number(stored, unit, units, more_decimals);
  const std::string_view mark = symbol(unit, units);
  if (mark.empty()) return text;
  if (unit != Unit::degree) text += ' ';
  text += mark;
  return text;
}

std::string length_text(double length_mm, const DisplayUnits& units) {
  const double shown = to_display(length_mm, Unit::mm, units);
  if (shown == 0 || std::abs(shown) >= 0.5 * std::pow(10.0, -decimals(Unit::mm, units))) {
    return format(length_mm, Unit::mm, units);
  }
  char text[64];
  const auto end = std::to_chars(text, text + sizeof text, shown, std::chars_format::general, 2);
  return std::string(text, end.ptr).append(" ").append(symbol(Unit::mm, units));
}

std::string_view file_name(Unit unit) {
  switch (unit) {
    case Unit::none:
      return "none";
    case Unit::count:
      return "count";
    case Unit::mm:
      return "mm";
    case Unit::degree:
      return "deg";
    case Unit::ratio:
      return "ratio";
    case Unit::pascal:
      return "Pa";
    case Unit::kelvin:
      return "K";
    case Unit::kelvin_difference:
      return "K_difference";
    case Unit::kg_per_s:
      return "kg_per_s";
    case Unit::m_per_s:
      return "m_per_s";
    case Unit::millilitre:
      return "ml";
    case Unit::percent:
      return "percent";
    case Unit::kilogram:
      return "kg";
  }
  return "none";
}

}  // namespace baywright
