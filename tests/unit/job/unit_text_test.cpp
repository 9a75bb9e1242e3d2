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
