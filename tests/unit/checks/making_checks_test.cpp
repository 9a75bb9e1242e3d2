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

TEST_CASE("fb.radius counts the dies of each tube", "[checks]") {
  Case c;
  c.remove("hump-1");
  c.remove("hump-2");  // one tube from filter to compressor
  REQUIRE(c.of("fb.radius").size() == 1);
  CHECK(value_of(c.one("fb.radius")) == 1);
  CHECK(c.one("fb.radius").verdict == Verdict::met);
  c.spec.route.points[2].bend_radius_mm = 140;
  CHECK(value_of(c.one("fb.radius")) == 2);
  CHECK(c.one("fb.radius").verdict == Verdict::not_met);
}

TEST_CASE("fb.thin holds each metal against its own limit", "[checks]") {
  Case c;
  for (const Finding& f : c.of("fb.thin")) CHECK(missing_of(f) == std::vector<std::string>{"ducts/intake/metal"});
  c.spec.metal = duct::Metal::aluminium;
  for (const Finding& f : c.of("fb.thin")) {
    CHECK(value_of(f) == Approx(1.2375));  // 1.65 x 114.3 / 152.4
    CHECK(f.verdict == Verdict::met);
  }
  c.spec.tube.wall_mm = 1.5;  // 1.125: enough for steel, not for aluminium
  c.remove("sensor");
  CHECK(c.of("fb.thin").front().verdict == Verdict::not_met);
  c.spec.metal = duct::Metal::stainless_steel;
  CHECK(c.of("fb.thin").front().verdict == Verdict::met);
  c.sheet.limits.erase("fb.thin.aluminium");
  c.spec.metal = duct::Metal::aluminium;
  CHECK(missing_of(c.of("fb.thin").front()) == std::vector<std::string>{"sheet/limits/fb.thin.aluminium"});
}

TEST_CASE("fb.stock: each tube's own length", "[checks]") {
  Case c;
  double sum = 0;
  for (const Finding& f : c.of("fb.stock")) sum += value_of(f);
  CHECK(sum == Approx(1161.9).margin(0.1));  // legs and bends of the example less the gaps of two humps
  c.sheet.limits["fb.stock"].value = 10;
  for (const Finding& f : c.of("fb.stock")) CHECK(f.verdict == Verdict::not_met);
}

TEST_CASE("fb.stack: what couplers leave against where a free end may lie", "[checks]") {
  Case c;
  c.engine_moves();
  c.spec.bending = duct::BendingTolerance{degrees(0.1), degrees(0.1), 0.3};
  for (const Finding& f : c.of("fb.stack")) CHECK(missing_of(f) == std::vector<std::string>{"ducts/intake/made"});
  c.spec.made = duct::Making::one_bend_program;
  const auto landed = c.of("fb.stack");
  REQUIRE(landed.size() == 2);
  for (const Finding& f : landed) {
    CHECK(f.verdict == Verdict::met);
    CHECK(value_of(f) < 20);  // two humps take 10 each, the motion has its part and the tube may be off
    CHECK(value_of(f) > 0);
  }
  c.spec.bending->angle = degrees(10);
  for (const Finding& f : c.of("fb.stack")) CHECK(f.verdict == Verdict::not_met);
  c.spec.bending.reset();
  for (const Finding& f : c.of("fb.stack")) CHECK(missing_of(f) == std::vector<std::string>{"ducts/intake/bending"});
  std::get<duct::Coupler>(c.kind("hump-1")).lateral_mm = 0;
  for (const Finding& f : c.of("fb.stack")) {
    CHECK(missing_of(f) == std::vector<std::string>{"ducts/intake/fittings/hump-1/lateral_mm"});
  }
  c.spec.made = duct::Making::tacked_in_place;
  CHECK(c.one("fb.stack").verdict == Verdict::not_applicable);
  c.spec.made = duct::Making::one_bend_program;
  c.remove("hump-1");
  c.remove("hump-2");  // held by filter and compressor, nothing takes anything up
  CHECK(c.one("fb.stack").verdict == Verdict::not_met);
}

TEST_CASE("fb.end: the straight from the tube's end to its bend, with and without a bead", "[checks]") {
  Case c;
  const auto ends = c.of("fb.end");
  REQUIRE(ends.size() == 3);  // hump-1 has a bent tube on both sides, hump-2 one ahead of it
  for (const Finding& f : ends) CHECK(f.verdict == Verdict::not_checked);
  const auto state = [&](const char* coupler, bool no_bead) {
    std::get<duct::Coupler>(c.kind(coupler)).tube_ends = {{duct::HoseEnd::upstream, no_bead, 5, 2, 6},
                                                          {duct::HoseEnd::downstream, no_bead, 5, 2, 6}};
  };
  state("hump-1", false);
  state("hump-2", false);
  // hump-1 begins 400 behind P1: less the bend's set-back of 114.3. Behind its gap of 20 the bend at P2 begins at 600 -
  // 114.3.
  const auto length_under = [&](const std::string& subject) {
    for (const Finding& f : c.of("fb.end")) {
      if (f.subject == subject) return value_of(f);
    }
    FAIL("no " << subject);
    return 0.0;
  };
  CHECK(length_under("tube under hump-1, upstream end") == Approx(400 - 114.3));
  CHECK(length_under("tube under hump-1, downstream end") == Approx(600 - 114.3 - 420));
  for (const Finding& f : c.of("fb.end")) {
    CHECK((f.verdict == Verdict::met) == (value_of(f) >= 102));
    CHECK(f.limit->value == 102);
  }
  state("hump-1", true);  // plain ends of 25: 65.7 will do
  for (const Finding& f : c.of("fb.end")) {
    if (f.subject.find("hump-1") != std::string::npos) CHECK(f.verdict == Verdict::met);
  }
  c.sheet.limits.erase("fb.end");
  CHECK(missing_of(c.of("fb.end").front()) == std::vector<std::string>{"sheet/limits/fb.end"});
}
