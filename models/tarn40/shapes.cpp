#include "shapes.hpp"

#include <BRepAlgoAPI_Cut.hxx>
#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepBuilderAPI_MakeSolid.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepBuilderAPI_Sewing.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepFilletAPI_MakeFillet.hxx>
#include <BRepLib.hxx>
#include <BRepOffsetAPI_ThruSections.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCone.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <BRepPrimAPI_MakeRevol.hxx>
#include <BRepPrimAPI_MakeTorus.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Shell.hxx>
#include <TopoDS_Solid.hxx>
#include <TopoDS_Vertex.hxx>
#include <cmath>
#include <gp_Ax1.hxx>
#include <gp_Ax2.hxx>
#include <gp_Circ.hxx>
#include <gp_Trsf.hxx>
#include <numbers>

#include "geometry/base/expects.hpp"

namespace baywright::tarn40 {
namespace {

constexpr double kPi = std::numbers::pi;

gp_Pnt point(const Vec3& p) { return {p.x(), p.y(), p.z()}; }
gp_Dir direction(const Vec3& v) { return {v.x(), v.y(), v.z()}; }
Vec3 vec(const gp_Pnt& p) { return {p.X(), p.Y(), p.Z()}; }

gp_Ax2 frame(const Vec3& origin, const Vec3& axis) { return {point(origin), direction(axis)}; }

TopoDS_Face disc(const Vec3& center, const Vec3& axis, double radius) {
  const gp_Circ circle(frame(center, axis), radius);
  const TopoDS_Edge edge = BRepBuilderAPI_MakeEdge(circle).Edge();
  return BRepBuilderAPI_MakeFace(BRepBuilderAPI_MakeWire(edge).Wire()).Face();
}

TopoDS_Wire polygon(const Points& points) {
  BRepBuilderAPI_MakePolygon made;
  for (const Vec3& p : points) made.Add(point(p));
  made.Close();
  return made.Wire();
}

TopoDS_Shape transformed(const TopoDS_Shape& shape, const gp_Trsf& trsf) {
  return BRepBuilderAPI_Transform(shape, trsf, true).Shape();
}

/// A corner of a tube's axis: where it begins to turn, about what, how far.
struct Corner {
  Vec3 from, center, axis;
  double angle = 0;
};

/// Walls of a tube whose axis turns at `corners` and ends at `end`: cylinders and parts of tori that share their rims.
TopoDS_Shape walls_along(const Vec3& start, const Vec3& tangent, const std::vector<Corner>& corners, const Vec3& end,
                         double radius) {
  const TopoDS_Face first = disc(start, tangent, radius);
  BRepBuilderAPI_Sewing sewing;
  sewing.Add(first);
  TopoDS_Shape rim = first;
  const auto add_walls = [&](const TopoDS_Shape& swept, const TopoDS_Shape& far) {
    for (TopExp_Explorer faces(swept, TopAbs_FACE); faces.More(); faces.Next()) {
      if (!faces.Current().IsSame(rim) && !faces.Current().IsSame(far)) sewing.Add(faces.Current());
    }
    rim = far;
  };
  const auto go_straight = [&](const Vec3& step) {
    if (step.norm() < 1e-6) return;
    BRepPrimAPI_MakePrism straight(rim, gp_Vec(step.x(), step.y(), step.z()));
    add_walls(straight.Shape(), straight.LastShape());
  };
  Vec3 at = start;
  for (const Corner& corner : corners) {
    go_straight(corner.from - at);
    BRepPrimAPI_MakeRevol bend(rim, gp_Ax1(point(corner.center), direction(corner.axis)), corner.angle);
    add_walls(bend.Shape(), bend.LastShape());
    at = corner.center + Eigen::AngleAxisd(corner.angle, corner.axis) * (corner.from - corner.center);
  }
  go_straight(end - at);
  sewing.Add(rim);
  sewing.Perform();
  BRepBuilderAPI_MakeSolid solid(TopoDS::Shell(sewing.SewedShape()));
  TopoDS_Solid result = solid.Solid();
  BRepLib::OrientClosedSolid(result);
  return result;
}

/// Tube along a polygon, every corner turned with its own radius (index 0: at the first inner point).
TopoDS_Shape tube_with_radii(const Points& points, const std::vector<double>& radii, double radius) {
  std::vector<Corner> corners;
  for (std::size_t i = 1; i + 1 < points.size(); ++i) {
    const Vec3 in = (points[i] - points[i - 1]).normalized();
    const Vec3 out = (points[i + 1] - points[i]).normalized();
    const Vec3 normal = in.cross(out);
    const double angle = std::atan2(normal.norm(), in.dot(out));
    if (angle < 1e-3) continue;
    const Vec3 from = points[i] - radii[i - 1] * std::tan(0.5 * angle) * in;
    const Vec3 axis = normal.normalized();
    corners.push_back({from, from + radii[i - 1] * axis.cross(in), axis, angle});
  }
  return walls_along(points.front(), points[1] - points[0], corners, points.back(), radius);
}

}  // namespace

TopoDS_Shape box(const Vec3& lo, const Vec3& hi) { return BRepPrimAPI_MakeBox(point(lo), point(hi)).Shape(); }

TopoDS_Shape cylinder(const Vec3& from, const Vec3& to, double radius) {
  return BRepPrimAPI_MakeCylinder(frame(from, to - from), radius, (to - from).norm()).Shape();
}

TopoDS_Shape cone(const Vec3& from, const Vec3& to, double radius_from, double radius_to) {
  return BRepPrimAPI_MakeCone(frame(from, to - from), radius_from, radius_to, (to - from).norm()).Shape();
}

TopoDS_Shape torus(const Vec3& center, const Vec3& axis, double ring_radius, double section_radius) {
  return BRepPrimAPI_MakeTorus(frame(center, axis), ring_radius, section_radius).Shape();
}

TopoDS_Shape bead(const Vec3& at, const Vec3& axis, double radius, double height) {
  const Vec3 up = axis.normalized();
  return turned(
      {{radius - 2, 0}, {radius, 0}, {radius + height, 2}, {radius + height, 4}, {radius, 6}, {radius - 2, 6}},
      at - 3 * up, up);
}

TopoDS_Shape ring(const Vec3& from, const Vec3& to, double outer_radius, double inner_radius) {
  const Vec3 axis = to - from;
  const double height = axis.norm();
  return turned({{inner_radius, 0}, {outer_radius, 0}, {outer_radius, height}, {inner_radius, height}}, from, axis);
}

TopoDS_Shape prism(const Points& outline, const Vec3& along) {
  const TopoDS_Face face = BRepBuilderAPI_MakeFace(polygon(outline), true).Face();
  return BRepPrimAPI_MakePrism(face, gp_Vec(along.x(), along.y(), along.z())).Shape();
}

TopoDS_Shape turned(const std::vector<std::array<double, 2>>& profile, const Vec3& origin, const Vec3& axis) {
  const Vec3 up = axis.normalized();
  const Vec3 side = up.unitOrthogonal();
  Points outline;
  const auto at = [&](double radius, double height) { return Vec3(origin + radius * side + height * up); };
  for (const auto& [radius, height] : profile) outline.push_back(at(radius, height));
  EXPECTS(outline.size() > 2);
  const TopoDS_Face face = BRepBuilderAPI_MakeFace(polygon(outline), true).Face();
  return BRepPrimAPI_MakeRevol(face, gp_Ax1(point(origin), direction(up)), 2 * kPi).Shape();
}

TopoDS_Shape bent_tube(const Points& points, double bend_radius, double radius) {
  return tube_with_radii(points, std::vector<double>(points.size(), bend_radius), radius);
}

TopoDS_Shape soft_tube(const Points& points, double radius) {
  std::vector<double> radii;
  for (std::size_t i = 1; i + 1 < points.size(); ++i) {
    const Vec3 before = points[i] - points[i - 1];
    const Vec3 after = points[i + 1] - points[i];
    const double half = 0.5 * std::atan2(before.cross(after).norm(), before.dot(after));
    // Each corner may use up almost half of the shorter leg; nearly straight ones need no larger radius than this.
    radii.push_back(std::min(0.48 * std::min(before.norm(), after.norm()) / std::tan(std::max(half, 1e-3)), 5000.0));
  }
  return tube_with_radii(points, radii, radius);
}

TopoDS_Shape lofted(const std::vector<Points>& sections) {
  BRepOffsetAPI_ThruSections loft(true, false);
  for (const Points& section : sections) loft.AddWire(polygon(section));
  loft.CheckCompatibility(false);
  return loft.Shape();
}

TopoDS_Shape fused(const Shapes& shapes) {
  EXPECTS(!shapes.empty());
  if (shapes.size() == 1) return shapes.front();
  TopTools_ListOfShape arguments, tools;
  arguments.Append(shapes.front());
  for (std::size_t i = 1; i < shapes.size(); ++i) tools.Append(shapes[i]);
  BRepAlgoAPI_Fuse fuse;
  fuse.SetArguments(arguments);
  fuse.SetTools(tools);
  fuse.SetRunParallel(false);
  fuse.Build();
  EXPECTS(fuse.IsDone());
  return fuse.Shape();
}

TopoDS_Shape cut(const TopoDS_Shape& from, const Shapes& tools) {
  TopTools_ListOfShape arguments, others;
  arguments.Append(from);
  for (const TopoDS_Shape& tool : tools) others.Append(tool);
  BRepAlgoAPI_Cut cutter;
  cutter.SetArguments(arguments);
  cutter.SetTools(others);
  cutter.SetRunParallel(false);
  cutter.Build();
  EXPECTS(cutter.IsDone());
  return cutter.Shape();
}

TopoDS_Shape group(const Shapes& shapes) {
  TopoDS_Compound compound;
  BRep_Builder builder;
  builder.MakeCompound(compound);
  for (const TopoDS_Shape& shape : shapes) builder.Add(compound, shape);
  return compound;
}

TopoDS_Shape rounded(const TopoDS_Shape& shape, double radius, const EdgeTest& which) {
  TopTools_IndexedMapOfShape edges;
  TopExp::MapShapes(shape, TopAbs_EDGE, edges);
  BRepFilletAPI_MakeFillet fillet(shape);
  for (int i = 1; i <= edges.Extent(); ++i) {
    const TopoDS_Edge& edge = TopoDS::Edge(edges(i));
    if (BRep_Tool::Degenerated(edge)) continue;
    const Vec3 from = vec(BRep_Tool::Pnt(TopExp::FirstVertex(edge)));
    const Vec3 to = vec(BRep_Tool::Pnt(TopExp::LastVertex(edge)));
    if (which(from, to)) fillet.Add(radius, edge);
  }
  fillet.Build();
  EXPECTS(fillet.IsDone());
  return fillet.Shape();
}

TopoDS_Shape shifted(const TopoDS_Shape& shape, const Vec3& by) {
  gp_Trsf shift;
  shift.SetTranslation(gp_Vec(by.x(), by.y(), by.z()));
  return transformed(shape, shift);
}

TopoDS_Shape turned_about(const TopoDS_Shape& shape, const Vec3& origin, const Vec3& axis, double degrees) {
  gp_Trsf turn;
  turn.SetRotation(gp_Ax1(point(origin), direction(axis)), degrees * kPi / 180);
  return transformed(shape, turn);
}

TopoDS_Shape bolt(const Vec3& at, const Vec3& out, double width) {
  const Vec3 up = out.normalized();
  const Vec3 side = up.unitOrthogonal();
  const Vec3 other = up.cross(side);
  const double corner = width / std::sqrt(3.0);
  Points hexagon;
  for (int i = 0; i < 6; ++i) {
    const double angle = i * kPi / 3;
    hexagon.push_back(at + 0.12 * width * up + corner * (std::cos(angle) * side + std::sin(angle) * other));
  }
  return group(
      {cylinder(at - 0.1 * width * up, at + 0.12 * width * up, 0.72 * width), prism(hexagon, 0.55 * width * up)});
}

EdgeTest along_x() {
  return [](const Vec3& a, const Vec3& b) { return std::abs((b - a).normalized().x()) > 0.999; };
}
EdgeTest along_y() {
  return [](const Vec3& a, const Vec3& b) { return std::abs((b - a).normalized().y()) > 0.999; };
}
EdgeTest along_z() {
  return [](const Vec3& a, const Vec3& b) { return std::abs((b - a).normalized().z()) > 0.999; };
}
EdgeTest all_edges() {
  return [](const Vec3&, const Vec3&) { return true; };
}
EdgeTest both(EdgeTest a, EdgeTest b) {
  return [a = std::move(a), b = std::move(b)](const Vec3& p, const Vec3& q) { return a(p, q) && b(p, q); };
}
EdgeTest within(const Vec3& lo, const Vec3& hi) {
  return [lo, hi](const Vec3& a, const Vec3& b) {
    const auto inside = [&](const Vec3& p) {
      return (p.array() >= lo.array()).all() && (p.array() <= hi.array()).all();
    };
    return inside(a) && inside(b);
  };
}

}  // namespace baywright::tarn40
