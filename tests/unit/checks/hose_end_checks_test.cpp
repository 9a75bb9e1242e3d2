#include <cmath>

#include "measure/tolerances.hpp"
#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

/// The example intake with hump 1 alone (gap 20, hose 90: 35 on each tube) and a worm-12 of 12.7 on each end; the tubes
/// have beads whose top is 5 from the end, 6 wide. Nothing is left to tolerance.
struct Hosed : Case {
  Hosed() {
    remove("hump-2");
    bay.ports[1].body = 0;
    hose().clamps = {{kUp, catalog::ClampTypeId("worm-12")}, {kDown, catalog::ClampTypeId("worm-12")}};
    for (duct::HoseClamp& clamp : hose().clamps) {
      clamp.range_mm = {80, 100};
      clamp.from_hose_end_mm = 6.4;
    }
    hose().tube_ends = {{kUp, false, 5, 2, 6}, {kDown, false, 5, 2, 6}};
    hose().end_squareness_mm = hose().length_tolerance_mm = 0;
    hose().material = catalog::HoseMaterialId("nbr");
  }
  duct::Coupler& hose() { return std::get<duct::Coupler>(kind("hump-1")); }
  Finding of_subject(const std::string& check, const std::string& subject) const {
    for (Finding& f : of(check)) {
      if (f.subject == subject) return f;
    }
    FAIL("no finding of " << subject);
    return {};
  }
};

std::vector<std::string> of_hump(const std::string& key) { return {"ducts/intake/fittings/hump-1/" + key}; }

}  // namespace

TEST_CASE("cl.seat: bead, band and the end of the hose, by hand", "[checks]") {
  Hosed c;
  for (const char* end : {"hump-1, upstream end", "hump-1, downstream end"}) {
    INFO(end);
    const Finding bead = c.of_subject("cl.seat", std::string(end) + ", bead to band");
    CHECK(value_of(bead) == Approx(35 - 6.4 - 12.7 - (5 + 3)));
    CHECK(bead.verdict == Verdict::met);
    const Finding beyond = c.of_subject("cl.seat", std::string(end) + ", band to hose end");
    CHECK(value_of(beyond) == Approx(6.4));
    CHECK(beyond.verdict == Verdict::met);
    CHECK(beyond.limit->value == Approx(6.35));
  }
  // A longer way in from the hose's end brings the band nearer to the bead.
  c.hose().clamps[0].from_hose_end_mm = 12;
  CHECK(value_of(c.of_subject("cl.seat", "hump-1, upstream end, bead to band")) == Approx(35 - 12 - 12.7 - 8));
  CHECK(c.of_subject("cl.seat", "hump-1, upstream end, bead to band").verdict == Verdict::not_met);
  CHECK(c.of_subject("cl.seat", "hump-1, upstream end, bead to band")
            .hint.starts_with("let the hose lie farther on the tube by at least 0.7 mm"));
  c.hose().clamps[0].from_hose_end_mm = 2;
  CHECK(c.of_subject("cl.seat", "hump-1, upstream end, band to hose end").verdict == Verdict::not_met);
  c.hose().clamps[0].from_hose_end_mm.reset();  // the usual place is no measurement
  CHECK(missing_of(c.of_subject("cl.seat", "hump-1, upstream end, band to hose end")) ==
        of_hump("clamps: from_hose_end_mm"));
  // Without a bead from the tube's end.
  c.hose().tube_ends[1] = {kDown, true};
  CHECK(value_of(c.of_subject("cl.seat", "hump-1, downstream end, tube's end to band")) == Approx(35 - 6.4 - 12.7));
}

TEST_CASE("cl.seat: a band on the bend of an elbow does not count", "[checks]") {
  Hosed c;
  // The bend at P1 begins at station 185.7; the gap ends just ahead of it, and the band lies behind.
  c.remove("breather");
  c.remove("sensor");
  c.spec.no_sensor = c.spec.no_breather = true;
  c.hose().shape = duct::CouplerShape::straight;
  c.hose().hump_height_mm = 0;
  for (duct::Fitting& f : c.spec.fittings) {
    if (f.id.value == "hump-1") f.anchor = {duct::PointId("P0"), 165, false};  // gap to 185, hose to 220
  }
  const Finding bent = c.of_subject("cl.seat", "hump-1, downstream end, bead to band");
  CHECK(bent.verdict == Verdict::not_met);
  CHECK(value_of(bent) > 3);
  CHECK(std::get<Measured>(bent.outcome).note == "the band lies on the bend at P1");
  CHECK(c.of_subject("cl.seat", "hump-1, upstream end, bead to band").verdict == Verdict::met);
}

TEST_CASE("cl.seat, cl.engage: what is left out stands open and is named", "[checks]") {
  Hosed c;
  c.hose().tube_ends.clear();
  CHECK(missing_of(c.of_subject("cl.seat", "hump-1, upstream end, bead to band")) == of_hump("tube_ends"));
  c.hose().clamps.clear();
  for (const char* id : {"cl.seat", "cl.engage", "cl.size", "cl.kind"}) {
    CHECK(missing_of(c.one(id)) == of_hump("clamps"));
  }
  c.remove("hump-1");
  for (const char* id : {"cl.seat", "cl.engage", "cl.size", "cl.kind"}) {
    CHECK(c.one(id).verdict == Verdict::not_applicable);
  }
}

TEST_CASE("cl.engage: tube in the hose less the band; tolerances of hose and cut in the uncertainty", "[checks]") {
  Hosed c;
  CHECK(value_of(c.of_subject("cl.engage", "hump-1, upstream end")) == Approx(35 - 12.7));
  CHECK(c.of_subject("cl.engage", "hump-1, upstream end").verdict == Verdict::met);
  // Not stated: a hose of 76.2 may be 6.4 out of square, 3.2 longer or shorter; cut within 1 (standard).
  c.hose().end_squareness_mm.reset();
  c.hose().length_tolerance_mm.reset();
  c.spec.fitting_tolerance_mm = 1;
  const Finding open = c.of_subject("cl.engage", "hump-1, upstream end");
  CHECK(open.verdict == Verdict::undecided);
  const double u = std::sqrt(6.4 * 6.4 + 1.6 * 1.6 + 2.0 * 2.0);
  CHECK(std::get<Measured>(open.outcome).band.low() == Approx(u));
  CHECK(open.hint.find("ducts/intake/fittings/hump-1/end_squareness_mm") != std::string::npos);
  CHECK(open.hint.find("ducts/intake/fittings/hump-1/length_tolerance_mm") != std::string::npos);
  // The same engagement with a T-bolt of 19 mm is too little for sure.
  c.hose().end_squareness_mm = c.hose().length_tolerance_mm = 0;
  c.hose().clamps[0].type = catalog::ClampTypeId("t-bolt");
  c.spec.fitting_tolerance_mm = 0;
  CHECK(value_of(c.of_subject("cl.engage", "hump-1, upstream end")) == Approx(35 - 19));
  CHECK(c.of_subject("cl.engage", "hump-1, upstream end").verdict == Verdict::not_met);
}

TEST_CASE("cl.engage: no more of a port's spigot than there is", "[checks]") {
  Hosed c;
  c.remove("breather");
  c.remove("sensor");
  c.spec.no_sensor = c.spec.no_breather = true;
  for (duct::Fitting& f : c.spec.fittings) {
    if (f.id.value == "hump-1") f.anchor = {duct::PointId("P0"), 0, false};  // its gap begins at the port
  }
  const auto spigot = [&] { return c.of_subject("cl.engage", "hump-1, upstream end"); };
  CHECK(missing_of(spigot()) == std::vector<std::string>{"ports/filter-out/spigot_length_mm"});
  CHECK(c.of_subject("cl.engage", "hump-1, downstream end").verdict == Verdict::met);  // on a tube of the duct
  c.bay.ports[0].spigot_length_mm = 80;
  CHECK(value_of(spigot()) == Approx(35 - 12.7));
  CHECK(spigot().verdict == Verdict::met);
  c.bay.ports[0].spigot_length_mm = 30;
  CHECK(value_of(spigot()) == Approx(30 - 12.7));
  CHECK(spigot().verdict == Verdict::not_met);
  CHECK(std::get<Measured>(spigot().outcome)
            .note.ends_with("port filter-out is no longer, the hose as drawn asks for 35.0 mm"));
  // What the hose itself lacks fails without the spigot's length.
  c.bay.ports[0].spigot_length_mm.reset();
  c.hose().length_mm = 60;
  CHECK(value_of(spigot()) == Approx(20 - 12.7));
  CHECK(spigot().verdict == Verdict::not_met);
}

TEST_CASE("hose tolerances that stand in: a rubber makers' tables", "[checks]") {
  Hosed c;
  c.hose().end_squareness_mm.reset();
  c.hose().length_tolerance_mm.reset();
  const auto find = [&](double length_mm, double bore_mm) {
    duct::Coupler hose = c.hose();
    hose.length_mm = length_mm;
    return measure::hose_end_tolerances(c.spec, duct::FittingId("h"), hose, bore_mm, "end");
  };
  CHECK(find(305, 50.8)[1].low == Approx(1.6));
  CHECK(find(306, 50.8)[1].low == Approx(2.4));
  CHECK(find(700, 50.8)[1].low == Approx(3.5));
  CHECK(find(305, 50.8)[2].low == Approx(3.2));
  CHECK(find(305, 50.9)[2].low == Approx(6.4));
}

TEST_CASE("cl.size: where the hose lies in the clamp's range", "[checks]") {
  Hosed c;
  c.hose().wall_mm = 5;
  // 76.2 + 10 = 86.2 in 80..100: 0.31 from the lower end.
  CHECK(value_of(c.of_subject("cl.size", "hump-1, upstream end")) == Approx(0.31));
  CHECK(c.of_subject("cl.size", "hump-1, upstream end").verdict == Verdict::met);
  c.hose().clamps[0].range_mm = {67, 87};  // 0.04 from the upper end
  CHECK(value_of(c.of_subject("cl.size", "hump-1, upstream end")) == Approx(0.04));
  CHECK(c.of_subject("cl.size", "hump-1, upstream end").verdict == Verdict::not_met);
  CHECK(c.of_subject("cl.size", "hump-1, upstream end").hint.starts_with("take the next larger size"));
  c.hose().clamps[0].range_mm = {90, 110};
  CHECK(value_of(c.of_subject("cl.size", "hump-1, upstream end")) == Approx(-0.19));
  CHECK(c.of_subject("cl.size", "hump-1, upstream end").hint.starts_with("take the next smaller size"));
  c.hose().clamps[0].range_mm.reset();
  CHECK(missing_of(c.of_subject("cl.size", "hump-1, upstream end")) == of_hump("clamps: range_mm"));
}

TEST_CASE("cl.kind: slots cut silicone, boost wants a T-bolt", "[checks]") {
  Hosed c;
  const auto verdict = [&] { return c.of_subject("cl.kind", "hump-1, upstream end").verdict; };
  CHECK(verdict() == Verdict::met);
  c.hose().material = catalog::HoseMaterialId("silicone-fvmq");
  CHECK(verdict() == Verdict::not_met);
  c.hose().clamps[0].type = catalog::ClampTypeId("worm-12-lined");
  CHECK(verdict() == Verdict::met);
  c.hose().material = {};
  CHECK(verdict() == Verdict::met);  // a lined band suits every hose
  c.hose().clamps[0].type = catalog::ClampTypeId("worm-12");
  CHECK(missing_of(c.of_subject("cl.kind", "hump-1, upstream end")) == of_hump("material"));
  c.spec.service = duct::Service::charge_hot;
  CHECK(verdict() == Verdict::not_met);
  c.hose().clamps[0].type = catalog::ClampTypeId("t-bolt");
  CHECK(verdict() == Verdict::met);
  for (catalog::ClampType& type : c.workshop.clamps) type.kind.reset();
  CHECK(missing_of(c.of_subject("cl.kind", "hump-1, upstream end")) ==
        std::vector<std::string>{"tools/clamps/t-bolt/kind"});
}
