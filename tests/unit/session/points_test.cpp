// What is known of an intersection point and of the tightest place while it is moved.

#include <catch2/catch.hpp>

#include <cmath>

#include "checks/clearance_subjects.hpp"
#include "job/lay_out_ducts.hpp"
#include "session/drag.hpp"
#include "session/evaluate.hpp"
#include "session/point_freedom.hpp"
#include "session/point_reading.hpp"
#include "tests/support/plain_job.hpp"

using namespace baywright;
using namespace baywright::session;
using Kind = PointFreedom::Kind;

namespace {

duct::DuctSpec route_of(const std::vector<Vec3>& places) {
  duct::DuctSpec spec;
  spec.from.port = bay::PortId("in");
  spec.to.port = bay::PortId("out");
  for (std::size_t i = 0; i < places.size(); ++i)
    spec.route.points.push_back({duct::PointId(std::string("P").append(std::to_string(i))), places[i], 50});
  return spec;
}

class PointsFolder : public test::JobFolder {
 public:
  explicit PointsFolder(const std::string& name) : test::JobFolder("points_test", name) {}
};

}  // namespace

TEST_CASE("Ends stay at their ports, their neighbours on the ports' axes, the rest is free", "[points]") {
  const auto spec = route_of({{0, 0, 0}, {200, 0, 0}, {300, 200, 0}, {400, 300, 100}, {400, 300, 500}});
  CHECK(freedom_of(spec, duct::PointId("P0")).kind == Kind::fixed);
  CHECK(freedom_of(spec, duct::PointId("P4")).kind == Kind::fixed);
  CHECK(freedom_of(spec, duct::PointId("P2")).kind == Kind::free);
  const auto first = freedom_of(spec, duct::PointId("P1"));
  REQUIRE(first.kind == Kind::line);
  CHECK(first.axis == Vec3::UnitX());
  CHECK(first.why.find("port in") != std::string::npos);
  CHECK(first.nearest({200, 0, 0}, {250, 40, -3}) == Vec3(250, 0, 0));
  const auto last = freedom_of(spec, duct::PointId("P3"));
  REQUIRE(last.kind == Kind::line);
  CHECK(last.axis == Vec3::UnitZ());
  CHECK(freedom_of(spec, duct::PointId("P2")).nearest({0, 0, 0}, {1, 2, 3}) == Vec3(1, 2, 3));
  CHECK(freedom_of(spec, duct::PointId("P0")).nearest({0, 0, 0}, {1, 2, 3}) == Vec3(0, 0, 0));
}

TEST_CASE("Between two ports the only bend is where their axes meet", "[points]") {
  const auto bent = route_of({{0, 0, 0}, {200, 0, 0}, {200, 300, 0}});
  CHECK(freedom_of(bent, duct::PointId("P1")).kind == Kind::fixed);
  const auto straight = route_of({{0, 0, 0}, {200, 0, 0}, {500, 0, 0}});
  CHECK(freedom_of(straight, duct::PointId("P1")).kind == Kind::line);
}

TEST_CASE("Legs and bend at a point are those of the layout", "[points]") {
  const PointsFolder folder("reading");
  test::put_plain_job(folder);
  const auto in = test::opened(folder);
  const auto end = reading_of(in.ducts[0], duct::PointId("P0"));
  CHECK_FALSE(end.leg_before_mm);
  CHECK_FALSE(end.bend);
  const auto at = reading_of(in.ducts[0], duct::PointId("P2"));
  // P1 (254, 0, 0), P2 (400, 200, 0), P3 (550, 400, 0): two directions, set-backs R tan(angle / 2).
  const Vec3 p1(254, 0, 0), p2(400, 200, 0), p3(550, 400, 0);
  const auto turn = [](const Vec3& a, const Vec3& b) { return std::acos(a.normalized().dot(b.normalized())); };
  const double at_p1 = turn(Vec3::UnitX(), p2 - p1), at_p2 = turn(p2 - p1, p3 - p2);
  REQUIRE(at.bend);
  CHECK(at.bend->si() == Approx(at_p2));
  CHECK(*at.leg_before_mm == Approx((p2 - p1).norm() - 88.9 * std::tan(at_p1 / 2) - 90 * std::tan(at_p2 / 2)));
  CHECK(at.radius_mm == 90);
}

TEST_CASE("The tightest pair of a step is that of a fresh check of the edited job", "[points]") {
  const PointsFolder folder("tightest");
  test::put_plain_job(folder);
  const auto in = std::make_shared<const job::Installation>(test::opened(folder));
  const auto evaluation = evaluate(*in);
  REQUIRE(evaluation);
  auto drag = DragSession::begin(in, *evaluation, duct::DuctId("main"), {0, 0, 50});
  REQUIRE(drag);
  for (const Vec3& to : {Vec3(405, 205, 0), Vec3(380, 230, 10), Vec3(360, 190, 40)}) {
    const auto step = (*drag)->move_point(duct::PointId("P2"), to);
    REQUIRE(step);
    const auto edited = apply(in->job, MovePoint{duct::DuctId("main"), duct::PointId("P2"), to});
    REQUIRE(edited);
    const auto fresh = job::with_ducts_of(*in, edited->job);
    REQUIRE(fresh);
    const auto checked = evaluate(*fresh);
    REQUIRE(checked);
    REQUIRE(step->tightest_at_rest);
    const auto worst = std::find_if(checked->findings.begin(), checked->findings.end(), [](const checks::Finding& f) {
      return f.part && !f.pair.empty() && !f.over_motion && std::holds_alternative<measure::Measured>(f.outcome);
    });
    REQUIRE(worst != checked->findings.end());
    const auto& m = std::get<measure::Measured>(worst->outcome);
    const auto& mine = step->tightest_at_rest->pair.value;
    CHECK(fresh->bay.parts[static_cast<std::size_t>(step->tightest_at_rest->pair.part)].id == *worst->part);
    CHECK(mine.lo <= m.hi + 1e-9);
    CHECK(m.lo <= mine.hi + 1e-9);
    CHECK(step->tightest_at_rest->verdict == worst->verdict);
    CHECK(step->tightest_at_rest->limit->value == worst->limit->value);
  }
}

TEST_CASE("Ducts of an edited job are laid out without reading a file", "[points]") {
  const PointsFolder folder("again");
  test::put_plain_job(folder);
  const auto in = test::opened(folder);
  for (const char* name : {"job.json", "block.ply", "wall.ply"}) std::filesystem::remove(folder.path / name);
  auto edited = apply(in.job, MovePoint{duct::DuctId("main"), duct::PointId("P2"), Vec3(420, 220, 0)});
  REQUIRE(edited);
  const auto moved = job::with_ducts_of(in, edited->job);
  REQUIRE(moved);
  CHECK(moved->ducts[0].spec.route.points[2].p_mm == Vec3(420, 220, 0));
  CHECK(moved->bay.parts[0].mesh == in.bay.parts[0].mesh);
  edited = apply(in.job, SetBendRadius{duct::DuctId("main"), duct::PointId("P3"), 5000});
  REQUIRE(edited);
  const auto refused = job::with_ducts_of(in, edited->job);
  REQUIRE_FALSE(refused);
  CHECK(to_line(refused.error().front()).find("P3") != std::string::npos);
}
