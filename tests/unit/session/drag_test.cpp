#include "session/drag.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>
#include <thread>

#include "session/evaluate.hpp"
#include "tests/support/rocking_bay.hpp"

using namespace baywright;
using namespace baywright::session;

using test::kIntake;

namespace {

std::shared_ptr<const job::Installation> installation_of(const test::Installation& made) {
  auto out = std::make_shared<job::Installation>();
  out->bay = made.bay;
  out->ducts = {made.laid_out()};
  out->job.ducts = {made.spec};
  return out;
}

/// Four inner points, of which P2 and P3 may go anywhere: the legs at the ports must stay on their axes. With two humps
/// the tube between floats and its joints go where the points go.
test::Installation winding_job(std::mt19937& random, bool humps) {
  test::Installation made = test::rocking_job(random);
  made.spec.fittings.clear();
  made.spec.route = test::route(
      {{-190, 415, 370}, {-60, 415, 405.7}, {-60, 170, 470}, {-60, -120, 470}, {-60, -250, 410}, {-250, -250, 410}},
      70);
  if (humps) {
    const auto hump = test::coupler(duct::CouplerShape::hump, 20, 80);
    made.spec.fittings.push_back({duct::FittingId("C1"), {duct::PointId("P1"), 120, false}, hump});
    made.spec.fittings.push_back({duct::FittingId("C2"), {duct::PointId("P2"), 140, false}, hump});
  }
  made.bay.ports[1].outer_diameter_mm = 76.2;
  return made;
}

struct Begun {
  std::shared_ptr<const job::Installation> installation;
  checks::Evaluation evaluation;
  std::unique_ptr<DragSession> drag;
};

Begun begun(const test::Installation& made, const DragOptions& options = {}) {
  Begun out{installation_of(made), {}, {}};
  out.evaluation = *evaluate(*out.installation);
  out.drag = std::move(*DragSession::begin(out.installation, out.evaluation, kIntake, options));
  return out;
}

/// Both hold the true value, and neither is wider than asked.
void check_same(const measure::PairClearance& live, const measure::PairClearance& fresh, double width_mm) {
  CAPTURE(live.piece, live.part, live.value.lo, live.value.hi, fresh.value.lo, fresh.value.hi);
  CHECK(live.piece == fresh.piece);
  CHECK(live.part == fresh.part);
  CHECK(live.same_carrier == fresh.same_carrier);
  CHECK(live.value.band.contributions().size() == fresh.value.band.contributions().size());
  if (live.value.witness && fresh.value.witness &&
      (live.value.witness->on_other_mm - fresh.value.witness->on_other_mm).norm() < 1) {
    CHECK(live.value.band.high() == Approx(fresh.value.band.high()).margin(0.02));  // alignment counts at the witness
  }
  const bool edge = std::min(live.value.lo, fresh.value.lo) > 60 - width_mm;  // the range lies inside a bracket
  if (!edge) {
    CHECK(live.beyond_range == fresh.beyond_range);
    CHECK(live.inside == fresh.inside);
  }
  if (live.beyond_range || fresh.beyond_range) return;
  CHECK(live.value.hi - live.value.lo <= width_mm + 1e-9);
  CHECK(live.value.lo <= fresh.value.hi + 1e-9);
  CHECK(fresh.value.lo <= live.value.hi + 1e-9);
}

void check_whole(const measure::ClearanceReport& live, const measure::ClearanceReport& fresh, double width_mm) {
  REQUIRE(live.pairs.size() == fresh.pairs.size());
  for (std::size_t i = 0; i < live.pairs.size(); ++i) check_same(live.pairs[i], fresh.pairs[i], width_mm);
  REQUIRE(live.exceptions.size() == fresh.exceptions.size());
  for (std::size_t i = 0; i < live.exceptions.size(); ++i)
    CHECK(live.exceptions[i].reason == fresh.exceptions[i].reason);
}

}  // namespace

TEST_CASE("A drag needs a duct that was measured and a point that it has", "[drag]") {
  std::mt19937 random(1);
  const Begun b = begun(winding_job(random, true));
  CHECK_FALSE(DragSession::begin(b.installation, b.evaluation, duct::DuctId("other")));
  CHECK_FALSE(DragSession::begin(b.installation, {}, kIntake));
  CHECK_FALSE(b.drag->release());
  const auto none = b.drag->move_point(duct::PointId("P9"), Vec3::Zero());
  REQUIRE_FALSE(none);
  CHECK(none.error().message.find("'P9'") != std::string::npos);
}

TEST_CASE("A move that cannot be laid out says why and leaves the duct where it was", "[drag]") {
  std::mt19937 random(2);
  const Begun b = begun(winding_job(random, true));
  const Vec3 start = b.installation->ducts[0].spec.route.points[2].p_mm;
  REQUIRE(b.drag->move_point(duct::PointId("P2"), start + Vec3(0, 3, 0)));
  const auto bad = b.drag->move_point(duct::PointId("P2"), b.installation->ducts[0].spec.route.points[0].p_mm);
  REQUIRE_FALSE(bad);
  CHECK_FALSE(bad.error().message.empty());
  const auto released = b.drag->release();
  REQUIRE(released);
  CHECK(released->edit.to_mm == start + Vec3(0, 3, 0));
  CHECK(released->duct.spec.route.points[2].p_mm == start + Vec3(0, 3, 0));
}

TEST_CASE("Every step of a drag measures as a fresh evaluation does", "[drag]") {
  // Seeded jobs and edits: jitter, long strides and returns, of both inner points in turn.
  std::mt19937 random(20);
  std::uniform_real_distribution<double> unit(-1, 1);
  int steps = 0, refused = 0;
  std::size_t far = 0, pairs = 0;
  for (int run = 0; run < 12; ++run) {
    const test::Installation made = winding_job(random, run % 2 == 0);
    const Begun b = begun(made);
    const double width_mm = b.installation->job.clearance_width_mm;
    test::Installation now = made;
    for (int k = 0; k < 22; ++k) {
      const std::size_t i = 2 + (k / 6) % 2;
      const double stride = k % 5 == 4 ? 60 : 3;
      auto& point = now.spec.route.points[i];
      const Vec3 before = point.p_mm;
      point.p_mm = k % 11 == 10 ? made.spec.route.points[i].p_mm
                                : Vec3(before + stride * Vec3(0.3 * unit(random), unit(random), unit(random)));
      const auto step = b.drag->move_point(point.id, point.p_mm);
      const auto layout = duct::lay_out(now.spec, now.bay);
      REQUIRE(step.has_value() == layout.has_value());
      if (!step) {
        ++refused;
        point.p_mm = before;
        continue;
      }
      ++steps;
      far += step->clearance.work.far;
      pairs += step->clearance.work.pairs;
      const duct::Duct duct{now.spec, *layout};
      const ClearanceOptions options;
      const auto rest = measure::measure_clearance(now.bay, duct, false, options);
      const auto motion = measure::measure_clearance(now.bay, duct, true, options);
      const auto released = b.drag->release();
      REQUIRE(released);
      check_whole(released->at_rest, rest, width_mm);
      check_whole(released->over_motion, motion, width_mm);
      for (const measure::PairClearance& pair : step->clearance.over_motion.pairs) {
        CHECK(std::find(step->clearance.pieces.begin(), step->clearance.pieces.end(), pair.piece) !=
              step->clearance.pieces.end());
      }
    }
  }
  CHECK(steps >= 200);
  CHECK(far > 0);
  CHECK(far < pairs);
  INFO(refused);
}

TEST_CASE("The map of a drag is that of the edited duct", "[drag]") {
  std::mt19937 random(3);
  const test::Installation made = winding_job(random, true);
  const Begun b = begun(made, {15, 8, 40});
  for (const double y : {2.0, 9.0, 30.0}) {
    const auto& point = made.spec.route.points[2];
    const auto step = b.drag->move_point(point.id, point.p_mm + Vec3(0, -y, 0.5 * y));
    REQUIRE(step);
    REQUIRE_FALSE(step->map.points.empty());
    measure::SurfaceMapOptions wanted;
    wanted.spacing_mm = 15;
    wanted.range_mm = 40;
    wanted.shapes = step->clearance.shapes;
    const auto fresh = measure::surface_map(made.bay, step->duct, wanted);
    REQUIRE(fresh.points.size() == step->map.points.size());
    for (std::size_t i = 0; i < fresh.points.size(); ++i) {
      CHECK(step->map.points[i].clearance_mm == fresh.points[i].clearance_mm);
    }
  }
  const auto released = b.drag->release();
  REQUIRE(released);
  measure::SurfaceMapOptions fine;
  fine.spacing_mm = 8;
  fine.range_mm = 40;
  const auto whole = measure::surface_map(made.bay, released->duct, fine);
  REQUIRE(whole.points.size() == released->map.points.size());
  for (std::size_t i = 0; i < whole.points.size(); ++i) {
    CHECK(released->map.points[i].clearance_mm == whole.points[i].clearance_mm);
  }
}

TEST_CASE("A stopped move fails as cancelled and harms nothing", "[drag]") {
  std::mt19937 random(4);
  const test::Installation made = winding_job(random, true);
  const Begun b = begun(made);
  const auto& point = made.spec.route.points[2];
  const Progress stop;
  stop.cancel();
  const auto stopped = b.drag->move_point(point.id, point.p_mm + Vec3(0, 5, 0), stop);
  REQUIRE_FALSE(stopped);
  CHECK(stopped.error().code == ErrorCode::cancelled);
  CHECK_FALSE(b.drag->release());
  REQUIRE(b.drag->move_point(point.id, point.p_mm + Vec3(0, 5, 0)));
  CHECK(b.drag->release());
}

TEST_CASE("Of edits that come in faster than they are measured the newest wins", "[drag]") {
  std::mt19937 random(5);
  const test::Installation made = winding_job(random, true);
  const Begun b = begun(made, {2, 5, 50});
  const auto& point = made.spec.route.points[2];
  for (int round = 0; round < 10; ++round) {
    std::vector<std::thread> threads;
    std::vector<int> good(6, 0);
    for (int k = 0; k < 5; ++k) {
      threads.emplace_back([&, k] {
        const auto step = b.drag->move_point(point.id, point.p_mm + Vec3(0, 0.5 * k, round));
        good[static_cast<std::size_t>(k)] = step ? 1 : step.error().code == ErrorCode::cancelled ? 2 : 3;
      });
      std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
    for (std::thread& thread : threads) thread.join();
    for (int k = 0; k < 5; ++k)
      CHECK((good[static_cast<std::size_t>(k)] == 1 || good[static_cast<std::size_t>(k)] == 2));
    const Vec3 last = point.p_mm + Vec3(0, 7, round);
    REQUIRE(b.drag->move_point(point.id, last));
    const auto released = b.drag->release();
    REQUIRE(released);
    CHECK(released->edit.to_mm == last);
  }
}
