// Ways out of tubes on whose branch ports other ducts end.

#include "access/ways_out.hpp"
#include "tests/unit/access/between.hpp"

namespace baywright::access {
namespace {

/// A short hose from a spigot above the middle of the tube to a branch port of it.
struct WithBranch : Between {
  explicit WithBranch(double hose_mm, double gap_mm = 40, double bore_mm = 19) {
    add(300, hose_mm, gap_mm, false, bore_mm);
  }

  /// `upstream`: the duct begins on the branch port.
  void add(double station_mm, double hose_mm, double gap_mm, bool upstream, double bore_mm = 19) {
    const std::string number = std::to_string(branches.size() + 1);
    job.spec.fittings.push_back(
        test::fitting_at(job.spec.route, "B" + number, station_mm, test::branch_port(bore_mm, degrees(0))));
    const duct::Duct main = job.laid_out();
    const Vec3 up = duct::outward_direction(main.layout.at(station_mm).tangent, Angle());
    const Vec3 tip = main.layout.at(station_mm).p_mm + (kRadius_mm + 30) * up;
    bay::Port above = test::port(("above-" + number).c_str(), tip + gap_mm * up, -up, bore_mm + 4, 1);
    const Vec3 foot = above.center_mm + 45 * up;
    above.spigot_length_mm = 45;
    part("separator-" + number, merged({test::box_mesh(foot - Vec3(10, 30, 0), foot + Vec3(10, 30, 40)),
                                        surface_mesh(Collar{above.center_mm, foot, 0.5 * bore_mm + 2}, 0.2)}));
    above.part = job.bay.parts.back().id;
    job.bay.ports.push_back(above);
    duct::DuctSpec branch;
    branch.id = duct::DuctId("breather-" + number);
    duct::PortRef port, nipple;
    port.port = above.id;
    nipple.duct = job.spec.id;
    nipple.fitting = duct::FittingId("B" + number);
    branch.from = upstream ? nipple : port;
    branch.to = upstream ? port : nipple;
    branch.tube = {bore_mm + 4, 2};
    branch.route =
        test::route(upstream ? std::vector<Vec3>{tip, above.center_mm} : std::vector<Vec3>{above.center_mm, tip}, 0);
    duct::Coupler hose = test::coupler(duct::CouplerShape::straight, gap_mm - 0.1, hose_mm);
    hose.clamp_height_mm = 2;
    branch.fittings.push_back(test::fitting_at(branch.route, "hose", 0.05, hose));
    branches.push_back(branch);
  }
  WaysOut ways(const std::set<duct::DuctId>& stays = {}) {
    for (bay::Port& port : job.bay.ports) port.spigot_length_mm = 45;
    ducts.clear();
    ducts.push_back(job.laid_out());
    for (const duct::DuctSpec& branch : branches) {
      auto layout = duct::lay_out(branch, job.bay, ducts);
      if (!layout) throw std::runtime_error(to_line(layout.error().front()));
      ducts.push_back({branch, *layout});
    }
    WayInputs inputs{job.bay, ducts, {}, std::vector<double>(ducts.size(), 0.0)};
    for (const bay::Part& p : job.bay.parts) inputs.part_mm.push_back(p.chord_error_mm());
    inputs.clamps = catalog::usual_clamps();
    inputs.stays = stays;
    return *ways_out(inputs);
  }
  std::vector<duct::DuctSpec> branches;
  std::vector<duct::Duct> ducts;
};

TEST_CASE("what ends on a branch port holds the tube until the tube is drawn off it") {
  WithBranch b(96);  // 28 on either, which neither spigot nor branch port has room to take back
  const WaysOut ways = b.ways();
  const PieceWay& tube = of(ways, "tube 1");
  INFO(tube.open);
  REQUIRE(tube.found);
  CHECK(tube.released.find("tube 1 is drawn out of duct breather-1, coupler hose by 30") != std::string::npos);
  CHECK(of(ways, "coupler hose").found);
  replay(ways, b.job.bay, b.ducts);

  // With a floor below, it cannot be drawn down.
  b.box("floor", {-100, -200, -70}, {700, 200, -60});
  const WaysOut held = b.ways();
  CHECK_FALSE(of(held, "tube 1").found);
  CHECK(of(held, "coupler hose").open.find("sits on port above-1 and on branch port B1") != std::string::npos);
}

TEST_CASE("a hose on a branch port that has room on the other spigot is slid back first") {
  WithBranch b(56);  // 8 on either
  b.box("floor", {-100, -200, -70}, {700, 200, -60});
  const WaysOut ways = b.ways();
  INFO(of(ways, "tube 1").open);
  REQUIRE(of(ways, "tube 1").found);
  CHECK(of(ways, "tube 1").released.find("coupler hose is slid onto port above-1") != std::string::npos);
  replay(ways, b.job.bay, b.ducts);
}

TEST_CASE(
    "a tube is drawn off two branch ports at once where they stand alike, however close, whichever way they flow") {
  for (const double second : {450.0, 325.0}) {
    WithBranch b(96, 40, 8);
    b.add(second, 96, 40, true, 8);
    const WaysOut ways = b.ways();
    const PieceWay& tube = of(ways, "tube 1");
    INFO(second << ": " << tube.open);
    REQUIRE(tube.found);
    CHECK(tube.released.find("drawn out of duct breather-1, coupler hose") != std::string::npos);
    CHECK(tube.released.find("drawn out of duct breather-2, coupler hose") != std::string::npos);
    replay(ways, b.job.bay, b.ducts);
  }
}

TEST_CASE("a hose that comes out on a tube of another duct tells that duct's moves by their full names") {
  WithBranch b(96);
  // Nothing is above the hose: it rises with the tube.
  b.job.bay.parts.back().removed_first = true;
  const WaysOut ways = b.ways();
  const PieceWay& hose = of(ways, "coupler hose");
  INFO(hose.open);
  REQUIRE(hose.found);
  CHECK(hose.with == "duct intake, tube 1");
  CHECK(hose.released.starts_with("duct intake: coupler C1 is slid onto tube 1"));
  CHECK(hose.steps.front().moved == std::vector<std::string>{"duct intake, coupler C1"});
  const auto& last = hose.steps.back().moved;
  CHECK(std::find(last.begin(), last.end(), "coupler hose") != last.end());
  CHECK(std::find(last.begin(), last.end(), "duct intake, tube 1") != last.end());
  replay(ways, b.job.bay, b.ducts);
}

TEST_CASE("a tube does not end under another that stays") {
  WithBranch b(56);
  b.opening("top", {-100, -60, 150}, {700, 60, 150});
  b.box("floor", {-400, -500, -900}, {1000, 500, -890});  // so that the parts' middle is inside
  b.job.bay.parts[2].removed_first = true;                // what the branch duct comes from
  CHECK(of(b.ways(), "tube 1").found);
  // Along it, higher than where it is clear of the plane.
  duct::DuctSpec above;
  above.id = duct::DuctId("above");
  b.job.bay.ports.push_back(test::port("front", {-450, 0, 290}, {1, 0, 0}, 60, 1));
  b.job.bay.ports.push_back(test::port("rear", {1050, 0, 290}, {-1, 0, 0}, 60, 1));
  above.from.port = bay::PortId("front");
  above.to.port = bay::PortId("rear");
  above.tube = {60, 2};
  above.route = test::route({{-450, 0, 290}, {1050, 0, 290}}, 0);
  b.branches.push_back(above);
  const WaysOut ways = b.ways({above.id});
  CHECK_FALSE(of(ways, "tube 1").found);
  CHECK(of(ways, "tube 1").open.find("most in the way: duct above, tube 1") != std::string::npos);
}

TEST_CASE("pieces of a duct of which somebody said that they do not come out stay, and stay in the way") {
  WithBranch b(56);
  b.box("floor", {-100, -200, -70}, {700, 200, -60});
  CHECK(of(b.ways(), "tube 1").found);
  const WaysOut ways = b.ways({b.branches[0].id});
  // It is slid aside for the tube, which is no taking out.
  CHECK(of(ways, "tube 1").found);
  CHECK_FALSE(of(ways, "coupler hose").found);
  CHECK(of(ways, "coupler hose").open.find("somebody said") != std::string::npos);
  CHECK_FALSE(of(b.ways({b.job.spec.id}), "tube 1").found);
  // Nor does it go along on the tube that it sits on.
  WithBranch rising(96);
  rising.job.bay.parts.back().removed_first = true;
  CHECK(of(rising.ways(), "coupler hose").found);
  const WaysOut denied = rising.ways({rising.branches[0].id});
  CHECK_FALSE(of(denied, "coupler hose").found);
  CHECK_FALSE(of(denied, "tube 1").found);
  CHECK(of(denied, "tube 1").open.find("coupler hose would come out on it, and somebody said") != std::string::npos);
}

}  // namespace
}  // namespace baywright::access
