#include "duct/slices.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "tests/support/ducts.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::test;

namespace {

double distance_to(const std::vector<Primitive>& shapes, const Vec3& p) {
  double least = std::numeric_limits<double>::infinity();
  for (const Primitive& s : shapes) least = std::min(least, signed_distance(s.shape, p));
  return least;
}

}  // namespace

TEST_CASE("A straight of 60 mm is cut into three slices of 20") {
  const Installation made = between(route({{0, 0, 0}, {60, 0, 0}}, 0));
  const Duct duct = made.laid_out();
  const auto stations = slice_stations(duct.layout, duct.layout.pieces.front());
  REQUIRE(stations.size() == 4);
  for (std::size_t i = 0; i < 4; ++i) CHECK(stations[i] == Approx(20.0 * static_cast<double>(i)).margin(1e-9));
}

TEST_CASE("Slices are short, cover their piece and together are the same surface") {
  std::mt19937 random(11);
  for (const Installation& made : {fitted_job(), first_try_job()}) {
    const Duct duct = made.laid_out();
    for (const Piece& piece : duct.layout.pieces) {
      const auto stations = slice_stations(duct.layout, piece);
      CHECK(stations.front() == piece.station_from_mm);
      CHECK(stations.back() == Approx(piece.station_to_mm).margin(1e-6));
      for (std::size_t i = 1; i < stations.size(); ++i) {
        const double a = stations[i - 1], b = stations[i];
        CHECK(b > a);
        const Vec3 t = duct.layout.at(a + 1e-6).tangent, u = duct.layout.at(b - 1e-6).tangent;
        const double turn = std::acos(std::min(1.0, t.dot(u)));
        CHECK((b - a <= kSliceLength_mm + 1e-6 || turn > 1e-3));
        CHECK(turn <= kSliceAngle.si() + 1e-6);
      }
      const auto slices = cut_into_slices(piece.shapes, stations, piece.carriage);
      REQUIRE(slices.size() + 1 == stations.size());
      std::uniform_real_distribution<double> unit(-1, 1);
      for (int k = 0; k < 50; ++k) {
        const double s =
            piece.station_from_mm + (0.5 + 0.5 * unit(random)) * (piece.station_to_mm - piece.station_from_mm);
        const Vec3 p = duct.layout.at(s).p_mm + 90 * Vec3(unit(random), unit(random), unit(random));
        double least = std::numeric_limits<double>::infinity();
        for (const auto& slice : slices) {
          CHECK_FALSE(slice.empty());
          least = std::min(least, distance_to(slice, p));
        }
        // Outside both are the distance to one set of points; inside each part has its own depth.
        if (const double whole = distance_to(piece.shapes, p); whole > 0) CHECK(least == Approx(whole).margin(1e-6));
      }
    }
  }
}
