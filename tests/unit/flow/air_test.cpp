#include "flow/air.hpp"

#include <catch2/catch.hpp>

using namespace baywright;
using namespace baywright::flow;

TEST_CASE("air at the edge of the formulas", "[air]") {
  CHECK_THROWS(density_kg_m3({pascals(0), celsius(20), 0}));
  CHECK_THROWS(density_kg_m3({pascals(1000), celsius(20), 1}));  // less than the vapour alone
  CHECK_THROWS(viscosity_Pa_s(kelvins(0)));
  CHECK_THROWS(standard_atmosphere(-1));
  CHECK_THROWS(standard_atmosphere(11001));
}

TEST_CASE("standard atmosphere at sea level and at 2000 m", "[air]") {
  CHECK(density_kg_m3(standard_atmosphere(0)) == Approx(1.22500).margin(5e-5));
  CHECK(density_kg_m3(standard_atmosphere(2000)) == Approx(1.00649).margin(5e-5));  // ISO 2533 formula
  CHECK(geopotential_m(0) == 0);
}

TEST_CASE("temperature of the standard atmosphere by its pressure", "[air]") {
  CHECK(standard_temperature(pascals(101325)).si() == Approx(288.15));
  for (const double height_m : {0.0, 500.0, 4000.0, 11000.0}) {
    CHECK(standard_temperature(standard_atmosphere(height_m).pressure).si() == Approx(288.15 - 0.0065 * height_m));
  }
  CHECK(standard_temperature(kilopascals(110)).si() > 288.15);  // a shaft below the sea
  CHECK_THROWS(standard_temperature(pascals(0)));
}

TEST_CASE("dry air is an ideal gas and moist air is lighter", "[air]") {
  const Ambient dry{kilopascals(99), celsius(25), 0};
  const Ambient moist{kilopascals(99), celsius(25), 0.6};
  CHECK(density_kg_m3(dry) == Approx(99000 / (287.055 * 298.15)));
  CHECK(density_kg_m3(moist) < density_kg_m3(dry));
  // The printed CIPM value 1.19569 at 10 degC, 730 mmHg, 40 %: the two-gas formula is within 0.1 %.
  const Ambient printed{pascals(730 * 133.322387415), celsius(10), 0.4};
  CHECK(density_kg_m3(printed) == Approx(1.19569).epsilon(1e-3));
}
