// What sits on pieces beside their drawn shapes, and what of a part a hose may touch.

#include "access/beside_piece.hpp"

#include "access/clamp_site.hpp"
#include "access/seat_left_out.hpp"
#include "tests/unit/access/between.hpp"

namespace baywright::access {
namespace {

TEST_CASE("the stud of a clamp stands out where its screw faces, at both ends where nobody says") {
  Between b;
  b.ways();
  const auto rod = [&](std::optional<duct::ScrewSide> faces) {
    b.clamp(0, "t-bolt", degrees(0));
    b.hose(0).clamps.pop_back();
    b.hose(0).clamps[0].screw_side = faces;
    b.ways();
    return std::get<Cylinder>(
        clamp_bodies(b.duct(), *b.duct().layout.find(duct::FittingId("C1")), catalog::usual_clamps()).at(0).shape);
  };
  const Cylinder both = rod(std::nullopt), one = rod(duct::ScrewSide::clockwise),
                 other = rod(duct::ScrewSide::counter_clockwise);
  const auto types = catalog::usual_clamps();
  const auto type = std::find_if(types.begin(), types.end(), [](const auto& t) { return t.id.value == "t-bolt"; });
  REQUIRE(type->stud_mm > 0);
  CHECK((both.b - both.a).norm() == Approx(type->body_length_mm + 2 * type->stud_mm));
  CHECK((one.b - one.a).norm() == Approx(type->body_length_mm + type->stud_mm));
  const Vec3 shift = 0.5 * (one.a + one.b) - 0.5 * (other.a + other.b);
  CHECK(shift.norm() == Approx(type->stud_mm));
  // To where a tool comes from.
  ClampSite site = site_of(b.duct(), duct::FittingId("C1"), b.hose(0).clamps[0], *type);
  CHECK(screw_at(site, {degrees(0), Side::clockwise}).axis.dot(shift) > 0);
}

TEST_CASE("beads stand on the tube's ends as stated, or 3 mm high; none where it is stated that there is none") {
  Between b;
  b.ways();
  const auto tube = [&]() -> const duct::Piece& {
    return *std::find_if(b.duct().layout.pieces.begin(), b.duct().layout.pieces.end(),
                         [](const duct::Piece& p) { return p.kind == duct::Piece::Kind::tube; });
  };
  REQUIRE(beads(b.duct(), tube()).size() == 2);
  CHECK(std::get<Collar>(beads(b.duct(), tube())[0].shape).radius_mm == Approx(kRadius_mm + 3));
  // Under the downstream end of the first hose begins the tube, 20 mm behind the port.
  b.hose(0).tube_ends = {{duct::HoseEnd::downstream, false, 5, 1.5, 4}};
  b.hose(1).tube_ends = {{duct::HoseEnd::upstream, true, 0, 0, 0}};
  b.ways();
  const auto stated = beads(b.duct(), tube());
  REQUIRE(stated.size() == 1);
  const Collar bead = std::get<Collar>(stated[0].shape);
  CHECK(bead.radius_mm == Approx(kRadius_mm + 1.5));
  CHECK(bead.a.x() == Approx(23));
  CHECK(bead.b.x() == Approx(27));
}

TEST_CASE("a spigot is left out of its part, cut at its length; what is farther out stays") {
  // A spigot of radius 38 and length 100 from x = -100 to 0, of which 45 count.
  const TriMesh mesh = surface_mesh(Collar{{-100, 0, 0}, {0, 0, 0}, 38}, 0.2);
  const TriMesh neck = without_seat(mesh, {{0, 0, 0}, Vec3::UnitX(), 45, 76});
  // Its neck for another 50 goes with it.
  CHECK(bounds(neck).lo.x() == Approx(-100));
  CHECK(bounds(neck).hi.x() == Approx(-95).margin(0.01));
  const TriMesh thick = without_seat(mesh, {{0, 0, 0}, Vec3::UnitX(), 45, 71});  // within a lip of 3, not of its size
  CHECK(bounds(thick).hi.x() == Approx(-45).margin(0.01));
  CHECK(area_mm2(without_seat(mesh, {{0, 0, 0}, Vec3::UnitX(), 45, 60})) == Approx(area_mm2(mesh)));
}

}  // namespace
}  // namespace baywright::access
