#include <catch2/catch.hpp>

#include <algorithm>
#include <random>

#include "checks/evaluation.hpp"
#include "job/lay_out_ducts.hpp"
#include "routing/front.hpp"
#include "routing/regions.hpp"
#include "routing/route_search.hpp"
#include "searched.hpp"
#include "session/evaluate.hpp"
#include "tests/support/planted_bay.hpp"
#include "tests/support/rocking_bay.hpp"

using namespace baywright;
using namespace baywright::routing;
using test::found;
using test::kIntake;

namespace {

/// A bay with nothing near, a tube of 60 mm with bends of 90 mm, and these ports and this route.
job::Installation open_bay(const bay::Port& from, const bay::Port& to, const std::vector<Vec3>& points, int bends) {
  test::PlantOptions options;
  options.motion = false;
  test::PlantedBay planted = test::planted_bay(options);
  job::Installation out = std::move(planted.installation);
  out.bay.ports = {from, to};
  for (bay::Port& p : out.bay.ports) p.bore_mm = 56;
  out.bay.parts = {test::box_part("box", {1900, 1900, 1900}, {1950, 1950, 1950}, 0)};
  out.sheet.limits.at("in.bends").value = bends;
  duct::DuctSpec spec = planted.planted;
  spec.route = test::route(points, 90);
  out.job.ducts = {spec};
  out.ducts = *job::lay_out_ducts(out.job.ducts, out.bay);
  return out;
}

/// From the origin along x, to (600, 600, 0) along y: one bend at (600, 0, 0) is the least.
job::Installation corner(int bends) {
  return open_bay(test::port("filter-out", {0, 0, 0}, Vec3::UnitX(), 60, 0),
                  test::port("compressor-in", {600, 600, 0}, -Vec3::UnitY(), 60, 0),
                  {{0, 0, 0}, {600, 0, 0}, {600, 600, 0}}, bends);
}

job::Region box_region(const std::string& name, const Vec3& from, const Vec3& to) {
  return {name, job::BoxRegion{from, to}};
}

/// Least distance of a route's centreline from a box, walked in steps of 1 mm.
double walked_distance(const Course& course, const Vec3& lo, const Vec3& hi) {
  const CourseShape shape = shape_of(course);
  double least = 1e9;
  for (double s = 0; s <= shape.length_mm(); s += 1) {
    const Vec3 p = shape.at(s).p;
    least = std::min(least, (lo - p).cwiseMax(p - hi).cwiseMax(0.0).norm());
  }
  return least;
}

}  // namespace

TEST_CASE("a keep-out across the cheaper way sends the route round it", "[regions]") {
  job::Installation bay = corner(2);
  const SearchResult before = found(bay);
  REQUIRE_FALSE(before.routes.empty());
  CHECK(before.routes.front().bends == 1);
  const Vec3 lo(470, -150, -150), hi(750, 130, 150);
  bay.job.routing.keep_out = {box_region("battery tray", lo, hi)};
  const SearchResult result = found(bay);
  CHECK_FALSE(result.as_given.meets);
  REQUIRE_FALSE(result.as_given.in_the_way.empty());
  CHECK(result.as_given.in_the_way.front().title == "Keep-out battery tray");
  CHECK(result.as_given.in_the_way.front().verdict == checks::Verdict::not_met);
  REQUIRE_FALSE(result.routes.empty());
  for (const JudgedRoute& route : result.routes) {
    CHECK(route.bends == 2);
    // The tube's radius, and twice the standard 1 mm that bending leaves open.
    CHECK(walked_distance(route.course, lo, hi) >= 32);
  }
}

TEST_CASE("a keep-out around a port is named among what stands in the way", "[regions]") {
  job::Installation bay = corner(2);
  for (const job::RegionShape& shape :
       {job::RegionShape(job::BoxRegion{{500, 400, -100}, {700, 700, 100}}),
        job::RegionShape(job::SphereRegion{{600, 550, 0}, 120}),
        job::RegionShape(job::HullRegion{{{500, 400, -100}, {700, 400, -100}, {600, 700, -100}, {600, 550, 200}}})}) {
    bay.job.routing.keep_out = {{"gate", shape}};
    const SearchResult result = found(bay);
    CHECK(result.routes.empty());
    REQUIRE_FALSE(result.near_misses.empty());
    const auto& in_the_way = result.near_misses.front().in_the_way;
    CHECK(std::any_of(in_the_way.begin(), in_the_way.end(),
                      [](const checks::Finding& f) { return f.title == "Keep-out gate"; }));
  }
}

TEST_CASE("a duct wholly inside a keep-out is not out of it", "[regions]") {
  job::Installation bay = corner(2);
  bay.job.routing.keep_out = {box_region("all of it", {-900, -900, -900}, {900, 900, 900})};
  const auto findings = keep_out_findings(bay, keep_out_parts(bay.job.routing), bay.ducts.front(), Progress());
  REQUIRE(findings.size() == 1);
  CHECK(findings.front().verdict == checks::Verdict::not_met);
}

TEST_CASE("surfaces of regions: a box of 12 triangles, a hull without what lies inside, a sphere from outside",
          "[regions]") {
  const Vec3 lo(10, -20, 5), hi(110, 80, 45);
  const TriMesh box = surface_of(job::BoxRegion{lo, hi});
  CHECK(box.triangles.size() == 12);
  CHECK(area_mm2(box) == Approx(2 * (100 * 100 + 100 * 40 + 100 * 40)));
  CHECK(signed_volume_mm3(box) == Approx(100 * 100 * 40));
  job::HullRegion hull;
  for (unsigned c = 0; c < 8; ++c)
    hull.points_mm.emplace_back((c & 1U ? hi : lo).x(), (c & 2U ? hi : lo).y(), (c & 4U ? hi : lo).z());
  hull.points_mm.emplace_back(60, 30, 25);  // inside
  hull.points_mm.emplace_back(60, 30, 45);  // on a face
  CHECK(surface_of(hull).triangles.size() == 12);
  CHECK(signed_volume_mm3(surface_of(hull)) == Approx(100 * 100 * 40));
  const TriMesh ball = surface_of(job::SphereRegion{{1000, 0, 0}, 100});
  const double true_volume = 4.0 / 3 * M_PI * 1e6;
  CHECK(signed_volume_mm3(ball) > true_volume);
  CHECK(signed_volume_mm3(ball) < 1.03 * true_volume);
  for (std::uint32_t i = 0; i < ball.vertices.size(); ++i) {
    const double r = (ball.vertex(i) - Vec3(1000, 0, 0)).norm();
    CHECK((r >= 100 && r <= 101));
  }
}

TEST_CASE("what lies inside a preferred region: a hull of a box's corners holds what the box does", "[regions]") {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> number(-50, 50);
  job::RoutingWishes as_box, as_hull, as_ball;
  const Vec3 lo(-20, -10, -30), hi(30, 25, 5);
  as_box.prefer = {box_region("side", lo, hi)};
  job::HullRegion hull;
  for (unsigned c = 0; c < 8; ++c)
    hull.points_mm.emplace_back((c & 1U ? hi : lo).x(), (c & 2U ? hi : lo).y(), (c & 4U ? hi : lo).z());
  as_hull.prefer = {{"side", hull}};
  as_ball.prefer = {{"side", job::SphereRegion{{1, 2, 3}, 20}}};
  const PreferredRegions box(as_box), same(as_hull), ball(as_ball);
  for (int i = 0; i < 500; ++i) {
    const Vec3 p(number(random), number(random), number(random));
    const bool inside = (p - lo).minCoeff() >= 0 && (hi - p).minCoeff() >= 0;
    CHECK(box.holds(p) == inside);
    CHECK(same.holds(p) == inside);
    CHECK(ball.holds(p) == ((p - Vec3(1, 2, 3)).norm() <= 20));
  }
  // 50 mm of a straight of 100 mm.
  CHECK(box.length_inside_mm(shape_of({{{-50, 0, 0}, {50, 0, 0}}})) == Approx(50).margin(5));
  CHECK(PreferredRegions(job::RoutingWishes()).length_inside_mm(shape_of({{{-50, 0, 0}, {50, 0, 0}}})) == 0);
}

TEST_CASE("of two ways alike the one through the preferred region comes first", "[regions]") {
  // A block on the line between two ports that face one another; over and under it there is no room.
  job::Installation bay =
      open_bay(test::port("filter-out", {0, 0, 0}, Vec3::UnitX(), 60, 0),
               test::port("compressor-in", {1200, 0, 0}, -Vec3::UnitX(), 60, 0), {{0, 0, 0}, {1200, 0, 0}}, 3);
  bay.bay.parts = {test::box_part("block", {560, -40, -300}, {640, 40, 300}, 0),
                   test::box_part("floor", {-100, -600, -360}, {1300, 600, -300}, 0),
                   test::box_part("lid", {-100, -600, 300}, {1300, 600, 360}, 0)};
  Weights weights;
  weights.prefer = 2;
  for (const double side : {-1.0, 1.0}) {
    const double near = 45 * side, far = 400 * side;
    bay.job.routing.prefer = {
        box_region("cool side", {200, std::min(near, far), -300}, {1000, std::max(near, far), 300})};
    const SearchResult result = found(bay, 1, weights);
    REQUIRE_FALSE(result.routes.empty());
    CHECK(result.routes.front().preferred_share > 0.2);
    const CourseShape shape = shape_of(result.routes.front().course);
    CHECK(side * shape.at(0.5 * shape.length_mm()).p.y() > 45);
  }
}

TEST_CASE("a tenth of the length in preferred regions counts as a unit of its weight", "[regions]") {
  JudgedRoute route, other;
  route.preferred_share = 0.3;
  Weights weights;
  weights.prefer = 2;
  CHECK(weighted(route, weights) == Approx(weighted(other, weights) - 6));
  CHECK(dominates(route, other));
  other.moves.emplace_back();
  weights.moved = 3;
  CHECK(weighted(other, weights) == Approx(weighted(route, weights) + 6 + 3));
}

TEST_CASE("what is locked stays to the last digit, with its ids and its bends, from scratch and mended", "[locked]") {
  job::Installation bay = open_bay(
      test::port("filter-out", {0, 0, 0}, Vec3::UnitX(), 60, 0),
      test::port("compressor-in", {600, 600, 0}, -Vec3::UnitY(), 60, 0),
      {{0, 0, 0}, {150, 0, 0}, {300.1234, 100, 150}, {300.1234, 400.5678, 150}, {600, 420, 0}, {600, 600, 0}}, 5);
  const duct::Route drawn = bay.job.ducts.front().route;
  CHECK(found(bay).routes.front().bends < 4);
  bay.job.routing.locked = {{kIntake, {drawn.points[2].id, drawn.points[3].id}}};
  const auto keeps = [&](const JudgedRoute& route) {
    const auto& points = route.spec.route.points;
    const auto at = std::find(points.begin(), points.end(), drawn.points[2]);
    return at != points.end() && at + 1 != points.end() && *(at + 1) == drawn.points[3];
  };
  const SearchResult result = found(bay, 2);
  REQUIRE_FALSE(result.routes.empty());
  for (const JudgedRoute& route : result.routes) CHECK(keeps(route));
  // A part in the way of the drawn route ahead of what is locked: mended ahead of it alone.
  bay.bay.parts.push_back(test::box_part("hose", {190, 20, 105}, {215, 45, 130}, 0));
  const auto mended = find_routes(bay, kIntake, {.time_s = 1e9, .repair = true});
  REQUIRE(mended.has_value());
  CHECK_FALSE(mended->as_given.meets);
  REQUIRE_FALSE(mended->routes.empty());
  for (const JudgedRoute& route : mended->routes) CHECK(keeps(route));
  // In the way of what is locked: there is no route, and no try to move it.
  bay.bay.parts.back() = test::box_part("hose", {290, 240, 140}, {310, 260, 160}, 0);
  const SearchResult none = found(bay);
  CHECK(none.routes.empty());
  for (const JudgedRoute& miss : none.near_misses) CHECK(keeps(miss));
}
