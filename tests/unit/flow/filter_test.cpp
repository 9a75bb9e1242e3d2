#include "flow/filter.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "flow/air.hpp"

using namespace baywright;
using namespace baywright::flow;

namespace {

FilterCurve curve(std::vector<std::pair<double, double>> flow_and_loss) {
  FilterCurve c;
  for (const auto& [q, dp] : flow_and_loss) c.points.push_back({cubic_metres_per_second(q), pascals(dp)});
  return c;
}

/// Points of a Q + b Q^2.
FilterCurve exact(double a, double b) {
  FilterCurve c;
  for (const double q : {0.05, 0.08, 0.10, 0.13, 0.15}) {
    c.points.push_back({cubic_metres_per_second(q), pascals(a * q + b * q * q)});
  }
  return c;
}

const double kNaN = std::numeric_limits<double>::quiet_NaN();

}  // namespace

TEST_CASE("a curve that is none is refused", "[filter]") {
  CHECK_FALSE(fit(curve({})));
  CHECK_FALSE(fit(curve({{0.1, 900}, {0.15, 2000}})));
  CHECK_FALSE(fit(curve({{0.05, 300}, {0.05, 600}, {0.1, 900}})));
  CHECK_FALSE(fit(curve({{0.05, 300}, {0.08, 300}, {0.1, 900}})));
  CHECK_FALSE(fit(curve({{0.05, 300}, {0.08, 250}, {0.1, 900}})));
  CHECK_FALSE(fit(curve({{0.0, 0}, {0.08, 300}, {0.1, 900}})));
  CHECK_FALSE(fit(curve({{0.05, 300}, {0.08, kNaN}, {0.1, 900}})));
  FilterCurve c = exact(5000, 60000);
  c.reference_density_kg_m3 = 0;
  CHECK_FALSE(fit(c));
  c = exact(5000, 60000);
  c.kind = PressureKind::static_;
  CHECK_FALSE(fit(c));    // no outlet bore
  c.outlet_bore_mm = 30;  // dynamic pressure far above the stated loss
  CHECK_FALSE(fit(c));
}

TEST_CASE("an exact curve comes back", "[filter]") {
  const auto f = fit(exact(5000, 60000));
  REQUIRE(f);
  CHECK(f->a == Approx(5000));
  CHECK(f->b == Approx(60000));
  CHECK(f->worst_relative_error == Approx(0).margin(1e-12));
  CHECK(f->lowest.si() == 0.05);
  CHECK(f->highest.si() == 0.15);
}

TEST_CASE("coefficients never turn negative", "[filter]") {
  const auto steep = fit(curve({{0.05, 100}, {0.10, 800}, {0.15, 2700}}));  // cubic
  REQUIRE(steep);
  CHECK(steep->a == 0);
  CHECK(steep->b > 0);
  const auto flat = fit(curve({{0.05, 300}, {0.10, 420}, {0.15, 500}}));  // bends down
  REQUIRE(flat);
  CHECK(flat->b == 0);
  CHECK(flat->a > 0);
  CHECK(flat->worst_relative_error > 0.1);
}

TEST_CASE("the demo's curve fits within 1 %", "[filter]") {
  const auto clean = fit(curve({{0.05, 300}, {0.08, 660}, {0.10, 970}, {0.13, 1550}, {0.15, 2020}}));
  const auto dirty = fit(curve({{0.05, 910}, {0.08, 1640}, {0.10, 2200}, {0.13, 3150}, {0.15, 3860}}));
  REQUIRE(clean);
  REQUIRE(dirty);
  CHECK(clean->worst_relative_error < 0.01);
  CHECK(dirty->worst_relative_error < 0.01);
  CHECK(dirty->a > clean->a);
}

TEST_CASE("a static curve loses the dynamic pressure at its outlet", "[filter]") {
  FilterCurve total = exact(5000, 60000);
  FilterCurve wall = total;
  wall.kind = PressureKind::static_;
  wall.outlet_bore_mm = 72.9;
  const double area = M_PI / 4 * 0.0729 * 0.0729;
  for (auto& p : wall.points) p.loss = p.loss + pascals(0.5 * 1.2 * std::pow(p.flow.si() / area, 2));
  const auto a = fit(total);
  const auto b = fit(wall);
  REQUIRE(a);
  REQUIRE(b);
  CHECK(b->a == Approx(a->a));
  CHECK(b->b == Approx(a->b));
}

TEST_CASE("loss scales with viscosity and density", "[filter]") {
  FilterFit f;
  f.a = 5000;
  f.b = 60000;
  const double mu0 = viscosity_Pa_s(celsius(20));
  CHECK(filter_loss_Pa(f, 1.2, cubic_metres_per_second(0.1), 1.2, mu0) == Approx(500 + 600));
  CHECK(filter_loss_Pa(f, 1.2, cubic_metres_per_second(0.1), 1.2, 2 * mu0) == Approx(1000 + 600));
  CHECK(filter_loss_Pa(f, 1.2, cubic_metres_per_second(0.1), 0.6, mu0) == Approx(500 + 300));
  // Same mass flow in thinner air: Q grows by rho0 / rho, so the quadratic part grows by the same ratio.
  f.a = 0;
  CHECK(filter_loss_Pa(f, 1.2, cubic_metres_per_second(0.1 * 1.2 / 0.9), 0.9, mu0) == Approx(600 * 1.2 / 0.9));
}
