#include "measure/breather_measures.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "tests/support/ducts.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

/// A breather of 25 x 3 falling forward by `first` degrees and then to the left by `second`.
Installation breather(double first, double second) {
  const auto falls = [](const Vec3& along, double deg) -> Vec3 {
    return std::cos(degrees(deg).si()) * along - std::sin(degrees(deg).si()) * Vec3::UnitZ();
  };
  const Vec3 corner = 300 * falls(Vec3::UnitX(), first), end = corner + 300 * falls(Vec3::UnitY(), second);
  Installation made = between(route({Vec3::Zero(), corner, end}, 40), 25, 25);
  made.spec.service = Service::breather;
  made.spec.id = DuctId("breather");
  made.spec.tube = {25, 3};
  made.spec.bending = BendingTolerance{};
  for (bay::Port& port : made.bay.ports) port.bore_mm = 19;
  return made;
}

}  // namespace

TEST_CASE("least fall of a breather, level and in attitudes", "[breather]") {
  Installation made = breather(12, 5);
  const auto level = std::get<Measured>(least_fall_level(made.laid_out()));
  CHECK(level.lo == Approx(5));
  CHECK(level.hi == level.lo);
  made.bay.attitudes.push_back({"nose up", degrees(10), {}});
  made.bay.attitudes.push_back({"left side up", {}, degrees(10)});
  // Roll about x: the leg to the left rises by 10 - 5; pitch takes 10 from the first leg, 12 - 10.
  const auto tilted = std::get<Measured>(least_fall_in_attitudes(made.laid_out(), made.bay));
  CHECK(tilted.lo == Approx(-5));
  CHECK(tilted.note.find("left side up") != std::string::npos);
  made.bay.attitudes.pop_back();
  CHECK(std::get<Measured>(least_fall_in_attitudes(made.laid_out(), made.bay)).lo == Approx(2));
  made.bay.attitudes_stated = false;
  CHECK(std::get<NotAssessed>(least_fall_in_attitudes(made.laid_out(), made.bay)).missing ==
        std::vector<std::string>{"attitudes"});
}

TEST_CASE("the least fall of a crest and a sag lies where they rise most", "[breather]") {
  // Rises by 10 degrees, falls by 10: the steepest rise is the first leg.
  CHECK(std::get<Measured>(least_fall_level(breather(-10, 10).laid_out())).lo == Approx(-10));
  CHECK(sag(breather(-10, 10).laid_out(), breather(-10, 10).bay).empty());
  const Installation low = breather(10, -10);
  CHECK(sag(low.laid_out(), low.bay).find("attitude level") != std::string::npos);
}

TEST_CASE("what the bender leaves open of a slope", "[breather]") {
  // Both legs in one upright plane, 300 and 300, one bend of 20 degrees: an error e of its angle turns both legs by
  // half of it once the ends are held.
  const double a = degrees(5).si(), b = degrees(25).si();
  const Vec3 corner(300 * std::cos(a), 0, -300 * std::sin(a));
  const Vec3 end = corner + Vec3(300 * std::cos(b), 0, -300 * std::sin(b));
  Installation made = between(route({Vec3::Zero(), corner, end}, 40), 25, 25);
  made.spec.tube = {25, 3};
  made.spec.bending = BendingTolerance{degrees(0.4), {}, 0};
  const auto m = std::get<Measured>(least_fall_level(made.laid_out()));
  CHECK(m.lo == Approx(5));
  CHECK(m.band.low() == Approx(2 * 0.2).epsilon(0.01));
  made.spec.bending.reset();  // published: +-1.5 degrees up to 63.5
  const auto usual = std::get<Measured>(least_fall_level(made.laid_out()));
  CHECK(usual.band.low() > 2 * 0.5 * 1.5 / std::sqrt(3.0) * 0.99);
  CHECK(usual.band.contributions()[0].missing == "ducts/intake/bending");
}

TEST_CASE("narrowest bore of a breather", "[breather]") {
  Installation made = breather(12, 5);
  CHECK(std::get<Measured>(narrowest_bore_ratio(made.laid_out())).lo == Approx(1));
  made.spec.fittings.push_back(fitting_at(made.spec.route, "cone", 50, Reducer{30, {20, 2.5}}));
  made.bay.ports[1].outer_diameter_mm = 20;
  const auto m = std::get<Measured>(narrowest_bore_ratio(made.laid_out()));
  CHECK(m.lo == Approx(15.0 / 19));
  CHECK(*m.station_mm == Approx(80));
  made.bay.ports[1].bore_mm = 12;
  CHECK(std::get<Measured>(narrowest_bore_ratio(made.laid_out())).lo == Approx(12.0 / 19));
}

TEST_CASE("how a branch port enters", "[breather]") {
  Installation made = between(route({Vec3::Zero(), {600, 0, 0}}, 0));
  BranchPort nipple = branch_port(19, degrees(60));
  made.spec.fittings = {fitting_at(made.spec.route, "nipple", 300, nipple)};
  const auto entry = [&] {
    const Duct duct = made.laid_out();
    return entry_of(duct, made.bay, duct.layout.fittings[0]);
  };
  CHECK(entry().missing == std::vector<std::string>{"ducts/intake/fittings/nipple/angle_deg",
                                                    "ducts/intake/fittings/nipple/intrusion_mm"});
  nipple.angle = degrees(90);
  nipple.intrusion_mm = 1.5;
  made.spec.fittings[0].kind = nipple;
  made.bay.attitudes.push_back({"right side up", {}, degrees(-10)});
  made.bay.attitudes.push_back({"left side up", {}, degrees(10)});
  CHECK(entry().intrusion.lo == 1.5);
  // Clockwise seen along the flow, forward: it leans to the right; with the left side up, it lies lower.
  CHECK(entry().clock_deg == Approx(70));
  CHECK(entry().attitude == "left side up");
}

TEST_CASE("a leaning nipple: its axis, where it ends, and its shape", "[breather]") {
  Installation made = between(route({Vec3::Zero(), {600, 0, 0}}, 0));
  BranchPort nipple = branch_port(19, degrees(0));
  nipple.angle = degrees(30);
  made.spec.fittings = {fitting_at(made.spec.route, "nipple", 300, nipple)};
  // Inward axis 30 degrees to the flow (+x), so outward (-cos 30, 0, sin 30); it leaves the surface 38.1 / sin 30 out.
  const Vec3 axis(-std::cos(degrees(30).si()), 0, 0.5);
  CHECK((nipple_axis(Vec3::UnitX(), nipple) - axis).norm() < 1e-12);
  const Duct main = made.laid_out();
  const Vec3 end = Vec3(300, 0, 0) + (38.1 / 0.5 + 30) * axis;
  made.bay.ports.push_back(port("crankcase", end + 200 * axis, -axis, 23, 1));
  DuctSpec branch;
  branch.id = DuctId("breather");
  branch.service = Service::breather;
  branch.from.port = bay::PortId("crankcase");
  branch.to = {{}, DuctId("intake"), FittingId("nipple")};
  branch.tube = {23, 2};
  branch.route = route({end + 200 * axis, end}, 0);
  const std::vector<Duct> others{main};
  CHECK(lay_out(branch, made.bay, others).has_value());
  branch.route = route({end + 200 * axis, end + Vec3(0, 0, 1)}, 0);
  CHECK_FALSE(lay_out(branch, made.bay, others).has_value());
}
