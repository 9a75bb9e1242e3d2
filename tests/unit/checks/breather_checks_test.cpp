#include <cmath>

#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

/// The case's nipple stands upright at (300, -300, 0), its end at z 68.1. A breather falls onto it from the left rear.
Case with_breather(double fall_deg = 15) {
  Case c;
  auto& nipple = std::get<duct::BranchPort>(c.kind("breather"));
  nipple.angle = degrees(90);
  nipple.intrusion_mm = 0;
  const double a = degrees(fall_deg).si();
  const Vec3 end(300, -300, 38.1 + 30), corner = end + Vec3(0, 0, 80);
  const Vec3 along(-std::cos(a), 0, std::sin(a));
  c.bay.ports.push_back(port("crankcase", corner + 250 * along, -along, 22, 1));
  c.bay.ports.back().bore_mm = 18;
  duct::DuctSpec branch;
  branch.id = duct::DuctId("breather");
  branch.service = duct::Service::breather;
  branch.from.port = bay::PortId("crankcase");
  branch.to = {{}, duct::DuctId("intake"), duct::FittingId("breather")};
  branch.tube = {22, 2};
  branch.bend_tolerance_mm = 0;
  branch.fitting_tolerance_mm = 0;
  branch.bending = duct::BendingTolerance{};
  branch.exposed_mm = 120;
  branch.route.points = {
      {duct::PointId("B0"), corner + 250 * along, 0}, {duct::PointId("B1"), corner, 40}, {duct::PointId("B2"), end, 0}};
  c.branches = {branch};
  c.judged = 1;
  return c;
}

}  // namespace

TEST_CASE("br.slope: level and in every attitude", "[checks]") {
  Case c = with_breather();
  c.bay.attitudes.push_back({"nose down", degrees(-10), {}});
  c.bay.attitudes.push_back({"nose up", degrees(10), {}});
  const auto found = c.of("br.slope");
  REQUIRE(found.size() == 2);
  for (const Finding& f : found) {
    CHECK(f.verdict == Verdict::met);
    CHECK(value_of(f) == Approx(f.subject == "level" ? 15 : 5));  // the run goes forward: nose up takes 10 of 15
  }
  Case flat = with_breather(2);
  flat.bay.attitudes = c.bay.attitudes;
  for (const Finding& f : flat.of("br.slope")) {
    CHECK(f.verdict == Verdict::not_met);
    CHECK(value_of(f) == Approx(f.subject == "level" ? 2 : -8));
    if (f.subject != "level") CHECK(std::get<Measured>(f.outcome).note.find("nose up") != std::string::npos);
  }
}

TEST_CASE("br.slope: without attitudes and without their limit not checked", "[checks]") {
  Case c = with_breather();
  c.bay.attitudes_stated = false;
  int open = 0;
  for (const Finding& f : c.of("br.slope")) {
    if (f.subject == "level") continue;
    CHECK(missing_of(f) == std::vector<std::string>{"attitudes"});
    ++open;
  }
  CHECK(open == 1);
  c = with_breather();
  c.sheet.limits.erase("br.slope.attitudes");
  for (const Finding& f : c.of("br.slope")) {
    if (f.subject != "level") CHECK(missing_of(f) == std::vector<std::string>{"sheet/limits/br.slope.attitudes"});
  }
}

TEST_CASE("br.slope: a step up in the floor holds water though the centerline falls", "[checks]") {
  Case c = with_breather(3.5);
  // A cone that narrows by 4 a side within 5: its floor rises though its axis falls.
  c.branches[0].fittings = {fitting("cone", "B0", 100, duct::Reducer{5, {14, 2}})};
  for (const Finding& f : c.of("br.slope")) {
    CHECK((f.verdict == Verdict::met) == (f.subject == "level"));
    if (f.subject != "level") CHECK(std::get<Measured>(f.outcome).note.find("water stands") != std::string::npos);
  }
}

TEST_CASE("br.closed: a breather goes from a port to the intake's branch port", "[checks]") {
  Case c = with_breather();
  const Finding end = c.one("br.closed");
  CHECK(end.verdict == Verdict::met);
  CHECK(std::get<Measured>(end.outcome).note == "ends on duct intake");
  c.judged = 0;
  const Finding port = c.one("br.closed");
  CHECK(port.verdict == Verdict::met);
  CHECK(std::get<Measured>(port.outcome).note == "duct breather from port crankcase");

  c.branches.clear();
  CHECK(missing_of(c.one("br.closed")) == std::vector<std::string>{"ducts: breather", "answers: br.closed"});
  c.answers = {{"br.closed", {}, false, "workshop", "open end"}};
  CHECK(c.one("br.closed").verdict == Verdict::not_met);
  c.answers.clear();

  c = with_breather();  // it ends on another port
  c.judged = 0;
  auto spare = c.kind("breather");
  c.spec.fittings.push_back(fitting("spare", "P2", 130, spare));
  int open = 0;
  for (const Finding& f : c.of("br.closed")) {
    if (f.verdict != Verdict::not_met) continue;
    CHECK(f.subject == "branch port spare");
    CHECK(std::get<Measured>(f.outcome).note == "no breather ends on it");
    ++open;
  }
  CHECK(open == 1);

  c = with_breather();  // a duct that is no breather ends there
  c.judged = 0;
  c.branches[0].service = duct::Service::charge_cold;
  CHECK(missing_of(c.one("br.closed")).front() == "ducts: breather");

  c = with_breather();  // led into something that is no intake
  c.spec.service = duct::Service::raw_air;
  CHECK(c.one("br.closed").verdict == Verdict::not_met);
  CHECK(std::get<Measured>(c.one("br.closed").outcome).note == "does not end on an intake");
}

TEST_CASE("br.closed: an intake without a branch port says so, or has no breather", "[checks]") {
  Case c;
  c.remove("breather");
  CHECK(missing_of(c.one("br.closed")) == std::vector<std::string>{"ducts/intake/fittings: branch port"});
  c.spec.no_breather = true;  // the crankcase breathes somewhere all the same
  CHECK(missing_of(c.one("br.closed")) == std::vector<std::string>{"answers: br.closed"});
  c.answers = {{"br.closed", {}, true, "engine supplier", "closed by a separator of its own"}};
  CHECK(c.one("br.closed").verdict == Verdict::met);
  c.answers[0].yes = false;
  CHECK(c.one("br.closed").verdict == Verdict::not_met);
}

TEST_CASE("br.bore: the narrowest place against the outlet", "[checks]") {
  Case c = with_breather();
  CHECK(c.one("br.bore").verdict == Verdict::met);
  CHECK(value_of(c.one("br.bore")) == Approx(1));
  c.bay.ports.back().bore_mm = 20;
  CHECK(c.one("br.bore").verdict == Verdict::not_met);
  CHECK(value_of(c.one("br.bore")) == Approx(0.9));
}

TEST_CASE("br.length: bare length in the wind, or insulated", "[checks]") {
  Case c = with_breather();
  CHECK(c.one("br.length").verdict == Verdict::met);
  c.branches[0].exposed_mm = 600;
  CHECK(missing_of(c.one("br.length")) == std::vector<std::string>{"ducts/breather/insulated"});
  c.branches[0].insulated = false;
  CHECK(c.one("br.length").verdict == Verdict::not_met);
  c.branches[0].insulated = true;
  CHECK(c.one("br.length").verdict == Verdict::met);
  CHECK(value_of(c.one("br.length")) == 0);
  c.branches[0].exposed_mm.reset();
  c.branches[0].insulated.reset();
  CHECK(missing_of(c.one("br.length")) == std::vector<std::string>{"ducts/breather/exposed_mm"});
}

TEST_CASE("br.entry: flush, from above, not against the flow", "[checks]") {
  Case c;
  CHECK(missing_of(c.one("br.entry")).size() == 2);
  auto& nipple = std::get<duct::BranchPort>(c.kind("breather"));
  nipple.angle = degrees(90);
  nipple.intrusion_mm = 1.5;
  CHECK(c.one("br.entry").verdict == Verdict::met);
  nipple.intrusion_mm = 2.5;
  CHECK(c.one("br.entry").verdict == Verdict::not_met);
  nipple.intrusion_mm = 0;
  nipple.angle = degrees(100);
  CHECK(c.one("br.entry").verdict == Verdict::not_met);
  nipple.angle = degrees(60);
  CHECK(c.one("br.entry").verdict == Verdict::met);
  nipple.clock = degrees(85);
  CHECK(c.one("br.entry").verdict == Verdict::met);
  // The leg runs along -y: clockwise is to the rear, and nose up lowers what stands there by 10 degrees.
  c.bay.attitudes.push_back({"nose up", degrees(10), {}});
  CHECK(c.one("br.entry").verdict == Verdict::not_met);
  nipple.angle.reset();  // what is known to be wrong fails, whatever is not stated
  nipple.intrusion_mm.reset();
  CHECK(c.one("br.entry").verdict == Verdict::not_met);
  nipple.clock = degrees(0);
  CHECK(missing_of(c.one("br.entry")).size() == 2);
  nipple.intrusion_mm = 2.5;
  CHECK(c.one("br.entry").verdict == Verdict::not_met);
  nipple.intrusion_mm = 0;
  nipple.angle = degrees(90);
  c.bay.attitudes_stated = false;
  CHECK(missing_of(c.one("br.entry")) == std::vector<std::string>{"attitudes"});
  c.remove("breather");
  c.spec.no_breather = true;
  CHECK(c.one("br.entry").verdict == Verdict::not_applicable);
}

TEST_CASE("br.fit: the whole length", "[checks]") {
  Case c;  // 185.7 + 371.4 + 285.7 and two quarter circles of 114.3
  CHECK(value_of(c.one("br.fit")) == Approx(842.8 + 114.3 * std::acos(-1)));
  CHECK(c.one("br.fit").verdict == Verdict::met);
  CHECK(c.one("br.fit").limit->value == Approx(101.6 + 228.6 + 304.8));
  CHECK(std::get<Measured>(c.one("br.fit").outcome).note ==
        "has to hold sn.up 101.6 mm, br.after 228.6 mm, br.before 304.8 mm");
  c.sheet.limits["br.fit"] = limit(Comparison::at_least, 1300, Unit::mm);  // the sheet may ask for more, not for less
  CHECK(c.one("br.fit").verdict == Verdict::not_met);
  c.sheet.limits["br.fit"].value = 100;
  CHECK(c.one("br.fit").limit->value == Approx(635));
  c.sheet.limits.erase("br.fit");
  // It follows the sheet: 1201.9 long, 900 before the compressor do not fit.
  c.sheet.limits["br.before"].value = 900;
  CHECK(c.one("br.fit").limit->value == Approx(101.6 + 228.6 + 900));
  CHECK(c.one("br.fit").verdict == Verdict::not_met);
  c.sheet.not_required["br.before"] = "a test";
  CHECK(c.one("br.fit").limit->value == Approx(101.6 + 228.6));
  c.sheet.limits["sn.down"].value = 300;  // longer than the way to the breather
  CHECK(c.one("br.fit").limit->value == Approx(101.6 + 300));
  c.sheet.limits.erase("br.after");
  CHECK(missing_of(c.one("br.fit")) == std::vector<std::string>{"sheet/limits/br.after"});
  c.spec.no_breather = true;
  c.remove("breather");
  CHECK(c.one("br.fit").verdict == Verdict::not_applicable);
}
