#include "session/edit.hpp"

#include <catch2/catch.hpp>

#include "tests/support/ducts.hpp"

using namespace baywright;
using namespace baywright::session;

using test::kIntake;

namespace {

duct::RoutePoint point(const char* id, double x, double y, double radius) {
  return {duct::PointId(id), Vec3(x, y, 0), radius};
}

job::Job sample() {
  job::Job job;
  duct::DuctSpec spec;
  spec.id = duct::DuctId("intake");
  spec.route.points = {point("A", 0, 0, 0), point("B", 300, 0, 100), point("C", 300, 400, 100),
                       point("D", 700, 400, 0)};
  spec.fittings = {{duct::FittingId("tap"), {duct::PointId("C"), 250, false}, duct::RestrictionTap{}}};
  job.ducts = {spec};
  duct::DuctSpec branch;
  branch.id = duct::DuctId("breather");
  branch.to.duct = spec.id;
  branch.to.fitting = duct::FittingId("tap");
  job.ducts.push_back(branch);
  return job;
}

}  // namespace

TEST_CASE("an edit of something absent names it and changes nothing", "[edit]") {
  const job::Job job = sample();
  const auto duct = apply(job, MovePoint{duct::DuctId("nowhere"), duct::PointId("A"), Vec3::Zero()});
  REQUIRE_FALSE(duct);
  CHECK(duct.error().message.find("'nowhere'") != std::string::npos);
  const auto missing = apply(job, MovePoint{kIntake, duct::PointId("Z"), Vec3::Zero()});
  REQUIRE_FALSE(missing);
  CHECK(missing.error().message.find("'Z'") != std::string::npos);
  CHECK_FALSE(apply(job, RemovePoint{kIntake, duct::PointId("A")}));
  CHECK_FALSE(apply(job, SetBendRadius{kIntake, duct::PointId("D"), 50}));
  CHECK_FALSE(apply(job, InsertPoint{kIntake, duct::PointId("D"), point("E", 0, 0, 1)}));
  CHECK_FALSE(apply(job, InsertPoint{kIntake, duct::PointId("A"), point("B", 0, 0, 1)}));
  CHECK(job == sample());
}

TEST_CASE("an edit names the ducts to measure again, with those that end on them", "[edit]") {
  const auto edited = apply(sample(), MovePoint{kIntake, duct::PointId("B"), Vec3(310, 0, 0)});
  REQUIRE(edited);
  CHECK(edited->changed == std::set<std::string>{"breather", "intake"});
  CHECK(edited->job.ducts[0].route.points[1].p_mm == Vec3(310, 0, 0));
}

TEST_CASE("fittings of a removed point move to the leg before, at the same distance from its end", "[edit]") {
  // Leg C-D is 400 long, the tap sat 250 along it: 150 before D.
  const auto edited = apply(sample(), RemovePoint{kIntake, duct::PointId("C")});
  REQUIRE(edited);
  const duct::Anchor& anchor = edited->job.ducts[0].fittings[0].anchor;
  CHECK(anchor.leg == duct::PointId("B"));
  CHECK(anchor.from_end);
  CHECK(anchor.offset_mm == Approx(150));
}

TEST_CASE("undo and redo go through every state by name", "[edit]") {
  History history(sample());
  CHECK_FALSE(history.can_undo());
  REQUIRE(history.apply(MovePoint{kIntake, duct::PointId("B"), Vec3(310, 0, 0)}));
  const job::Job first = history.current();
  REQUIRE(history.apply(RemoveFitting{kIntake, duct::FittingId("tap")}));
  const job::Job second = history.current();
  CHECK(history.undo_name() == "remove fitting tap");
  history.undo();
  CHECK(history.current() == first);
  CHECK(history.undo_name() == "move point B");
  history.undo();
  CHECK(history.current() == sample());
  CHECK_FALSE(history.can_undo());
  history.redo();
  history.redo();
  CHECK(history.current() == second);
  CHECK_FALSE(history.can_redo());
  history.undo();
  REQUIRE(history.apply(PutDuct{second.ducts[1]}));
  CHECK_FALSE(history.can_redo());
}

TEST_CASE("a failed edit leaves no step", "[edit]") {
  History history(sample());
  CHECK_FALSE(history.apply(RemovePoint{kIntake, duct::PointId("Z")}));
  CHECK_FALSE(history.can_undo());
}
