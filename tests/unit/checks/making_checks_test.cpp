#include <algorithm>

#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

TEST_CASE("fx.every wants a soft joint between vehicle and engine", "[checks]") {
  Case c;
  CHECK(value_of(c.one("fx.every")) == 1);
  CHECK(c.one("fx.every").verdict == Verdict::met);
  CHECK(c.one("fx.every").subject == "vehicle to engine");
  c.remove("hump-1");
  c.remove("hump-2");
  CHECK(value_of(c.one("fx.every")) == 0);
  CHECK(c.one("fx.every").verdict == Verdict::not_met);
  CHECK(c.one("fx.every").hint == "put a hump coupler between port filter-out and port compressor-in");
  c.bay.ports[1].body = 0;
  CHECK(c.one("fx.every").verdict == Verdict::not_applicable);
}

TEST_CASE("fx.every: a joint that takes no stated movement is not checked", "[checks]") {
  Case c;
  auto& hump = std::get<duct::Coupler>(c.kind("hump-1"));
  hump.lateral_mm = 0;
  CHECK(missing_of(c.one("fx.every")) == std::vector<std::string>{"ducts/intake/fittings/hump-1/lateral_mm"});
  CHECK(c.one("fx.every").hint == "give ducts/intake/fittings/hump-1/lateral_mm");
  hump.axial_mm = 0;
  hump.angle = Angle();
  std::get<duct::Coupler>(c.kind("hump-2")).axial_mm = 0;
  const std::string fittings = "ducts/intake/fittings/";
  CHECK(missing_of(c.one("fx.every")) ==
        std::vector<std::string>{fittings + "hump-1/axial_mm", fittings + "hump-1/lateral_mm",
                                 fittings + "hump-1/angle_deg", fittings + "hump-2/axial_mm"});
}

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
