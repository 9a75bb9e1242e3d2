#include "access/room_field.hpp"

#include <atomic>
#include <catch2/catch.hpp>
#include <random>

#include "access/chart.hpp"
#include "access/scene.hpp"
#include "geometry/shape_kernels.hpp"

namespace baywright::access {
namespace {

/// Triangles strewn about the origin, some as large as a hand.
Scene strewn(unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> place(-250, 250), size(-40, 40);
  TriMesh mesh;
  for (std::uint32_t i = 0; i < 120; ++i) {
    const Vec3 at(place(random), place(random), place(random));
    for (int k = 0; k < 3; ++k) {
      mesh.vertices.push_back((at + Vec3(size(random), size(random), size(random))).cast<float>());
    }
    mesh.triangles.push_back({3 * i, 3 * i + 1, 3 * i + 2});
  }
  Scene scene;
  Obstacle part;
  part.name = "part heap";
  part.tree = TriTree::over(mesh);
  part.chord_error_mm = 0.5;
  scene.obstacles.push_back(part);
  return scene;
}

StandingShape some_shape(std::mt19937& random) {
  std::uniform_real_distribution<double> place(-200, 200), length(-120, 120), radius(2, 60), turn(-1, 1);
  const Vec3 a(place(random), place(random), place(random)),
      b = a + Vec3(length(random), length(random), length(random));
  switch (random() % 3) {
    case 0:
      return Cylinder{a, b, radius(random)};
    case 1:
      return Collar{a, b, radius(random)};
    default:
      const Eigen::Quaterniond q(turn(random), turn(random), turn(random), turn(random));
      return Box{a, q.normalized().toRotationMatrix(), 0.5 * Vec3(radius(random), radius(random), 2 * radius(random))};
  }
}

}  // namespace

TEST_CASE("a field of room never says more or less than there is", "[access]") {
  int told = 0, shapes = 0;
  for (unsigned seed = 1; seed <= 5; ++seed) {
    const Scene scene = strewn(seed);
    const Around exact(scene);
    const Around quick = exact.with_field(Vec3::Zero(), 260);
    std::mt19937 random(seed);
    for (int i = 0; i < 400; ++i) {
      const StandingShape shape = some_shape(random);
      const double room = exact.room_left({&shape, 1}, Asking::tool, 60).room_mm;
      const double said = quick.room_left({&shape, 1}, Asking::tool, 60).room_mm;
      INFO("seed " << seed << ", shape " << i << ": " << room << ", said " << said);
      if (room > 0) CHECK(said <= room + 1e-4);  // too near is too near, by how much does not matter
      CHECK((said > 0) == (room > 0));
      if (room < kAmple_mm && room > 0) CHECK(said == Approx(room).margin(1e-4));
      CHECK(quick.has_room({&shape, 1}, Asking::tool) == exact.has_room({&shape, 1}, Asking::tool));
      CHECK(quick.has_room({&shape, 1}, Asking::arm) == exact.has_room({&shape, 1}, Asking::arm));
      CHECK(quick.has_room({&shape, 1}, Asking::body) == exact.has_room({&shape, 1}, Asking::body));
      told += room > 0 && said < room ? 1 : 0;
      ++shapes;
    }
  }
  CHECK(told > shapes / 20);  // the field was asked, and spoke for some
}

TEST_CASE("a field asks once for each cell, and outside its region says nothing", "[access]") {
  std::atomic<int> asked{0};
  const Aabb region{Vec3::Zero(), Vec3::Constant(160)};
  const RoomField field(region, [&](const Vec3&) {
    ++asked;
    return RoomField::At{50, 7};
  });
  const StandingShape ball = Cylinder{Vec3(80, 80, 80), Vec3(80, 80, 80), 5};
  const RoomField::Between first = field.around(ball);
  CHECK(asked == 1);
  field.around(ball);
  CHECK(asked == 1);
  CHECK(first.low_mm <= 45);
  CHECK(first.high_mm >= 45);
  CHECK(first.low_mm > 20);
  CHECK(first.obstacle == 7);
  const StandingShape outside = Cylinder{Vec3(80, 80, 300), Vec3(80, 80, 300), 5};
  CHECK(field.around(outside).low_mm == -std::numeric_limits<double>::infinity());
}

TEST_CASE("a chart of few positions, which asks no field, says what the whole chart says of them", "[access]") {
  int usable = 0;
  for (unsigned seed = 1; seed <= 2; ++seed) {
    const Scene scene = strewn(seed);
    ClampSite site;
    site.hose_radius_mm = 40;
    site.type = catalog::usual_clamps()[1];
    const std::vector<catalog::Tool> table = catalog::usual_tools();
    const std::vector<ScrewPosition> positions = all_positions();
    const ClampChart whole = *chart_of(site, {scene, {}, table, positions});
    for (std::size_t i = 0; i < positions.size(); i += 7) {
      const ClampChart one = *chart_of(site, {scene, {}, table, {&positions[i], 1}});
      for (std::size_t k = 0; k < whole.tools.size(); ++k) {
        const ToolAt &a = whole.positions[i].tools[k], &b = one.positions[0].tools[k];
        INFO("seed " << seed << ", position " << i << ", tool " << whole.tools[k].id.value);
        CHECK(a.hindrance == b.hindrance);
        CHECK(a.arc.from.si() == Approx(b.arc.from.si()).margin(1e-9));
        CHECK(a.arc.to.si() == Approx(b.arc.to.si()).margin(1e-9));
        CHECK(a.handle.si() == Approx(b.handle.si()).margin(1e-9));
        usable += a.usable();
      }
    }
  }
  CHECK(usable > 20);
}

}  // namespace baywright::access
