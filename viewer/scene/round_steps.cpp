#include "viewer/scene/round_steps.hpp"

#include <cmath>
#include <cstdio>

namespace baywright::viewer {

namespace {

double unit_mm(const DisplayUnits& units) { return units.length == LengthUnit::inch ? kMillimetresPerInch : 1.0; }

/// Lengths that differ by less than this share are the same step: a step read back must be itself.
constexpr double kSameStep = 1e-9;

}  // namespace

double round_step_down_mm(double most_mm, const DisplayUnits& units) {
  const double target = most_mm / unit_mm(units) * (1 + kSameStep);
  const double decade = std::pow(10, std::floor(std::log10(target)));
  const double step = 5 * decade <= target ? 5 * decade : 2 * decade <= target ? 2 * decade : decade;
  return step * unit_mm(units);
}

double round_step_up_mm(double least_mm, const DisplayUnits& units) {
  const double target = least_mm / unit_mm(units) * (1 - kSameStep);
  const double decade = std::pow(10, std::floor(std::log10(target)));
  for (const double factor : {1.0, 2.0, 5.0})
    if (factor * decade >= target) return factor * decade * unit_mm(units);
  return 10 * decade * unit_mm(units);
}

std::string scale_number(double mm, const DisplayUnits& units) {
  const double shown = to_display(mm, Unit::mm, units);
  char number[32];
  std::snprintf(number, sizeof number, "%.6g", std::abs(shown) < kSameStep ? 0.0 : shown);
  return number;
}

std::string scale_text(double mm, const DisplayUnits& units) {
  return scale_number(mm, units) + " " + std::string(symbol(Unit::mm, units));
}

}  // namespace baywright::viewer
