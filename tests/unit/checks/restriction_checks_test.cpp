#include <cmath>

#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

TEST_CASE("in.loss: total or static, at the face or at a tap", "[checks]") {
  Case c;
  const duct::Duct duct = laid_out(c.spec, c.bay);
  const auto dirty = std::get<flow::Restriction>(flow::restriction(duct, c.flow, flow::FilterState::dirty));
  const auto readings = gauge_readings(duct, dirty, c.flow);
  const Finding total = c.one("in.loss_dirty");
  CHECK(value_of(total) == Approx(dirty.total.si()));
  CHECK(total.subject == "total loss to the compressor face");
  CHECK(total.verdict == Verdict::met);
  CHECK(std::get<Measured>(total.outcome).band.high() == Approx(dirty.band.high()));
  CHECK(std::get<Measured>(total.outcome).note.find("gauge at tap") != std::string::npos);

  c.sheet.restriction = Sheet::RestrictionMeaning{flow::PressureKind::static_, "tap"};
  CHECK(value_of(c.one("in.loss_dirty")) == Approx(readings[0].reading.si()));
  CHECK(c.one("in.loss_dirty").subject == "gauge at tap");
  c.sheet.restriction = Sheet::RestrictionMeaning{flow::PressureKind::static_, "compressor face"};
  CHECK(value_of(c.one("in.loss_dirty")) == Approx(readings[1].reading.si()));
  c.sheet.restriction = Sheet::RestrictionMeaning{flow::PressureKind::total, "tap"};
  CHECK(value_of(c.one("in.loss_dirty")) == Approx(readings[0].total_loss.si()));

  // Between value - band and value + band the verdict is open.
  c.sheet.restriction = full_sheet().restriction;
  c.sheet.limits["in.loss_dirty"].value = dirty.total.si() + 0.5 * dirty.band.high();
  CHECK(c.one("in.loss_dirty").verdict == Verdict::undecided);
  c.sheet.limits["in.loss_dirty"].value = dirty.total.si() - 1.01 * dirty.band.low();
  CHECK(c.one("in.loss_dirty").verdict == Verdict::not_met);
}

TEST_CASE("in.loss: every missing input", "[checks]") {
  Case c;
  c.sheet.restriction.reset();
  CHECK(missing_of(c.one("in.loss_clean")) == std::vector<std::string>{"sheet/restriction"});
  c = Case();
  c.sheet.restriction->station = "tap-9";
  CHECK(missing_of(c.one("in.loss_clean")) == std::vector<std::string>{"ducts/intake/fittings: restriction tap tap-9"});
  c = Case();
  c.flow.components[0].dirty.reset();
  CHECK(missing_of(c.one("in.loss_dirty")) == std::vector<std::string>{"flow/components/dirty"});
  CHECK(c.one("in.loss_dirty").hint == "give flow/components/dirty");
  CHECK(c.one("in.loss_clean").verdict == Verdict::met);
  c = Case();
  c.flow = {};
  CHECK(missing_of(c.one("in.loss_clean")).size() == 4);
}

TEST_CASE("in.loss: a duct that chokes is not met, with the place", "[checks]") {
  Case c;
  c.flow.raw_air_loss = pascals(0);
  for (auto* curve : {&*c.flow.components[0].clean, &*c.flow.components[0].dirty}) {
    for (auto& p : curve->points) p.loss = pascals(p.flow.si());
  }
  c.flow.rated = kilograms_per_second(0.95);
  const Finding f = c.one("in.loss_clean");
  CHECK(f.verdict == Verdict::not_met);
  REQUIRE(std::holds_alternative<Measured>(f.outcome));
  const Measured& m = std::get<Measured>(f.outcome);
  CHECK(m.note.find("chokes at") != std::string::npos);
  CHECK(std::isinf(m.hi));
  CHECK_FALSE(f.hint.empty());
}
