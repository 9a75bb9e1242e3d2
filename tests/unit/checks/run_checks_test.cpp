#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "checks/check.hpp"
#include "checks/clearance_hint.hpp"
#include "checks/evaluation.hpp"
#include "tests/support/example_intake.hpp"

using namespace baywright;
using namespace baywright::checks;
using measure::Measured;
using measure::NotAssessed;
using test::example_bay;
using test::example_flow;
using test::example_spec;
using test::laid_out;

namespace {

Limit limit(Comparison sense, double value, Unit unit) {
  return {sense, value, unit, {Origin::Kind::shop_rule, "test"}};
}

/// Every limit at its common value.
Sheet full_sheet() {
  Sheet sheet;
  sheet.limits = {{"in.bends", limit(Comparison::at_most, 3, Unit::count)},
                  {"in.turn", limit(Comparison::at_most, 270, Unit::degree)},
                  {"in.radius", limit(Comparison::at_least, 1.5, Unit::ratio)},
                  {"in.taper", limit(Comparison::at_most, 15, Unit::degree)},
                  {"in.taper.expansion", limit(Comparison::at_most, 7, Unit::degree)},
                  {"in.loss_clean", limit(Comparison::at_most, 3740, Unit::pascal)},
                  {"in.loss_dirty", limit(Comparison::at_most, 4980, Unit::pascal)},
                  {"sn.up", limit(Comparison::at_least, 101.6, Unit::mm)},
                  {"sn.down", limit(Comparison::at_least, 76.2, Unit::mm)},
                  {"sn.clock", limit(Comparison::at_most, 45, Unit::degree)},
                  {"sn.bottom", limit(Comparison::below, 90, Unit::degree)},
                  {"br.after", limit(Comparison::at_least, 228.6, Unit::mm)},
                  {"br.before", limit(Comparison::at_least, 304.8, Unit::mm)},
                  {"fx.every", limit(Comparison::at_least, 1, Unit::none)},
                  {"fb.grip", limit(Comparison::at_least, 2, Unit::ratio)}};
  const Origin origin{Origin::Kind::shop_rule, "test"};
  sheet.clearance = {{bay::PartClass::plain, 6, 20, 8, origin}, {bay::PartClass::hot, 25, 25, 25, origin}};
  sheet.restriction = Sheet::RestrictionMeaning{flow::PressureKind::total, "compressor face"};
  return sheet;
}

/// Bay, duct and measures that a test may bend before the checks run. Clearances are put in by hand.
struct Case {
  bay::Bay bay = example_bay();
  duct::DuctSpec spec = example_spec();
  flow::FlowInputs flow = example_flow();
  Sheet sheet = full_sheet();
  measure::ClearanceReport at_rest, over_motion;

  std::vector<Finding> findings() const {
    const duct::Duct duct = laid_out(spec, bay);
    DuctMeasures m;
    m.at_rest = at_rest;
    m.over_motion = over_motion;
    m.clean = flow::restriction(duct, flow, flow::FilterState::clean);
    m.dirty = flow::restriction(duct, flow, flow::FilterState::dirty);
    if (const auto* r = std::get_if<flow::Restriction>(&m.clean)) m.gauge_clean = gauge_readings(duct, *r, flow);
    if (const auto* r = std::get_if<flow::Restriction>(&m.dirty)) m.gauge_dirty = gauge_readings(duct, *r, flow);
    return run_checks(bay, duct, flow, sheet, m);
  }
  std::vector<Finding> of(const std::string& id) const {
    std::vector<Finding> found;
    for (Finding& f : findings()) {
      if (f.check == id) found.push_back(std::move(f));
    }
    return found;
  }
  Finding one(const std::string& id) const {
    const auto found = of(id);
    INFO(id);
    REQUIRE(found.size() == 1);
    return found[0];
  }
  duct::FittingKind& kind(const std::string& id) {
    const auto found = std::find_if(spec.fittings.begin(), spec.fittings.end(),
                                    [&](const duct::Fitting& f) { return f.id.value == id; });
    REQUIRE(found != spec.fittings.end());
    return found->kind;
  }
  void remove(const std::string& id) {
    spec.fittings.erase(std::remove_if(spec.fittings.begin(), spec.fittings.end(),
                                       [&](const duct::Fitting& f) { return f.id.value == id; }),
                        spec.fittings.end());
  }
  int add_part(const std::string& name, bay::PartClass part_class, BodyIndex body) {
    bay::Part part;
    part.id = bay::PartId(name);
    part.name = name;
    part.part_class = part_class;
    part.body = body;
    bay.parts.push_back(part);
    return static_cast<int>(bay.parts.size()) - 1;
  }
  void engine_moves() {
    MotionMember member;
    member.name = "bump";
    member.joints = {{Joint::Kind::translation, Vec3::UnitZ(), Vec3::Zero()}};
    member.to = {-6};
    bay.bodies[1].motion = MotionSet({member});
  }
};

measure::PairClearance pair(int piece, int part, double value_mm, double u_mm = 0) {
  measure::PairClearance p;
  p.piece = piece;
  p.part = part;
  p.value = Measured::exact(value_mm, Unit::mm);
  if (u_mm > 0) p.value.band.add({"scan", Contribution::Kind::standard, u_mm, u_mm, ""});
  return p;
}

double value_of(const Finding& f) {
  INFO(f.check << " " << f.subject);
  REQUIRE(std::holds_alternative<Measured>(f.outcome));
  return std::get<Measured>(f.outcome).lo;
}

std::vector<std::string> missing_of(const Finding& f) {
  CHECK(f.verdict == Verdict::not_checked);
  REQUIRE(std::holds_alternative<NotAssessed>(f.outcome));
  return std::get<NotAssessed>(f.outcome).missing;
}

}  // namespace

TEST_CASE("an empty sheet checks nothing and says which limit is missing", "[checks]") {
  Case c;
  c.sheet = Sheet{};
  for (const Finding& f : c.findings()) {
    INFO(f.check);
    CHECK((f.verdict == Verdict::not_checked || f.verdict == Verdict::not_applicable));
    if (f.verdict == Verdict::not_checked) CHECK_FALSE(f.hint.empty());
  }
  CHECK(c.one("sn.up").hint.find("sheet/limits/sn.up") != std::string::npos);
  CHECK(missing_of(c.one("in.loss_clean")) == std::vector<std::string>{"sheet/restriction"});
}

TEST_CASE("every check of the registry gives a finding on every duct", "[checks]") {
  Case c;
  const auto all = c.findings();
  for (const CheckDef& check : registry()) {
    INFO(check.id);
    CHECK(std::any_of(all.begin(), all.end(), [&](const Finding& f) { return f.check == check.id; }));
  }
  Case breather;
  breather.spec.service = duct::Service::breather;
  CHECK(breather.one("sn.up").verdict == Verdict::not_applicable);
  CHECK(breather.one("fb.grip").verdict == Verdict::not_applicable);  // hump between its two bends
}

TEST_CASE("in.bends, in.turn and in.radius", "[checks]") {
  Case c;
  CHECK(value_of(c.one("in.bends")) == 2);
  CHECK(c.one("in.bends").verdict == Verdict::met);
  CHECK(c.one("in.bends").hint.empty());
  CHECK(value_of(c.one("in.turn")) == Approx(180));
  CHECK(c.one("in.turn").verdict == Verdict::met);
  CHECK(value_of(c.one("in.radius")) == Approx(114.3 / 76.2));
  CHECK(c.one("in.radius").verdict == Verdict::met);  // exactly 1.5

  c.sheet.limits["in.bends"].value = 1;
  c.sheet.limits["in.turn"].value = 179;
  c.spec.route.points[2].bend_radius_mm = 76.2;
  CHECK(c.one("in.bends").verdict == Verdict::not_met);
  CHECK_FALSE(c.one("in.bends").hint.empty());
  CHECK(c.one("in.turn").verdict == Verdict::not_met);
  CHECK(c.one("in.radius").verdict == Verdict::not_met);
  CHECK(value_of(c.one("in.radius")) == Approx(1.0));
  CHECK(c.one("in.radius").subject == "bend at P2");

  // No bend at all: nothing to hold against a radius.
  c.spec.route.points = {{duct::PointId("P0"), {0, 0, 0}, 0}, {duct::PointId("P3"), {900, 0, 0}, 0}};
  c.spec.fittings.clear();
  c.bay.ports[1].center_mm = {900, 0, 0};
  c.bay.ports[1].axis = -Vec3::UnitX();
  c.bay.ports[1].outer_diameter_mm = 76.2;
  CHECK(value_of(c.one("in.bends")) == 0);
  CHECK(c.one("in.radius").verdict == Verdict::not_applicable);
}

TEST_CASE("in.taper narrows and widens against two limits", "[checks]") {
  Case c;
  const double half = std::atan((72.9 - 60.0) / (2 * 60)) * 180 / M_PI;  // 6.1 degrees
  CHECK(value_of(c.one("in.taper")) == Approx(half));
  CHECK(c.one("in.taper").verdict == Verdict::met);
  std::get<duct::Reducer>(c.kind("cone")).length_mm = 20;
  CHECK(c.one("in.taper").verdict == Verdict::not_met);  // 17.9 degrees

  Case wide;
  wide.spec.tube = {63.5, 1.75};
  wide.bay.ports[0].outer_diameter_mm = 63.5;
  wide.bay.ports[1].outer_diameter_mm = 76.2;
  std::get<duct::SensorTube>(wide.kind("sensor")).tube = {63.5, 1.75};
  std::get<duct::Reducer>(wide.kind("cone")).to = {76.2, 1.65};
  CHECK(value_of(wide.one("in.taper")) == Approx(half));
  CHECK(wide.one("in.taper").limit->value == 7);
  CHECK(wide.one("in.taper").verdict == Verdict::met);
  std::get<duct::Reducer>(wide.kind("cone")).length_mm = 40;  // 9.2 degrees: fine for a contraction, not for this
  CHECK(wide.one("in.taper").verdict == Verdict::not_met);
  wide.sheet.limits.erase("in.taper.expansion");
  CHECK(missing_of(wide.one("in.taper")) == std::vector<std::string>{"sheet/limits/in.taper.expansion"});

  // A hose that reduces over its gap instead of the cone: 20 mm, 17.9 degrees; over no gap it is a step.
  Case hose;
  hose.remove("cone");
  auto& reducing = std::get<duct::Coupler>(hose.kind("hump-2"));
  reducing.shape = duct::CouplerShape::reducer;
  reducing.to = duct::TubeSize{63.5, 1.75};
  CHECK(hose.one("in.taper").subject == "reducing hose hump-2");
  CHECK(value_of(hose.one("in.taper")) == Approx(std::atan((72.9 - 60.0) / (2 * 20)) * 180 / M_PI));
  CHECK(hose.one("in.taper").verdict == Verdict::not_met);
  reducing.gap_mm = 30;
  CHECK(hose.one("in.taper").verdict == Verdict::met);
  reducing.gap_mm = 0;
  CHECK(value_of(hose.one("in.taper")) == Approx(90));

  c.remove("cone");
  c.bay.ports[1].outer_diameter_mm = 76.2;
  CHECK(c.one("in.taper").verdict == Verdict::not_applicable);
}

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

TEST_CASE("sn.up and sn.down end at bends and joints", "[checks]") {
  Case c;
  // Sensor at station 30 + 70 = 100; leg 0 runs from 0 to 185.7.
  CHECK(value_of(c.one("sn.up")) == Approx(100));
  CHECK(c.one("sn.up").verdict == Verdict::not_met);  // 101.6 needed
  CHECK(value_of(c.one("sn.down")) == Approx(85.7));
  CHECK(c.one("sn.down").verdict == Verdict::met);
  c.spec.fittings[0].anchor.offset_mm = 31.6;
  CHECK(c.one("sn.up").verdict == Verdict::met);
  c.spec.fittings[0].anchor.offset_mm = 60;  // ends at 180, sensor at 130
  CHECK(value_of(c.one("sn.down")) == Approx(55.7));
  CHECK(c.one("sn.down").verdict == Verdict::not_met);
  c.remove("sensor");
  for (const char* id : {"sn.up", "sn.down", "sn.clock", "sn.bottom", "br.after"}) {
    CHECK(missing_of(c.one(id)) == std::vector<std::string>{"ducts/intake/fittings: sensor tube"});
  }
}

TEST_CASE("sn.clock and sn.bottom", "[checks]") {
  Case c;
  const auto clock = [&](double degree) {
    std::get<duct::SensorTube>(c.kind("sensor")).clock = degrees(degree);
    return std::pair(c.one("sn.clock"), c.one("sn.bottom"));
  };
  CHECK(value_of(clock(0).first) == Approx(0).margin(1e-9));
  CHECK(value_of(clock(30).first) == Approx(30));
  CHECK(clock(30).first.verdict == Verdict::met);
  CHECK(value_of(clock(-70).first) == Approx(70));
  CHECK(clock(-70).first.verdict == Verdict::not_met);
  CHECK(clock(-70).second.verdict == Verdict::met);
  for (const double side : {90.0, -90.0}) CHECK(clock(side).second.verdict == Verdict::not_met);
  CHECK(clock(89.99).second.verdict == Verdict::met);
  CHECK(clock(100).second.verdict == Verdict::not_met);
  CHECK(clock(100).second.severity == Severity::major);
  CHECK(clock(140).second.severity == Severity::blocker);
  CHECK(clock(140).second.verdict == Verdict::not_met);
  // Rolled 10 degrees to the left: the worst attitude counts.
  c.bay.attitudes.push_back({"bank", {}, degrees(10)});
  c.bay.attitudes.push_back({"other bank", {}, degrees(-10)});
  CHECK(value_of(clock(40).first) == Approx(50));
  CHECK(clock(40).first.verdict == Verdict::not_met);
}

TEST_CASE("br.after and br.before", "[checks]") {
  Case c;
  const double arc = 114.3 * M_PI / 2;
  // Breather 300 behind P1 on leg 1: station 185.7 + arc + 300 - 114.3.
  const double station = 185.7 + arc + 185.7;
  CHECK(value_of(c.one("br.after")) == Approx(station - 100));
  CHECK(c.one("br.after").verdict == Verdict::met);
  const double length = 185.7 + 371.4 + 285.7 + 2 * arc;
  CHECK(value_of(c.one("br.before")) == Approx(length - station));
  CHECK(c.one("br.before").verdict == Verdict::met);
  // Sensor at 240, breather at 470, face at 770: 230 behind is enough (228.6), 300 ahead is not (304.8).
  CHECK(decide(Measured::exact(470 - 240, Unit::mm), c.sheet.limits["br.after"]) == Verdict::met);
  CHECK(decide(Measured::exact(770 - 470, Unit::mm), c.sheet.limits["br.before"]) == Verdict::not_met);
  c.remove("breather");
  CHECK(missing_of(c.one("br.after")) == std::vector<std::string>{"ducts/intake/fittings: branch port"});
  CHECK(missing_of(c.one("br.before")) == std::vector<std::string>{"ducts/intake/fittings: branch port"});
}

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

TEST_CASE("cr: an empty bay is no pass", "[checks][clearance]") {
  Case c;
  CHECK(missing_of(c.one("cr.static")) == std::vector<std::string>{"parts"});
  CHECK(missing_of(c.one("cr.motion")) == std::vector<std::string>{"parts"});
}

TEST_CASE("cr: one finding per part, and every pair that is not met", "[checks][clearance]") {
  Case c;
  c.engine_moves();
  const int rail = c.add_part("Rail", bay::PartClass::plain, 0);
  const int manifold = c.add_part("Manifold", bay::PartClass::hot, 1);
  c.at_rest.pairs = {pair(0, rail, 50),     pair(2, rail, 30),        pair(4, rail, 40),
                     pair(0, manifold, 20), pair(2, manifold, 24, 2), pair(4, manifold, 90)};
  const auto found = c.of("cr.static");
  REQUIRE(found.size() == 3);
  CHECK(found[0].verdict == Verdict::not_met);  // 20 of 25
  CHECK(found[0].part == bay::PartId("Manifold"));
  CHECK(found[0].limit->value == 25);
  CHECK(found[1].verdict == Verdict::undecided);  // 24 +- 4
  CHECK(found[2].verdict == Verdict::met);
  CHECK(value_of(found[2]) == 30);
  CHECK(found[2].hint.empty());
  CHECK(found[2].subject.find(" - Rail") != std::string::npos);
}

TEST_CASE("cr: same body, at rest and over motion have limits of their own", "[checks][clearance]") {
  Case c;
  c.engine_moves();
  const int cover = c.add_part("Cover", bay::PartClass::plain, 1);
  auto same = pair(4, cover, 7);
  same.same_carrier = true;
  c.at_rest.pairs = {same};
  c.over_motion.pairs = {same};
  CHECK(c.one("cr.static").limit->value == 6);
  CHECK(c.one("cr.static").verdict == Verdict::met);
  CHECK(c.one("cr.motion").verdict == Verdict::not_applicable);  // they keep their distance
  c.at_rest.pairs[0].same_carrier = c.over_motion.pairs[0].same_carrier = false;
  CHECK(c.one("cr.static").limit->value == 20);
  CHECK(c.one("cr.static").verdict == Verdict::not_met);
  CHECK(c.one("cr.motion").limit->value == 8);
  CHECK(c.one("cr.motion").verdict == Verdict::not_met);
}

TEST_CASE("cr: hoses and clamps have limits of their own", "[checks][clearance]") {
  Case c;
  std::get<duct::Coupler>(c.kind("hump-2")).clamp_height_mm = 4;
  const auto pieces = laid_out(c.spec, c.bay).layout.pieces;
  const auto index = [&](duct::Piece::Kind kind) {
    const auto found = std::find_if(pieces.begin(), pieces.end(), [&](const duct::Piece& p) { return p.kind == kind; });
    REQUIRE(found != pieces.end());
    return static_cast<int>(found - pieces.begin());
  };
  const int tube = index(duct::Piece::Kind::tube), hose = index(duct::Piece::Kind::coupler);
  const int clamps = index(duct::Piece::Kind::clamps);
  const int exhaust = c.add_part("Exhaust", bay::PartClass::hot, 1);
  const auto verdict = [&](int piece, double mm) {
    c.at_rest.pairs = {pair(piece, exhaust, mm)};
    return c.one("cr.static").verdict;
  };
  // Metal tube 25 mm from the exhaust; what a hose needs the sheet does not say.
  CHECK(verdict(tube, 32.4) == Verdict::met);
  CHECK(verdict(clamps, 32.4) == Verdict::met);
  CHECK(verdict(hose, 32.4) == Verdict::not_checked);
  CHECK(c.one("cr.static").hint.find("no value for hoses") != std::string::npos);
  CHECK(verdict(hose, 500) == Verdict::not_checked);
  // A tube that is nearer and met does not hide it.
  c.at_rest.pairs = {pair(tube, exhaust, 32.4), pair(hose, exhaust, 40)};
  REQUIRE(c.of("cr.static").size() == 2);
  CHECK(c.of("cr.static")[0].verdict == Verdict::not_checked);
  CHECK(c.of("cr.static")[1].verdict == Verdict::met);
  const Origin origin{Origin::Kind::published, "test"};
  ClearanceRow& hot = c.sheet.clearance[1];
  hot.hose = ClearanceNeed{76, 76, 76, origin};
  CHECK(verdict(hose, 32.4) == Verdict::not_met);
  CHECK(c.one("cr.static").limit->value == 76);
  CHECK(c.one("cr.static").limit->origin == origin);
  CHECK(verdict(hose, 76) == Verdict::met);
  CHECK(verdict(tube, 32.4) == Verdict::met);
  hot.clamp = ClearanceNeed{5, 40, 6, origin};
  CHECK(verdict(clamps, 32.4) == Verdict::not_met);
  // Other classes: the row holds for hoses where it names none for them.
  const int rail = c.add_part("Rail", bay::PartClass::plain, 1);
  c.at_rest.pairs = {pair(hose, rail, 19)};
  CHECK(c.one("cr.static").verdict == Verdict::not_met);
  CHECK(c.one("cr.static").limit->value == 20);
}

TEST_CASE("cr.motion without a stated motion is not checked", "[checks][clearance]") {
  Case c;
  const int rail = c.add_part("Rail", bay::PartClass::plain, 0);
  const int cover = c.add_part("Cover", bay::PartClass::plain, 1);
  c.at_rest.pairs = c.over_motion.pairs = {pair(0, rail, 50), pair(0, cover, 50)};  // piece 0 rides on the vehicle
  const auto found = c.of("cr.motion");
  REQUIRE(found.size() == 2);
  CHECK(found[0].verdict == Verdict::not_checked);
  CHECK(found[0].subject == "Cover");
  CHECK(missing_of(found[0]) == std::vector<std::string>{"bodies/engine/motion"});
  CHECK(found[1].verdict == Verdict::met);  // nothing in this pair can move
  for (const Finding& f : c.of("cr.static")) CHECK(f.verdict == Verdict::met);
}

TEST_CASE("cr.motion: a motion stated as zero is stated, and one for service is named", "[checks][clearance]") {
  Case c;
  const int cover = c.add_part("Cover", bay::PartClass::plain, 1);
  c.over_motion.pairs = {pair(0, cover, 50)};
  c.bay.bodies[1].spec = bay::RangeMotion{};
  CHECK(c.one("cr.motion").verdict == Verdict::met);
  CHECK(std::get<Measured>(c.one("cr.motion").outcome).note == "the motion stated for engine is zero");
  bay::HingeMotion hinge{{}, degrees(-65), degrees(0), true};
  c.bay.bodies[1].spec = hinge;
  c.bay.bodies[1].motion = bay::build_motion(hinge)->set;
  CHECK(std::get<Measured>(c.one("cr.motion").outcome).note ==
        "engine moves for service only, which is no part of this");
  hinge.service = false;
  c.bay.bodies[1].spec = hinge;
  CHECK(std::get<Measured>(c.one("cr.motion").outcome).note.empty());
}

TEST_CASE("cr: inside a part, no row of the class, no geometry", "[checks][clearance]") {
  Case c;
  const int box = c.add_part("Box", bay::PartClass::plain, 0);
  auto inside = pair(0, box, 100);
  inside.inside = true;
  c.at_rest.pairs = {inside};
  CHECK(c.one("cr.static").verdict == Verdict::not_met);
  CHECK(c.one("cr.static").hint.find("lies wholly inside Box") != std::string::npos);

  Case no_row;
  const int fan = no_row.add_part("Fan", bay::PartClass::rotating, 0);
  no_row.at_rest.pairs = {pair(0, fan, 100)};
  CHECK(no_row.one("cr.static").verdict == Verdict::not_checked);
  CHECK(no_row.one("cr.static").hint.find("class rotating") != std::string::npos);

  Case no_mesh;
  no_mesh.add_part("Ghost", bay::PartClass::plain, 0);
  no_mesh.at_rest.not_measured = {"Ghost"};
  CHECK(no_mesh.one("cr.static").subject == "Ghost");
  CHECK(no_mesh.one("cr.static").verdict == Verdict::not_checked);
}

TEST_CASE("cr: the hint says which way to move", "[checks][clearance]") {
  Case c;
  const int rail = c.add_part("Rail", bay::PartClass::plain, 0);
  auto near = pair(0, rail, 15.8);
  near.value.witness = measure::Witness{{0, 15.8, 0}, {0, 0, 0}};
  near.value.pose_name = "engine: bump at 100 %";
  c.at_rest.pairs = {near};
  const std::string piece = laid_out(c.spec, c.bay).layout.pieces[0].name;
  CHECK(c.one("cr.static").hint == "move " + piece + " by 4.2 mm left, direction (0.00, 1.00, 0.00), away from Rail");
  // Interfering by 3: the duct's witness lies beyond the part's, so the way out is the other way.
  auto deep = pair(0, rail, -3);
  deep.value.witness = measure::Witness{{0, 0, -3}, {0, 0, 0}};
  c.at_rest.pairs = {deep};
  CHECK(c.one("cr.static").hint.find("by 23.0 mm up") != std::string::npos);
  // Undecided: measuring may settle it as well.
  auto open = pair(0, rail, 20.5, 1);
  c.at_rest.pairs = {open};
  CHECK(c.one("cr.static").verdict == Verdict::undecided);
  CHECK(c.one("cr.static").hint.find("measure this place on the vehicle") != std::string::npos);
  // Nothing within the range, and the range too short for the limit.
  auto far = pair(0, rail, 15);
  far.value.hi = INFINITY;
  far.beyond_range = true;
  c.at_rest.pairs = {far};
  CHECK(c.one("cr.static").verdict == Verdict::undecided);
  CHECK(c.one("cr.static").hint.find("raise the clearance range") != std::string::npos);
}

/// A square plate of 400 x 400 mm across y at this place.
TriMesh plate_at(double y_mm) {
  TriMesh mesh;
  const auto y = static_cast<float>(y_mm);
  mesh.vertices = {{-200, y, -200}, {200, y, -200}, {200, y, 200}, {-200, y, 200}};
  mesh.triangles = {{0, 1, 2}, {0, 2, 3}};
  return mesh;
}

TEST_CASE("how far a tube is free to go", "[checks][clearance]") {
  Case c;
  const int rail = c.add_part("Rail", bay::PartClass::plain, 0);
  CHECK_FALSE(free_way(c.bay, rail, Vec3::Zero(), 30, Vec3::UnitY(), 150).known);
  const int wall = c.add_part("Wall", bay::PartClass::plain, 0);
  c.bay.parts[static_cast<std::size_t>(wall)].tree = TriTree::over(plate_at(100));
  const FreeWay room = free_way(c.bay, rail, Vec3::Zero(), 30, Vec3::UnitY(), 150);
  REQUIRE(room.next != nullptr);
  CHECK(room.next->id.value == "Wall");
  CHECK(room.length_mm == Approx(100 - 30).margin(0.06));
  const FreeWay away = free_way(c.bay, rail, Vec3::Zero(), 30, -Vec3::UnitY(), 150);
  CHECK(away.known);
  CHECK(away.next == nullptr);
  CHECK(away.length_mm == 150);
  // What is touched from the start is no obstacle, and there is nothing else.
  CHECK_FALSE(free_way(c.bay, rail, Vec3::Zero(), 100, Vec3::UnitY(), 150).known);

  auto near = pair(0, rail, 15.8);
  near.value.witness = measure::Witness{{50, 15.8, 0}, {50, 0, 0}};
  near.value.station_mm = 50;
  c.at_rest.pairs = {near};
  // Tube of 76.2 on the x axis.
  CHECK(c.one("cr.static").hint.find("61.9 mm are free that way at rest, then comes Wall") != std::string::npos);
  c.bay.parts[static_cast<std::size_t>(wall)].tree = TriTree::over(plate_at(40.1));
  CHECK(c.one("cr.static").hint.find("only 2.0 mm are free that way at rest before Wall comes") != std::string::npos);
}

TEST_CASE("hints say how much and which way", "[checks]") {
  Case c;
  c.spec.fittings[0].anchor.offset_mm = 20;  // plane 90 behind the filter outlet, 101.6 needed; bend at 185.7
  c.sheet.limits["sn.down"] = limit(Comparison::at_least, 76.2, Unit::mm);
  CHECK(c.one("sn.up").hint ==
        "11.6 mm too short: move the sensor tube downstream (19.5 mm to spare there (sn.down)), or "
        "port filter-out upstream");
  c.sheet.limits["br.before"] = limit(Comparison::at_least, 1000, Unit::mm);
  CHECK(c.one("br.before").hint.find(" upstream; ") != std::string::npos);
  std::get<duct::SensorTube>(c.kind("sensor")).clock = degrees(60);
  CHECK(c.one("sn.clock").hint ==
        "turn the sensor tube by 15.0\u00B0 anticlockwise, seen along the flow, towards 12 o'clock");
  std::get<duct::SensorTube>(c.kind("sensor")).clock = degrees(-60);
  CHECK(c.one("sn.clock").hint.find("15.0\u00B0 clockwise") != std::string::npos);
  c.sheet.limits["in.radius"] = limit(Comparison::at_least, 2, Unit::ratio);
  CHECK(c.one("in.radius").hint.find("at least 152.4 mm (it is 114.3 mm;") != std::string::npos);
  c.bay.units.length = LengthUnit::inch;
  CHECK(c.one("in.radius").hint.find("at least 6.000 in (it is 4.500 in;") != std::string::npos);
  CHECK(definition_text(*find_check("sn.up"), c.bay.units).find("a gap above 0.394 in") != std::string::npos);
  CHECK(definition_text(*find_check("sn.up")).find("a gap above 10 mm") != std::string::npos);
}

TEST_CASE("a duct that says it has no sensor or breather is not asked for one", "[checks]") {
  Case c;
  c.remove("sensor");
  CHECK(c.one("sn.up").verdict == Verdict::not_checked);
  c.spec.no_sensor = true;
  for (const char* id : {"sn.up", "sn.down", "sn.clock", "sn.bottom", "br.after"}) {
    INFO(id);
    CHECK(c.one(id).verdict == Verdict::not_applicable);
    CHECK(std::get<NotAssessed>(c.one(id).outcome).reason == "the job says that the duct has no sensor");
  }
  CHECK(c.one("br.before").verdict == Verdict::met);
  c.remove("breather");
  CHECK(c.one("br.before").verdict == Verdict::not_checked);
  c.spec.no_breather = true;
  CHECK(c.one("br.before").verdict == Verdict::not_applicable);
}

TEST_CASE("what hangs on a tolerance nobody stated is undecided and names it", "[checks]") {
  Case c;
  c.spec.fittings[0].anchor.offset_mm = 34;  // sensor plane 104 behind the filter outlet, 101.6 needed
  CHECK(c.one("sn.up").verdict == Verdict::met);
  CHECK(c.one("sn.up").hint.empty());
  c.spec.fitting_tolerance_mm = 0.5;  // 2 sqrt(2) 0.5 = 1.41
  CHECK(c.one("sn.up").verdict == Verdict::met);
  c.spec.fitting_tolerance_mm.reset();
  const Finding open = c.one("sn.up");
  CHECK(open.verdict == Verdict::undecided);
  CHECK(open.hint.find("ducts/intake/fitting_tolerance_mm") != std::string::npos);
  c.spec.fittings[0].anchor.offset_mm = 40;  // what holds with the usual figure holds
  CHECK(c.one("sn.up").verdict == Verdict::met);
}

TEST_CASE("leaving an uncertainty out never gives a better verdict than a usual one stated", "[checks]") {
  const auto rank = [](Verdict v) { return v == Verdict::met ? 0 : v == Verdict::undecided ? 1 : 2; };
  for (double offset = 20; offset < 60; offset += 0.7) {
    Case c;
    c.spec.fittings[0].anchor.offset_mm = offset;
    c.spec.bend_tolerance_mm = 2.4;
    c.spec.fitting_tolerance_mm = 1;
    const Verdict stated = c.one("sn.up").verdict;
    c.spec.bend_tolerance_mm.reset();
    c.spec.fitting_tolerance_mm.reset();
    INFO("offset " << offset);
    if (stated != Verdict::not_met) CHECK(rank(c.one("sn.up").verdict) >= rank(stated));
  }
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

TEST_CASE("cr: a part of which something is missing is not judged, confirmed or not", "[checks][clearance]") {
  Case c;
  c.bay.parts.resize(1);
  c.bay.parts[0].incomplete = "refers to \"BACK.stp\", which is not in its folder";
  const Finding f = c.one("cr.static");
  CHECK(f.verdict == Verdict::not_checked);
  CHECK(std::get<measure::NotAssessed>(f.outcome).reason.find("BACK.stp") != std::string::npos);
}

TEST_CASE("cr: a part whose size is in doubt is not judged until it is confirmed", "[checks][clearance]") {
  Case c;
  const int part = c.add_part("scan", bay::PartClass::plain, 0);
  c.at_rest.pairs = {pair(0, part, 200)};
  CHECK(c.one("cr.static").verdict == Verdict::met);
  c.bay.parts[0].doubt = "largest side is 3 mm";
  CHECK(missing_of(c.one("cr.static")) == std::vector<std::string>{"parts/scan/size_confirmed"});
}

TEST_CASE("cr: a part left out against every piece is no pass", "[checks][clearance]") {
  Case c;
  const int part = c.add_part("cover", bay::PartClass::plain, 0);
  c.at_rest.exceptions = {{0, part, "within 200 mm of port"}};
  CHECK(missing_of(c.one("cr.static")) == std::vector<std::string>{"ports/contact_length_mm"});
  c.at_rest.pairs = {pair(0, part, 200)};
  CHECK(c.one("cr.static").verdict == Verdict::met);
}
