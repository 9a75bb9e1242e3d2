#include "job/unit_text.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "flow/air.hpp"
#include "geometry/base/unit.hpp"
#include "job/unit_meant.hpp"

namespace baywright::job {
namespace {

struct UnitRow {
  Dimension dimension;
  std::string_view symbol;
  double factor;      ///< file units per unit
  double offset = 0;  ///< added to the amount before the factor is applied
};

constexpr double kKilopascalsPerPsi = 6.894757293168;        // NIST SP 811, appendix B (lbf/in2)
constexpr double kCubicMetresPerCubicFoot = 0.028316846592;  // exact: (0.3048 m)^3
constexpr double kKilopascalsPerInchMercury = 3.386389;      // conventional, NIST SP 811, appendix B
constexpr double kPascalsPerMillimetreWater = 9.80665;       // conventional, NIST SP 811, appendix B
constexpr double kCelsiusZero = 273.15;

constexpr std::array kUnits{
    UnitRow{Dimension::length, "mm", 1},
    UnitRow{Dimension::length, "cm", 10},
    UnitRow{Dimension::length, "m", 1000},
    UnitRow{Dimension::length, "in", kMillimetresPerInch},
    UnitRow{Dimension::length, "\"", kMillimetresPerInch},
    UnitRow{Dimension::length, "inch", kMillimetresPerInch},
    UnitRow{Dimension::length, "ft", 12 * kMillimetresPerInch},
    UnitRow{Dimension::angle, "deg", 1},
    UnitRow{Dimension::angle, "\xC2\xB0", 1},
    UnitRow{Dimension::angle, "rad", 57.295779513082320877},
    UnitRow{Dimension::pressure, "kPa", 1},
    UnitRow{Dimension::pressure, "Pa", 0.001},
    UnitRow{Dimension::pressure, "hPa", 0.1},
    UnitRow{Dimension::pressure, "mbar", 0.1},
    UnitRow{Dimension::pressure, "bar", 100},
    UnitRow{Dimension::pressure, "psi", kKilopascalsPerPsi},
    UnitRow{Dimension::pressure, "inH2O", kPascalsPerInchWater / 1000},
    UnitRow{Dimension::pressure, "mmH2O", kPascalsPerMillimetreWater / 1000},
    UnitRow{Dimension::pressure, "inHg", kKilopascalsPerInchMercury},
    UnitRow{Dimension::temperature, "degC", 1},
    UnitRow{Dimension::temperature,
            "\xC2\xB0"
            "C",
            1},
    UnitRow{Dimension::temperature, "degF", 5.0 / 9.0, -32},
    UnitRow{Dimension::temperature,
            "\xC2\xB0"
            "F",
            5.0 / 9.0, -32},
    UnitRow{Dimension::temperature, "K", 1, -kCelsiusZero},
    UnitRow{Dimension::temperature_change, "K", 1},
    UnitRow{Dimension::temperature_change, "degF", 5.0 / 9.0},
    UnitRow{Dimension::mass, "kg", 1},
    UnitRow{Dimension::mass, "g", 0.001},
    UnitRow{Dimension::mass, "lb", kKilogramsPerPound},
    UnitRow{Dimension::mass_flow, "kg/s", 1},
    UnitRow{Dimension::mass_flow, "kg/h", 1 / 3600.0},
    UnitRow{Dimension::mass_flow, "g/s", 0.001},
    UnitRow{Dimension::mass_flow, "kg/min", 1 / 60.0},
    UnitRow{Dimension::mass_flow, "lb/min", kKilogramsPerPound / 60},
    UnitRow{Dimension::mass_flow, "lb/h", kKilogramsPerPound / 3600},
    UnitRow{Dimension::volume_flow, "m3/s", 1},
    UnitRow{Dimension::volume_flow, "m3/h", 1 / 3600.0},
    UnitRow{Dimension::volume_flow, "m3/min", 1 / 60.0},
    UnitRow{Dimension::volume_flow, "l/s", 0.001},
    UnitRow{Dimension::volume_flow, "CFM", kCubicMetresPerCubicFoot / 60},
    UnitRow{Dimension::volume_flow, "cfm", kCubicMetresPerCubicFoot / 60},
    UnitRow{Dimension::volume_flow, "ft3/min", kCubicMetresPerCubicFoot / 60},
    UnitRow{Dimension::density, "kg/m3", 1},
    UnitRow{Dimension::density, "lb/ft3", kKilogramsPerPound / kCubicMetresPerCubicFoot},
    UnitRow{Dimension::speed, "m/s", 1},
};

double round_to_15_digits(double value) {
  char text[40];
  std::snprintf(text, sizeof text, "%.15g", value);
  return std::strtod(text, nullptr);
}

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(' ');
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(' ') - first + 1);
}

/// Takes a number off the front of `text`.
std::optional<double> take_number(std::string_view& text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || !std::isfinite(value)) return std::nullopt;
  text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  return value;
}

/// Takes "/ 4" off the front and divides; a denominator must be a whole number above 0.
std::optional<double> take_divisor(std::string_view& text) {
  text.remove_prefix(1);
  const auto below = take_number(text);
  if (!below || *below <= 0 || *below != std::floor(*below)) return std::nullopt;
  return below;
}

/// "3", "3/4", "1 1/2" or "1-1/2" off the front of `text`.
std::optional<double> take_amount(std::string_view& text) {
  auto amount = take_number(text);
  if (!amount) return std::nullopt;
  if (text.starts_with('/')) {
    const auto below = take_divisor(text);
    return below ? std::optional(*amount / *below) : std::nullopt;
  }
  std::string_view rest = text;
  const bool dashed = rest.starts_with('-');  // "3-1/2", as drawings write it
  if (!dashed && !rest.starts_with(' ')) return amount;
  rest = dashed ? rest.substr(1) : trimmed(rest);
  if (dashed && (rest.empty() || rest.front() < '0' || rest.front() > '9')) return std::nullopt;
  const auto above = take_number(rest);
  if (!above) return amount;  // a unit follows
  if (!rest.starts_with('/') || *amount != std::floor(*amount) || *above < 0) return std::nullopt;
  const auto below = take_divisor(rest);
  if (!below) return std::nullopt;
  text = rest;
  return *amount < 0 ? *amount - *above / *below : *amount + *above / *below;
}

std::optional<double> parse_plain(std::string_view text, Dimension dimension) {
  std::string_view rest = trimmed(text);
  const auto amount = take_amount(rest);
  if (!amount) return std::nullopt;
  return in_file_unit(*amount, trimmed(rest), dimension);
}

/// "1.2 kg/m3", or of dry air "20 degC and 101.325 kPa" in either order.
std::optional<double> parse_density_kg_m3(std::string_view text) {
  if (const auto stated = parse_plain(text, Dimension::density)) return stated > 0 ? stated : std::nullopt;
  constexpr std::string_view kAnd = " and ";
  const auto split = text.find(kAnd);
  if (split == std::string_view::npos) return std::nullopt;
  const std::string_view one = text.substr(0, split), other = text.substr(split + kAnd.size());
  auto temperature = parse_plain(one, Dimension::temperature);
  auto pressure = parse_plain(other, Dimension::pressure);
  if (!temperature || !pressure) {
    temperature = parse_plain(other, Dimension::temperature);
    pressure = parse_plain(one, Dimension::pressure);
  }
  if (!temperature || !pressure) return std::nullopt;
  const bool on_earth = *pressure >= flow::kLowestAmbient_kPa && *pressure <= flow::kHighestAmbient_kPa &&
                        *temperature >= flow::kColdestAmbient_C && *temperature <= flow::kHottestAmbient_C;
  if (!on_earth) return std::nullopt;
  return flow::density_kg_m3({kilopascals(*pressure), celsius(*temperature), 0});
}

/// A flow of the other kind with the density it is stated at: "300 CFM at 0.075 lb/ft3" for a mass flow.
std::optional<double> parse_flow_at(std::string_view text, Dimension dimension) {
  constexpr std::string_view kAt = " at ";
  const auto split = text.find(kAt);
  if (split == std::string_view::npos) return std::nullopt;
  const bool mass = dimension == Dimension::mass_flow;
  const auto flow = parse_plain(text.substr(0, split), *other_flow(dimension));
  const auto density = parse_density_kg_m3(text.substr(split + kAt.size()));
  if (!flow || !density) return std::nullopt;
  return round_to_15_digits(mass ? *flow * *density : *flow / *density);
}

}  // namespace

std::string_view file_unit(Dimension dimension) {
  for (const UnitRow& row : kUnits) {
    if (row.dimension == dimension) return row.symbol;
  }
  return "";
}

std::string_view noun(Dimension dimension) {
  switch (dimension) {
    case Dimension::plain:
      return "a number";
    case Dimension::length:
      return "a length";
    case Dimension::angle:
      return "an angle";
    case Dimension::pressure:
      return "a pressure";
    case Dimension::temperature:
      return "a temperature";
    case Dimension::temperature_change:
      return "a temperature difference";
    case Dimension::mass:
      return "a mass";
    case Dimension::mass_flow:
      return "a mass flow";
    case Dimension::volume_flow:
      return "a volume flow";
    case Dimension::density:
      return "a density";
    case Dimension::speed:
      return "a speed";
  }
  return "a number";
}

std::string_view example(Dimension dimension) {
  switch (dimension) {
    case Dimension::length:
      return "3 in";
    case Dimension::angle:
      return "30 deg";
    case Dimension::pressure:
      return "15 inH2O";
    case Dimension::temperature:
      return "190 degF";
    case Dimension::temperature_change:
      return "15 degF";
    case Dimension::mass:
      return "1.1 lb";
    case Dimension::mass_flow:
      return "540 kg/h";
    case Dimension::volume_flow:
      return "300 CFM";
    case Dimension::density:
      return "1.2 kg/m3";
    case Dimension::speed:
      return "8 m/s";
    case Dimension::plain:
      break;
  }
  return "";
}

std::vector<std::string> unit_symbols(Dimension dimension) {
  std::vector<std::string> out;
  for (const UnitRow& row : kUnits) {
    if (row.dimension == dimension) out.emplace_back(row.symbol);
  }
  return out;
}

std::optional<double> in_file_unit(double amount, std::string_view unit, Dimension dimension) {
  for (const UnitRow& row : kUnits) {
    if (row.dimension != dimension || row.symbol != unit) continue;
    if (row.factor == 1 && row.offset == 0) return amount;
    return round_to_15_digits((amount + row.offset) * row.factor);
  }
  return std::nullopt;
}

std::optional<double> parse_quantity(std::string_view text, Dimension dimension) {
  if (const auto value = parse_plain(text, dimension)) return value;
  return other_flow(dimension) ? parse_flow_at(text, dimension) : std::nullopt;
}

std::string quantity_meant(std::string_view text, Dimension dimension) {
  const std::string_view whole = trimmed(text);
  std::string_view unit = whole;
  if (!take_amount(unit)) return "";
  const std::string_view amount = trimmed(whole.substr(0, whole.size() - unit.size()));
  const std::string symbol = unit_meant(trimmed(unit), unit_symbols(dimension));
  if (symbol.empty()) return "";
  std::string meant(amount);
  meant.append(" ").append(symbol);
  return parse_quantity(meant, dimension) ? meant : "";
}

std::optional<Dimension> other_flow(Dimension dimension) {
  if (dimension == Dimension::mass_flow) return Dimension::volume_flow;
  if (dimension == Dimension::volume_flow) return Dimension::mass_flow;
  return std::nullopt;
}

}  // namespace baywright::job
