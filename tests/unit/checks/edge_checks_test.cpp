#include "measure/clearance_measure.hpp"
#include "tests/support/box_mesh.hpp"
#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

/// The example intake; its first leg runs along x at y = z = 0, of radius 38.1, on the vehicle. Nothing is uncertain.
struct Edged : Case {
  Edged() { engine_moves(); }
  bay::Part& add(const std::string& id, const Vec3& lo, const Vec3& hi, BodyIndex body = 0) {
    bay::Part part;
    part.id = bay::PartId(id);
    part.name = id;
    part.body = body;
    part.modelled = true;
    part.uncertainty_mm = 0;
    part.mesh = std::make_shared<TriMesh>(box_mesh(lo, hi));
    part.tree = TriTree::over(*part.mesh);
    bay.parts.push_back(part);
    return bay.parts.back();
  }
  /// Its upper edge lies `away` beside the tube.
  bay::Part& block(double away) { return add("block", {60, 38.1 + away, -200}, {120, 100, 0}); }
  /// A wall `away` beside the tube that ends nowhere near.
  bay::Part& wall(double away) { return add("wall", {-500, 38.1 + away, -400}, {900, 38.1 + away + 5, 400}); }
  double width_mm = 0.1;
  std::vector<Finding> edges() {
    at_rest = measure::measure_clearance(bay, ducts()[0], false, {width_mm, 60});
    over_motion = measure::measure_clearance(bay, ducts()[0], true, {width_mm, 60});
    return of("cr.edge");
  }
  Finding edge() {
    const auto found = edges();
    REQUIRE(found.size() == 1);
    return found[0];
  }
};

}  // namespace

TEST_CASE("cr.edge: an edge beside the tube against 15", "[edges]") {
  for (const double away : {10.0, 14.8, 15.2, 25.0}) {
    Edged c;
    c.block(away);
    const Finding f = c.edge();
    CAPTURE(away, f.subject);
    const auto& m = std::get<Measured>(f.outcome);
    if (away > 15.1) {  // the surface itself keeps the limit
      CHECK(f.verdict == Verdict::met);
      CHECK(f.subject == "all other edges");
      CHECK(m.lo == Approx(away).margin(0.1));
      CHECK(std::isinf(m.hi));
      CHECK(m.note == "nearest of 1 part: block, to tube 1; no edge is nearer than the surface it belongs to");
    } else {
      CHECK(f.verdict == Verdict::not_met);
      CHECK(f.subject == "tube 1 - edges of block");
      CHECK(f.over_motion);
      CHECK(m.hi == Approx(away).margin(1e-3));
      CHECK(f.hint.find("put trim on the edge") != std::string::npos);
    }
  }
}

TEST_CASE("cr.edge: a wall without an edge near, and one whose motion brings an edge near", "[edges]") {
  Edged c;
  c.wall(5);
  const Finding wall = c.edge();
  CHECK(wall.verdict == Verdict::met);
  CHECK(std::get<Measured>(wall.outcome).note.ends_with("measured to its edges"));
  CHECK(std::get<Measured>(wall.outcome).lo >= 30);
  // A shelf of the engine above the tube, its lower edge 18 over the tube's side, sinks by 6.
  c.bay.parts.clear();
  c.add("shelf", {60, -100, 38.1 + 18}, {120, 0, 120}, 1);
  const Finding shelf = c.edge();
  CHECK(shelf.verdict == Verdict::not_met);
  CHECK(std::get<Measured>(shelf.outcome).hi == Approx(12).margin(0.11));
  CHECK(std::get<Measured>(shelf.outcome).pose_name.find("bump") != std::string::npos);
}

TEST_CASE("cr.edge: what stands for a space has no edges", "[edges]") {
  Edged c;
  c.block(10).part_class = bay::PartClass::rotating;
  CHECK(c.edge().verdict == Verdict::not_applicable);
  c.bay.parts[0].part_class = bay::PartClass::reserved;
  CHECK(c.edge().verdict == Verdict::not_applicable);
  c.bay.parts[0].part_class = bay::PartClass::bonnet;
  CHECK(c.edge().verdict == Verdict::not_met);
}

TEST_CASE("cr.edge: a person is asked about a scan that comes near", "[edges]") {
  Edged c;
  c.block(10).modelled = false;
  const Finding open = c.edge();
  CHECK(missing_of(open) == std::vector<std::string>{"answers: cr.edge"});
  CHECK(open.subject == "edges of block");
  const auto& why = std::get<NotAssessed>(open.outcome).reason;
  CHECK(why.find("cannot be told from the noise of a scan, and its surface comes to 10.0 mm") != std::string::npos);
  CHECK(why.find("15.0 mm") != std::string::npos);
  c.answers = {{"cr.edge", {}, true, "A. Smith", "trim on the wing's edge"}};
  CHECK(c.edge().verdict == Verdict::met);
  CHECK(c.edge().subject == "edges of block, said by A. Smith");
  c.answers[0].yes = false;
  CHECK(c.edge().verdict == Verdict::not_met);
  c.answers.clear();
  c.bay.parts.clear();
  c.block(30).modelled = false;
  CHECK(c.edge().verdict == Verdict::met);
}

TEST_CASE("cr.edge: what is missing", "[edges]") {
  Edged c;
  CHECK(missing_of(c.edge()) == std::vector<std::string>{"parts"});
  c.block(10);
  c.sheet.limits.erase("cr.edge");
  CHECK(c.edge().verdict == Verdict::not_checked);
  c.sheet = full_sheet();
  c.bay.parts[0].doubt = "a hundred times as large as the bay";
  CHECK(missing_of(c.edge()) == std::vector<std::string>{"parts/block/size_confirmed"});
  c.bay.parts[0].doubt = "";
  c.bay.parts[0].body = 1;
  c.bay.bodies[1].motion = MotionSet();
  const auto unstated = c.edges();  // pieces on the engine keep their distance
  CHECK(std::any_of(unstated.begin(), unstated.end(), [](const Finding& f) {
    return f.verdict == Verdict::not_checked &&
           std::get<NotAssessed>(f.outcome).missing == std::vector<std::string>{"bodies/engine/motion"};
  }));
}

TEST_CASE("cr.edge: what fails at rest fails, whether or not a motion is stated", "[edges]") {
  Edged c;
  c.add("block", {60, 38.1 + 10, -200}, {120, 100, 0}, 1);
  c.bay.bodies[1].motion = MotionSet();  // nobody stated it
  const auto unstated = [](const std::vector<Finding>& found) {
    return std::count_if(found.begin(), found.end(), [](const Finding& f) {
      return f.verdict == Verdict::not_checked && f.over_motion &&
             std::get<NotAssessed>(f.outcome).missing == std::vector<std::string>{"bodies/engine/motion"};
    });
  };
  const auto failing = [](const std::vector<Finding>& found) {
    return std::find_if(found.begin(), found.end(), [](const Finding& f) { return f.verdict == Verdict::not_met; });
  };
  auto found = c.edges();
  CHECK(unstated(found) == 1);
  REQUIRE(failing(found) != found.end());
  CHECK(failing(found)->subject == "tube 1 - edges of block, at rest");
  CHECK_FALSE(failing(found)->over_motion);
  CHECK(std::get<Measured>(failing(found)->outcome).hi == Approx(10).margin(1e-3));
  c.bay.parts.clear();  // far enough at rest: whether it stays so nobody knows
  c.add("block", {60, 38.1 + 16, -200}, {120, 100, 0}, 1);
  found = c.edges();
  CHECK(unstated(found) == 1);
  CHECK(failing(found) == found.end());
  c.bay.parts.clear();  // a scan that is too near at rest is asked about
  c.add("block", {60, 38.1 + 10, -200}, {120, 100, 0}, 1).modelled = false;
  found = c.edges();
  CHECK(unstated(found) == 1);
  CHECK(std::count_if(found.begin(), found.end(), [](const Finding& f) { return f.subject == "edges of block"; }) == 1);
}

TEST_CASE("cr.edge: as closely as the job asks", "[edges]") {
  for (const double width : {0.5, 0.002}) {
    Edged c;
    c.width_mm = width;
    MotionMember member;  // the shelf turns as it sinks, so its nearest pose is searched for
    member.name = "turn";
    member.shape = MotionMember::Shape::box;
    member.joints = {{Joint::Kind::rotation, Vec3::UnitX(), Vec3(90, -50, 200)}};
    member.from = {-0.2};
    member.to = {0.2};
    c.bay.bodies[1].motion = MotionSet({member});
    c.add("shelf", {60, -100, 38.1 + 30}, {120, 0, 120}, 1);
    for (const Finding& f : c.edges()) {
      const auto* m = std::get_if<Measured>(&f.outcome);
      if (!m || std::isinf(m->hi)) continue;
      CAPTURE(width, f.subject, m->lo, m->hi);
      CHECK(m->hi - m->lo <= width * (1 + 1e-9));
    }
  }
}
