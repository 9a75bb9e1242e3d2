#include "geometry/base/band.hpp"

#include <catch2/catch.hpp>

using baywright::Band;
using baywright::Contribution;
using Kind = baywright::Contribution::Kind;

TEST_CASE("an empty band adds nothing", "[band]") {
  CHECK(Band().low() == 0);
  CHECK(Band().high() == 0);
}

TEST_CASE("standard uncertainties combine in quadrature with coverage factor 2", "[band]") {
  // Hand calculation: u = 0.3, 0.5, 0.35, 0.2 -> root of the sum of squares 0.7089, U = 1.418.
  Band band;
  for (const double u : {0.3, 0.5, 0.35, 0.2}) band.add({"part", Kind::standard, u, u, ""});
  CHECK(band.low() == Approx(1.418).epsilon(1e-3));
  CHECK(band.high() == band.low());
}

TEST_CASE("contributions of one group add before groups are combined", "[band]") {
  Band band;
  band.add({"bend 1", Kind::expanded, 3, 3, "bends"});
  band.add({"bend 2", Kind::expanded, 1, 1, "bends"});
  band.add({"filter", Kind::expanded, 3, 3, "filter"});
  CHECK(band.low() == Approx(5.0));  // (3 + 1) and 3
}

TEST_CASE("a bound counts in full and on its own side only", "[band]") {
  Band band({{"chord error", Kind::bound, 0.1, 0, ""}, {"scan", Kind::standard, 0.5, 0.5, ""}});
  CHECK(band.low() == Approx(1.1));
  CHECK(band.high() == Approx(1.0));
}
