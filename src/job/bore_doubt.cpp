#include "job/bore_doubt.hpp"

#include <array>

#include "job/codecs.hpp"

namespace baywright::job {
namespace {

struct LikelyUnit {
  const char* plural;
  const char* symbol;
  double mm;
};
constexpr std::array kLikelyUnits{LikelyUnit{"inches", "in", kMillimetresPerInch}, LikelyUnit{"metres", "m", 1000}};

/// The bore of an open tube end is at least half its outer diameter (common practice, no source).
constexpr double kNarrowest = 0.5;
bool fits(double bore_mm, double outer_mm) { return bore_mm < outer_mm && bore_mm >= kNarrowest * outer_mm; }

std::string number_shown(double value) { return shown(Node::of(value)); }

}  // namespace

std::string bore_mistake(double bore_mm, double outer_diameter_mm) {
  for (const LikelyUnit& unit : kLikelyUnits) {
    const std::string meant = "; if " + std::string(unit.plural) + " are meant, write \"";
    if (bore_mm < outer_diameter_mm && fits(unit.mm * bore_mm, outer_diameter_mm)) {
      return "is " + number_shown(bore_mm) + " mm in an outer diameter of " + number_shown(outer_diameter_mm) + " mm" +
             meant + number_shown(bore_mm) + " " + unit.symbol + "\"";
    }
    if (bore_mm >= outer_diameter_mm && fits(bore_mm, unit.mm * outer_diameter_mm)) {
      return "is not smaller than outer_diameter_mm, which is " + number_shown(outer_diameter_mm) + " mm" + meant +
             number_shown(outer_diameter_mm) + " " + unit.symbol + "\" there";
    }
  }
  return bore_mm >= outer_diameter_mm ? "is not smaller than outer_diameter_mm" : "";
}

std::string bore_doubt(double bore_mm, double outer_diameter_mm, const DisplayUnits& units) {
  const double wall = 0.5 * (outer_diameter_mm - bore_mm);
  if (wall <= bore_mm) return "";
  return "a bore of " + length_text(bore_mm, units) + " in an outer diameter of " +
         length_text(outer_diameter_mm, units) + " leaves a wall of " + length_text(wall, units) +
         "; is one of the two mistyped?";
}

}  // namespace baywright::job
