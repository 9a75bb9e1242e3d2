#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace baywright::job {

/// What a number in a file measures, and with it the unit it is written in there.
enum class Dimension {
  plain,               ///< a bare number
  length,              ///< mm
  angle,               ///< degree
  pressure,            ///< kPa
  temperature,         ///< degree Celsius
  temperature_change,  ///< K
  mass,                ///< kg
  mass_flow,           ///< kg/s
  volume_flow,         ///< m3/s
  density,             ///< kg/m3
  speed,               ///< m/s
};

/// Symbol of the unit a file uses ("mm", "deg", "kPa"...); "" for plain.
std::string_view file_unit(Dimension dimension);
/// "a length", "an angle"...; "a number" for plain.
std::string_view noun(Dimension dimension);
/// A text with a unit that would be accepted (`3 in`); "" for plain.
std::string_view example(Dimension dimension);
/// Symbols that are understood, the file's own first.
std::vector<std::string> unit_symbols(Dimension dimension);

/// Value of `amount` `unit` in the file's unit; nullopt for a unit that does not measure `dimension`.
std::optional<double> in_file_unit(double amount, std::string_view unit, Dimension dimension);
/// Value in the file's unit of a text such as "76.2 mm", "3 in", "1 1/2 in", "1-1/2 in", "15 inH2O", "190 degF". A unit
/// is required. A mass flow may be stated as a volume flow, and the other way round, with the density it is stated at:
/// "300 CFM at 0.075 lb/ft3", "510 m3/h at 20 degC and 101.325 kPa" (dry air). Rounded to 15 significant digits, so
/// that 3 in are 76.2 mm and not 76.19999999999999.
std::optional<double> parse_quantity(std::string_view text, Dimension dimension);
/// A text that can be read and that `text` most likely means: "20 degC" for "20 Celsius". "" when nothing comes near.
std::string quantity_meant(std::string_view text, Dimension dimension);
/// The flow that needs a density to become this one; nothing for what is no flow.
std::optional<Dimension> other_flow(Dimension dimension);

}  // namespace baywright::job
