#include "viewer/scene/drawn_clamps.hpp"

#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include <vtkNew.h>
#include <vtkRenderer.h>

#include "tests/support/example_intake.hpp"
#include "viewer/scene/posed.hpp"

using namespace baywright;

namespace {

/// On a hose of radius 42 along x at the origin, its screw on top and facing clockwise, which is -y.
viewer::PlacedClamp worm_on_top() {
  viewer::PlacedClamp clamp;
  clamp.site.hose_radius_mm = 42;
  clamp.site.type = *catalog::find_clamp(catalog::usual_clamps(), catalog::ClampTypeId("worm-12"));
  clamp.position = {Angle(), access::Side::clockwise};
  return clamp;
}

}  // namespace

TEST_CASE("A clamp is drawn as large as its type says, with the hexagon where a tool goes on", "[viewer]") {
  const auto clamp = worm_on_top();
  Aabb box;
  for (const auto& line : viewer::clamp_edges(clamp))
    for (const Vec3& p : line) box.grow(p);
  // 30 along the band, 15 along the hose, 13 high.
  CHECK((box.lo - Vec3(-7.5, -15, 42)).norm() < 1e-9);
  CHECK((box.hi - Vec3(7.5, 15, 55)).norm() < 1e-9);
  // At the head's end the hexagon of 8 alone: corners 8 / sqrt 3 from its middle at z = 48.5.
  for (const auto& line : viewer::clamp_edges(clamp)) {
    for (const Vec3& p : line) {
      if (p.y() < -15 + 1e-9) CHECK((p - Vec3(0, -15, 48.5)).norm() == Approx(8 / std::sqrt(3.0)));
    }
  }
  // The band: 12.7 wide, round the hose.
  const Aabb all = bounds(viewer::clamp_mesh(clamp));
  CHECK(all.lo.z() == Approx(-42.8).margin(0.01));
  CHECK(all.lo.x() == Approx(-7.5).margin(1e-4));
}

TEST_CASE("The housing's facets look outward", "[viewer]") {
  // Closed but for the band's inside: its volume is housing and hexagon, and the ring between band and hose.
  const double sides = 72, ring = 0.5 * sides * std::sin(2 * std::numbers::pi / sides) * (42.8 * 42.8 - 41.2 * 41.2);
  const double housing = 15 * 13 * (30 - 0.7 * 8), hexagon = 0.5 * std::sqrt(3.0) * 8 * 8 * 0.7 * 8;
  auto mesh = viewer::clamp_mesh(worm_on_top());
  // The inside of the band, which is not drawn, closes it.
  const auto first = static_cast<std::uint32_t>(mesh.vertices.size()) - 4 * 72;
  for (std::uint32_t i = 0; i < 72; ++i) {
    const std::uint32_t a = first + 4 * i, b = first + 4 * ((i + 1) % 72);
    mesh.triangles.push_back({a + 3, b + 3, a});
    mesh.triangles.push_back({b + 3, b, a});
  }
  CHECK(signed_volume_mm3(mesh) == Approx(housing + hexagon + 12.7 * ring).epsilon(1e-4));
}

TEST_CASE("Clamps are drawn where the job puts them, else where they were found, else not", "[viewer]") {
  const bay::Bay bay = test::example_bay();
  duct::DuctSpec spec = test::example_spec();
  std::get<duct::Coupler>(spec.fittings[2].kind).clamps = {
      {duct::HoseEnd::upstream, catalog::ClampTypeId("worm-12"), degrees(90), duct::ScrewSide::counter_clockwise},
      {duct::HoseEnd::downstream, catalog::ClampTypeId("worm-12"), {}, {}}};
  const duct::Duct duct = test::laid_out(spec, bay);
  const catalog::Workshop shop = catalog::usual_workshop();
  const auto stated = viewer::placed_clamps(shop, duct, {});
  REQUIRE(stated.size() == 1);
  CHECK(stated[0].position == access::ScrewPosition{degrees(90), access::Side::counter_clockwise});
  const viewer::FoundClamp found{
      duct.spec.id, stated[0].site.coupler, duct::HoseEnd::downstream, {degrees(45), access::Side::clockwise}};
  const auto both = viewer::placed_clamps(shop, duct, {&found, 1});
  REQUIRE(both.size() == 2);
  CHECK(both[1].position == found.position);
  CHECK(both[1].site.station_mm > both[0].site.station_mm);
  CHECK(viewer::placed_clamps({}, duct, {&found, 1}).empty());  // of no known type
  // A stated angle without a side: the side that is reached.
  std::get<duct::Coupler>(spec.fittings[2].kind).clamps[1].screw_clock = degrees(45);
  const duct::Duct sideless = test::laid_out(spec, bay);
  viewer::FoundClamp other = found;
  other.position.side = access::Side::counter_clockwise;
  CHECK(viewer::placed_clamps(shop, sideless, {&other, 1})[1].position == other.position);
  CHECK(viewer::placed_clamps(shop, sideless, {})[1].position == found.position);

  vtkNew<vtkRenderer> renderer;
  viewer::DrawnClamps drawn(renderer);
  drawn.draw(both);
  CHECK(renderer->VisibleActorCount() == 4);
  drawn.set_visible(false);
  CHECK(renderer->VisibleActorCount() == 0);
  drawn.draw(stated);
  CHECK(renderer->VisibleActorCount() == 2);
  drawn.remove();
  CHECK(renderer->VisibleActorCount() == 0);
}
