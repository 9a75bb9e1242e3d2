#include "job/unit_text.hpp"

#include <catch2/catch.hpp>

using namespace baywright::job;

TEST_CASE("text without a number, a unit or a known unit is no quantity") {
  for (const char* text : {"", " ", "mm", "3", "3 furlong", "3 kPa", "in 3", "3 in in", "1/0 in", "1 1/2/2 in",
                           "nan mm", "inf mm", "1e999 mm", "- 3 mm", "1.5 1/2 in", "0x10 mm"}) {
    INFO(text);
    CHECK_FALSE(parse_quantity(text, Dimension::length).has_value());
  }
}

TEST_CASE("quantities are brought to the unit of the file") {
  CHECK(parse_quantity("3 in", Dimension::length) == 76.2);
  CHECK(parse_quantity("3\"", Dimension::length) == 76.2);
  CHECK(parse_quantity("2.25in", Dimension::length) == 57.15);
  CHECK(parse_quantity("1 1/2 in", Dimension::length) == 38.1);
  CHECK(parse_quantity("3/4 in", Dimension::length) == 19.05);
  CHECK(parse_quantity("-1 1/2 in", Dimension::length) == -38.1);
  CHECK(parse_quantity("0.065 in", Dimension::length) == 1.651);
  CHECK(parse_quantity(" 1.2 m ", Dimension::length) == 1200);
  CHECK(parse_quantity("30 deg", Dimension::angle) == 30);
  CHECK(parse_quantity("30\xC2\xB0", Dimension::angle) == 30);
  CHECK(*parse_quantity("1 rad", Dimension::angle) == Approx(57.29577951308232).epsilon(1e-14));
  // 1 inH2O (4 degrees Celsius) = 249.08891 Pa, NIST SP 811 appendix B
  CHECK(*parse_quantity("15 inH2O", Dimension::pressure) == Approx(15 * 0.24908891).epsilon(1e-14));
  CHECK(*parse_quantity("1 psi", Dimension::pressure) == Approx(6.894757293168).epsilon(1e-14));
  CHECK(*parse_quantity("212 degF", Dimension::temperature) == Approx(100).epsilon(1e-14));
  CHECK(*parse_quantity("32 degF", Dimension::temperature) == 0);
  CHECK(*parse_quantity("298.15 K", Dimension::temperature) == Approx(25).epsilon(1e-14));
  CHECK(*parse_quantity("9 degF", Dimension::temperature_change) == 5);
  CHECK(*parse_quantity("540 kg/h", Dimension::mass_flow) == 0.15);
  // 1 ft3 = 0.028316846592 m3 exactly
  CHECK(*parse_quantity("300 CFM", Dimension::volume_flow) == Approx(300 * 0.028316846592 / 60).epsilon(1e-14));
}

TEST_CASE("trade units, each from its definition") {
  // Conventional inch of mercury and millimetre of water: NIST SP 811 appendix B.
  CHECK(*parse_quantity("29.92 inHg", Dimension::pressure) == Approx(29.92 * 3.386389).epsilon(1e-14));
  CHECK(*parse_quantity("380 mmH2O", Dimension::pressure) == Approx(380 * 0.00980665).epsilon(1e-14));
  CHECK(*parse_quantity("1013 mbar", Dimension::pressure) == Approx(101.3).epsilon(1e-14));
  CHECK(*parse_quantity("1013 hPa", Dimension::pressure) == Approx(101.3).epsilon(1e-14));
  CHECK(*parse_quantity("14.7 psi", Dimension::pressure) == Approx(14.7 * 6.894757293168).epsilon(1e-14));
  CHECK(*parse_quantity("20 lb/min", Dimension::mass_flow) == Approx(20 * 0.45359237 / 60).epsilon(1e-14));
  CHECK(*parse_quantity("1200 lb/h", Dimension::mass_flow) == Approx(1200 * 0.45359237 / 3600).epsilon(1e-14));
  CHECK(*parse_quantity("9 kg/min", Dimension::mass_flow) == Approx(0.15).epsilon(1e-14));
  CHECK(*parse_quantity("300 cfm", Dimension::volume_flow) == *parse_quantity("300 CFM", Dimension::volume_flow));
  CHECK(*parse_quantity("0.075 lb/ft3", Dimension::density) ==
        Approx(0.075 * 0.45359237 / 0.028316846592).epsilon(1e-14));
  CHECK(parse_quantity("3 inch", Dimension::length) == 76.2);
}

TEST_CASE("inches as drawings write them") {
  CHECK(parse_quantity("3 1/2 in", Dimension::length) == 88.9);
  CHECK(parse_quantity("3-1/2 in", Dimension::length) == 88.9);
  CHECK(parse_quantity("3-1/2\"", Dimension::length) == 88.9);
  CHECK(parse_quantity("-3-1/2 in", Dimension::length) == -88.9);
  for (const char* text : {"3-4 in", "3- 1/2 in", "3--1/2 in", "3.5-1/2 in", "3-1/0 in", "3-in", "3 -1/2 in"}) {
    INFO(text);
    CHECK_FALSE(parse_quantity(text, Dimension::length).has_value());
  }
}

TEST_CASE("a flow of the other kind needs the density it is stated at") {
  const double cfm = 0.028316846592 / 60;
  CHECK(*parse_quantity("300 CFM at 1.2 kg/m3", Dimension::mass_flow) == Approx(300 * cfm * 1.2).epsilon(1e-14));
  CHECK(*parse_quantity("300 CFM at 0.075 lb/ft3", Dimension::mass_flow) ==
        Approx(300 * 0.075 * 0.45359237 / 60).epsilon(1e-14));
  CHECK(*parse_quantity("540 kg/h at 1.2 kg/m3", Dimension::volume_flow) == Approx(0.15 / 1.2).epsilon(1e-14));
  // Dry air at 20 degC and 101.325 kPa: p / (287.055 T).
  const double density = 101325 / (287.055 * 293.15);
  CHECK(*parse_quantity("510 m3/h at 20 degC and 101.325 kPa", Dimension::mass_flow) ==
        Approx(510 / 3600.0 * density).epsilon(1e-12));
  CHECK(*parse_quantity("510 m3/h at 101.325 kPa and 20 degC", Dimension::mass_flow) ==
        Approx(510 / 3600.0 * density).epsilon(1e-12));
  for (const char* text :
       {"300 CFM", "300 CFM at", "300 CFM at sea level", "300 CFM at 0 kg/m3", "300 CFM at 20 degC",
        "300 CFM at 20 degC and 3 kPa", "300 kg/h at 1.2 kg/m3", "300 CFM at 1.2 kg/m3 at 1.2 kg/m3"}) {
    INFO(text);
    CHECK_FALSE(parse_quantity(text, Dimension::mass_flow).has_value());
  }
}

TEST_CASE("a unit written another way is recognized, and only then") {
  const auto meant = [](const char* text, Dimension dimension) { return quantity_meant(text, dimension); };
  for (const char* text : {"20 deg C", "20 Celsius", "20 C", "20 DegC", "20 degrees C", "20 \xC2\xB0 C"}) {
    INFO(text);
    CHECK(meant(text, Dimension::temperature) == "20 degC");
  }
  CHECK(meant("190 Fahrenheit", Dimension::temperature) == "190 degF");
  CHECK(meant("190 f", Dimension::temperature) == "190 degF");
  CHECK(meant("0.15 kg/sec", Dimension::mass_flow) == "0.15 kg/s");
  CHECK(meant("0.15 KG/S", Dimension::mass_flow) == "0.15 kg/s");
  CHECK(meant("540 kg per hour", Dimension::mass_flow) == "540 kg/h");
  CHECK(meant("20 lbs/min", Dimension::mass_flow) == "20 lb/min");
  for (const char* text : {"3.74 kpa", "3.74KPa", "3.74 KPA", "3.74 kilopascal"}) {
    INFO(text);
    CHECK(meant(text, Dimension::pressure) == "3.74 kPa");
  }
  CHECK(meant("15 in H2O", Dimension::pressure) == "15 inH2O");
  CHECK(meant("15 inH20", Dimension::pressure) == "15 inH2O");  // a zero
  CHECK(meant("15 in. w.c.", Dimension::pressure) == "15 inH2O");
  CHECK(meant("1 1/2 Inches", Dimension::length) == "1 1/2 in");
  CHECK(meant("300 m^3/hr", Dimension::volume_flow) == "300 m3/h");
  for (const char* text : {"3 furlong", "3 kPa", "3", "", "mm", "3 x"}) {
    INFO(text);
    CHECK(meant(text, Dimension::length).empty());
  }
}
