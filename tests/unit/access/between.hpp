#pragma once

#include <catch2/catch.hpp>
#include <map>

#include "access/beside_piece.hpp"
#include "access/opening_view.hpp"
#include "access/ways_out.hpp"
#include "duct/fitting_layout.hpp"
#include "tests/support/box_mesh.hpp"
#include "tests/support/ducts.hpp"

// A tube between two spigots, what is known of its ways out, and their replay by brute force.
namespace baywright::access {

inline constexpr double kRadius_mm = 38.1;

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
  /// The last part, as a bonnet that is opened about a line across the vehicle.
  void hinge_last_part(const Vec3& at_mm, double opens_deg) {
    bay::Body body = test::body("bonnet");
    body.spec = bay::HingeMotion{{at_mm, Vec3::UnitY()}, degrees(-opens_deg), degrees(0)};
    body.motion = bay::build_motion(body.spec)->set;
    job.bay.bodies.push_back(body);
    job.bay.parts.back().body = static_cast<BodyIndex>(job.bay.bodies.size() - 1);
    job.bay.parts.back().part_class = bay::PartClass::bonnet;
  }
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

inline const PieceWay& of(const WaysOut& ways, const std::string& piece) {
  for (const PieceWay& way : ways.pieces) {
    if (way.piece == piece) return way;
  }
  throw std::logic_error("no piece " + piece);
}
inline std::size_t carried(const PieceWay& way) {
  return static_cast<std::size_t>(std::count_if(
      way.steps.begin(), way.steps.end(), [](const WayStep& step) { return step.kind == WayStep::Kind::carried; }));
}

/// Least distance of some shapes to all triangles of a mesh, one by one.
inline double brute_mm(std::span<const Shape> shapes, const TriMesh& mesh) {
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
inline std::map<std::string, std::vector<Shape>> standing(std::span<const duct::Duct> ducts) {
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
inline void replay(const WaysOut& ways, const bay::Bay& bay, std::span<const duct::Duct> ducts) {
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
    // And nothing stands over it, nor in its way as far again as it is long that way.
    std::vector<TriMesh> over;
    for (const bay::Part& part : bay.parts) {
      if (!part.removed_first) over.push_back(*part.mesh);
    }
    for (const auto& [name, stays] : there) {
      const bool goes = std::any_of(end.moved.begin(), end.moved.end(), [&](const auto& m) { return full(m) == name; });
      for (const Shape& s : goes ? std::vector<Shape>() : stays) over.push_back(surface_mesh(s, 0.2));
    }
    const TriMesh overhead = merged(over);
    double least = 1e9, most = -1e9;
    for (const Shape& s : end.shapes) {
      const TriMesh surface = surface_mesh(moved(s, end.move.whole()), 0.2);
      for (std::size_t v = 0; v < surface.vertices.size(); ++v) {
        const double along = end.move.along.dot(surface.vertex(static_cast<std::uint32_t>(v)));
        least = std::min(least, along);
        most = std::max(most, along);
      }
    }
    for (int i = 0; i <= 40; ++i) {
      const Pose on = Pose::translation((most - least) * i / 40 * end.move.along);
      std::vector<Shape> further;
      for (const Shape& s : end.shapes) further.push_back(moved(s, on * end.move.whole()));
      CHECK(brute_mm(further, overhead) > 0.5);
    }
    for (int i = 0; i <= 100; ++i) {
      const Pose up = Pose::translation(20.0 * i * opening.outward());
      std::vector<Shape> raised;
      for (const Shape& s : end.shapes) raised.push_back(moved(s, up * end.move.whole()));
      CHECK(brute_mm(raised, overhead) > 0.5);
    }
    for (const PieceWay& w : ways.pieces) {
      if (w.order == k) there.erase("duct " + w.duct.value + ", " + w.piece);
    }
  }
}
inline void replay(const WaysOut& ways, const bay::Bay& bay, const duct::Duct& duct) { replay(ways, bay, {&duct, 1}); }

}  // namespace baywright::access
