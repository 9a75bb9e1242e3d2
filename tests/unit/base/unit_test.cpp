#include "geometry/base/unit.hpp"

#include <catch2/catch.hpp>

using namespace baywright;

TEST_CASE("values are shown in the units the job asks for", "[unit]") {
  const DisplayUnits metric;
  const DisplayUnits us{LengthUnit::inch, PressureUnit::inH2O, TemperatureUnit::fahrenheit};
  CHECK(format(76.2, Unit::mm, metric) == "76.2 mm");
  CHECK(format(76.2, Unit::mm, us) == "3.000 in");
  CHECK(format(3740, Unit::pascal, metric) == "3.74 kPa");
  // 15 inH2O (conventional) = 3736.33 Pa, NIST SP 811.
  CHECK(format(15 * 249.08891, Unit::pascal, us) == "15.00 inH2O");
  CHECK(format(273.15 + 91.7, Unit::kelvin, metric) == "91.7 °C");
  CHECK(format(273.15 + 91.6667, Unit::kelvin, us) == "197.0 °F");
  CHECK(format(8, Unit::kelvin_difference, us) == "14.4 °F");
  CHECK(format(30, Unit::degree, us) == "30.0°");
  CHECK(format(3, Unit::count, us) == "3");
  CHECK(format(29.96, Unit::millilitre, us) == "30.0 ml");
  CHECK(format(0.686, Unit::percent, us) == "0.69 %");
}

TEST_CASE("a value that rounds to zero has no sign", "[unit]") {
  CHECK(format(-0.01, Unit::mm, {}) == "0.0 mm");
  CHECK(format(-0.06, Unit::mm, {}) == "-0.1 mm");
}

TEST_CASE("a small length does not read as nothing", "[unit]") {
  DisplayUnits inch;
  inch.length = LengthUnit::inch;
  CHECK(length_text(0, {}) == "0.0 mm");
  CHECK(length_text(12.34, {}) == "12.3 mm");
  CHECK(length_text(0.0012, {}) == "0.0012 mm");
  CHECK(length_text(-0.0012, {}) == "-0.0012 mm");
  CHECK(length_text(25.4 / 8, inch) == "0.125 in");
  CHECK(length_text(25.4e-5, inch) == "1e-05 in");
}
