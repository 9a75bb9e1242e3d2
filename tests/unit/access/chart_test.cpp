#include "access/chart.hpp"

#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include "access/tool_shapes.hpp"
#include "tests/support/box_mesh.hpp"
#include "tests/support/ducts.hpp"

namespace baywright::access {
namespace {

using catalog::Tool;

/// A worm clamp on a hose of radius 42 along x at the origin: clock 0 is up, clockwise at 0 points to -y.
ClampSite worm_site() {
  ClampSite site;
  site.duct = duct::DuctId("intake");
  site.coupler = duct::FittingId("C1");
  site.name = "C1, upstream end";
  site.hose_radius_mm = 42;
  site.type = *catalog::find_clamp(catalog::usual_clamps(), catalog::ClampTypeId("worm-12"));
  return site;
}

Obstacle obstacle(const std::string& name, const TriMesh& mesh) {
  Obstacle out;
  out.name = name;
  out.tree = TriTree::over(mesh);
  return out;
}

Scene scene_of(const std::vector<TriMesh>& meshes) {
  Scene scene;
  for (const TriMesh& mesh : meshes)
    scene.obstacles.push_back(obstacle("part P" + std::to_string(scene.obstacles.size()), mesh));
  return scene;
}

TriMesh block(const Vec3& lo, const Vec3& hi) { return test::box_mesh(lo, hi); }

const std::vector<ScrewPosition> kOnTop = {{Angle(), Side::clockwise}};

ClampChart chart(const Scene& scene, std::span<const ScrewPosition> positions,
                 std::span<const OpeningView> openings = {}) {
  const std::vector<Tool> table = catalog::usual_tools();
  return *chart_of(worm_site(), {scene, openings, table, positions});
}

ToolAt at(const ClampChart& chart, const std::string& id, std::size_t position = 0) {
  for (std::size_t i = 0; i < chart.tools.size(); ++i) {
    if (chart.tools[i].id.value == id) return chart.positions.at(position).tools.at(i);
  }
  FAIL("no tool " << id);
  return {};
}

TEST_CASE("where the screw is") {
  // Worm 12: axis 6.5 above the hose, body 30 long. On top, clockwise: head at y = -15, axis -y.
  const Screw screw = screw_at(worm_site(), kOnTop[0]);
  CHECK((screw.head - Vec3(0, -15, 48.5)).norm() < 1e-12);
  CHECK((screw.axis - Vec3(0, -1, 0)).norm() < 1e-12);
  CHECK((screw.out - Vec3(0, 0, 1)).norm() < 1e-12);
  // At 3 o'clock the body is to the right (-y) and a clockwise head faces down.
  const Screw right = screw_at(worm_site(), {degrees(90), Side::clockwise});
  CHECK((right.head - Vec3(0, -48.5, -15)).norm() < 1e-9);
  CHECK((right.axis - Vec3(0, 0, -1)).norm() < 1e-9);
  CHECK((screw_at(worm_site(), {degrees(90), Side::counter_clockwise}).axis - Vec3(0, 0, 1)).norm() < 1e-9);
  const Box body = body_at(worm_site(), kOnTop[0], 5);
  const Aabb box = bounds(body);
  CHECK((box.lo - Vec3(-7.5, -15, 47)).norm() < 1e-9);
  CHECK((box.hi - Vec3(7.5, 15, 55)).norm() < 1e-9);
}

TEST_CASE("an empty bay: every tool at every position, handles all round") {
  const ClampChart all = chart({}, all_positions());
  CHECK(all.positions.size() == 144);
  REQUIRE(all.tools.size() == catalog::usual_tools().size());
  for (const PositionAt& position : all.positions) {
    for (const ToolAt& tool : position.tools) {
      CHECK(tool.usable());
      CHECK(to_degrees(tool.arc.width()) == Approx(360));
    }
  }
  CHECK_FALSE(all.with_openings);
}

TEST_CASE(
    "a plate square to the screw, smaller than what the hand leaves free: room along the axis, worked out by hand") {
  // Head at y = -15. Ratchet 39 + 15 and 3 of room = 57; the torque wrench 60 + 3; the stubby driver 115 + 3.
  const auto wall = [](double away) { return scene_of({block({-8, -15 - away - 1, 40.5}, {8, -15 - away, 56.5})}); };
  const auto usable = [](const ClampChart& c) {
    std::vector<std::string> ids;
    for (std::size_t i = 0; i < c.tools.size(); ++i) {
      if (c.positions[0].tools[i].usable()) ids.push_back(c.tools[i].id.value);
    }
    return ids;
  };
  const ClampChart at_60 = chart(wall(60), kOnTop);
  CHECK(usable(at_60) == std::vector<std::string>{"ratchet", "ratchet-ring", "ring", "open"});
  CHECK(at(at_60, "torque-wrench").hindrance == Hindrance::lift_off);  // 45 + 3 < 60 < 63
  CHECK(at(at_60, "ratchet-bar-50").hindrance == Hindrance::seated);   // 25 + 50 + 14
  CHECK(at(at_60, "nut-driver").hindrance == Hindrance::seated);
  CHECK(at(at_60, "nut-driver").obstacle == 0);
  CHECK(at(chart(wall(56.9), kOnTop), "ratchet").hindrance == Hindrance::lift_off);
  CHECK(at(chart(wall(57.1), kOnTop), "ratchet").usable());
  CHECK(at(chart(wall(23.9), kOnTop), "ratchet-ring").hindrance == Hindrance::lift_off);  // 9 + 12 + 3
  CHECK(at(chart(wall(24.1), kOnTop), "ratchet-ring").usable());
}

TEST_CASE("a post beside the handle takes out of its swing what the hand and the room need") {
  // The hand of the ratchet: 15 to 115 from the axis, 60 wide, so a thin post parallel to the axis at 200 is no matter,
  // and one at 60 from the axis takes asin(33 / 60) on either side.
  const Screw screw = screw_at(worm_site(), kOnTop[0]);
  const auto post = [&](double away) {
    const Vec3 foot = screw.head + away * screw.out;
    return scene_of({block(foot + Vec3(-0.001, -200, -0.001), foot + Vec3(0.001, 200, 0.001))});
  };
  const ClampChart far = chart(post(200), kOnTop);
  CHECK(to_degrees(at(far, "ratchet").arc.width()) == Approx(360));
  const ClampChart near = chart(post(60), kOnTop);
  const double each = to_degrees(radians(std::asin(33.0 / 60)));
  const double width = to_degrees(at(near, "ratchet").arc.width());
  CHECK(width <= 360 - 2 * each);
  CHECK(width >= 360 - 2 * each - 2);
  CHECK(at(near, "ratchet").usable());
  // Two more posts, and no arc is left: each takes 67 degrees or more, at 120 degrees apart 53 are left; six: none.
  Scene cage;
  for (int i = 0; i < 6; ++i) {
    const Vec3 foot = screw.head + 60 * screw.swing(degrees(60.0 * i));
    cage.obstacles.push_back(
        obstacle("part post", block(foot + Vec3(-0.001, -200, -0.001), foot + Vec3(0.001, 200, 0.001))));
  }
  const ToolAt caged = at(chart(cage, kOnTop), "ratchet");
  CHECK(caged.hindrance == Hindrance::swing);
  CHECK(caged.arc.width().si() == 0);
  CHECK(at(chart(cage, kOnTop), "nut-driver").hindrance == Hindrance::none);  // its hand: 53.5 + 3 < 60
}

TEST_CASE("the clamp's body keeps away from parts, more from hoses and wires") {
  // Body up to 13 above the hose: z = 55.
  const auto above = [](double gap, bool soft) {
    Scene scene = scene_of({block({-5, -5, 55 + gap}, {5, 5, 80})});
    scene.obstacles[0].soft = soft;
    return at(chart(scene, kOnTop), "open");
  };
  CHECK(above(4.9, false).hindrance == Hindrance::body);
  CHECK(above(4.9, false).obstacle == 0);
  CHECK(above(5.1, false).hindrance != Hindrance::body);
  CHECK(above(9.9, true).hindrance == Hindrance::body);
  CHECK(above(10.1, true).hindrance != Hindrance::body);
}

TEST_CASE("a screw inside a closed part is not usable, though no surface is near") {
  Scene scene = scene_of({block({-400, -400, -400}, {400, 400, 400})});
  CHECK(at(chart(scene, kOnTop), "stubby-driver").usable());  // a hollow shell
  scene.obstacles[0].encloses = true;
  CHECK(at(chart(scene, kOnTop), "stubby-driver").hindrance == Hindrance::inside);
}

TEST_CASE("tools that do not suit the screw are not asked") {
  ClampSite site = worm_site();
  site.type.hexagon_mm = 9;
  const Scene scene;
  const std::vector<Tool> table = catalog::usual_tools();
  const ClampChart none = *chart_of(site, {scene, {}, table, kOnTop});
  CHECK(none.tools.empty());
  CHECK_FALSE(none.positions[0].usable());
}

TEST_CASE("cancelled: no chart") {
  const Scene scene;
  const std::vector<Tool> table = catalog::usual_tools();
  Progress stop;
  stop.cancel();
  CHECK_FALSE(chart_of(worm_site(), {scene, {}, table, kOnTop}, stop));
}

// A well: four walls and a floor around the hose, open at z = 300.
std::vector<TriMesh> well(double half) {
  return {block({-half - 5, -half, -half}, {-half, half, 300}), block({half, -half, -half}, {half + 5, half, 300}),
          block({-half, -half - 5, -half}, {half, -half, 300}), block({-half, half, -half}, {half, half + 5, 300}),
          block({-half, -half, -half - 5}, {half, half, -half})};
}

OpeningView top(double half, double z = 300) {
  bay::AccessOpening opening;
  opening.id = bay::OpeningId("top");
  opening.outline_mm = {{-half, -half, z}, {half, -half, z}, {half, half, z}, {-half, half, z}};
  return {opening, Vec3::Zero()};
}

TEST_CASE("way in, arm and sight through an opening") {
  const Scene scene = scene_of(well(350));
  const std::vector<OpeningView> openings = {top(350)};
  CHECK((openings[0].outward() - Vec3::UnitZ()).norm() < 1e-12);
  // At 9 o'clock the clockwise screw faces up to the opening, at 3 o'clock down.
  const std::vector<ScrewPosition> positions = {{degrees(270), Side::clockwise}, {degrees(90), Side::clockwise}};
  const ClampChart c = chart(scene, positions, openings);
  CHECK(c.with_openings);
  CHECK(at(c, "ratchet", 0).usable());
  CHECK(at(c, "ratchet", 0).opening == 0);
  CHECK(at(c, "nut-driver", 0).usable());
  CHECK(c.positions[0].seen);
  CHECK_FALSE(c.positions[1].seen);  // it looks down
  CHECK(at(c, "ratchet", 1).usable());

  SECTION("closed by a lid") {
    std::vector<TriMesh> closed = well(350);
    closed.push_back(block({-350, -350, 290}, {350, 350, 295}));
    const ClampChart shut = chart(scene_of(closed), positions, openings);
    CHECK(at(shut, "ratchet", 0).hindrance == Hindrance::way_in);
    CHECK(at(shut, "ratchet", 0).obstacle == -1);
    CHECK_FALSE(shut.positions[0].seen);
    // Without the opening nobody asks, and that is to be seen.
    const ClampChart unknown = chart(scene_of(closed), positions);
    CHECK(at(unknown, "ratchet", 0).usable());
    CHECK_FALSE(unknown.with_openings);
  }
  SECTION("an opening that no hand goes through") {
    CHECK(at(chart(scene, positions, std::vector{top(25)}), "ratchet", 0).hindrance == Hindrance::way_in);
  }
}

TEST_CASE("the way out through an opening is what has to pass it") {
  const OpeningView view = top(100);
  const StandingShape bar = Collar{{0, 0, 0}, {0, 0, 50}, 20};
  CHECK(*view.way_out({&bar, 1}, Vec3::UnitZ()) == Approx(300 + 20));  // with its round hull
  CHECK_FALSE(view.way_out({&bar, 1}, Vec3::UnitX()));
  CHECK_FALSE(view.way_out({&bar, 1}, -Vec3::UnitZ()));
  const StandingShape aside = Collar{{85, 0, 0}, {85, 0, 50}, 20};
  CHECK_FALSE(view.way_out({&aside, 1}, Vec3::UnitZ()));
  const StandingShape outside = Collar{{900, 0, 400}, {900, 0, 450}, 20};
  CHECK(*view.way_out({&outside, 1}, Vec3::UnitZ()) == 0);
  CHECK(view.targets(0, 5).size() == 25);
  CHECK(view.targets(0, 3).size() == 9);
  CHECK(top(40).targets(50, 3).empty());
}

TEST_CASE("the scene: bonnet open or left out, parts removed first, own hose may be touched") {
  bay::Bay bay;
  bay.bodies = {test::body("vehicle"), test::body("bonnet")};
  bay::Part lid;
  lid.id = bay::PartId("lid");
  lid.part_class = bay::PartClass::bonnet;
  lid.body = 1;
  lid.mesh = std::make_shared<TriMesh>(block({0, -50, 0}, {400, 50, 5}));
  lid.tree = TriTree::over(*lid.mesh);
  bay::Part battery = lid;
  battery.id = bay::PartId("battery");
  battery.part_class = bay::PartClass::plain;
  battery.body = 0;
  bay.parts = {lid, battery};

  const Scene closed = make_scene(bay, {});
  REQUIRE(closed.obstacles.size() == 1);
  CHECK(closed.obstacles[0].name == "part battery");
  REQUIRE(closed.notes.size() == 1);
  CHECK(closed.notes[0].find("lid is left out") != std::string::npos);

  bay.bodies[1].spec = bay::HingeMotion{{Vec3::Zero(), Vec3::UnitY()}, degrees(-70), degrees(1), true};
  bay.bodies[1].motion = bay::build_motion(bay.bodies[1].spec)->set;
  const Scene open = make_scene(bay, {});
  REQUIRE(open.obstacles.size() == 2);
  // A right-handed turn of -70 degrees about y lifts +x: (400, 0, 0) goes to (400 cos 70, 0, 400 sin 70).
  const Vec3 tip = open.obstacles[0].X * Vec3(400, 0, 0);
  CHECK((tip - 400 * Vec3(std::cos(degrees(70).si()), 0, std::sin(degrees(70).si()))).norm() < 1e-9);
  const StandingShape probe = Cylinder{tip, tip, 1};
  CHECK(Around(open).room_left({&probe, 1}, Asking::tool, 10).room_mm <= 0);

  CHECK(make_scene(bay, {}, {{bay::PartId("battery")}}).obstacles.size() == 1);
}

}  // namespace
}  // namespace baywright::access
