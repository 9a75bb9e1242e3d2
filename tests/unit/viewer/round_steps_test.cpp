#include "viewer/scene/round_steps.hpp"

#include <catch2/catch.hpp>

using namespace baywright;
using namespace baywright::viewer;

TEST_CASE("Steps of a scale are 1, 2, 5, 10 ... of the job's unit", "[viewer]") {
  const DisplayUnits mm;
  DisplayUnits inch;
  inch.length = LengthUnit::inch;
  CHECK(round_step_up_mm(100, mm) == Approx(100));
  CHECK(round_step_up_mm(101, mm) == Approx(200));
  CHECK(round_step_up_mm(0.3, mm) == Approx(0.5));
  CHECK(round_step_up_mm(100, inch) == Approx(5 * 25.4));  // 100 mm are 3.94 inch
  CHECK(round_step_up_mm(20, inch) == Approx(25.4));
  CHECK(round_step_down_mm(100, mm) == Approx(100));
  CHECK(round_step_down_mm(99, mm) == Approx(50));
  CHECK(round_step_down_mm(25, inch) == Approx(0.5 * 25.4));
}

TEST_CASE("A step that is asked for again is itself", "[viewer]") {
  for (const auto length : {LengthUnit::mm, LengthUnit::inch}) {
    DisplayUnits units;
    units.length = length;
    for (double least = 0.01; least < 1e5; least *= 1.7) {
      const double step = round_step_up_mm(least, units);
      CHECK(step >= least * (1 - 1e-9));
      CHECK(round_step_up_mm(step, units) == Approx(step));
      CHECK(round_step_down_mm(step, units) == Approx(step));
    }
  }
}

TEST_CASE("Numbers of a scale have no idle decimals", "[viewer]") {
  DisplayUnits inch;
  inch.length = LengthUnit::inch;
  CHECK(scale_number(0, inch) == "0");
  CHECK(scale_number(254, inch) == "10");
  CHECK(scale_number(12.7, inch) == "0.5");
  CHECK(scale_text(200, {}) == "200 mm");
  CHECK(scale_text(254, inch) == "10 in");
}
