#include "viewer/scene/map_layer.hpp"

#include <catch2/catch.hpp>
#include <cmath>

using namespace baywright;
using namespace baywright::viewer;

namespace {

/// Lightness L* of an sRGB colour (CIE 1976, white point of sRGB).
double lightness(const Rgb& c) {
  const auto linear = [](float part) {
    const double v = static_cast<double>(part);
    return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
  };
  const double y = 0.2126 * linear(c[0]) + 0.7152 * linear(c[1]) + 0.0722 * linear(c[2]);
  return y > 0.008856 ? 116 * std::cbrt(y) - 16 : 903.3 * y;
}

}  // namespace

TEST_CASE("the clearance scale grows lighter all the way, so that it reads without colour", "[map]") {
  double before = lightness(map_color(0.01, 50));
  CHECK(before < 20);
  for (int i = 1; i <= 49; ++i) {
    const double now = lightness(map_color(i, 50));
    CHECK(now > before);
    CHECK(now - before < 4);  // evenly: no step looks like an edge
    before = now;
  }
  CHECK(before > 85);
}

TEST_CASE("what interferes and what is beyond the range have colours of their own", "[map]") {
  CHECK(map_color(-3, 50) == map_color(0, 50));
  CHECK(map_color(0, 50) != map_color(0.01, 50));
  CHECK(map_color(50, 50) == map_color(std::numeric_limits<double>::infinity(), 50));
  CHECK(map_color(50, 50) != map_color(49.9, 50));
  CHECK(map_color(std::nan(""), 50) == map_color(50, 50));  // never a good colour for what is not known
}

TEST_CASE("lines of equal clearance stand at round numbers", "[map]") {
  DisplayUnits units;
  CHECK(map_line_step_mm(units) == 10);
  units.length = LengthUnit::inch;
  CHECK(map_line_step_mm(units) == 12.7);
}
