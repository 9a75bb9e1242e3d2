#include "measure/tube_making.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "duct/bend_table.hpp"
#include "tests/support/example_intake.hpp"

using namespace baywright;
using namespace baywright::measure;

namespace {

/// The worked bend table of the trade: five points, three bends of 114.3 mm, one rigid tube.
duct::Duct worked_tube() {
  duct::DuctSpec spec = test::example_spec();
  bay::Bay bay = test::example_bay();
  const std::vector<Vec3> points = {{0, 0, 0}, {300, 0, 0}, {300, 320, 80}, {620, 420, 80}, {620, 420, -180}};
  spec.route.points.clear();
  for (std::size_t i = 0; i < points.size(); ++i) {
    const bool inner = i > 0 && i + 1 < points.size();
    spec.route.points.push_back({duct::PointId("P" + std::to_string(i)), points[i], inner ? 114.3 : 0.0});
  }
  spec.fittings.clear();
  bay.ports[1].center_mm = points.back();
  bay.ports[1].axis = Vec3::UnitZ();
  bay.ports[1].outer_diameter_mm = 76.2;
  return test::laid_out(spec, bay);
}

const duct::Piece& first_tube(const duct::Duct& duct) {
  return *std::find_if(duct.layout.pieces.begin(), duct.layout.pieces.end(),
                       [](const duct::Piece& p) { return p.kind == duct::Piece::Kind::tube; });
}

/// Distance that 95 % of 20,000 tubes stay within, each bent with other errors and laid out anew from its table.
template <class Draw>
double sampled_95(const duct::Duct& duct, double angle_rad, double length_mm, Draw&& draw) {
  const duct::BendTable table = duct::bend_table(duct.layout);
  const duct::Leg& first = duct.layout.legs.front();
  const Vec3 n0 = duct.layout.bends.front().normal;
  const Vec3 wanted = intersection_points(table, first.start_mm, first.direction, n0).back();
  std::vector<double> misses;
  for (int i = 0; i < 20000; ++i) {
    duct::BendTable made = table;
    for (std::size_t k = 0; k < made.rows.size(); ++k) {
      made.rows[k].length_before_mm += length_mm * draw();
      made.rows[k].angle = radians(made.rows[k].angle.si() + angle_rad * draw());
      if (k > 0) made.rows[k].rotation = radians(made.rows[k].rotation.si() + angle_rad * draw());
    }
    made.last_length_mm += length_mm * draw();
    misses.push_back((intersection_points(made, first.start_mm, first.direction, n0).back() - wanted).norm());
  }
  std::nth_element(misses.begin(), misses.begin() + 19000, misses.end());
  return misses[19000];
}

}  // namespace

TEST_CASE("The radius of 95 % is that of one, two and three equal directions, and of sampling between", "[making]") {
  // Quantiles of the normal, Rayleigh and Maxwell distributions: 1.95996, sqrt(-2 ln 0.05) = 2.44775, 2.79548.
  CHECK(radius_of_95_percent({2, 0, 0}) == Approx(2 * 1.95996).epsilon(2e-3));
  CHECK(radius_of_95_percent({1, 1, 0}) == Approx(2.44775).epsilon(2e-3));
  CHECK(radius_of_95_percent({3, 3, 3}) == Approx(3 * 2.79548).epsilon(1e-4));
  CHECK(radius_of_95_percent(Vec3::Zero()) == 0);
  std::mt19937 random(5);
  std::normal_distribution<double> normal;
  for (const Vec3& sigma : {Vec3(1, 2, 0.3), Vec3(5, 1, 1), Vec3(0.2, 2, 2)}) {
    std::vector<double> lengths(200000);
    for (double& l : lengths) l = sigma.cwiseProduct(Vec3(normal(random), normal(random), normal(random))).norm();
    std::nth_element(lengths.begin(), lengths.begin() + 190000, lengths.end());
    CHECK(radius_of_95_percent(sigma) == Approx(lengths[190000]).epsilon(0.01));
  }
}

TEST_CASE("The free end of a bent tube is as uncertain as many tubes bent with errors", "[making]") {
  duct::Duct duct = worked_tube();
  std::mt19937 random(11);
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> uniform(-1, 1);
  struct Shop {
    double deg, mm, published;
  };
  // The last figure: 95 % of 20,000 draws with errors equally likely anywhere within the tolerance (the trade's worked
  // example; its 6.7 and 13.1 and 27.2 mm).
  for (const Shop& shop : {Shop{0.5, 1, 6.7}, Shop{1, 1, 13.1}, Shop{2, 4.76, 27.2}}) {
    INFO(shop.deg << " deg, " << shop.mm << " mm");
    const double angle = degrees(shop.deg).si();
    CHECK(sampled_95(duct, angle, shop.mm, [&] { return uniform(random); }) == Approx(shop.published).epsilon(0.03));
    // The same standard uncertainties, normal: first order against sampling of the tube itself.
    const double root3 = std::sqrt(3.0);
    duct.spec.bending = duct::BendingTolerance{degrees(shop.deg / root3), degrees(shop.deg / root3), shop.mm / root3};
    const double first_order = free_end_error_mm(duct, first_tube(duct));
    CHECK(sampled_95(duct, angle / root3, shop.mm / root3, [&] { return normal(random); }) ==
          Approx(first_order).epsilon(0.03));
  }
}

TEST_CASE("Dies, walls and lengths of a tube by hand", "[making]") {
  duct::Duct duct = worked_tube();
  REQUIRE(dies(duct).size() == 1);
  CHECK(std::get<Measured>(dies(duct)[0]).lo == 1);
  // 1.65 x 114.3 / (114.3 + 38.1) = 1.2375
  CHECK(std::get<Measured>(walls_after_bending(duct).at(0)).lo == Approx(1.2375));
  CHECK(std::get<Measured>(developed_lengths(duct).at(0)).lo == Approx(1103.270).epsilon(1e-6));
  const std::vector<Landing> landed = landings(duct, {});
  REQUIRE(landed.size() == 1);
  CHECK_FALSE(landed[0].coupled);
  CHECK(std::get<Measured>(landed[0].left).lo == 0);
}
