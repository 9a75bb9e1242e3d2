#include "measure/tube_support.hpp"

#include <catch2/catch.hpp>
#include <numbers>
#include <random>

#include "tests/support/example_intake.hpp"

using namespace baywright;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

constexpr double kOuter_mm = 76.2, kWall_mm = 1.65;
/// Of aluminium tube 76.2 x 1.65, and of half a hose of 90 x 5 on it.
constexpr double kPerMillimetre_kg = std::numbers::pi * (kOuter_mm - kWall_mm) * kWall_mm * 2700e-9;
constexpr double kHalfHose_kg = std::numbers::pi * (kOuter_mm + 5) * 5 * 45 * 1250e-9;

/// One straight of 1000 mm from a port of the vehicle to one of the engine, along `along`.
struct StraightDuct {
  bay::Bay bay = example_bay();
  duct::DuctSpec spec = example_spec();
  explicit StraightDuct(const Vec3& along = Vec3::UnitX()) {
    spec.metal = duct::Metal::aluminium;
    spec.fittings.clear();
    const Vec3 end = 1000 * along.normalized();
    spec.route.points = {{duct::PointId("P0"), Vec3::Zero(), 0}, {duct::PointId("P1"), end, 0}};
    bay.ports[0].axis = along.normalized();
    bay.ports[1].center_mm = end;
    bay.ports[1].axis = -along.normalized();
    bay.ports[1].outer_diameter_mm = kOuter_mm;
    bay.ports[1].bore_mm = kOuter_mm - 2 * kWall_mm;
  }
  void hump(const std::string& id, double at_mm) {
    duct::Coupler hose;
    hose.shape = duct::CouplerShape::hump;
    hose.gap_mm = 20;
    hose.length_mm = 90;
    spec.fittings.push_back(fitting(id, "P0", at_mm, hose));
  }
  void bracket(double at_mm, const char* body = "vehicle") {
    spec.fittings.push_back(
        fitting("bracket at " + std::to_string(at_mm), "P0", at_mm, duct::Bracket{bay::BodyId(body)}));
  }
  DuctSupport support() const { return support_of(laid_out(spec, bay)); }
};

}  // namespace

TEST_CASE("A tube between two ports rests half on each; a bracket takes its share of both spans", "[support]") {
  StraightDuct s;
  const double all = 1000 * kPerMillimetre_kg;
  DuctSupport support = s.support();
  REQUIRE(support.beams.size() == 1);
  CHECK(support.beams[0].mass->lo == Approx(all));
  CHECK(support.beams[0].mass->band.low() == Approx(0.1 * all));
  CHECK(support.beams[0].longest_free.lo == Approx(1000));
  CHECK(support.beams[0].loose.empty());
  REQUIRE(support.rigid.size() == 2);
  CHECK(support.rigid[0].by == "port filter-out");
  CHECK(support.rigid[0].carries->lo == Approx(all / 2));
  CHECK(support.rigid[1].carries->lo == Approx(all / 2));

  s.bracket(300);
  support = s.support();
  REQUIRE(support.rigid.size() == 3);
  CHECK(support.rigid[0].carries->lo == Approx(0.15 * all));
  CHECK(support.rigid[1].carries->lo == Approx(0.5 * all));
  CHECK(support.rigid[2].carries->lo == Approx(0.35 * all));
  CHECK(support.beams[0].longest_free.lo == Approx(700));
  CHECK(*support.beams[0].longest_free.station_mm == Approx(650));

  s.spec.metal = duct::Metal::steel;
  CHECK(s.support().beams[0].mass->lo == Approx(all * 7850 / 2700));
  s.spec.metal.reset();
  support = s.support();
  REQUIRE(support.unweighed);
  CHECK(support.unweighed->missing == std::vector<std::string>{"ducts/intake/metal"});
  CHECK(support.beams[0].longest_free.lo == Approx(700));  // which needs no metal
  CHECK_FALSE(support.beams[0].mass);
}

TEST_CASE("A floating tube leaves its weight to its joints, these to the tubes beyond", "[support]") {
  StraightDuct s;
  s.hump("hump-1", 400);
  s.hump("hump-2", 700);
  const DuctSupport support = s.support();
  REQUIRE(support.beams.size() == 3);
  const Beam& middle = support.beams[1];
  const double floating = 280 * kPerMillimetre_kg + 2 * kHalfHose_kg;
  CHECK(middle.mass->lo == Approx(floating));
  REQUIRE(middle.supports.size() == 2);
  CHECK_FALSE(middle.supports[0].rigid);
  CHECK(middle.supports[0].by == "hump-1");
  CHECK(middle.supports[0].carries->lo == Approx(floating / 2));
  CHECK(middle.supports[1].carries->lo == Approx(floating / 2));
  CHECK(middle.longest_free.lo == Approx(280));
  // What is held by a port passes nothing on.
  CHECK(support.beams[0].supports.back().carries->lo == 0);
  CHECK(support.rigid[0].carries->lo == Approx(400 * kPerMillimetre_kg + kHalfHose_kg + floating / 2));
  CHECK(support.rigid[1].carries->lo == Approx(280 * kPerMillimetre_kg + kHalfHose_kg + floating / 2));
  // Two clamps of the floating tube's hoses and what it takes of them.
  CHECK(middle.mass->band.high() > middle.mass->band.low());
}

TEST_CASE("Two floating tubes in a row hold one another, which is to say nothing does", "[support]") {
  StraightDuct s;
  s.hump("hump-1", 250);
  s.hump("hump-2", 500);
  s.hump("hump-3", 750);
  const DuctSupport support = s.support();
  REQUIRE(support.beams.size() == 4);
  CHECK(support.beams[0].loose.empty());
  CHECK(support.beams[1].loose == "it hangs between soft joints, and so does the tube next to it");
  CHECK(support.beams[2].loose == support.beams[1].loose);
  // What rests on the ports beside them is not all known.
  CHECK(support.rigid[0].at_least);
  CHECK(support.rigid[1].at_least);
  s.bracket(400);
  for (const Beam& tube : s.support().beams) CHECK(tube.loose.empty());
  for (const Support& r : s.support().rigid) CHECK_FALSE(r.at_least);
}

TEST_CASE("Tubes across a joint that does not part are one beam", "[support]") {
  StraightDuct s;
  s.hump("hump-1", 250);
  s.hump("hump-2", 800);
  const double whole = s.support().beams[1].mass->lo;
  duct::Coupler plain;
  plain.shape = duct::CouplerShape::straight;
  plain.gap_mm = 5;
  plain.length_mm = 75;
  s.spec.fittings.push_back(fitting("plain", "P0", 500, plain));
  const DuctSupport support = s.support();
  REQUIRE(support.beams.size() == 3);
  const Beam& middle = support.beams[1];
  CHECK(middle.name == "tube 2, tube 3");
  CHECK(middle.floats);
  CHECK(middle.longest_free.lo == Approx(530));
  CHECK(middle.mass->lo == Approx(whole - 5 * kPerMillimetre_kg + 2 * kHalfHose_kg * 37.5 / 45));
}

TEST_CASE("A tube that reaches beyond its last support weighs more on that and less on the one before", "[support]") {
  StraightDuct s;
  s.hump("hump-1", 600);
  s.bracket(200);
  const DuctSupport support = s.support();
  const double tube = 600 * kPerMillimetre_kg;  // its middle is 300 from the port: half beyond the bracket
  CHECK(support.rigid[0].carries->lo == Approx(tube * (1 - 1.5) + kHalfHose_kg * (1 - 3)));
  CHECK(support.rigid[1].carries->lo == Approx(tube * 1.5 + kHalfHose_kg * 3));
}

TEST_CASE("A hose on a port's own spigot loads that port", "[support]") {
  StraightDuct s;
  s.hump("hump-1", 500);
  s.hump("hump-2", 979.9);  // 0.1 left
  const DuctSupport support = s.support();
  REQUIRE(support.beams.size() == 2);
  const double floating = 459.9 * kPerMillimetre_kg + 2 * kHalfHose_kg;
  CHECK(support.beams[1].mass->lo == Approx(floating));
  // Middles of the gaps at 510 and 989.9; the tube's own middle at 749.95.
  CHECK(support.rigid[1].carries->lo == Approx(floating / 2 + kHalfHose_kg + 0.1 * kPerMillimetre_kg).epsilon(1e-6));
}

TEST_CASE("Moments balance on a beam with supports at its ends and between them", "[support]") {
  std::mt19937 random(4);
  std::uniform_real_distribution<double> place(50, 950);
  for (int i = 0; i < 20; ++i) {
    StraightDuct s;
    s.bracket(place(random));
    double moment = 0;
    for (const Support& r : s.support().rigid) moment += r.carries->lo * r.station_mm;
    CHECK(moment == Approx(1000 * kPerMillimetre_kg * 500).epsilon(1e-6));
  }
}

TEST_CASE("Supports over one another each count with all of the tube", "[support]") {
  const StraightDuct s(Vec3::UnitZ());
  const DuctSupport support = s.support();
  CHECK(support.rigid[0].carries->lo == Approx(1000 * kPerMillimetre_kg));
  CHECK(support.rigid[1].carries->lo == Approx(1000 * kPerMillimetre_kg));
}

TEST_CASE("What rests on ports and brackets is the weight of the duct, for any joints and brackets of a straight duct",
          "[support]") {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> unit(0, 1);
  for (int i = 0; i < 60; ++i) {
    CAPTURE(i);
    StraightDuct s(Vec3(1, unit(random), 0.5 * unit(random)));
    const double first = 200 + 200 * unit(random), second = 600 + 200 * unit(random);
    s.hump("hump-1", first);
    s.hump("hump-2", second);
    if (i % 2 == 0) s.bracket(60 + 80 * unit(random));
    if (i % 3 == 0) s.bracket(second + 80 + 60 * unit(random), "engine");
    const DuctSupport support = s.support();
    double carried = 0;
    for (const Support& r : support.rigid) carried += r.carries->lo;
    const double weight = 960 * kPerMillimetre_kg + 4 * kHalfHose_kg;
    CHECK(carried == Approx(weight).epsilon(1e-6));
  }
}
