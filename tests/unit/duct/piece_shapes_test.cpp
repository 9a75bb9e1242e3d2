#include "duct/piece_shapes.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "geometry/clearance/flexible_gap.hpp"
#include "routes.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::test;

namespace {

constexpr double kRadius = 38.1;

Layout plain(const std::vector<Vec3>& points, double bend_radius_mm) {
  Layout layout = *lay_out_route(route(points, bend_radius_mm));
  layout.upstream_tube = {2 * kRadius, 1.65};
  return layout;
}

/// Is p inside the solid? Written anew here, from the definitions of the shapes.
bool contains(const Shape& shape, const Vec3& p, double slack_mm) {
  const auto along = [&](const Vec3& a, const Vec3& b) { return (p - a).dot((b - a).normalized()); };
  const auto off = [&](const Vec3& a, const Vec3& b) { return (p - a - along(a, b) * (b - a).normalized()).norm(); };
  if (const auto* s = std::get_if<Cylinder>(&shape)) {
    const double t = std::clamp(along(s->a, s->b), 0.0, (s->b - s->a).norm());
    return (p - s->a - t * (s->b - s->a).normalized()).norm() <= s->radius_mm + slack_mm;
  }
  if (const auto* s = std::get_if<Collar>(&shape)) {
    const double t = along(s->a, s->b);
    return t >= -slack_mm && t <= (s->b - s->a).norm() + slack_mm && off(s->a, s->b) <= s->radius_mm + slack_mm;
  }
  if (const auto* s = std::get_if<Cone>(&shape)) {
    const double length = (s->b - s->a).norm(), t = along(s->a, s->b);
    const double r = s->radius_a_mm + t / length * (s->radius_b_mm - s->radius_a_mm);
    return t >= -slack_mm && t <= length + slack_mm && off(s->a, s->b) <= r + slack_mm;
  }
  const auto& s = std::get<TorusSegment>(shape);
  const Vec3 q = p - s.center;
  double t = std::atan2(q.dot(s.e1), q.dot(s.e0));
  t = std::clamp(t < -M_PI / 2 ? t + 2 * M_PI : t, 0.0, s.angle_rad);
  return (p - s.axis_point(t)).norm() <= s.radius_mm + slack_mm;
}

bool contains(const std::vector<Primitive>& shapes, const Vec3& p, double slack_mm = 1e-9) {
  return std::any_of(shapes.begin(), shapes.end(), [&](const Primitive& s) { return contains(s.shape, p, slack_mm); });
}

/// Every point of the tube between the stations lies inside the shapes, and no shape reaches farther than `bulge_mm`
/// outside the tube or past its flat ends.
void check_covers(const Layout& layout, const std::vector<Primitive>& shapes, double from, double to, double bulge_mm) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> unit(0, 1);
  for (int i = 0; i < 4000; ++i) {
    const StationFrame frame = layout.at(from + (to - from) * unit(random));
    const Vec3 e = outward_direction(frame.tangent, radians(2 * M_PI * unit(random)));
    REQUIRE(contains(shapes, frame.p_mm + kRadius * unit(random) * e));
    REQUIRE_FALSE(contains(shapes, frame.p_mm + (kRadius + bulge_mm) * e, 0));
  }
  for (const auto& [station, sign] : {std::pair(from, -1.0), std::pair(to, 1.0)}) {
    const StationFrame frame = layout.at(station);
    for (int i = 0; i < 200; ++i) {
      const Vec3 e = outward_direction(frame.tangent, radians(2 * M_PI * unit(random)));
      REQUIRE_FALSE(contains(shapes, frame.p_mm + kRadius * unit(random) * e + sign * bulge_mm * frame.tangent, 0));
    }
  }
}

/// Short cylinders of 2 degrees stand 1 degree askew at an end and are longer by radius x tan(1 degree) to close their
/// wedges; a round end one radius of arc away is nearer than that by radius^3 / (24 bend radius^2) = 0.18 mm.
const double kBulge = 2 * kRadius * std::tan(degrees(1).si()) + 0.2;

}  // namespace

TEST_CASE("A tube shorter than its radius has flat ends") {
  const Layout layout = plain({{0, 0, 0}, {10, 0, 0}}, 0);
  const auto shapes = tube_shapes(layout, 0, 10);
  REQUIRE(shapes.size() == 1);
  CHECK(std::holds_alternative<Collar>(shapes[0].shape));
  check_covers(layout, shapes, 0, 10, 1e-6);
}

TEST_CASE("A long straight tube is round inside and flat at its ends") {
  const Layout layout = plain({{0, 0, 0}, {400, 0, 0}}, 0);
  const auto shapes = tube_shapes(layout, 0, 400);
  REQUIRE(shapes.size() == 3);
  CHECK(std::holds_alternative<Cylinder>(shapes[1].shape));
  check_covers(layout, shapes, 0, 400, 1e-6);
  CHECK(shapes[0].station_from_mm == 0);
  CHECK(shapes[2].station_to_mm == 400);
}

TEST_CASE("A bent tube is covered without holes or bulges") {
  const Layout layout = plain(worked_points(), 114.3);
  SECTION("whole") { check_covers(layout, tube_shapes(layout, 0, layout.length_mm), 0, layout.length_mm, 1e-6); }
  SECTION("ends on bends") { check_covers(layout, tube_shapes(layout, 250, 960), 250, 960, kBulge); }
  SECTION("ends near bends") { check_covers(layout, tube_shapes(layout, 180, 650), 180, 650, kBulge); }
  SECTION("within one bend") { check_covers(layout, tube_shapes(layout, 200, 300), 200, 300, kBulge); }
  SECTION("cut") {
    const auto whole = tube_shapes(layout, 0, layout.length_mm);
    check_covers(layout, cut_to(whole, 30, layout.length_mm), 30, layout.length_mm, kBulge);
    check_covers(layout, cut_to(whole, 190, 1000), 190, 1000, kBulge);
    check_covers(layout, cut_to(whole, 300, 320), 300, 320, kBulge);
    CHECK(cut_to(whole, 2000, 3000).empty());
  }
}

TEST_CASE("Cutting a cone and what stands on the tube") {
  const std::vector<Primitive> shapes = {{Cone{{0, 0, 0}, {100, 0, 0}, 40, 30}, 3, 200, 300},
                                         {Collar{{50, 0, 30}, {50, 0, 60}, 10}, 3, 250, 250}};
  const auto cut = cut_to(shapes, 225, 275);
  REQUIRE(cut.size() == 2);
  const auto& cone = std::get<Cone>(cut[0].shape);
  CHECK(cone.a.x() == Approx(25));
  CHECK(cone.b.x() == Approx(75));
  CHECK(cone.radius_a_mm == Approx(37.5));
  CHECK(cone.radius_b_mm == Approx(32.5));
  CHECK(cut[0].owner == 3);
  CHECK(cut_to(shapes, 251, 400).size() == 1);
}

TEST_CASE("A coupler is its hose and hump, its clamps are a piece of their own") {
  Coupler hump = coupler(CouplerShape::hump, 20, 90);
  hump.clamp_height_mm = 12;
  Installation made = between(route({{0, 0, 0}, {500, 0, 0}}, 0));
  made.spec.fittings = {fitting_at(made.spec.route, "C1", 240, hump)};
  const Layout layout = made.laid_out().layout;
  REQUIRE(layout.pieces.size() == 4);
  const auto& hose = layout.pieces[1];
  const auto& bands = layout.pieces[3];
  CHECK(bands.kind == Piece::Kind::clamps);
  CHECK(bands.name == "clamps of C1");
  CHECK(bands.carriage == hose.carriage);
  const auto radius = [](const Primitive& shape) { return std::get<Collar>(shape.shape).radius_mm; };
  // Between two carriers: engaged 205..240 and 260..295, between them the gap; the hump.
  const std::vector<std::pair<double, double>> runs = {{205, 240}, {240, 260}, {260, 295}, {235, 265}};
  REQUIRE(hose.shapes.size() == runs.size());
  REQUIRE(hose.carriage.flexible());
  CHECK((hose.carriage.gap->from - Vec3(240, 0, 0)).norm() < 1e-9);
  CHECK((hose.carriage.gap->to - Vec3(260, 0, 0)).norm() < 1e-9);
  CHECK(hose.carriage.gap->held);
  for (std::size_t i = 0; i < runs.size(); ++i) {
    CHECK(hose.shapes[i].station_from_mm == Approx(runs[i].first));
    CHECK(hose.shapes[i].station_to_mm == Approx(runs[i].second));
    const Carriage own = carriage_of(hose.carriage, hose.shapes[i].shape);
    CHECK(own == (i == 0 ? Carriage::on(0) : i == 2 ? Carriage::on(1) : hose.carriage));
    if (i != 1) CHECK(radius(hose.shapes[i]) == Approx(38.1 + 5 + (i == 3 ? 10 : 0)));
  }
  CHECK(std::get<Cylinder>(hose.shapes[1].shape).radius_mm == Approx(38.1 + 5));
  CHECK(carriage_of(bands.carriage, bands.shapes[0].shape) == Carriage::on(0));
  CHECK(carriage_of(bands.carriage, bands.shapes[1].shape) == Carriage::on(1));
  REQUIRE(bands.shapes.size() == 2);
  CHECK(radius(bands.shapes[0]) == Approx(38.1 + 5 + 12));
  CHECK(bands.shapes[0].station_from_mm == Approx(211.4));
  CHECK(bands.shapes[0].station_to_mm == Approx(231.4));
  CHECK(bands.shapes[1].station_to_mm == Approx(288.6));
  for (const Primitive& shape : hose.shapes) CHECK(shape.owner == 1);
  for (const Primitive& shape : bands.shapes) CHECK(shape.owner == 3);
}

TEST_CASE("Bands are drawn on the ends that have a clamp, where the job puts them") {
  // The hose lies at 205..295, the gap at 240..260; a drawn band is 20 wide.
  const auto bands = [](std::vector<HoseClamp> clamps) {
    Coupler hose = coupler(CouplerShape::straight, 20, 90);
    hose.clamp_height_mm = 12;
    hose.clamps = std::move(clamps);
    Installation made = between(route({{0, 0, 0}, {500, 0, 0}}, 0));
    made.spec.fittings = {fitting_at(made.spec.route, "C1", 240, hose)};
    std::vector<std::pair<double, double>> out;
    for (const Piece& piece : made.laid_out().layout.pieces) {
      if (piece.kind != Piece::Kind::clamps) continue;
      for (const Primitive& p : piece.shapes) out.emplace_back(p.station_from_mm, p.station_to_mm);
    }
    return out;
  };
  const auto on = [](HoseEnd end, std::optional<double> in = {}) {
    HoseClamp clamp;
    clamp.end = end;
    clamp.from_hose_end_mm = in;
    return clamp;
  };
  using Stations = std::vector<std::pair<double, double>>;
  const auto same = [](const Stations& a, const Stations& b) {
    bool all = a.size() == b.size();
    for (std::size_t i = 0; all && i < a.size(); ++i) {
      all = std::abs(a[i].first - b[i].first) < 1e-9 && std::abs(a[i].second - b[i].second) < 1e-9;
    }
    return all;
  };
  CHECK(same(bands({}), {{211.4, 231.4}, {268.6, 288.6}}));  // clamps not stated: one on each end
  CHECK(same(bands({on(HoseEnd::upstream)}), {{211.4, 231.4}}));
  CHECK(same(bands({on(HoseEnd::downstream)}), {{268.6, 288.6}}));
  CHECK(same(bands({on(HoseEnd::downstream, 10), on(HoseEnd::upstream, 2.5)}), {{207.5, 227.5}, {265, 285}}));
  CHECK(same(bands({on(HoseEnd::upstream, 25)}), {{230, 240}}));  // no farther than the tube under it
  CHECK(bands({on(HoseEnd::upstream, 40)}).empty());
}

TEST_CASE("A hose on a smaller spigot takes the larger tube's size over the gap") {
  Installation made = between(route({{0, 0, 0}, {500, 0, 0}}, 0), 76.2, 63.5);
  made.spec.fittings = {fitting_at(made.spec.route, "C1", 480, coupler(CouplerShape::straight, 20, 90))};
  const Layout layout = made.laid_out().layout;
  REQUIRE(layout.pieces.size() == 2);
  const auto& shapes = layout.pieces[1].shapes;
  CHECK(layout.pieces[1].carriage.mixed());  // how a hose with a step bends is not known
  REQUIRE(shapes.size() == 2);
  CHECK(std::get<Collar>(shapes[0].shape).radius_mm == Approx(43.1));
  CHECK(shapes[0].station_to_mm == Approx(500));
  CHECK(std::get<Collar>(shapes[1].shape).radius_mm == Approx(36.75));
  CHECK(shapes[1].station_to_mm == Approx(535));
}

TEST_CASE("Boss and nipple stand on the tube at their clock") {
  Installation made = between(route({{0, 0, 0}, {500, 0, 0}}, 0));
  SensorTube sensor = sensor_tube(100, 60, degrees(90), {76.2, 1.65});
  sensor.boss_radius_mm = 15;
  sensor.boss_height_mm = 25;
  made.spec.fittings = {fitting_at(made.spec.route, "S1", 100, sensor),
                        fitting_at(made.spec.route, "B1", 300, branch_port(26, degrees(0)))};
  const Layout layout = made.laid_out().layout;
  const auto& shapes = layout.pieces[0].shapes;
  const auto& boss = std::get<Collar>(shapes[shapes.size() - 2].shape);
  CHECK((boss.b - Vec3(160, -38.1 - 25, 0)).norm() < 1e-9);  // clock 90 along +x: to the right
  CHECK((boss.a - Vec3(160, -std::sqrt(38.1 * 38.1 - 15 * 15), 0)).norm() < 1e-9);
  const auto& nipple = std::get<Collar>(shapes.back().shape);
  CHECK((nipple.b - Vec3(300, 0, 38.1 + 30)).norm() < 1e-9);
  CHECK(nipple.radius_mm == Approx(15));
}

TEST_CASE("A bend welded of pieces is drawn with its corners") {
  // 90 degrees of radius 114.3 in the plane z = 0: from (200, 0) on, round to (314.3, 114.3).
  Route bent{
      {{PointId("P0"), {0, 0, 0}, 0}, {PointId("P1"), {314.3, 0, 0}, 114.3}, {PointId("P2"), {314.3, 400, 0}, 0}}};
  const int pieces = GENERATE(2, 3, 5);
  bent.points[1].pieces = pieces;
  auto layout = lay_out_route(bent);
  REQUIRE(layout);
  layout->upstream_tube = {2 * kRadius, 1.65};
  const auto shapes = tube_shapes(*layout, 0, layout->length_mm);
  const double turn = M_PI / 2 / (pieces - 1), corner = 114.3 / std::cos(turn / 2);
  const Vec3 center(200, 114.3, 0);
  for (int i = 0; i + 1 < pieces; ++i) {
    const double t = (i + 0.5) * turn;
    const Vec3 out(std::sin(t), -std::cos(t), 0);
    // The outer corner of the wall, and just beyond it.
    const double tip = (114.3 + kRadius) / std::cos(turn / 2);
    CHECK(contains(shapes, center + (tip - 0.01) * out));
    CHECK_FALSE(contains(shapes, center + (tip + 0.5) * out, 0));
    CHECK(contains(shapes, center + corner * out));
  }
  // The arc's tube is covered outside, where parts may come near.
  for (double t = 0; t <= M_PI / 2; t += 0.02) {
    const Vec3 out(std::sin(t), -std::cos(t), 0);
    CHECK(contains(shapes, center + (114.3 + kRadius - 1e-6) * out));
  }
  if (pieces == 2) CHECK(contains(shapes, Vec3(314.3, 0, 0)));
}
