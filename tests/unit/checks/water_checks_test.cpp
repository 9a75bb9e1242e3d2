#include <cmath>

#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

/// The case's duct turned so that it falls by `deg` along its first leg (and rises as much along its last).
Case falling(double deg) {
  Case c;
  const double a = degrees(deg).si();
  const auto turned = [&](const Vec3& p) {
    return Vec3(std::cos(a) * p.x() + std::sin(a) * p.z(), p.y(), std::cos(a) * p.z() - std::sin(a) * p.x());
  };
  for (duct::RoutePoint& point : c.spec.route.points) point.p_mm = turned(point.p_mm);
  for (bay::Port& port : c.bay.ports) {
    port.center_mm = turned(port.center_mm);
    port.axis = turned(port.axis);
  }
  c.spec.bending = duct::BendingTolerance{};
  return c;
}

}  // namespace

TEST_CASE("sn.pool: the low point between a falling first and a rising last leg", "[checks]") {
  // Falls by 3 degrees for 300 mm, level for 600, rises: the level leg is the low point, from the first bend's end on.
  const Case c = falling(3);
  const Finding f = c.one("sn.pool");
  CHECK(f.verdict == Verdict::met);
  CHECK(value_of(f) == Approx(185.7 + 114.3 * std::acos(-1) / 2 - 100));
  Case near = falling(3);
  near.sheet.limits["sn.pool"].value = 300;
  CHECK(near.one("sn.pool").verdict == Verdict::not_met);
  CHECK(near.one("sn.pool").hint.find("move the sensor away from the low point") != std::string::npos);
}

TEST_CASE("sn.pool, in.radius: a bend welded of pieces", "[checks]") {
  Case c = falling(3);
  c.spec.route.points[1].pieces = 4;
  const Finding pool = c.one("sn.pool");
  CHECK(pool.verdict == Verdict::not_checked);
  CHECK(std::get<measure::NotAssessed>(pool.outcome).reason.find("welded of pieces") != std::string::npos);
  CHECK(value_of(c.one("in.radius")) == Approx(1.5));
  c.spec.route.points[1].pieces = 2;
  CHECK(c.one("in.radius").verdict == Verdict::not_met);
  CHECK(value_of(c.one("in.radius")) == 0);
  c.spec.no_sensor = true;
  c.remove("sensor");
  CHECK(c.one("sn.pool").verdict == Verdict::not_applicable);
}

TEST_CASE("sn.pool: a level sensor tube is not met", "[checks]") {
  const Finding f = Case().one("sn.pool");
  CHECK(f.verdict == Verdict::not_met);
  CHECK(value_of(f) == 0);
  CHECK(f.hint.find("slope") != std::string::npos);
}

TEST_CASE("sn.pool, sn.vertical: without attitudes not checked, without a sensor as the job says", "[checks]") {
  Case c;
  c.bay.attitudes_stated = false;
  CHECK(missing_of(c.one("sn.pool")) == std::vector<std::string>{"attitudes"});
  CHECK(missing_of(c.one("sn.vertical")) == std::vector<std::string>{"attitudes"});
  c.remove("sensor");
  CHECK(missing_of(c.one("sn.pool")) == std::vector<std::string>{"ducts/intake/fittings: sensor tube"});
  c.spec.no_sensor = true;
  CHECK(c.one("sn.pool").verdict == Verdict::not_applicable);
  CHECK(c.one("sn.vertical").verdict == Verdict::not_applicable);
}

TEST_CASE("sn.vertical: falling air in an upright tube is not met, rising air is", "[checks]") {
  CHECK(falling(70).one("sn.vertical").verdict == Verdict::not_applicable);
  CHECK(falling(80).one("sn.vertical").verdict == Verdict::not_met);
  CHECK(falling(-80).one("sn.vertical").verdict == Verdict::met);
}

TEST_CASE("ch.pool: each pocket of a charge duct against the limit", "[checks]") {
  Case c = falling(3);
  c.spec.service = duct::Service::charge_cold;
  // Both open ends lie 300 sin 3 - 0 and 400 sin 3 over the level leg; the first lets out, 15.7 deep.
  const Finding f = c.one("ch.pool");
  CHECK(f.verdict == Verdict::not_met);
  CHECK(f.subject.find("low point at station") != std::string::npos);
  CHECK(value_of(f) > 100);
  Case level;
  level.spec.service = duct::Service::charge_cold;
  level.remove("cone");  // without it nothing stands in a level duct
  level.bay.ports[1].outer_diameter_mm = 76.2;
  CHECK(level.one("ch.pool").verdict == Verdict::met);
  CHECK(value_of(level.one("ch.pool")) == 0);
  CHECK(Case().one("ch.pool").verdict == Verdict::not_applicable);
}

TEST_CASE("sv.drain: bore of the drain at each low point, and that it shuts", "[checks]") {
  Case c = falling(3);
  c.spec.service = duct::Service::raw_air;
  CHECK(c.one("sv.drain").verdict == Verdict::not_met);
  CHECK(value_of(c.one("sv.drain")) == 0);
  c.spec.fittings.push_back(fitting("drain", "P1", 200, duct::Drain{10, {}}));
  CHECK(missing_of(c.one("sv.drain")) == std::vector<std::string>{"ducts/intake/fittings/drain/self_closing"});
  std::get<duct::Drain>(c.kind("drain")).self_closing = true;
  CHECK(c.one("sv.drain").verdict == Verdict::met);
  CHECK(value_of(c.one("sv.drain")) == 10);
  std::get<duct::Drain>(c.kind("drain")).bore_mm = 6;
  CHECK(c.one("sv.drain").verdict == Verdict::not_met);
  std::get<duct::Drain>(c.kind("drain")) = {10, false};
  const Finding open = c.one("sv.drain");
  CHECK(open.verdict == Verdict::not_met);
  CHECK(std::get<Measured>(open.outcome).note.find("always open") != std::string::npos);
  Case rising;
  rising.spec.service = duct::Service::raw_air;
  rising.remove("cone");
  rising.bay.ports[1].outer_diameter_mm = 76.2;
  CHECK(rising.one("sv.drain").verdict == Verdict::not_applicable);
}

namespace {

/// 400 mm falling by 5 degrees, a bend of radius 100, 400 mm rising by 5: leaning by a steeper angle moves its low
/// point.
Case shallow_v(duct::Service service) {
  Case c;
  const double a = degrees(5).si();
  const Vec3 corner(400 * std::cos(a), 0, -400 * std::sin(a));
  c.spec.service = service;
  c.spec.fittings.clear();
  c.spec.no_sensor = c.spec.no_breather = true;
  c.spec.bending = duct::BendingTolerance{};
  c.spec.route.points = {{duct::PointId("P0"), Vec3::Zero(), 0},
                         {duct::PointId("P1"), corner, 100},
                         {duct::PointId("P2"), corner + Vec3(corner.x(), 0, -corner.z()), 0}};
  c.bay.ports[0].center_mm = c.spec.route.points[0].p_mm;
  c.bay.ports[0].axis = corner.normalized();
  c.bay.ports[1].center_mm = c.spec.route.points[2].p_mm;
  c.bay.ports[1].axis = Vec3(-std::cos(a), 0, -std::sin(a));
  c.bay.ports[1].outer_diameter_mm = c.bay.ports[0].outer_diameter_mm;
  c.bay.ports[1].bore_mm = c.bay.ports[0].bore_mm;
  return c;
}

const bay::Attitude kNoseUp{"nose up", degrees(3), {}};

}  // namespace

TEST_CASE("sv.drain: a drain that empties the level duct, and one that does so in every attitude", "[checks]") {
  // The floor of the bend lies on a circle of 100 + 36.45. At the bend's end, 5 degrees behind the level low point, a
  // drain has 136.45 (1 - cos 5) = 0.52 mm under it; nose up by 3 degrees, with the flow forward, 136.45 (1 - cos 8) =
  // 1.33 mm.
  Case c = shallow_v(duct::Service::raw_air);
  c.spec.fittings.push_back(fitting("drain", "P1", 100 * std::tan(degrees(5).si()), duct::Drain{10, true}));
  CHECK(c.one("sv.drain").verdict == Verdict::met);
  c.bay.attitudes.push_back(kNoseUp);
  const Finding leaning = c.one("sv.drain");
  CHECK(leaning.verdict == Verdict::not_met);
  CHECK(value_of(leaning) == 0);
  CHECK(std::get<Measured>(leaning.outcome).note ==
        "1.3 mm of water stay, no drain empties it, worst attitude: nose up");
  // In the bend, 4 degrees back from its end, 136.45 (1 - cos 4) = 0.33 mm are left under it then.
  c.spec.fittings[0].anchor.offset_mm -= 100 * degrees(4).si();
  CHECK(c.one("sv.drain").verdict == Verdict::met);
  std::get<duct::Drain>(c.kind("drain")).bore_mm = 6;
  CHECK(value_of(c.one("sv.drain")) == 6);
}

TEST_CASE("sv.drain, ch.pool: a low point that is there in one attitude only, and attitudes nobody stated",
          "[checks]") {
  Case c = shallow_v(duct::Service::raw_air);
  c.bay.attitudes_stated = false;
  CHECK(c.one("sv.drain").verdict == Verdict::not_met);  // already wrong in the level vehicle
  c.spec.fittings.push_back(fitting("drain", "P1", 5, duct::Drain{10, true}));
  CHECK(missing_of(c.one("sv.drain")) == std::vector<std::string>{"attitudes"});
  Case straight;  // level, of one bore: water stands nowhere while it is level
  straight.remove("cone");
  straight.bay.ports[1].outer_diameter_mm = 76.2;
  straight.spec.service = duct::Service::raw_air;
  CHECK(straight.one("sv.drain").verdict == Verdict::not_applicable);
  Case leaning = straight;  // nose down the first leg falls and the last one rises
  leaning.bay.attitudes.push_back({"nose down", degrees(-10), {}});
  CHECK(leaning.one("sv.drain").verdict == Verdict::not_met);
  straight.bay.attitudes_stated = false;
  CHECK(missing_of(straight.one("sv.drain")) == std::vector<std::string>{"attitudes"});
  straight.spec.service = duct::Service::charge_cold;
  CHECK(missing_of(straight.one("ch.pool")) == std::vector<std::string>{"attitudes"});
}

TEST_CASE("ch.pool: the attitude in which most can stand", "[checks]") {
  // Tilted by 3 degrees the V is lower at one end: 8 and 2 degrees instead of twice 5, and holds less. Level, the water
  // comes up to the floor of both ends.
  Case c = shallow_v(duct::Service::charge_cold);
  const double level = value_of(c.one("ch.pool"));
  c.bay.attitudes.push_back(kNoseUp);
  CHECK(value_of(c.one("ch.pool")) == level);
  CHECK(std::get<Measured>(c.one("ch.pool").outcome).note.find("worst attitude: level") != std::string::npos);
  // A U on its side holds nothing while it is level or rolls; nose down its two sides fall to its foot and rise from
  // it.
  c = Case();
  c.remove("cone");
  c.bay.ports[1].outer_diameter_mm = 76.2;
  c.spec.service = duct::Service::charge_cold;
  CHECK(value_of(c.one("ch.pool")) == 0);
  c.bay.attitudes.push_back({"left side up", {}, degrees(10)});
  c.bay.attitudes.push_back({"nose up", degrees(10), {}});
  CHECK(value_of(c.one("ch.pool")) == 0);
  c.bay.attitudes.push_back({"nose down", degrees(-10), {}});
  CHECK(std::get<Measured>(c.one("ch.pool").outcome).note.find("worst attitude: nose down") != std::string::npos);
}

TEST_CASE("sv.water: the inlet over ground, springs and wading depth", "[checks]") {
  Case c;
  c.spec.service = duct::Service::raw_air;
  CHECK(missing_of(c.one("sv.water")) ==
        std::vector<std::string>{"ground/height_mm", "ground/bump_mm", "ground/wading_mm"});
  c.bay.ground = {-800, 80, 500};  // lowest of the bore at -36.45: 683.55 over the ground, 183.55 over the water
  CHECK(value_of(c.one("sv.water")) == Approx(183.55));
  CHECK(c.one("sv.water").verdict == Verdict::met);
  // The hood over it reaches lower: 40 of 183.55 are left of 150; one that reaches less low does not count.
  c.bay.ports[0].hood = bay::Hood{-Vec3::UnitZ(), 250, false, Vec3(0, 0, -36.45 - 40)};
  CHECK(value_of(c.one("sv.water")) == Approx(143.55));
  CHECK(c.one("sv.water").verdict == Verdict::not_met);
  CHECK(std::get<Measured>(c.one("sv.water").outcome).note ==
        "opening of the hood 643.5 mm over the ground, 500.0 mm of water");
  c.bay.ports[0].hood->lowest_mm->z() = 0;
  CHECK(value_of(c.one("sv.water")) == Approx(183.55));
  c.bay.ports[0].hood->lowest_mm.reset();
  CHECK(missing_of(c.one("sv.water")) == std::vector<std::string>{"ports/filter-out/hood/lowest_mm"});
  c.bay.ground.wading_mm = 600;  // the bore is too low already
  CHECK(c.one("sv.water").verdict == Verdict::not_met);
  c.bay.ports[0].hood.reset();
  CHECK(c.one("sv.water").verdict == Verdict::not_met);
  c.bay.ground.bump_mm.reset();
  CHECK(missing_of(c.one("sv.water")) == std::vector<std::string>{"ground/bump_mm"});
}

TEST_CASE("sv.rain: velocity at the hood, the way it faces, and the rise behind it", "[checks]") {
  Case c = falling(-80);  // the first leg rises by 300 sin 80
  c.spec.service = duct::Service::raw_air;
  CHECK(missing_of(c.one("sv.rain")) == std::vector<std::string>{"ports/filter-out/hood"});
  c.bay.ports[0].hood = bay::Hood{-Vec3::UnitZ(), 200, {}};
  // 0.15 kg/s of dry air at 99 kPa and 25 degrees, 99,000 / (287.05 * 298.15) = 1.1568 kg/m3, through 0.02 m2.
  CHECK(value_of(c.one("sv.rain")) == Approx(0.15 / 1.1568 / 0.02).epsilon(1e-3));
  CHECK(c.one("sv.rain").verdict == Verdict::met);
  c.bay.ports[0].hood->open_area_cm2 = 150;
  CHECK(c.one("sv.rain").verdict == Verdict::not_met);
  c.bay.ports[0].hood = bay::Hood{Vec3(1, 0, 0.1).normalized(), 200, {}};
  CHECK(c.one("sv.rain").verdict == Verdict::not_met);
  c.flow.rated.reset();
  CHECK(missing_of(c.one("sv.rain")) == std::vector<std::string>{"flow/rated_kg_per_s"});

  Case level;
  level.spec.service = duct::Service::raw_air;
  level.bay.ports[0].hood = bay::Hood{-Vec3::UnitX(), 200, {}};
  CHECK(missing_of(level.one("sv.rain")) == std::vector<std::string>{"ports/filter-out/hood/labyrinth"});
  level.bay.ports[0].hood->labyrinth = false;
  CHECK(level.one("sv.rain").verdict == Verdict::not_met);
  level.bay.ports[0].hood->labyrinth = true;
  CHECK(level.one("sv.rain").verdict == Verdict::met);
}
