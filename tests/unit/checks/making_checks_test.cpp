#include <algorithm>

#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

TEST_CASE("fb.grip: the worked bend table fails on its two middle straights", "[checks]") {
  Case c;
  const std::vector<Vec3> points = {{0, 0, 0}, {300, 0, 0}, {300, 320, 80}, {620, 420, 80}, {620, 420, -180}};
  c.spec.route.points.clear();
  for (std::size_t i = 0; i < points.size(); ++i) {
    const bool inner = i > 0 && i + 1 < points.size();
    std::string id = "P";
    id += std::to_string(i);
    c.spec.route.points.push_back({duct::PointId(id), points[i], inner ? 114.3 : 0.0});
  }
  c.spec.fittings.clear();
  c.bay.ports[1].center_mm = points.back();
  c.bay.ports[1].axis = Vec3::UnitZ();
  c.bay.ports[1].outer_diameter_mm = 76.2;
  const auto found = c.of("fb.grip");
  REQUIRE(found.size() == 2);
  std::vector<double> ratios = {value_of(found[0]), value_of(found[1])};
  std::sort(ratios.begin(), ratios.end());
  CHECK(ratios[0] == Approx(130.693 / 76.2).epsilon(1e-5));
  CHECK(ratios[1] == Approx(136.106 / 76.2).epsilon(1e-5));
  for (const Finding& f : found) CHECK(f.verdict == Verdict::not_met);
  c.sheet.limits["fb.grip"].value = 1.7;
  for (const Finding& f : c.of("fb.grip")) CHECK(f.verdict == Verdict::met);
}
