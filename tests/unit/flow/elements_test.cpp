// Losses of single elements: nodes of the printed tables, laws, and second opinions.
#include <catch2/catch.hpp>
#include <cmath>

#include "cross_formulas.hpp"
#include "flow/compressible.hpp"
#include "flow/entry_loss.hpp"
#include "flow/loss_coefficients.hpp"

using namespace baywright;
using namespace baywright::flow;

TEST_CASE("what an element leaves still passes its bore, or it chokes", "[loss]") {
  const Stream stream{.mass_flow = kilograms_per_second(0.15), .total_temperature = celsius(25)};
  int through = 0, chokes = 0;
  for (const double bore_mm : {25.0, 30.0, 40.0, 60.0, 75.0}) {  // Mach 0.08 to choking
    for (double k = 0; k < 300; k += k < 5 ? 0.01 : 1) {
      const auto behind = total_behind(stream, kilopascals(99), bore_mm, k);
      ++(behind ? through : chokes);
      if (!behind) continue;
      INFO(bore_mm << " mm, K " << k);
      REQUIRE(section_state(stream, *behind, bore_mm));
    }
  }
  CHECK(through > 100);
  CHECK(chokes > 100);
}

TEST_CASE("entries meet the nodes of their tables and lie between them", "[loss]") {
  CHECK(reentrant_entry_loss(0) == 1);
  CHECK(reentrant_entry_loss(.02) == Approx(.72));
  CHECK(reentrant_entry_loss(.05) == Approx(.50));
  CHECK(reentrant_entry_loss(1) == Approx(.50));
  CHECK(reentrant_entry_loss(.01) == Approx(.86));
  CHECK(bellmouth_loss(0, true) == Approx(kFlushEntryLoss));
  CHECK(bellmouth_loss(.06, true) == Approx(.20));
  CHECK(bellmouth_loss(.10, true) == Approx(.12));
  CHECK(bellmouth_loss(.12, false) == Approx(.10));
  CHECK(bellmouth_loss(.5, false) == Approx(.03));
  CHECK(cone_entry_loss(0, degrees(60)).value() == Approx(kFlushEntryLoss));
  CHECK(cone_entry_loss(.1, degrees(60)).value() == Approx(.18));
  CHECK(cone_entry_loss(3, degrees(60)).value() == Approx(.12));
  CHECK_FALSE(cone_entry_loss(.1, degrees(40)));
  CHECK_FALSE(cone_entry_loss(.1, degrees(90)));
}

TEST_CASE("a rounder lip loses less, a free one more than one in a wall", "[loss]") {
  for (double r = 0; r < .2; r += .005) {
    CHECK(bellmouth_loss(r + .005, true) < bellmouth_loss(r, true));
    CHECK(bellmouth_loss(r + .005, false) < bellmouth_loss(r, false));
    CHECK(bellmouth_loss(r, false) >= bellmouth_loss(r, true));
    // The published formula of a rounded entry is an upper bound of the table.
    CHECK(test::rennels_rounded_entry(r) > bellmouth_loss(r, true));
  }
}

TEST_CASE("a mitre loses more the sharper it is, and agrees with the other formula", "[loss]") {
  CHECK(mitre_loss(degrees(0), 1e6) == Approx(0).margin(1e-12));
  CHECK(mitre_loss(degrees(90), 1e6) == Approx(1.2 * (0.95 * 0.5 + 2.05 * 0.25)));
  CHECK(mitre_loss(degrees(90), 1e4) == Approx(1.40 * mitre_loss(degrees(90), 1e6)));
  CHECK(mitre_loss(degrees(90), 7e4) == Approx(1.075 * mitre_loss(degrees(90), 1e6)));
  for (double a = 0; a < 150; a += 5) CHECK(mitre_loss(degrees(a + 5), 1e5) > mitre_loss(degrees(a), 1e5));
  for (const double a : {60.0, 75.0, 90.0}) {
    CHECK(mitre_loss(degrees(a), 1e6) == Approx(test::rennels_mitre(a)).epsilon(0.05));
  }
}

TEST_CASE("a segmented bend meets its table, and lies between the smooth bend and the mitre", "[loss]") {
  CHECK(segmented_bend_loss(1.5, 5, degrees(90), 0) == Approx(.24));
  CHECK(segmented_bend_loss(1.5, 4, degrees(90), 0) == Approx(.27));
  CHECK(segmented_bend_loss(2, 3, degrees(90), 0) == Approx(.33));
  CHECK(segmented_bend_loss(.5, 3, degrees(90), 0) == Approx(.98));
  CHECK(segmented_bend_loss(1.25, 4, degrees(90), 0) == Approx(.32));
  CHECK(segmented_bend_loss(1, 5, degrees(45), 0) == Approx(.60 * .33));
  CHECK(segmented_bend_loss(1, 9, degrees(90), 0) == segmented_bend_loss(1, 5, degrees(90), 0));
  CHECK(segmented_bend_loss(7, 5, degrees(90), 0) == Approx(.19));
  // Friction of the arc on top.
  CHECK(segmented_bend_loss(1, 5, degrees(90), .02) == Approx(.33 + .02 * M_PI / 2));
  for (double r = .5; r < 2; r += .05) {
    for (const int pieces : {3, 4, 5}) {
      const double k = segmented_bend_loss(r, pieces, degrees(90), .018);
      CHECK(segmented_bend_loss(r + .05, pieces, degrees(90), 0) < segmented_bend_loss(r, pieces, degrees(90), 0));
      CHECK(k > bend_loss(std::max(r, .75), degrees(90), .018));
      CHECK(k < mitre_loss(degrees(90), 1e6));
      CHECK(k >= segmented_bend_loss(r, pieces + 1, degrees(90), .018));
    }
  }
}

TEST_CASE("corrugated hose loses two to four times as much as smooth tube", "[loss]") {
  // S/D and factor over a smooth pipe at Re 1e5, as worked out for the reference.
  CHECK(corrugated_friction(100, 5) / test::colebrook(1e5, 0) == Approx(2.0).margin(.05));
  CHECK(corrugated_friction(100, 6) / test::colebrook(1e5, 0) == Approx(2.3).margin(.1));
  CHECK(corrugated_friction(100, 8) / test::colebrook(1e5, 0) == Approx(3.0).margin(.1));
  double last = 0;
  for (double pitch = 1; pitch < 20; pitch += 1) {
    CHECK(corrugated_friction(76, pitch) > last);
    last = corrugated_friction(76, pitch);
  }
}

TEST_CASE("the friction factor stays near the other formula, and has no jump on the way to turbulence", "[loss]") {
  for (const double roughness : {0.0, 1e-5, 1e-4, 1e-3}) {
    for (double re = 1e4; re < 1e7; re *= 1.3) {
      CHECK(friction_factor(re, roughness) == Approx(test::colebrook(re, roughness)).epsilon(0.035));
    }
  }
  for (double re = 500; re < 1e5; re *= 1.001) {
    CHECK(friction_factor(re * 1.001, 1e-4) == Approx(friction_factor(re, 1e-4)).epsilon(0.01));
  }
}
