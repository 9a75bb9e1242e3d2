#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "tests/support/ducts.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::test;

namespace {

/// 1000 mm along x, bend of radius 100, 500 mm along y. Stations: straight 0-900, bend -1057.08, straight -1457.08.
Installation bent() { return between(route({{0, 0, 0}, {1000, 0, 0}, {1000, 500, 0}}, 100)); }

Fitting fitting(const std::string& id, const std::string& leg, double offset, FittingKind kind, bool from_end = false) {
  return {FittingId(id), {PointId(leg), offset, from_end}, std::move(kind)};
}

bool refused(const Installation& made, const std::string& where, const std::string& text) {
  const auto layout = lay_out(made.spec, made.bay);
  if (layout) return false;
  for (const Error& error : layout.error()) {
    if (error.where == "duct intake: " + where && error.message.find(text) != std::string::npos) return true;
  }
  UNSCOPED_INFO(to_line(layout.error().front()));
  return false;
}

Installation with(std::vector<Fitting> fittings) {
  Installation made = bent();
  made.spec.fittings = std::move(fittings);
  return made;
}

const double kLegTwo = 900 + 50 * M_PI;  ///< station at which the second leg starts

}  // namespace

TEST_CASE("A duct without fittings is one tube") {
  const Duct duct = bent().laid_out();
  REQUIRE(duct.layout.pieces.size() == 1);
  CHECK(duct.layout.pieces[0].name == "tube 1");
  CHECK(duct.layout.pieces[0].station_to_mm == Approx(kLegTwo + 400));
  CHECK(duct.layout.holds.size() == 2);
}

TEST_CASE("Fittings stand where their anchor says, from either end of the leg") {
  const Layout layout =
      with({fitting("T1", "P0", 250, RestrictionTap()), fitting("T2", "P1", 300, RestrictionTap()),
            fitting("T3", "P1", 100, RestrictionTap(), true), fitting("T4", "P0", 100, RestrictionTap(), true)})
          .laid_out()
          .layout;
  CHECK(layout.find(FittingId("T1"))->station_from_mm == Approx(250));
  CHECK(layout.find(FittingId("T2"))->station_from_mm == Approx(kLegTwo + 200));
  CHECK(layout.find(FittingId("T3"))->station_from_mm == Approx(kLegTwo + 300));
  CHECK(layout.find(FittingId("T4"))->station_from_mm == Approx(900));
  CHECK(layout.find(FittingId("T5")) == nullptr);
  CHECK(layout.fittings.front().id == FittingId("T1"));
}

TEST_CASE("A fitting off its leg or on a bend is refused with the amount") {
  CHECK(refused(with({fitting("T1", "P0", -5, RestrictionTap())}), "fitting T1", "starts 5.0 mm before"));
  CHECK(refused(with({fitting("T1", "P0", 903, RestrictionTap())}), "fitting T1", "ends 3.0 mm behind"));
  CHECK(refused(with({fitting("T1", "P0", 903, RestrictionTap())}), "fitting T1", "a bend is there"));
  CHECK(refused(with({fitting("T1", "P1", 80, RestrictionTap())}), "fitting T1", "starts 20.0 mm before"));
  CHECK(refused(with({fitting("R1", "P1", 450, Reducer{60, {63.5, 1.65}})}), "fitting R1", "ends 10.0 mm behind"));
  CHECK(refused(with({fitting("R1", "P1", 450, Reducer{60, {63.5, 1.65}})}), "fitting R1", "the duct ends there"));
  CHECK(refused(with({fitting("T1", "P2", 0, RestrictionTap())}), "fitting T1", "no leg of this route starts there"));
  CHECK(refused(with({fitting("T1", "P9", 0, RestrictionTap())}), "fitting T1", "no leg of this route starts there"));
  CHECK(with({fitting("T1", "P0", 900, RestrictionTap()), fitting("T2", "P1", 100, RestrictionTap())})
            .laid_out()
            .layout.fittings.size() == 2);
}

TEST_CASE("Fittings with a length must not overlap, ends may touch") {
  const Coupler flush = coupler(CouplerShape::straight, 10, 60);
  const SensorTube sensor = sensor_tube(100, 50, Angle(), {76.2, 1.65});
  CHECK(refused(with({fitting("C1", "P0", 200, flush), fitting("S1", "P0", 206, sensor)}), "fitting S1",
                "overlaps coupler C1 by 4.0 mm"));
  CHECK(with({fitting("C1", "P0", 200, flush), fitting("S1", "P0", 210, sensor), fitting("C2", "P0", 310, flush)})
            .laid_out()
            .layout.pieces.size() == 5);
  CHECK(refused(with({fitting("C1", "P0", 200, flush), fitting("C2", "P0", 240, flush)}), "fitting C2",
                "its hose overlaps the hose of coupler C1 by 20.0 mm"));
}

TEST_CASE("Point fittings may sit on any rigid tube but not under a hose") {
  const Coupler flush = coupler(CouplerShape::straight, 10, 60);
  const duct::Bracket bracket{bay::BodyId("vehicle")};
  CHECK(with({fitting("S1", "P0", 300, sensor_tube(100, 50, Angle(), {76.2, 1.65})), fitting("K1", "P0", 320, bracket),
              fitting("R1", "P0", 500, Reducer{60, {63.5, 1.65}}), fitting("B1", "P0", 520, branch_port(20, Angle()))})
            .laid_out()
            .layout.fittings.size() == 4);
  CHECK(refused(with({fitting("C1", "P0", 200, flush), fitting("T1", "P0", 205, RestrictionTap())}), "fitting T1",
                "under the hose of coupler C1"));
  CHECK(refused(with({fitting("C1", "P0", 200, flush), fitting("K1", "P0", 180, bracket)}), "fitting K1",
                "under the hose of coupler C1"));
  CHECK(refused(
      with({fitting("C1", "P0", 200, flush), fitting("S1", "P0", 210, sensor_tube(100, 20, Angle(), {76.2, 1.65}))}),
      "fitting S1", "its sensor lies under the hose"));
  // The hose ends at station 235.
  CHECK(with({fitting("C1", "P0", 200, flush), fitting("K1", "P0", 235, bracket)}).laid_out().layout.fittings.size() ==
        2);
}

TEST_CASE("Impossible values are refused, all at once") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  Installation made = with({fitting("C1", "P0", nan, coupler(CouplerShape::hump, 20, 15)),
                            fitting("S1", "P0", 300, sensor_tube(100, 120, Angle(), {10, 6})),
                            fitting("K1", "P0", 500, duct::Bracket{bay::BodyId("nowhere")}),
                            fitting("K1", "P0", 510, duct::Bracket{bay::BodyId("engine")})});
  made.spec.tube = {76.2, -1};
  made.spec.to.port = bay::PortId("none");
  made.spec.route.points[2].p_mm.y() = nan;
  CHECK(refused(made, "fitting C1", "offset"));
  CHECK(refused(made, "fitting C1", "must be longer than its gap"));
  CHECK(refused(made, "fitting S1", "between the ends"));
  CHECK(refused(made, "fitting S1", "no bore"));
  CHECK(refused(made, "fitting K1", "body 'nowhere'"));
  CHECK(refused(made, "fitting K1", "used twice"));
  CHECK(refused(made, "tube", "no bore"));
  CHECK(refused(made, "to", "no port 'none'"));
  CHECK(refused(made, "point P2", "not finite"));
}

TEST_CASE("The ends lie at their ports and along their axes") {
  Installation made = bent();
  made.bay.ports[0].center_mm.z() = 0.49;
  CHECK(lay_out(made.spec, made.bay).has_value());
  made.bay.ports[0].center_mm.z() = 0.51;
  CHECK(refused(made, "point P0", "lies 0.5 mm away from port filter-out"));
  made = bent();
  const auto tilt = [](double degree) {
    return Vec3(0, -std::cos(degrees(degree).si()), std::sin(degrees(degree).si()));
  };
  made.bay.ports[1].axis = tilt(0.99);
  CHECK(lay_out(made.spec, made.bay).has_value());
  made.bay.ports[1].axis = tilt(1.01);
  CHECK(refused(made, "point P2", "leaves port compressor-in at 1.0 degrees"));
  CHECK(refused(made, "point P2", "move the next point onto the port's axis"));
  made.bay.ports[1].axis = Vec3(0, 1, 0);  // into the part
  CHECK(refused(made, "point P2", "if it points into the part, write \"axis\": [0, -1, 0] there"));
  made.spec.to = {};
  CHECK(refused(made, "to", "names neither"));
  made.spec.to.duct = DuctId("other");
  CHECK(refused(made, "to", "duct 'other', which is missing"));
}

TEST_CASE("Tube size along the duct") {
  const TubeSize large{76.2, 1.65}, small{63.5, 1.65}, calibrated{70, 2};
  const Layout layout = with({fitting("S1", "P0", 100, sensor_tube(100, 50, Angle(), calibrated)),
                              fitting("R1", "P0", 300, Reducer{50, small}),
                              fitting("C1", "P1", 200,
                                      [&] {
                                        Coupler c = coupler(CouplerShape::reducer, 20, 80);
                                        c.to = TubeSize{50, 1.5};
                                        return c;
                                      }())})
                            .laid_out()
                            .layout;
  CHECK(layout.tube_at(0) == large);
  CHECK(layout.tube_at(99.9) == large);
  CHECK(layout.tube_at(100) == calibrated);
  CHECK(layout.tube_at(200) == large);
  CHECK(layout.tube_at(300) == large);
  CHECK(layout.tube_at(325).outer_diameter_mm == Approx((76.2 + 63.5) / 2));
  CHECK(layout.tube_at(350) == small);
  CHECK(layout.tube_at(kLegTwo + 110) == small);
  CHECK(layout.tube_at(kLegTwo + 120) == TubeSize{50, 1.5});
}

TEST_CASE("An elbow coupler lies over its bend") {
  // The bend runs from 900 to 1057.08.
  const Layout layout = with({fitting("E1", "P0", 880, coupler(CouplerShape::elbow, 200, 300))}).laid_out().layout;
  REQUIRE(layout.pieces.size() == 3);
  CHECK(layout.pieces[1].kind == Piece::Kind::coupler);
  CHECK(layout.pieces[1].station_from_mm == Approx(830));
  CHECK(refused(with({fitting("E1", "P0", 880, coupler(CouplerShape::elbow, 100, 300))}), "fitting E1",
                "must cover the whole bend"));
  CHECK(refused(with({fitting("E1", "P1", 200, coupler(CouplerShape::elbow, 100, 300))}), "fitting E1", "last leg"));
}

TEST_CASE("A branch ends on another duct's nipple and moves with its tube") {
  Installation made = fitted_job();
  made.bay.ports.push_back(port("breather-out", Vec3(0, 0, 500), Vec3::UnitX(), 29, 1));
  const Duct intake = made.laid_out();
  const StationFrame frame = intake.layout.at(740);
  const Vec3 up = outward_direction(frame.tangent, Angle());
  const Vec3 tip = frame.p_mm + (38.1 + 30) * up;
  DuctSpec branch;
  branch.id = DuctId("breather");
  branch.from.port = bay::PortId("breather-out");
  branch.to.duct = DuctId("intake");
  branch.to.fitting = FittingId("B1");
  branch.tube = {25, 2};
  branch.route = route({{0, 0, 500}, {20, 0, 500}, tip + 50 * up, tip}, 13);
  const auto laid = lay_out(branch, made.bay, std::span(&intake, 1));
  REQUIRE(laid);
  CHECK(laid->holds.back().by == "duct intake");
  CHECK(laid->holds.back().carriage.first.kind == RigidCarriage::Kind::link);
  CHECK(laid->pieces[0].carriage.first == Carriage::on(1).first);
  REQUIRE(laid->pieces[0].carriage.second);
  branch.to.fitting = FittingId("B9");
  const auto missing = lay_out(branch, made.bay, std::span(&intake, 1));
  REQUIRE_FALSE(missing);
  CHECK(missing.error()[0].message.find("no branch port 'B9'") != std::string::npos);
}

TEST_CASE("Pieces of the good demonstration job") {
  const Layout layout = fitted_job().laid_out().layout;
  REQUIRE(layout.pieces.size() == 6);
  const char* names[] = {"tube 1", "coupler C1", "tube 2", "coupler C2", "tube 3", "coupler C3"};
  for (std::size_t i = 0; i < 6; ++i) CHECK(layout.pieces[i].name == names[i]);
  CHECK(layout.pieces[0].station_to_mm == Approx(435));
  CHECK(layout.pieces[2].station_from_mm == Approx(440));
  CHECK(layout.pieces[2].station_to_mm == Approx(595));
  CHECK(layout.pieces[4].station_from_mm == Approx(615));
  CHECK(layout.pieces[4].station_to_mm == Approx(1120));
  // Straight between the first bend and the tube's end, for the bead.
  CHECK(layout.pieces[0].station_to_mm - layout.bends[0].station_to_mm == Approx(104.9).margin(0.05));
  // Filter, flush joint and sensor ride on the vehicle; the rest floats between the two humps.
  for (std::size_t i : {0U, 1U, 2U}) CHECK(layout.pieces[i].carriage == Carriage::on(0));
  const RigidCarriage& link = layout.pieces[4].carriage.first;
  CHECK(link.kind == RigidCarriage::Kind::link);
  CHECK(link.a == 0);
  CHECK(link.b == 1);
  CHECK((link.end_a - layout.at(605).p_mm).norm() < 1e-9);
  CHECK((link.end_b - layout.at(1132.5).p_mm).norm() < 1e-9);
  CHECK(layout.pieces[4].held_by.empty());
  REQUIRE(layout.pieces[5].carriage.second);
  CHECK(*layout.pieces[5].carriage.second == Carriage::on(1).first);
}

TEST_CASE("A bend tighter than half the tube cannot be made") {
  // Tube of 76.2: half of it is 38.1.
  const auto bent_by = [](double radius) { return between(route({{0, 0, 0}, {1000, 0, 0}, {1000, 500, 0}}, radius)); };
  CHECK(refused(bent_by(38.0), "point P1",
                "bend radius of 38.0 mm is less than half the tube's outer diameter of 76.2 mm"));
  CHECK(lay_out(bent_by(38.1).spec, bent_by(38.1).bay).has_value());
  Installation inch = bent_by(38.0);
  inch.bay.units.length = LengthUnit::inch;
  CHECK(refused(inch, "point P1", "bend radius of 1.496 in is less than half the tube's outer diameter of 3.000 in"));
}

TEST_CASE("Errors state lengths in the units of the bay") {
  Installation made = with({fitting("T1", "P0", -5, RestrictionTap())});
  made.bay.units.length = LengthUnit::inch;
  CHECK(refused(made, "fitting T1", "starts 0.197 in before"));
}
