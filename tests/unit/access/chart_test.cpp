#include "access/chart.hpp"

#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include "access/clamp_access.hpp"
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
  std::vector<Tool> plain = catalog::usual_tools();
  std::erase_if(plain, [](const Tool& t) { return !t.lengths.empty() && t.bend; });
  std::erase_if(plain, [](const Tool& t) { return t.pliers.has_value(); });
  REQUIRE(all.tools == plain);  // nothing special is needed
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

/// Places along the screw of kOnTop, from its head at y = -15 towards -y, and across it from its axis at z = 48.5.
TriMesh across(double from, double to, double half) {
  return block({-half, -15 - to, 48.5 - half}, {half, -15 - from, 48.5 + half});
}
/// Four walls 40 beside the screw's axis, as far as 70 along it: handles have to swing farther out.
std::vector<TriMesh> cage() {
  return {block({-45, -85, 8.5}, {-40, -15, 88.5}), block({40, -85, 8.5}, {45, -15, 88.5}),
          block({-45, -85, 3.5}, {45, -15, 8.5}), block({-45, -85, 88.5}, {45, -15, 93.5})};
}
std::vector<std::string> usable_ids(const ClampChart& c) {
  std::vector<std::string> ids;
  for (std::size_t i = 0; i < c.tools.size(); ++i) {
    if (c.positions[0].tools[i].usable()) ids.push_back(c.tools[i].id.value);
  }
  return ids;
}

TEST_CASE("a pin ahead of the screw: only what stands off its axis gets at it") {
  // What swings beyond the walls is at least 25 + 50 + 14 long, 104 with its way off: the pin at 95 is in its way. A
  // bar at 30 degrees from the pivot at 44, lifted to 59, passes the pin's edge by 36 sin 30 - 5 cos 30 = 13.7.
  std::vector<TriMesh> meshes = cage();
  meshes.push_back(across(95, 100, 5));
  const Scene scene = scene_of(meshes);
  std::vector<Tool> table = catalog::usual_tools();
  std::erase_if(table, [](const Tool& t) { return t.bend && !t.swing; });
  const ClampChart c = *chart_of(worm_site(), {scene, {}, table, kOnTop});
  CHECK(usable_ids(c) == std::vector<std::string>{"ratchet-joint-75", "ratchet-joint-150"});
  const ToolAt joint = at(c, "ratchet-joint-75");
  CHECK(joint.bent.by > Angle());
  CHECK(joint.bent.by <= degrees(30));
  CHECK(joint.arc.width() >= degrees(25));
  CHECK(at(c, "ratchet").hindrance == Hindrance::swing);
  CHECK(at(c, "nut-driver").hindrance == Hindrance::seated);
  const Choice choice = choose(c, 0, 1, {});
  CHECK(choice.position == 0);
  CHECK_FALSE(choice.torque);

  SECTION("what bends is tried at the asked positions alone, and only where plain tools are no good there") {
    const std::vector<ScrewPosition> two = {{degrees(180), Side::clockwise}, kOnTop[0]};
    const ClampChart asked = *chart_of(worm_site(), {scene, {}, table, two, 1});
    CHECK(at(asked, "ratchet", 0).usable());
    CHECK(at(asked, "ratchet-joint-75", 0).hindrance == Hindrance::not_tried);
    CHECK(at(asked, "ratchet-joint-75", 1).usable());
    const ClampChart any = *chart_of(worm_site(), {scene, {}, table, two, 0});
    CHECK(std::none_of(any.tools.begin(), any.tools.end(), [](const Tool& t) { return t.bend.has_value(); }));
    const ClampChart none = *chart_of(worm_site(), {scene, {}, table, two, 2});
    CHECK(none.tools.size() == any.tools.size());
  }
  SECTION("its class") {
    ClampChart with = c;
    with.with_openings = true;
    CHECK(choose(with, 0, 1, {}).reach == Reach::special_tool);
    CHECK_FALSE(choose(with, 0, 1, {}).seen);
    with.positions[0].seen = true;
    CHECK(choose(with, 0, 1, {}).reach == Reach::special_tool);
    CHECK(choose(with, 0, 1, {}).seen);
    with.positions[0].tools[0].hindrance = Hindrance::none;
    CHECK(choose(with, 0, 1, {}).reach == Reach::seen);
  }
}

TEST_CASE("a wall ahead that a joint does not get beside: only flexible drivers") {
  // Beside the pin, a wall at 161: what is bent by 30 degrees at most and clears the pin has to swing its handle
  // between this wall and the cage, or meets it. A shaft of 150 bent by 85 degrees (radius 101.1) reaches, lifted off,
  // 25 + 15 + 101.1 sin 85 + 16 sin 85 = 156.7 where its handle begins, and its hand lies beyond the wall's edge at 90.
  std::vector<TriMesh> meshes = cage();
  meshes.push_back(across(100, 105, 5));
  const auto wall_at = [&](double away) {
    std::vector<TriMesh> with = meshes;
    with.push_back(across(away, away + 5, 90));
    return chart(scene_of(with), kOnTop);
  };
  const ClampChart c = wall_at(161);
  CHECK(usable_ids(c) == std::vector<std::string>{"flexible-driver-150", "flexible-driver-225", "flexible-driver-300"});
  CHECK(to_degrees(at(c, "flexible-driver-150").bent.by) == Approx(85));
  CHECK(usable_ids(wall_at(120)).empty());  // where a shaft of radius 100 passes 120 it is 68 beside the axis
  CHECK_FALSE(at(wall_at(159), "flexible-driver-150").usable());
  CHECK(at(wall_at(400), "ratchet-joint-75").usable());
}

TEST_CASE("pliers on the tangs of a spring band: along the radius, worked out by hand") {
  // Tangs on top of a hose of radius 42, taken 9 above it: at z = 51. Jaws and handles 240 long, 30 to come off, 3 of
  // room.
  ClampSite site = worm_site();
  site.type = *catalog::find_clamp(catalog::usual_clamps(), catalog::ClampTypeId("spring-band-12"));
  const std::vector<Tool> table = catalog::usual_tools();
  const auto with = [&](const std::vector<TriMesh>& meshes) {
    const Scene scene = scene_of(meshes);
    const ClampChart c = *chart_of(site, {scene, {}, table, kOnTop});
    REQUIRE(c.tools.size() == 1);
    CHECK(c.tools[0].id.value == "spring-pliers");
    return c.positions[0].tools[0].hindrance;
  };
  const Screw grip = grip_at(site, kOnTop[0]);
  CHECK((grip.head - Vec3(0, 0, 51)).norm() < 1e-12);
  CHECK((grip.axis - Vec3::UnitZ()).norm() < 1e-12);
  CHECK(std::abs(grip.out.y()) == Approx(1));
  CHECK(grip_at(site, {Angle(), Side::counter_clockwise}).head == grip.head);
  const auto over = [&](double away) { return with({block({-8, -8, 51 + away}, {8, 8, 52 + away})}); };
  CHECK(over(242.9) == Hindrance::seated);
  CHECK(over(272.7) == Hindrance::lift_off);
  CHECK(over(273.3) == Hindrance::none);
  // The hand: 115 along the band, 90 along the hose, over the outer 100; the handles there 87 along the band.
  const auto beside = [&](double y) { return with({block({-8, y, 250}, {8, y + 1, 260})}); };
  CHECK(beside(57.5 + 2.9) == Hindrance::seated);
  CHECK(beside(57.5 + 3.3) == Hindrance::none);
  const auto ahead = [&](double x) { return with({block({x, -8, 250}, {x + 1, 8, 260})}); };
  CHECK(ahead(45 + 2.9) == Hindrance::seated);
  CHECK(ahead(45 + 3.3) == Hindrance::none);
  // The handles between jaws and hand: (40 + 2 * 180 sin 7.5) / 2 = 43.5.
  const auto low = [&](double y) { return with({block({-8, y, 130}, {8, y + 1, 140})}); };
  CHECK(low(43.5 + 2.9) == Hindrance::seated);
  CHECK(low(43.5 + 3.3) == Hindrance::none);
  // The jaws come down to the tangs' half height: what lies lower is free.
  CHECK(with({block({-8, 20.5, 40}, {8, 21.5, 47.7})}) == Hindrance::none);
  CHECK(with({block({-8, 20.5, 40}, {8, 21.5, 48.3})}) == Hindrance::seated);
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

TEST_CASE("an opening beside a wall that hangs from the lid: the way in has a corner") {
  // The lid is open over x in 150..345, y in -170..170; a wall hangs from it at x = 60 down to z = 115. A straight way
  // into that opening rises too early to pass under the wall.
  std::vector<TriMesh> meshes = well(350);
  meshes.push_back(block({-350, -350, 290}, {150, 350, 295}));
  meshes.push_back(block({345, -350, 290}, {350, 350, 295}));
  meshes.push_back(block({150, -350, 290}, {345, -170, 295}));
  meshes.push_back(block({150, 170, 290}, {345, 350, 295}));
  meshes.push_back(block({60, -350, 115}, {65, 350, 290}));
  bay::AccessOpening hole;
  hole.id = bay::OpeningId("hole");
  hole.outline_mm = {{150, -170, 295}, {345, -170, 295}, {345, 170, 295}, {150, 170, 295}};
  const Scene scene = scene_of(meshes);
  const std::vector<OpeningView> openings = {{hole, Vec3::Zero()}};
  const std::vector<Tool> table = catalog::usual_tools();
  const ClampChart straight = *chart_of(worm_site(), {scene, openings, table, kOnTop, 1});
  CHECK(usable_ids(straight).empty());
  CHECK(at(straight, "stubby-driver").hindrance == Hindrance::way_in);
  const ClampChart round = *chart_of(worm_site(), {scene, openings, table, kOnTop, 0});
  const auto ids = usable_ids(round);
  REQUIRE(ids.size() == 1);  // one is enough, and one that tells the torque comes first
  const ToolAt found = at(round, ids[0]);
  CHECK(found.has_corner());
  CHECK(found.opening == 0);
  CHECK(found.bent.by == Angle());
  const Choice choice = choose(round, 0, 1, openings);
  CHECK(choice.reach == Reach::by_feel);
  // Both legs, looked at every 5 mm against all there is, and at their end it is outside.
  const auto tool =
      std::find_if(round.tools.begin(), round.tools.end(), [&](const Tool& t) { return t.id.value == ids[0]; });
  REQUIRE(tool != round.tools.end());
  const ToolOnScrew on_screw{*tool, 8, 0, screw_at(worm_site(), kOnTop[0])};
  const Around all(scene);
  Vec3 at_mm = on_screw.off_mm() * on_screw.off(found.handle);
  for (const Vec3& leg : {found.leg_mm, found.second_leg_mm}) {
    const int steps = 1 + static_cast<int>(leg.norm() / 5);
    for (int i = 0; i <= steps; ++i) {
      for (const StandingShape& shape : on_screw.whole(found.handle)) {
        const StandingShape there = moved(shape, Pose::translation(at_mm + static_cast<double>(i) / steps * leg));
        CHECK(all.room_left({&there, 1}, Asking::tool, 1e-6).room_mm > 0);
      }
    }
    at_mm += leg;
  }
  for (const StandingShape& shape : on_screw.whole(found.handle)) {
    const StandingShape out = moved(shape, Pose::translation(at_mm));
    CHECK(bounds(out).lo.z() > 295 - 1e-6);
  }
  // With the wall down to the floor there is none.
  meshes.back() = block({60, -350, -350}, {65, 350, 290});
  const ClampChart shut = *chart_of(worm_site(), {scene_of(meshes), openings, table, kOnTop});
  CHECK(usable_ids(shut).empty());
  CHECK(choose(shut, 0, 1, openings).reach == Reach::not_found);
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
