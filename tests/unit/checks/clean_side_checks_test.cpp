#include "measure/bore_steps.hpp"
#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

Finding of_subject(const Case& c, const std::string& check, const std::string& subject) {
  for (Finding& f : c.of(check)) {
    if (f.subject == subject) return f;
  }
  FAIL("no finding of " << check << " " << subject);
  return {};
}

duct::Coupler& hose(Case& c, const std::string& id) { return std::get<duct::Coupler>(c.kind(id)); }

}  // namespace

TEST_CASE("in.step: bores on both sides of every joint, by hand", "[checks]") {
  Case c;
  c.bay.ports[0].bore_mm = 71.5;
  std::get<duct::SensorTube>(c.kind("sensor")).tube = {76.2, 3};
  // Port 71.5 against 72.9; sensor tube 70.2 inside 72.9; the humps join tubes of one bore, the second one the port of
  // the compressor, bored 60 like the tube behind the cone.
  CHECK(value_of(of_subject(c, "in.step", "port filter-out")) == Approx((72.9 - 71.5) / 2));
  CHECK(of_subject(c, "in.step", "port filter-out").verdict == Verdict::met);
  CHECK(value_of(of_subject(c, "in.step", "start of sensor tube")) == Approx((72.9 - 70.2) / 2));
  CHECK(of_subject(c, "in.step", "start of sensor tube").verdict == Verdict::not_met);
  CHECK(value_of(of_subject(c, "in.step", "end of sensor tube")) == Approx(1.35));
  CHECK(value_of(of_subject(c, "in.step", "coupler hump-1")) == 0);
  CHECK(value_of(of_subject(c, "in.step", "port compressor-in")) == Approx(0).margin(1e-12));
  CHECK(c.of("in.step").size() == 6);
}

TEST_CASE("in.step: a hose on the port's own spigot joins the tube to the port; a reducing hose is a cone",
          "[checks]") {
  Case c;
  c.remove("hump-2");
  for (duct::Fitting& f : c.spec.fittings) {
    if (f.id.value == "hump-1") f.anchor = {duct::PointId("P2"), 380, false};  // its gap ends at the port
  }
  c.bay.ports[1].bore_mm = 57;
  const duct::Duct duct = laid_out(c.spec, c.bay);
  const auto steps = measure::bore_steps(duct);
  CHECK(steps.back().name == "coupler hump-1");
  CHECK(steps.back().radial_mm == Approx((60 - 57) / 2.0));
  c = Case();
  hose(c, "hump-1").shape = duct::CouplerShape::reducer;
  hose(c, "hump-1").to = duct::TubeSize{70, 1.65};
  for (const Finding& f : c.of("in.step")) CHECK(f.subject != "coupler hump-1");
}

TEST_CASE("in.joints counts hoses and bare ends; one without a clamp is not complete", "[checks]") {
  Case c;
  CHECK(missing_of(c.one("in.joints")) ==
        std::vector<std::string>{"ducts/intake/fittings/hump-1/clamps", "ducts/intake/fittings/hump-2/clamps"});
  const std::vector<duct::HoseClamp> both = {{duct::HoseEnd::upstream, catalog::ClampTypeId("worm-12")},
                                             {duct::HoseEnd::downstream, catalog::ClampTypeId("worm-12")}};
  hose(c, "hump-1").clamps = {both[0]};  // one end is bare, whatever the other hose has
  CHECK(c.one("in.joints").verdict == Verdict::not_met);
  c.sheet.limits["in.joints"].value = 3;  // and too many are too many
  hose(c, "hump-1").clamps.clear();
  CHECK(c.one("in.joints").verdict == Verdict::not_met);
  c.sheet.limits["in.joints"].value = 6;
  hose(c, "hump-1").clamps = hose(c, "hump-2").clamps = both;
  CHECK(value_of(c.one("in.joints")) == 4);
  CHECK(c.one("in.joints").verdict == Verdict::met);
  c.sheet.limits["in.joints"].value = 3;
  CHECK(c.one("in.joints").verdict == Verdict::not_met);
  c.sheet.limits["in.joints"].value = 6;
  hose(c, "hump-2").clamps.pop_back();
  CHECK(c.one("in.joints").verdict == Verdict::not_met);
  CHECK(c.one("in.joints").hint == "add the clamp on hump-2, downstream end");
}

TEST_CASE("in.collapse: one and a half times the gauge behind a hose that nothing reinforces", "[checks]") {
  Case c;
  const std::string at = "ducts/intake/fittings/";
  hose(c, "hump-2").wire = true;
  CHECK(missing_of(of_subject(c, "in.collapse", "hump-1")) ==
        std::vector<std::string>{at + "hump-1/wire", at + "hump-1/plies"});
  hose(c, "hump-1").plies = 4;
  CHECK(c.one("in.collapse").verdict == Verdict::not_applicable);
  hose(c, "hump-1").plies = 3;
  CHECK(missing_of(of_subject(c, "in.collapse", "hump-1")) == std::vector<std::string>{at + "hump-1/wire"});
  hose(c, "hump-1").wire = false;
  // The gauge itself is the one in.loss_dirty is told from: a tap right behind the hose reads the same.
  c.spec.fittings.push_back(fitting("tap-2", "P1", 470, duct::RestrictionTap{}));
  const duct::Duct duct = laid_out(c.spec, c.bay);
  const auto dirty = std::get<flow::Restriction>(flow::restriction(duct, c.flow, flow::FilterState::dirty));
  double tap = 0;
  for (const auto& g : flow::gauge_readings(duct, dirty, c.flow)) {
    if (g.tap == "tap-2") tap = g.reading.si();
  }
  REQUIRE(tap > 1000);
  const double value = value_of(of_subject(c, "in.collapse", "hump-1"));
  CHECK(value < 1.5 * tap);
  CHECK(value > 1.5 * (tap - 60));  // 50 mm of straight tube between them
  c.sheet.limits["in.collapse"].value = value / 2;
  CHECK(of_subject(c, "in.collapse", "hump-1").verdict == Verdict::not_met);
  c.sheet.limits["in.collapse"].value = 2 * value;
  CHECK(of_subject(c, "in.collapse", "hump-1").verdict == Verdict::met);
  c.flow.rated.reset();
  CHECK(missing_of(of_subject(c, "in.collapse", "hump-1")) == std::vector<std::string>{"flow/rated_kg_per_s"});
}

TEST_CASE("in.media: dry, fine enough, large enough", "[checks]") {
  Case c;
  CHECK(missing_of(c.one("in.media")) == std::vector<std::string>{"flow/components/element"});
  auto& element = c.flow.components[0].element.emplace();
  const std::string at = "flow/components/element/";
  CHECK(missing_of(of_subject(c, "in.media", "kind of element")) == std::vector<std::string>{at + "kind"});
  CHECK(missing_of(of_subject(c, "in.media", "efficiency")) == std::vector<std::string>{at + "efficiency"});
  CHECK(missing_of(of_subject(c, "in.media", "flow")) == std::vector<std::string>{at + "rated_m3_per_s"});
  element = {true, 0.9995, cubic_metres_per_second(0.14)};
  // 0.15 kg/s at 99 kPa and 25 degC: density 99000 / (287.055 * 298.15).
  const double drawn = 0.15 / (99000 / (287.055 * 298.15));
  CHECK(value_of(of_subject(c, "in.media", "flow")) == Approx(0.14 / drawn));
  for (const Finding& f : c.of("in.media")) CHECK(f.verdict == Verdict::met);
  element = {false, 0.998, cubic_metres_per_second(0.12)};
  for (const Finding& f : c.of("in.media")) CHECK(f.verdict == Verdict::not_met);
  c.sheet.limits.erase("in.media.efficiency");
  CHECK(missing_of(of_subject(c, "in.media", "efficiency")) ==
        std::vector<std::string>{"sheet/limits/in.media.efficiency"});
}

TEST_CASE("br.oil: hoses behind the breather, not those ahead", "[checks]") {
  Case c;  // breather ahead of both humps
  const std::string at = "ducts/intake/fittings/";
  CHECK(missing_of(of_subject(c, "br.oil", "hump-1")) == std::vector<std::string>{at + "hump-1/material"});
  hose(c, "hump-1").material = catalog::HoseMaterialId("nbr");
  hose(c, "hump-2").material = catalog::HoseMaterialId("epdm");
  CHECK(of_subject(c, "br.oil", "hump-1").verdict == Verdict::met);
  CHECK(of_subject(c, "br.oil", "hump-2").verdict == Verdict::not_met);
  for (duct::Fitting& f : c.spec.fittings) {
    if (f.id.value == "breather") f.anchor = {duct::PointId("P2"), 180, false};  // between the humps
  }
  const auto found = c.of("br.oil");
  REQUIRE(found.size() == 1);  // of hump-1 nobody asks
  CHECK(of_subject(c, "br.oil", "hump-2").verdict == Verdict::not_met);
  c.remove("breather");
  CHECK(missing_of(c.one("br.oil")) == std::vector<std::string>{"ducts/intake/fittings: branch port"});
  c.spec.no_breather = true;
  CHECK(c.one("br.oil").verdict == Verdict::not_applicable);
}
