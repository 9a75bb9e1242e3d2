#include "geometry/tube_solid.hpp"

#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeSolid.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepBuilderAPI_Sewing.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepLib.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Shell.hxx>
#include <TopoDS_Solid.hxx>
#include <TopoDS_Wire.hxx>
#include <cmath>
#include <gp_Circ.hxx>
#include <gp_Cone.hxx>
#include <gp_Cylinder.hxx>
#include <gp_Pln.hxx>
#include <gp_Torus.hxx>
#include <numbers>
#include <optional>
#include <string>

#include "geometry/base/expects.hpp"
#include "geometry/occt/access.hpp"
#include "geometry/occt/guard.hpp"

// The skin is built face by face and sewn: no Boolean operation, so the result does not hang on intersections of
// surfaces that touch along whole circles. Every surface of revolution has a seam; all seams are laid along one line
// that is carried down the run, so that neighbouring rims are the same circle with the same vertex.

namespace baywright {
namespace {

constexpr double kMeet_mm = 1e-6;
constexpr double kTwoPi = 2 * std::numbers::pi;

gp_Pnt pnt(const Vec3& p) { return {p.x(), p.y(), p.z()}; }
gp_Dir dir(const Vec3& d) { return {d.x(), d.y(), d.z()}; }

/// One end of a shape: where, which way the run goes there, and how wide.
struct End {
  Vec3 at, along;
  double radius_mm = 0;
};

struct Segment {
  Shape shape;
  End from, to;
  double length_mm = 0;
};

Segment straight(const Shape& shape, const Vec3& a, const Vec3& b, double radius_a, double radius_b) {
  const double length = (b - a).norm();
  const Vec3 along = length > 0 ? Vec3((b - a) / length) : Vec3(Vec3::Zero());
  return {shape, {a, along, radius_a}, {b, along, radius_b}, length};
}

struct ToSegment {
  Segment operator()(const Cylinder& s) const { return straight(s, s.a, s.b, s.radius_mm, s.radius_mm); }
  Segment operator()(const Collar& s) const { return straight(s, s.a, s.b, s.radius_mm, s.radius_mm); }
  Segment operator()(const Cone& s) const { return straight(s, s.a, s.b, s.radius_a_mm, s.radius_b_mm); }
  Segment operator()(const TorusSegment& s) const {
    const auto along = [&](double t) { return Vec3(-std::sin(t) * s.e0 + std::cos(t) * s.e1); };
    return {s,
            {s.axis_point(0), along(0), s.radius_mm},
            {s.axis_point(s.angle_rad), along(s.angle_rad), s.radius_mm},
            s.bend_radius_mm * s.angle_rad};
  }
};

tl::unexpected<Error> bad(std::size_t i, const std::string& message) {
  return fail(ErrorCode::bad_value, "tube solid: shape " + std::to_string(i + 1), message);
}

Result<std::vector<Segment>> checked(const std::vector<Shape>& run, double wall_mm) {
  std::vector<Segment> segments;
  for (std::size_t i = 0; i < run.size(); ++i) {
    Segment s = std::visit(ToSegment(), run[i]);
    const double thinnest = std::min(s.from.radius_mm, s.to.radius_mm);
    if (!std::isfinite(s.length_mm) || !std::isfinite(s.from.radius_mm + s.to.radius_mm))
      return bad(i, "is not finite");
    if (!(thinnest > kMeet_mm) || !(thinnest - wall_mm > kMeet_mm)) {
      return bad(i, "the wall of " + std::to_string(wall_mm) + " mm leaves no bore in a radius of " +
                        std::to_string(thinnest) + " mm");
    }
    const auto* bend = std::get_if<TorusSegment>(&run[i]);
    if (bend != nullptr && bend->bend_radius_mm <= bend->radius_mm) {
      return bad(i, "a bend radius not above the tube's radius folds into itself");
    }
    if (s.length_mm <= kMeet_mm) continue;
    if (!segments.empty()) {
      const End& before = segments.back().to;
      if ((before.at - s.from.at).norm() > kMeet_mm) return bad(i, "does not begin where the one before ends");
      const double widest = std::max(before.radius_mm, s.from.radius_mm);
      // A kink opens the rims by this much on one side.
      if ((before.along - s.from.along).norm() * widest > 10 * kMeet_mm)
        return bad(i, "does not go on in the direction of the one before");
    }
    segments.push_back(std::move(s));
  }
  if (segments.empty()) return fail(ErrorCode::bad_value, "tube solid", "the run has no length");
  return segments;
}

/// The run of the bore. Where the radius steps, the flat ring is as thick as the wall: the wider bore ends one wall
/// before the step and the narrower goes on until there.
Result<std::vector<Segment>> bore_run(const std::vector<Segment>& outer, double wall_mm) {
  std::vector<Segment> bore{outer.front()};
  for (std::size_t i = 1; i < outer.size(); ++i) {
    Segment next = outer[i];
    const double step = next.from.radius_mm - bore.back().to.radius_mm;
    if (std::abs(step) > kMeet_mm) {
      Segment& wide = step > 0 ? next : bore.back();
      if (std::holds_alternative<TorusSegment>(wide.shape) ||
          std::abs(wide.from.radius_mm - wide.to.radius_mm) > kMeet_mm) {
        return bad(i, "a step in radius needs a straight shape on its wide side");
      }
      if (wide.length_mm <= wall_mm + kMeet_mm) return bad(i, "a wide shape at a step must be longer than its wall");
      const Vec3 shift = wall_mm * wide.from.along;
      const double r = wide.from.radius_mm;
      wide = step > 0 ? straight(wide.shape, wide.from.at + shift, wide.to.at, r, r)
                      : straight(wide.shape, wide.from.at, wide.to.at - shift, r, r);
      const double narrow = step > 0 ? bore.back().to.radius_mm : next.from.radius_mm;
      const Vec3 from = bore.back().to.at;
      const Vec3 to = next.from.at;
      bore.push_back(straight(Cylinder{from, to, narrow}, from, to, narrow, narrow));
    }
    bore.push_back(std::move(next));
  }
  return bore;
}

/// Side face of a segment with its seam along `seam` (unit, square to the run at the start).
TopoDS_Face side(const Segment& s, double inward_mm, const Vec3& seam) {
  if (const auto* bend = std::get_if<TorusSegment>(&s.shape)) {
    const Vec3 normal = bend->e0.cross(bend->e1);
    const gp_Torus torus(gp_Ax3(pnt(bend->center), dir(normal), dir(bend->e0)), bend->bend_radius_mm,
                         bend->radius_mm - inward_mm);
    const double v = std::atan2(seam.dot(normal), seam.dot(bend->e0));
    return BRepBuilderAPI_MakeFace(torus, 0, bend->angle_rad, v, v + kTwoPi).Face();
  }
  const gp_Ax3 frame(pnt(s.from.at), dir(s.from.along), dir(seam));
  const double grows = s.to.radius_mm - s.from.radius_mm;
  if (std::abs(grows) <= kMeet_mm) {
    return BRepBuilderAPI_MakeFace(gp_Cylinder(frame, s.from.radius_mm - inward_mm), 0, kTwoPi, 0, s.length_mm).Face();
  }
  const double slope = std::atan2(grows, s.length_mm);
  const gp_Cone cone(frame, slope, s.from.radius_mm - inward_mm);
  return BRepBuilderAPI_MakeFace(cone, 0, kTwoPi, 0, s.length_mm / std::cos(slope)).Face();
}

/// The seam's direction at the end of the segment.
Vec3 carried(const Segment& s, const Vec3& seam) {
  const auto* bend = std::get_if<TorusSegment>(&s.shape);
  if (bend == nullptr) return seam;
  return Eigen::AngleAxisd(bend->angle_rad, bend->e0.cross(bend->e1)) * seam;
}

/// Flat ring (or disc for an inner radius of 0) square to the run.
TopoDS_Face ring(const End& end, const Vec3& seam, double outer_mm, double inner_mm) {
  const gp_Ax2 frame(pnt(end.at), dir(end.along), dir(seam));
  const auto circle = [&](double r) {
    return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(gp_Circ(frame, r)).Edge()).Wire();
  };
  BRepBuilderAPI_MakeFace face(gp_Pln(gp_Ax3(frame)), circle(outer_mm), /*Inside=*/true);
  if (inner_mm > 0) face.Add(TopoDS::Wire(circle(inner_mm).Reversed()));
  return face.Face();
}

/// Directions of the seam at the start of each segment, and at the end of the last.
std::vector<Vec3> seams_along(const std::vector<Segment>& segments, const Vec3& first) {
  std::vector<Vec3> seams{first};
  for (const Segment& s : segments) seams.push_back(carried(s, seams.back()));
  return seams;
}

/// All faces of one skin: the sides `inward_mm` below the given surface and the rings where the radius steps.
void add_skin(BRepBuilderAPI_Sewing& sewing, const std::vector<Segment>& segments, double inward_mm,
              const Vec3& first_seam) {
  const std::vector<Vec3> seams = seams_along(segments, first_seam);
  for (std::size_t i = 0; i < segments.size(); ++i) {
    sewing.Add(side(segments[i], inward_mm, seams[i]));
    if (i == 0) continue;
    const double before = segments[i - 1].to.radius_mm - inward_mm;
    const double after = segments[i].from.radius_mm - inward_mm;
    if (std::abs(before - after) > kMeet_mm) {
      sewing.Add(ring(segments[i].from, seams[i], std::max(before, after), std::min(before, after)));
    }
  }
}

Result<Solid> sewn(BRepBuilderAPI_Sewing& sewing) {
  sewing.Perform();
  std::optional<TopoDS_Shell> shell;
  int shells = 0;
  for (TopExp_Explorer it(sewing.SewedShape(), TopAbs_SHELL); it.More(); it.Next(), ++shells) {
    shell = TopoDS::Shell(it.Current());
  }
  if (shells != 1 || sewing.NbFreeEdges() != 0) {
    return fail(ErrorCode::kernel_failed, "tube solid", "the faces of the tube do not close");
  }
  TopoDS_Solid solid = BRepBuilderAPI_MakeSolid(*shell).Solid();
  BRepLib::OrientClosedSolid(solid);
  if (!BRepCheck_Analyzer(solid).IsValid()) {
    return fail(ErrorCode::kernel_failed, "tube solid", "the kernel's check finds the solid invalid");
  }
  return occt::Access::make(solid);
}

}  // namespace

Result<Solid> tube_solid(const std::vector<Shape>& run, double wall_mm) {
  EXPECTS(wall_mm >= 0);
  const Result<std::vector<Segment>> segments = checked(run, wall_mm);
  if (!segments) return tl::unexpected(segments.error());
  return occt::guard("tube solid", [&]() -> Result<Solid> {
    const Vec3 seam = segments->front().from.along.unitOrthogonal();
    BRepBuilderAPI_Sewing sewing(10 * kMeet_mm);
    add_skin(sewing, *segments, 0, seam);
    if (wall_mm > 0) {
      const Result<std::vector<Segment>> bore = bore_run(*segments, wall_mm);
      if (!bore) return tl::unexpected(bore.error());
      add_skin(sewing, *bore, wall_mm, seam);
    }
    const auto cap = [&](const End& end, const Vec3& at_seam) {
      sewing.Add(ring(end, at_seam, end.radius_mm, wall_mm > 0 ? end.radius_mm - wall_mm : 0));
    };
    cap(segments->front().from, seam);
    cap(segments->back().to, seams_along(*segments, seam).back());
    return sewn(sewing);
  });
}

}  // namespace baywright
