#include "measure/floor.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "usual_tube.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

const Vec3 kUp = Vec3::UnitZ();
constexpr double kBoreRadius = kBore / 2;

Installation job(const std::vector<Vec3>& points, double bend_radius) { return between(route(points, bend_radius)); }

/// The floor by its definition, at one station.
double floor_by_hand(const Layout& layout, const Vec3& up, double station) {
  const StationFrame frame = layout.at(station);
  const double along = up.dot(frame.tangent);
  return up.dot(frame.p_mm) - 0.5 * layout.tube_at(station).bore_mm() * std::sqrt(std::max(0.0, 1 - along * along));
}

/// Segment of a disc of radius r below a chord h under its middle.
double segment(double r, double h) { return r * r * std::acos(h / r) - h * std::sqrt(r * r - h * h); }
/// Its integral over the radius from h to r.
double segment_over_radius(double r, double h) {
  const auto primitive = [h](double x) {
    const double root = std::sqrt(std::max(0.0, x * x - h * h));
    const double log = std::log(x + root);
    return x * x * x / 3 * std::acos(std::min(1.0, h / x)) - h / 3 * (x / 2 * root + h * h / 2 * log) -
           h * (x / 2 * root - h * h / 2 * log);
  };
  return primitive(r) - primitive(h);
}

/// A V of two legs of 500 mm that fall and rise by `angle`.
Installation vee(double angle_deg, double bend_radius) {
  const double a = degrees(angle_deg).si();
  const Vec3 down(500 * std::cos(a), 0, -500 * std::sin(a)), up(500 * std::cos(a), 0, 500 * std::sin(a));
  return job({Vec3::Zero(), down, down + up}, bend_radius);
}

}  // namespace

TEST_CASE("in a level or falling duct nothing stands", "[floor]") {
  const Duct level = job({{0, 0, 0}, {800, 0, 0}}, 0).laid_out();
  CHECK(pools(Floor(level.layout, kUp)).empty());
  CHECK(Floor(level.layout, kUp).height_mm(400) == Approx(-kBoreRadius));
  const Duct falling = job({{0, 0, 0}, {400, 0, -50}, {400, 400, -90}}, 100).laid_out();
  CHECK(pools(Floor(falling.layout, kUp)).empty());
  const Duct hill = job({{0, 0, 0}, {400, 0, 50}, {400, 400, 0}}, 100).laid_out();
  CHECK(pools(Floor(hill.layout, kUp)).empty());
}

TEST_CASE("the floor of a vertical tube lies on its axis", "[floor]") {
  const Duct duct = job({{0, 0, 0}, {0, 0, 500}}, 0).laid_out();
  CHECK(Floor(duct.layout, kUp).height_mm(120) == Approx(120));
}

TEST_CASE("a V holds water at the bottom of its bend", "[floor]") {
  const double angle = degrees(30).si(), bend = 120;
  const Duct duct = vee(30, bend).laid_out();
  const Floor floor(duct.layout, kUp);
  const auto found = pools(floor);
  REQUIRE(found.size() == 1);
  const Pool& pool = found[0];
  // The centre of the bend stands over its vertex; both ends are open and their sections lean.
  const double lowest = -500 * std::sin(angle) + bend / std::cos(angle) - bend - kBoreRadius;
  REQUIRE(pool.low_points.size() == 1);
  CHECK(pool.lowest().height_mm == Approx(lowest).margin(1e-9));
  CHECK(pool.lowest().station_from_mm == Approx(0.5 * duct.layout.length_mm).margin(1e-9));
  CHECK(pool.lowest().station_to_mm == pool.lowest().station_from_mm);
  CHECK(pool.level_mm == Approx(-kBoreRadius * std::cos(angle)).margin(1e-9));
  CHECK(pool.depth_mm == Approx(pool.level_mm - lowest).margin(1e-9));
  CHECK(pool.station_from_mm == Approx(0).margin(1e-6));
  CHECK(pool.station_to_mm == Approx(duct.layout.length_mm).margin(1e-6));

  SECTION("tilted, the lower end lets out more") {
    const Vec3 up = bay::Attitude{"", degrees(-10), {}}.up();  // nose down: the far end, forward, is lower
    const auto tilted = pools(Floor(duct.layout, up));
    REQUIRE(tilted.size() == 1);
    const Vec3 end = duct.layout.at(duct.layout.length_mm).p_mm;
    CHECK(tilted[0].level_mm == Approx(up.dot(end) - kBoreRadius * std::cos(degrees(20).si())).margin(1e-9));
    // The bottom of the bend is where its axis is level: 10 degrees behind its middle.
    CHECK(tilted[0].lowest().station_from_mm ==
          Approx(0.5 * duct.layout.length_mm + bend * degrees(10).si()).margin(1e-9));
  }
  SECTION("beyond its slope nothing stands") {
    CHECK(pools(Floor(duct.layout, bay::Attitude{"", degrees(-30.1), {}}.up())).empty());
    CHECK(pools(Floor(duct.layout, bay::Attitude{"", degrees(30.1), {}}.up())).empty());
  }
  SECTION("a drain at the bottom empties it, one up the leg does not") {
    CHECK(pools(floor, std::vector{0.5 * duct.layout.length_mm}).empty());
    const auto rest = pools(floor, std::vector{100.0});
    REQUIRE(rest.size() == 1);
    CHECK(rest[0].level_mm == Approx(floor.height_mm(100)));
    CHECK(rest[0].station_from_mm == Approx(100));
  }
}

TEST_CASE("a dip of a millimetre is a film", "[floor]") {
  for (const double deeper : {-0.01, 0.01}) {
    Installation made = job({{0, 0, 0}, {800, 0, 0}}, 0);
    const double bore = kBore + 2 + 2 * deeper;
    put(made, "S1", 300, sensor_tube(150, 70, {}, {bore + 3.3, 1.65}));
    const auto found = pools(Floor(made.laid_out().layout, kUp));
    CHECK(found.size() == (deeper > 0 ? 1 : 0));
    if (found.empty()) continue;
    CHECK(found[0].depth_mm == Approx(1.01));
    CHECK(found[0].station_from_mm == Approx(300));
    CHECK(found[0].station_to_mm == Approx(450));
    CHECK(found[0].lowest().station_from_mm == Approx(300));
    CHECK(found[0].lowest().station_to_mm == Approx(450));
  }
}

TEST_CASE("volume of a pool between two cones, in closed form", "[floor]") {
  Installation made = between(route({{0, 0, 0}, {800, 0, 0}}, 0), 63.5, 63.5);
  made.spec.tube = {63.5, 1.65};
  put(made, "R1", 100, Reducer{60, {76.2, 1.65}});
  put(made, "R2", 460, Reducer{80, {63.5, 1.65}});
  const Duct duct = made.laid_out();
  const Floor floor(duct.layout, kUp);
  const auto found = pools(floor);
  REQUIRE(found.size() == 1);
  const double small = 60.2 / 2;
  CHECK(found[0].depth_mm == Approx(kBoreRadius - small));
  CHECK(found[0].lowest().station_from_mm == Approx(160));
  CHECK(found[0].lowest().station_to_mm == Approx(460));
  const double cones = (60 + 80) / (kBoreRadius - small) * segment_over_radius(kBoreRadius, small);
  const double whole_ml = (300 * segment(kBoreRadius, small) + cones) / 1000;
  const Volume volume = volume_of(floor, found[0]);
  CHECK(volume.lo_ml <= whole_ml);
  CHECK(volume.hi_ml >= whole_ml);
  CHECK(volume.hi_ml - volume.lo_ml <= std::max(0.02, 1e-3 * whole_ml));
}

TEST_CASE("volume of a full bend, after Pappus", "[floor]") {
  // A siphon: two vertical legs and a half circle of two bends under them, filled up to the legs' open ends.
  const double bend = 150;
  const Duct duct = job({{0, 0, 400}, {0, 0, 0}, {300, 0, 0}, {300, 0, 400}}, bend).laid_out();
  const Floor floor(duct.layout, kUp);
  const auto found = pools(floor);
  REQUIRE(found.size() == 1);
  CHECK(found[0].level_mm == Approx(400));
  CHECK(found[0].lowest().height_mm == Approx(-kBoreRadius));
  const double whole_ml = std::numbers::pi * kBoreRadius * kBoreRadius * (2 * 250 + std::numbers::pi * bend) / 1000;
  const Volume volume = volume_of(floor, found[0]);
  CHECK(volume.lo_ml == Approx(whole_ml).epsilon(1e-3));
  CHECK(volume.lo_ml <= whole_ml * (1 + 1e-9));
  CHECK(volume.hi_ml >= whole_ml * (1 - 1e-9));
}

TEST_CASE("volume of a half-filled V, counted in cubes", "[floor]") {
  const Duct duct = vee(8, 150).laid_out();
  for (const double pitch : {0.0, 3.0}) {
    const Vec3 up = bay::Attitude{"", degrees(pitch), degrees(4)}.up();
    const Floor floor(duct.layout, up);
    const auto found = pools(floor);
    REQUIRE(found.size() == 1);
    const Volume volume = volume_of(floor, found[0]);
    // Every cube of a millimetre whose middle lies in the bore and under the water. The axis is in the plane y = 0.
    const double a = degrees(8).si(), set_back = 150 * std::tan(a);
    const Vec3 vertex(500 * std::cos(a), 0, -500 * std::sin(a));
    const Vec3 center = vertex + Vec3(0, 0, 150 / std::cos(a));
    long cubes = 0;
    for (int i = -40; i < 1040; ++i) {
      for (int k = -160; k < 40; ++k) {
        const double x = i + 0.5, z = k + 0.5;
        // Distance from the axis and station ends, in the plane.
        const Vec3 q(x, 0, z);
        const Vec3 down(std::cos(a), 0, -std::sin(a)), rise(std::cos(a), 0, std::sin(a));
        double off = 0;
        if (const double s = q.dot(down); s <= 500 - set_back && s >= 0 && x <= vertex.x()) {
          off = (q - s * down).norm();
        } else if (const double t = (q - vertex).dot(rise); t >= set_back && t <= 500 && x >= vertex.x()) {
          off = (q - vertex - t * rise).norm();
        } else if (q.z() < center.z() && std::abs(std::atan2(q.x() - center.x(), center.z() - q.z())) <= a) {
          off = std::abs((q - center).norm() - 150);
        } else {
          continue;
        }
        if (off >= kBoreRadius) continue;
        for (int j = -37; j < 37; ++j) {
          const double y = j + 0.5;
          if (off * off + y * y < kBoreRadius * kBoreRadius && up.dot(Vec3(x, y, z)) <= found[0].level_mm) ++cubes;
        }
      }
    }
    CHECK(volume.lo_ml == Approx(static_cast<double>(cubes) / 1000).epsilon(0.003));
    CHECK(volume.hi_ml >= volume.lo_ml);
  }
}

TEST_CASE("floor, pools and least fall of random ducts against dense sampling", "[floor]") {
  std::mt19937 random(71);
  std::uniform_real_distribution<double> unit(-1, 1);
  int pools_seen = 0, ducts = 0;
  while (ducts < 60) {
    std::vector<Vec3> points{Vec3::Zero()};
    for (int i = 0; i < 4; ++i)
      points.push_back(points.back() + Vec3(300 + 100 * unit(random), 350 * unit(random), 200 * unit(random)));
    Installation made = job(points, 90);
    put(made, "S1", 30, sensor_tube(100, 50, {}, {76.2 + 6 * unit(random), 1.65}));
    const auto layout = lay_out(made.spec, made.bay);
    if (!layout) continue;
    ++ducts;
    const Vec3 up = bay::Attitude{"", degrees(20 * unit(random)), degrees(20 * unit(random))}.up();
    const Floor floor(*layout, up);
    constexpr int kSteps = 20000;
    std::vector<double> station(kSteps + 1), height(kSteps + 1), level(kSteps + 1);
    double fall = 90;
    for (int i = 0; i <= kSteps; ++i) {
      const auto n = static_cast<std::size_t>(i);
      station[n] = layout->length_mm * i / kSteps;
      height[n] = floor_by_hand(*layout, up, station[n]);
      fall = std::min(fall, to_degrees(radians(std::asin(-up.dot(layout->at(station[n]).tangent)))));
    }
    CHECK(to_degrees(least_fall(*layout, up).fall) == Approx(fall).margin(0.02));
    CHECK(to_degrees(least_fall(*layout, up).fall) <= fall + 1e-9);
    double highest = -1e9;
    for (std::size_t i = 0; i <= kSteps; ++i) level[i] = highest = std::max(highest, height[i]);
    highest = -1e9;
    for (std::size_t i = kSteps + 1; i-- > 0;) level[i] = std::min(level[i], highest = std::max(highest, height[i]));
    const auto found = pools(floor);
    for (const Pool& pool : found) {
      ++pools_seen;
      double deepest = 0;
      for (std::size_t i = 0; i <= kSteps; ++i) {
        if (station[i] < pool.station_from_mm || station[i] > pool.station_to_mm) continue;
        deepest = std::max(deepest, pool.level_mm - height[i]);
        const bool at_end = station[i] < pool.station_from_mm + 0.2 || station[i] > pool.station_to_mm - 0.2;
        if (!at_end) CHECK(level[i] == Approx(pool.level_mm).margin(0.05));
      }
      // Two samples are less than 0.1 mm apart and no floor here is steeper than 45 degrees.
      CHECK(deepest == Approx(pool.depth_mm).margin(0.1));
      CHECK(deepest <= pool.depth_mm + 1e-9);
      const double lowest = 0.5 * (pool.lowest().station_from_mm + pool.lowest().station_to_mm);
      CHECK(std::min(floor_by_hand(*layout, up, lowest - 1e-7), floor_by_hand(*layout, up, lowest + 1e-7)) ==
            Approx(pool.lowest().height_mm).margin(1e-6));
    }
    // What the samples say is more than a film deep is in one of the pools.
    for (std::size_t i = 0; i <= kSteps; ++i) {
      if (level[i] - height[i] <= kFilm_mm) continue;
      CHECK(std::any_of(found.begin(), found.end(), [&](const Pool& pool) {
        return station[i] >= pool.station_from_mm - 0.2 && station[i] <= pool.station_to_mm + 0.2;
      }));
    }
  }
  CHECK(pools_seen > 20);
}
