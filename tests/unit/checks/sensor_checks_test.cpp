#include <cmath>

#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

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
