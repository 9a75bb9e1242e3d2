#include "access/ways_out.hpp"

#include <catch2/catch.hpp>
#include <map>
#include <random>

#include "access/beside_piece.hpp"
#include "access/clamp_site.hpp"
#include "access/opening_view.hpp"
#include "access/seat_left_out.hpp"
#include "bay/motion_spec.hpp"
#include "duct/fitting_layout.hpp"
#include "tests/support/box_mesh.hpp"
#include "tests/support/case_count.hpp"
#include "tests/support/ducts.hpp"

namespace baywright::access {
namespace {

constexpr double kRadius_mm = 38.1;

/// A tube between hoses on the spigots of two blocks, under an opening 400 above it.
struct Between {
  test::Installation job;
  std::optional<double> spigot_mm = 45;
  std::optional<int> most_for_one;  ///< absent: as the search has it

  explicit Between(const std::vector<Vec3>& points = {{0, 0, 0}, {600, 0, 0}}, double hose_mm = 80) {
    job = test::between(test::route(points, 115));
    const duct::Layout layout = *duct::lay_out_route(job.spec.route);
    const auto at = [&](const std::string& id, double station) {
      job.spec.fittings.push_back(test::fitting_at(
          job.spec.route, id, station, test::coupler(duct::CouplerShape::straight, 20, hose_mm), station > 100));
    };
    at("C1", 0);
    at("C2", layout.length_mm - 20);
    for (std::size_t i : {0, 1}) hose(i).clamp_height_mm = 4;
    opening("top", {-400, -500, 400}, {1000, 500, 400});
    for (bay::Port& port : job.bay.ports) {
      // A block whose face lies 50 behind the spigot's open end.
      const Vec3 foot = port.center_mm - 50 * port.axis, back = foot - 40 * port.axis;
      const Vec3 wide = 60 * (Vec3::Ones() - port.axis.cwiseAbs());
      const TriMesh spigot = surface_mesh(Collar{foot, port.center_mm, kRadius_mm}, 0.2);
      part(port.id.value + "-block",
           merged({test::box_mesh(foot.cwiseMin(back) - wide, foot.cwiseMax(back) + wide), spigot}));
      port.part = job.bay.parts.back().id;
    }
  }
  void part(const std::string& id, const TriMesh& mesh) {
    bay::Part made;
    made.id = bay::PartId(id);
    made.mesh = std::make_shared<TriMesh>(mesh);
    made.tree = TriTree::over(*made.mesh);
    made.modelled = true;
    job.bay.parts.push_back(made);
  }
  void box(const std::string& id, const Vec3& lo, const Vec3& hi) { part(id, test::box_mesh(lo, hi)); }
  void opening(const std::string& id, const Vec3& lo, const Vec3& hi) {
    job.bay.openings = {
        {bay::OpeningId(id),
         id,
         {{lo.x(), lo.y(), lo.z()}, {hi.x(), lo.y(), lo.z()}, {hi.x(), hi.y(), lo.z()}, {lo.x(), hi.y(), lo.z()}}}};
  }
  /// Nothing but round bars behind the ports.
  void bare_spigots(double length_mm) {
    job.bay.parts.clear();
    for (bay::Port& port : job.bay.ports) {
      part(port.id.value + "-bar",
           surface_mesh(Collar{port.center_mm - length_mm * port.axis, port.center_mm, kRadius_mm}, 0.2));
      port.part = job.bay.parts.back().id;
    }
  }
  duct::Coupler& hose(std::size_t i) { return std::get<duct::Coupler>(job.spec.fittings[i].kind); }

  /// On both ends of a hose.
  void clamp(std::size_t i, const std::string& type, std::optional<Angle> clock) {
    hose(i).clamps.clear();
    for (const duct::HoseEnd end : {duct::HoseEnd::upstream, duct::HoseEnd::downstream}) {
      duct::HoseClamp clamp;
      clamp.end = end;
      clamp.type = catalog::ClampTypeId(type);
      clamp.screw_clock = clock;
      hose(i).clamps.push_back(clamp);
    }
  }

  WaysOut ways() {
    for (bay::Port& port : job.bay.ports) port.spigot_length_mm = spigot_mm;
    duct_ = job.laid_out();
    WayInputs inputs{job.bay, {&*duct_, 1}, {}, {0}};
    for (const bay::Part& p : job.bay.parts) inputs.part_mm.push_back(p.chord_error_mm());
    if (most_for_one) inputs.most_for_one = *most_for_one;
    inputs.clamps = catalog::usual_clamps();
    return *ways_out(inputs);
  }
  const duct::Duct& duct() const { return *duct_; }

 private:
  std::optional<duct::Duct> duct_;
};

const PieceWay& of(const WaysOut& ways, const std::string& piece) {
  for (const PieceWay& way : ways.pieces) {
    if (way.piece == piece) return way;
  }
  throw std::logic_error("no piece " + piece);
}
std::size_t carried(const PieceWay& way) {
  return static_cast<std::size_t>(std::count_if(
      way.steps.begin(), way.steps.end(), [](const WayStep& step) { return step.kind == WayStep::Kind::carried; }));
}

/// Least distance of some shapes to all triangles of a mesh, one by one.
double brute_mm(std::span<const Shape> shapes, const TriMesh& mesh) {
  double least = 1e9;
  for (const Shape& shape : shapes) {
    for (const auto& t : mesh.triangles) {
      least = std::min(
          least, distance_to_triangle(shape, mesh.vertex(t[0]), mesh.vertex(t[1]), mesh.vertex(t[2])).distance_mm);
    }
  }
  return least;
}

/// As it stands, with beads and bodies of clamps.
std::map<std::string, std::vector<Shape>> standing(std::span<const duct::Duct> ducts) {
  std::map<std::string, std::vector<Shape>> there;
  for (const duct::Duct& duct : ducts) {
    for (const duct::Piece& piece : duct.layout.pieces) {
      if (piece.kind == duct::Piece::Kind::clamps) continue;  // with their hose, below
      std::vector<Primitive> shapes = piece.shapes;
      const auto more = piece.kind == duct::Piece::Kind::tube
                            ? beads(duct, piece)
                            : clamp_bodies(duct, *duct.layout.find(*piece.fitting), catalog::usual_clamps());
      shapes.insert(shapes.end(), more.begin(), more.end());
      for (const duct::Piece& bands : duct.layout.pieces) {
        if (bands.kind == duct::Piece::Kind::clamps && piece.fitting && bands.fitting == piece.fitting)
          shapes.insert(shapes.end(), bands.shapes.begin(), bands.shapes.end());
      }
      for (const Primitive& p : shapes) {
        const auto* gap = std::get_if<Cylinder>(&p.shape);
        const bool flat = piece.kind != duct::Piece::Kind::tube && gap;  // a hose at rest
        std::vector<Shape>& of_piece = there["duct " + duct.spec.id.value + ", " + piece.name];
        of_piece.push_back(p.shape);
        if (flat) of_piece.back() = Collar{gap->a, gap->b, gap->radius_mm};
      }
    }
  }
  return there;
}

/// Follows every way at many places and looks at every triangle of what is still there.
void replay(const WaysOut& ways, const bay::Bay& bay, std::span<const duct::Duct> ducts) {
  std::map<std::string, std::vector<Shape>> there = standing(ducts);
  int last = 0;
  for (const PieceWay& way : ways.pieces) last = std::max(last, way.order);
  for (int k = 1; k <= last; ++k) {
    const PieceWay* way = nullptr;
    for (const PieceWay& w : ways.pieces) {
      if (w.order == k && w.with.empty()) way = &w;
    }
    REQUIRE(way);
    const auto full = [&](const std::string& name) {
      return name.starts_with("duct ") ? name : "duct " + way->duct.value + ", " + name;
    };
    for (const WayStep& step : way->steps) {
      const auto touched = [&](const std::string& name) {
        return std::find(step.slides_on.begin(), step.slides_on.end(), name) != step.slides_on.end();
      };
      const auto goes = [&](const std::string& name) {
        return std::any_of(step.moved.begin(), step.moved.end(), [&](const auto& m) { return full(m) == name; });
      };
      constexpr int kPlaces = 40;
      for (int i = 0; i <= kPlaces; ++i) {
        std::vector<Shape> shapes;
        for (const Shape& s : step.shapes) shapes.push_back(moved(s, step.move.at(i / double(kPlaces))));
        for (const bay::Part& part : bay.parts) {
          const bool seat = std::any_of(bay.ports.begin(), bay.ports.end(), [&](const bay::Port& port) {
            return port.part == part.id && touched("port " + port.id.value);
          });
          if (!seat && !part.removed_first) CHECK(brute_mm(shapes, *part.mesh) > 0.5);
        }
        for (const auto& [name, stays] : there) {
          if (goes(name)) continue;
          // What slides, or is drawn off, lies on what it is moved along; a branch port is its tube's.
          const bool lies_on = std::any_of(step.slides_on.begin(), step.slides_on.end(), [&](const std::string& on) {
            return full(on) == name || (on.starts_with("branch port") && name.find(", tube") != std::string::npos);
          });
          if (lies_on) continue;
          std::vector<TriMesh> meshes;
          for (const Shape& s : stays) meshes.push_back(surface_mesh(s, 0.2));
          CHECK(brute_mm(shapes, merged(meshes)) > 0.5);
        }
      }
      if (step.kind == WayStep::Kind::hose_slid) {
        REQUIRE(step.moved.size() == 1);
        there[full(step.moved[0])].clear();
        for (const Shape& s : step.shapes) there[full(step.moved[0])].push_back(moved(s, step.move.whole()));
      }
    }
    const WayStep& end = way->steps.back();
    Vec3 middle = Vec3::Zero();
    const auto& points = ducts[0].spec.route.points;
    for (const auto& p : points) middle += p.p_mm / static_cast<double>(points.size());
    const OpeningView opening(bay.openings[0], middle);
    for (const Shape& s : end.shapes) {
      const Aabb box = bounds(moved(s, end.move.whole()));
      CHECK(opening.outside_mm(box.lo) > 0);  // the openings here lie flat
    }
    for (const PieceWay& w : ways.pieces) {
      if (w.order == k) there.erase("duct " + w.duct.value + ", " + w.piece);
    }
  }
}
void replay(const WaysOut& ways, const bay::Bay& bay, const duct::Duct& duct) { replay(ways, bay, {&duct, 1}); }

TEST_CASE("a straight tube whose hoses slide onto it is lifted out, and the hoses on it") {
  Between b;
  const WaysOut ways = b.ways();
  REQUIRE(ways.pieces.size() == 3);
  const PieceWay& tube = of(ways, "tube 1");
  INFO(tube.open);
  REQUIRE(tube.found);
  CHECK(tube.order == 1);
  CHECK(tube.opening == "top");
  CHECK(carried(tube) == 1);
  // 30 on the spigot, 1 of room, 1 to be apart, and the spigot's chords.
  CHECK(tube.released.find("coupler C1 is slid onto tube 1 by 32") != std::string::npos);
  CHECK(of(ways, "coupler C1").with == "tube 1");
  CHECK(of(ways, "coupler C2").found);
  replay(ways, b.job.bay, b.duct());
}

TEST_CASE("under a plate wider than the opening no way is found, and that is all that is said") {
  Between b;
  b.box("plate", {-900, -900, 100}, {1500, 900, 110});
  const WaysOut ways = b.ways();
  const PieceWay& tube = of(ways, "tube 1");
  CHECK_FALSE(tube.found);
  CHECK(tube.open.find("no proof") != std::string::npos);
  CHECK(tube.open.find("part plate") != std::string::npos);
  CHECK(tube.missing.empty());
  CHECK_FALSE(of(ways, "coupler C1").found);
}

TEST_CASE("a tube longer than the opening is turned, where there is height for that") {
  Between b;
  b.opening("top", {80, -200, 600}, {520, 200, 600});  // 440 for a tube of 560
  const WaysOut ways = b.ways();
  const PieceWay& tube = of(ways, "tube 1");
  INFO(tube.open);
  REQUIRE(tube.found);
  CHECK(std::any_of(tube.steps.begin(), tube.steps.end(), [](const WayStep& step) { return step.move.turns; }));
  replay(ways, b.job.bay, b.duct());

  b.opening("top", {200, -60, 120}, {400, 60, 120});  // no height to turn in
  CHECK_FALSE(of(b.ways(), "tube 1").found);
}

TEST_CASE("a boss beside both hoses holds a straight tube between two short spigots") {
  Between b;
  for (const double station : {100.0, 500.0}) {
    duct::BranchPort boss = test::branch_port(19, degrees(0));
    b.job.spec.fittings.push_back(
        test::fitting_at(b.job.spec.route, std::to_string(static_cast<int>(station)), station, boss));
  }
  // Tube from 20 on, hose to 50; the boss takes 88.5 to 111.5: 30 + 32.2 + 5 fit into 68.5, but not a hose of 100.
  CHECK(of(b.ways(), "tube 1").found);
  Between longer({{0, 0, 0}, {600, 0, 0}}, 100);
  longer.job.spec.fittings.insert(longer.job.spec.fittings.end(), b.job.spec.fittings.begin() + 2,
                                  b.job.spec.fittings.end());
  const WaysOut ways = longer.ways();
  CHECK_FALSE(of(ways, "tube 1").found);
  CHECK_FALSE(of(ways, "coupler C1").found);
  CHECK(of(ways, "coupler C1").open.find("sits on") != std::string::npos);
  // On longer spigots the hoses go back: 40 + 42 and no bead in the way. The blocks then stand 100 behind.
}

TEST_CASE("without the length of the spigots nobody knows, and the keys are named") {
  Between b;
  b.spigot_mm.reset();
  const WaysOut ways = b.ways();
  const PieceWay& tube = of(ways, "tube 1");
  CHECK_FALSE(tube.found);
  CHECK(tube.missing ==
        std::vector<std::string>{"ports/filter-out/spigot_length_mm", "ports/compressor-in/spigot_length_mm"});
}

TEST_CASE("what reaches beyond an opening's plane as drawn has to lie over its outline") {
  Between b;
  b.opening("top", {-400, -500, 30}, {1000, 500, 30});  // through the tube, whose top is at 38
  const WaysOut over = b.ways();
  REQUIRE(of(over, "tube 1").found);
  // Out of its place altogether, not just clear of the plane: 2 x 47 of hose and bands.
  CHECK(of(over, "tube 1").steps.back().move.amount > 94);
  replay(over, b.job.bay, b.duct());
  b.opening("top", {100, -500, 30}, {500, 500, 30});  // both ends stand out beside it
  CHECK_FALSE(of(b.ways(), "tube 1").found);
  CHECK(of(b.ways(), "tube 1").open.find("beyond the plane of every opening") != std::string::npos);
}

TEST_CASE("an opening whose inside is not clear is no way out, and that is noted") {
  Between b;
  CHECK(of(b.ways(), "tube 1").found);
  b.box("mast", {-2000, -2000, 200}, {-1900, -1900, 3000});  // now the parts lie beyond its plane, the duct before it
  const WaysOut ways = b.ways();
  CHECK_FALSE(of(ways, "tube 1").found);
  REQUIRE(ways.notes.size() == 1);
  CHECK(ways.notes[0].find("which side of opening top is inside is not clear") != std::string::npos);
}

TEST_CASE("without openings nothing comes out") {
  Between b;
  b.job.bay.openings.clear();
  CHECK(of(b.ways(), "tube 1").missing == std::vector<std::string>{"openings"});
}

TEST_CASE("a leaning tube comes out square to itself from between ends that stand close") {
  // Its ends stand 5 from the spigots, under hoses that slide back onto it; straight up it would meet one of them.
  const Vec3 along = Vec3(0.9, 0, 0.43589).normalized();
  Between b({{0, 0, 0}, 600 * along});
  b.job.spec.fittings.clear();
  const duct::Coupler hose = test::coupler(duct::CouplerShape::straight, 5, 70);
  b.job.spec.fittings.push_back(test::fitting_at(b.job.spec.route, "C1", 0, hose));
  b.job.spec.fittings.push_back(test::fitting_at(b.job.spec.route, "C2", 595, hose, true));
  for (std::size_t i : {0, 1}) b.hose(i).clamp_height_mm = 4;
  b.bare_spigots(60);
  for (const double side : {-1.0, 1.0}) {  // nor can it go sideways
    b.box(side > 0 ? "left" : "right", {-100, side > 0 ? 52.0 : -60.0, -100}, {700, side > 0 ? 60.0 : -52.0, 390});
  }
  const WaysOut ways = b.ways();
  INFO(of(ways, "tube 1").open);
  CHECK(of(ways, "tube 1").found);
  replay(ways, b.job.bay, b.duct());
}

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
}

TEST_CASE("a tube that begins on a port without a hose is drawn off it, bent or not") {
  Between b({{0, 0, 0}, {120, 0, 0}, {120, -500, 0}});  // bent from 5 on
  b.job.spec.fittings.erase(b.job.spec.fittings.begin());
  const WaysOut ways = b.ways();
  const PieceWay& tube = of(ways, "tube 1");
  INFO(tube.open);
  REQUIRE(tube.found);
  CHECK(tube.released.find("tube 1 is drawn off port filter-out by 47") != std::string::npos);
  replay(ways, b.job.bay, b.duct());
  b.box("wall", {120 + 40, -400, -50}, {120 + 60, 100, 50});  // no room to draw it
  CHECK_FALSE(of(b.ways(), "tube 1").found);
}

TEST_CASE("a part that is out first holds nothing") {
  Between b({{0, 0, 0}, {600, 0, 0}}, 100);
  for (const double station : {100.0, 500.0}) {
    b.job.spec.fittings.push_back(test::fitting_at(b.job.spec.route, std::to_string(static_cast<int>(station)), station,
                                                   test::branch_port(19, degrees(0))));
  }
  CHECK_FALSE(of(b.ways(), "tube 1").found);  // bosses hold both hoses
  b.job.bay.parts[0].removed_first = true;
  const WaysOut ways = b.ways();
  INFO(of(ways, "tube 1").open);
  CHECK(of(ways, "tube 1").found);
  CHECK(of(ways, "tube 1").released.find("filter-out") == std::string::npos);
  replay(ways, b.job.bay, b.duct());
}

TEST_CASE("a tap whose size nobody states does not reach under the hose beside it as drawn") {
  // The hose ends at 50 on the tube; memory takes the tap at 55 to reach from 45.
  Between b({{0, 0, 0}, {600, 0, 0}}, 80);
  b.job.spec.fittings.push_back(test::fitting_at(b.job.spec.route, "tap", 55, duct::RestrictionTap{}));
  b.spigot_mm = 75;  // room for all of the hose on the spigot
  b.bare_spigots(100);
  const WaysOut ways = b.ways();
  INFO(of(ways, "tube 1").open);
  CHECK(of(ways, "tube 1").found);
  CHECK(of(ways, "tube 1").released.find("coupler C1 is slid onto port filter-out") != std::string::npos);
  replay(ways, b.job.bay, b.duct());
  // Nor beside the hose while the tube is drawn out of it.
  b.spigot_mm = 45;
  b.job.bay.parts[1].removed_first = true;
  const WaysOut drawn = b.ways();
  INFO(of(drawn, "tube 1").open);
  REQUIRE(of(drawn, "tube 1").found);
  CHECK(of(drawn, "tube 1").released.find("tube 1 is drawn out of coupler C1") != std::string::npos);
}

TEST_CASE("the bonnet counts open where it has a hinge; a part that is removed first is no hindrance") {
  Between b;
  b.box("bonnet", {-800, -700, 200}, {1300, 700, 210});
  CHECK_FALSE(of(b.ways(), "tube 1").found);
  bay::Body body = test::body("bonnet");
  body.spec = bay::HingeMotion{{Vec3(-800, 0, 205), Vec3::UnitY()}, degrees(-80), degrees(0)};
  body.motion = bay::build_motion(body.spec)->set;
  b.job.bay.bodies.push_back(body);
  b.job.bay.parts.back().body = 2;
  b.job.bay.parts.back().part_class = bay::PartClass::bonnet;
  const WaysOut open = b.ways();
  CHECK(of(open, "tube 1").found);
  CHECK(open.notes == std::vector<std::string>{"part bonnet stands open"});
  // A liner below it goes up with it.
  b.box("liner", {-800, -700, 180}, {1300, 700, 190});
  b.job.bay.parts.back().body = 2;
  CHECK(of(b.ways(), "tube 1").found);
  b.job.bay.parts.back().body = 0;
  CHECK_FALSE(of(b.ways(), "tube 1").found);

  Between tray;
  tray.box("tray", {-900, -900, 100}, {1500, 900, 110});
  tray.job.bay.parts.back().removed_first = true;
  const WaysOut out = tray.ways();
  CHECK(of(out, "tube 1").found);
  CHECK(out.notes == std::vector<std::string>{"part tray is taken out first"});
}

TEST_CASE("inside a closed block nothing comes out, though no surface is near") {
  Between b;
  b.box("block", {-2000, -2000, -2000}, {3000, 2000, 2000});
  b.job.bay.parts.back().encloses = true;
  CHECK_FALSE(of(b.ways(), "tube 1").found);
}

TEST_CASE("between two walls a hose passes with low bands, and not with the bodies of worm clamps across") {
  // Hose of 43.1 mm radius; bands 4 high reach 47.1, bodies of a worm clamp more than 12 high reach 55 and beyond.
  Between b;
  b.box("left", {-30, 51, -50}, {630, 60, 300});
  b.box("right", {-30, -60, -50}, {630, -51, 300});
  CHECK(of(b.ways(), "tube 1").found);
  for (std::size_t i : {0, 1}) b.clamp(i, "worm-12", degrees(0));  // up and down there is room
  CHECK(of(b.ways(), "tube 1").found);
  for (std::size_t i : {0, 1}) b.clamp(i, "worm-12", degrees(90));
  CHECK_FALSE(of(b.ways(), "tube 1").found);
  // All round where nobody says where the screw is.
  for (std::size_t i : {0, 1}) b.clamp(i, "worm-12", std::nullopt);
  CHECK_FALSE(of(b.ways(), "tube 1").found);
}

TEST_CASE("a hose whose clamps do not pass is turned on its seat first") {
  Between b;
  for (std::size_t i : {0, 1}) b.clamp(i, "t-bolt", degrees(90));
  // Posts ahead of the first hose, where its clamps' bodies are; above them there is room.
  for (const double side : {-1.0, 1.0})
    b.box(side > 0 ? "left" : "right", {60, side > 0 ? 52.0 : -200.0, -20}, {70, side > 0 ? 200.0 : -52.0, 20});
  const WaysOut ways = b.ways();
  const PieceWay& tube = of(ways, "tube 1");
  INFO(tube.open);
  REQUIRE(tube.found);
  const WayStep& first = tube.steps.front();
  CHECK(first.kind == WayStep::Kind::hose_slid);
  CHECK(first.move.turns);
  CHECK(first.moved == std::vector<std::string>{"coupler C1"});
  CHECK_FALSE(tube.steps[1].move.turns);
  replay(ways, b.job.bay, b.duct());
  // Where the bodies are as high all round, no turn helps.
  for (std::size_t i : {0, 1}) b.clamp(i, "t-bolt", std::nullopt);
  CHECK_FALSE(of(b.ways(), "tube 1").found);
}

TEST_CASE("the stud of a clamp stands out where its screw faces, at both ends where nobody says") {
  Between b;
  b.ways();
  const auto rod = [&](std::optional<duct::ScrewSide> faces) {
    b.clamp(0, "t-bolt", degrees(0));
    b.hose(0).clamps.pop_back();
    b.hose(0).clamps[0].screw_side = faces;
    b.ways();
    return std::get<Cylinder>(
        clamp_bodies(b.duct(), *b.duct().layout.find(duct::FittingId("C1")), catalog::usual_clamps()).at(0).shape);
  };
  const Cylinder both = rod(std::nullopt), one = rod(duct::ScrewSide::clockwise),
                 other = rod(duct::ScrewSide::counter_clockwise);
  const auto types = catalog::usual_clamps();
  const auto type = std::find_if(types.begin(), types.end(), [](const auto& t) { return t.id.value == "t-bolt"; });
  REQUIRE(type->stud_mm > 0);
  CHECK((both.b - both.a).norm() == Approx(type->body_length_mm + 2 * type->stud_mm));
  CHECK((one.b - one.a).norm() == Approx(type->body_length_mm + type->stud_mm));
  const Vec3 shift = 0.5 * (one.a + one.b) - 0.5 * (other.a + other.b);
  CHECK(shift.norm() == Approx(type->stud_mm));
  // To where a tool comes from.
  ClampSite site = site_of(b.duct(), duct::FittingId("C1"), b.hose(0).clamps[0], *type);
  CHECK(screw_at(site, {degrees(0), Side::clockwise}).axis.dot(shift) > 0);
}

TEST_CASE(
    "without the height of its clamps, or the size of a sensor's boss, nothing is proven and the keys are named") {
  Between b;
  b.hose(1).clamp_height_mm = 0;
  const WaysOut ways = b.ways();
  for (const PieceWay& way : ways.pieces) CHECK_FALSE(way.found);
  CHECK(of(ways, "tube 1").open == "how high the clamps on C2 are is not stated");
  CHECK(of(ways, "tube 1").missing ==
        std::vector<std::string>{"ducts/" + b.duct().spec.id.value + "/fittings/C2/clamps",
                                 "ducts/" + b.duct().spec.id.value + "/fittings/C2/clamp_height_mm"});
  b.clamp(1, "worm-12", degrees(0));
  CHECK(of(b.ways(), "tube 1").found);
  b.clamp(1, "no-such", degrees(0));
  CHECK_FALSE(of(b.ways(), "tube 1").found);
}

TEST_CASE("beads stand on the tube's ends as stated, or 3 mm high; none where it is stated that there is none") {
  Between b;
  b.ways();
  const auto tube = [&]() -> const duct::Piece& {
    return *std::find_if(b.duct().layout.pieces.begin(), b.duct().layout.pieces.end(),
                         [](const duct::Piece& p) { return p.kind == duct::Piece::Kind::tube; });
  };
  REQUIRE(beads(b.duct(), tube()).size() == 2);
  CHECK(std::get<Collar>(beads(b.duct(), tube())[0].shape).radius_mm == Approx(kRadius_mm + 3));
  // Under the downstream end of the first hose begins the tube, 20 mm behind the port.
  b.hose(0).tube_ends = {{duct::HoseEnd::downstream, false, 5, 1.5, 4}};
  b.hose(1).tube_ends = {{duct::HoseEnd::upstream, true, 0, 0, 0}};
  b.ways();
  const auto stated = beads(b.duct(), tube());
  REQUIRE(stated.size() == 1);
  const Collar bead = std::get<Collar>(stated[0].shape);
  CHECK(bead.radius_mm == Approx(kRadius_mm + 1.5));
  CHECK(bead.a.x() == Approx(23));
  CHECK(bead.b.x() == Approx(27));
}

TEST_CASE("the search ends at a count of moves, so every machine finds the same") {
  Between between;
  between.most_for_one = 2;
  const WaysOut ways = between.ways();
  const PieceWay& tube = of(ways, "tube 1");
  CHECK_FALSE(tube.found);
  CHECK(tube.open == "the search ended after 2 moves tried for it");
  between.most_for_one.reset();
  CHECK(of(between.ways(), "tube 1").found);
}

TEST_CASE("a search for ways out that is cancelled gives nothing") {
  Between b;
  b.ways();
  Progress stop;
  stop.cancel();
  const WayInputs inputs{b.job.bay, {&b.duct(), 1}, std::vector<double>(b.job.bay.parts.size(), 0.0), {0}};
  CHECK_FALSE(ways_out(inputs, stop));
}

TEST_CASE("a spigot is left out of its part, cut at its length; what is farther out stays") {
  // A spigot of radius 38 and length 100 from x = -100 to 0, of which 45 count.
  const TriMesh mesh = surface_mesh(Collar{{-100, 0, 0}, {0, 0, 0}, 38}, 0.2);
  const TriMesh neck = without_seat(mesh, {{0, 0, 0}, Vec3::UnitX(), 45, 76});
  // Its neck for another 50 goes with it.
  CHECK(bounds(neck).lo.x() == Approx(-100));
  CHECK(bounds(neck).hi.x() == Approx(-95).margin(0.01));
  const TriMesh thick = without_seat(mesh, {{0, 0, 0}, Vec3::UnitX(), 45, 71});  // within a lip of 3, not of its size
  CHECK(bounds(thick).hi.x() == Approx(-45).margin(0.01));
  CHECK(area_mm2(without_seat(mesh, {{0, 0, 0}, Vec3::UnitX(), 45, 60})) == Approx(area_mm2(mesh)));
}

TEST_CASE("every way that is found is free at every place that is looked at") {
  std::mt19937 random(20261127);
  const auto in = [&](double lo, double hi) { return std::uniform_real_distribution<double>(lo, hi)(random); };
  int found = 0;
  const long cases = test::case_count(12);
  for (long n = 0; n < cases; ++n) {
    const bool bent = n % 2 == 1;
    Between b(bent ? std::vector<Vec3>{{0, 0, 0}, {400, 0, 0}, {400, -500, 0}}
                   : std::vector<Vec3>{{0, 0, 0}, {600, 0, 0}});
    for (int i = 0; i < 6; ++i) {
      const Vec3 at(in(-100, 700), in(-400, 300), in(70, 300)), half(in(10, 150), in(10, 150), in(5, 40));
      b.box("box-" + std::to_string(i), at - half, at + half);
    }
    if (n % 4 >= 2) {
      b.clamp(0, "worm-12", degrees(in(0, 360)));
      b.clamp(1, "worm-12", std::nullopt);
    }
    const WaysOut ways = b.ways();
    if (of(ways, "tube 1").found) ++found;
    replay(ways, b.job.bay, b.duct());
  }
  CHECK(found >= cases / 4);
}

}  // namespace
}  // namespace baywright::access
