#include "job/unit_meant.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <utility>

#include "geometry/base/near_word.hpp"

namespace baywright::job {
namespace {

using Spelling = std::pair<std::string_view, std::string_view>;

/// Other ways to write a unit, small and without spaces, dots and degree signs: common practice, no source.
constexpr std::array kSpellings{
    Spelling{"c", "degc"},
    Spelling{"degreec", "degc"},
    Spelling{"degreesc", "degc"},
    Spelling{"celsius", "degc"},
    Spelling{"degcelsius", "degc"},
    Spelling{"degreecelsius", "degc"},
    Spelling{"degreescelsius", "degc"},
    Spelling{"centigrade", "degc"},
    Spelling{"f", "degf"},
    Spelling{"degreef", "degf"},
    Spelling{"degreesf", "degf"},
    Spelling{"fahrenheit", "degf"},
    Spelling{"degfahrenheit", "degf"},
    Spelling{"degreesfahrenheit", "degf"},
    Spelling{"kelvin", "k"},
    Spelling{"degk", "k"},
    Spelling{"degree", "deg"},
    Spelling{"degrees", "deg"},
    Spelling{"radian", "rad"},
    Spelling{"radians", "rad"},
    Spelling{"kilopascal", "kpa"},
    Spelling{"kilopascals", "kpa"},
    Spelling{"pascal", "pa"},
    Spelling{"pascals", "pa"},
    Spelling{"millibar", "mbar"},
    Spelling{"millibars", "mbar"},
    Spelling{"inwc", "inh2o"},
    Spelling{"inwg", "inh2o"},
    Spelling{"\"wc", "inh2o"},
    Spelling{"\"wg", "inh2o"},
    Spelling{"\"h2o", "inh2o"},
    Spelling{"inchh2o", "inh2o"},
    Spelling{"inchesh2o", "inh2o"},
    Spelling{"inchesofwater", "inh2o"},
    Spelling{"mmwc", "mmh2o"},
    Spelling{"\"hg", "inhg"},
    Spelling{"inches", "in"},
    Spelling{"ins", "in"},
    Spelling{"''", "in"},
    Spelling{"millimetre", "mm"},
    Spelling{"millimetres", "mm"},
    Spelling{"millimeter", "mm"},
    Spelling{"millimeters", "mm"},
    Spelling{"feet", "ft"},
    Spelling{"foot", "ft"},
    Spelling{"'", "ft"},
    Spelling{"metre", "m"},
    Spelling{"metres", "m"},
    Spelling{"meter", "m"},
    Spelling{"meters", "m"},
    Spelling{"scfm", "cfm"},
    Spelling{"kgs", "kg/s"},
    Spelling{"kgps", "kg/s"},
    Spelling{"kgph", "kg/h"},
    Spelling{"kgh", "kg/h"},
    Spelling{"pph", "lb/h"},
};
/// Other ways to write what stands above or below a stroke.
constexpr std::array kParts{
    Spelling{"sec", "s"},    Spelling{"secs", "s"},   Spelling{"second", "s"}, Spelling{"seconds", "s"},
    Spelling{"hr", "h"},     Spelling{"hrs", "h"},    Spelling{"hour", "h"},   Spelling{"minute", "min"},
    Spelling{"mins", "min"}, Spelling{"kgs", "kg"},   Spelling{"lbs", "lb"},   Spelling{"kilogram", "kg"},
    Spelling{"cuft", "ft3"}, Spelling{"ft^3", "ft3"}, Spelling{"m^3", "m3"},   Spelling{"m\xC2\xB3", "m3"},
    Spelling{"litre", "l"},  Spelling{"litres", "l"}, Spelling{"liter", "l"},  Spelling{"liters", "l"},
};

template <std::size_t N>
std::string respelt(const std::string& word, const std::array<Spelling, N>& table) {
  const auto* const row = std::find_if(table.begin(), table.end(), [&](const Spelling& s) { return s.first == word; });
  return row == table.end() ? word : std::string(row->second);
}

/// Small letters; no spaces, dots, degree signs; "per" as a stroke.
std::string bare(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text.substr(i).starts_with("\xC2\xB0")) {
      ++i;  // a degree sign has two bytes
    } else if (text.substr(i).starts_with(" per ")) {
      out += '/';
      i += 4;
    } else if (text[i] != ' ' && text[i] != '.') {
      out += static_cast<char>(std::tolower(static_cast<unsigned char>(text[i])));
    }
  }
  return out;
}

std::string plain_spelling(std::string_view text) {
  const std::string word = respelt(bare(text), kSpellings);
  const std::size_t stroke = word.find('/');
  if (stroke == std::string::npos) return word;
  return respelt(word.substr(0, stroke), kParts) + "/" + respelt(word.substr(stroke + 1), kParts);
}

}  // namespace

std::string unit_meant(std::string_view written, const std::vector<std::string>& known) {
  constexpr std::size_t kShortestGuess = 4;  // one letter off in a shorter one makes another unit
  const std::string word = plain_spelling(written);
  if (word.empty()) return "";
  for (const std::string& symbol : known) {
    if (plain_spelling(symbol) == word) return symbol;
  }
  for (const std::string& symbol : known) {
    const std::string plain = plain_spelling(symbol);
    if (plain.size() >= kShortestGuess && edit_distance(plain, word) == 1) return symbol;
  }
  return "";
}

}  // namespace baywright::job
