#include <cmath>

#include "checks/loss_changes.hpp"
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

TEST_CASE("in.loss: a wider tube behind a cone is a change of its own", "[checks]") {
  // The cone leads to a tube of 60 bore, and the compressor would take one of 72.7.
  Case c;
  c.bay.ports[1].bore_mm = 72.7;
  c.bay.ports[1].outer_diameter_mm = 76.2;
  const duct::Duct duct = laid_out(c.spec, c.bay);
  DuctMeasures m;
  measure_restriction(duct, {}, c.flow, m);
  const std::vector<duct::Duct> all{duct};
  const Context context{c.bay, duct, c.flow, c.sheet, m, all, c.workshop, c.answers, c.surroundings};
  const auto changes = loss_changes(context, flow::FilterState::clean);
  const auto found = std::find_if(changes.begin(), changes.end(), [](const LossChange& change) {
    return change.what == "a tube of 76.2 mm outside behind reducer cone";
  });
  REQUIRE(found != changes.end());
  duct::DuctSpec wide = c.spec;
  std::get<duct::Reducer>(wide.fittings[4].kind).to.outer_diameter_mm = 63.5 + 12.7;
  const auto then = flow::restriction(laid_out(wide, c.bay), c.flow, flow::FilterState::clean);
  CHECK(found->saves.si() ==
        Approx((std::get<flow::Restriction>(m.clean).total - std::get<flow::Restriction>(then).total).si()));
}

TEST_CASE("in.loss: the hint of a missed budget says what each change would save, by running it", "[checks]") {
  Case c;
  c.spec.fittings[0].anchor.offset_mm = 10;  // the sensor tube leaves room for a wider bend behind it
  const bool wide_ends = GENERATE(false, true);
  if (wide_ends) {  // between wide ends and without the sensor a wider tube has no steps but the cone's
    c.spec.fittings.erase(c.spec.fittings.begin());
    c.bay.ports[0].bore_mm = 85.6;
    c.bay.ports[0].outer_diameter_mm = 88.9;
  }
  c.sheet.limits["in.loss_clean"].value = 1000;
  const Finding f = c.one("in.loss_clean");
  REQUIRE(f.verdict == Verdict::not_met);
  CHECK(f.hint.find("each on its own would save: ") != std::string::npos);
  CHECK(f.hint.find(" %)") != std::string::npos);  // the largest elements with their share
  CHECK(f.hint.find("(room and bending are not looked at)") != std::string::npos);
  const duct::Duct duct = laid_out(c.spec, c.bay);
  DuctMeasures m;
  measure_restriction(duct, {}, c.flow, m);
  const std::vector<duct::Duct> all{duct};
  const Context context{c.bay, duct, c.flow, c.sheet, m, all, c.workshop, c.answers, c.surroundings};
  const auto changes = loss_changes(context, flow::FilterState::clean);
  const auto saved = [&](const std::string& what) {
    const auto found =
        std::find_if(changes.begin(), changes.end(), [&](const LossChange& change) { return change.what == what; });
    INFO(what);
    REQUIRE(found != changes.end());
    return found->saves.si();
  };
  const double now = std::get<flow::Restriction>(m.clean).total.si();
  const auto total_of = [&](const duct::DuctSpec& spec) {
    return std::get<flow::Restriction>(flow::restriction(laid_out(spec, c.bay), c.flow, flow::FilterState::clean))
        .total.si();
  };
  // Half a bore of 72.9 on top of 114.3.
  duct::DuctSpec wide = c.spec;
  wide.route.points[1].bend_radius_mm = 114.3 + 36.45;
  CHECK(saved("a radius of 150.8 mm at P1") == Approx(now - total_of(wide)));
  // Half an inch wider between ends as they are: what its steps cost is in it, and may be more than it saves.
  duct::DuctSpec tube = c.spec;
  tube.tube.outer_diameter_mm = 76.2 + 12.7;
  CHECK((total_of(tube) < now) == wide_ends);
  const bool named = std::any_of(changes.begin(), changes.end(),
                                 [](const LossChange& change) { return change.what == "a tube of 88.9 mm outside"; });
  CHECK(named == wide_ends);
  if (wide_ends) CHECK(saved("a tube of 88.9 mm outside") == Approx(now - total_of(tube)));
  CHECK(saved("no bend at P1") > saved("a radius of 150.8 mm at P1"));
  for (std::size_t i = 0; i + 1 < changes.size(); ++i) CHECK(changes[i].saves >= changes[i + 1].saves);
  for (const LossChange& change : changes) CHECK(change.saves.si() > 0);
  // Nothing is run where the budget is kept.
  CHECK(Case().one("in.loss_clean").hint.find("would save") == std::string::npos);
}
