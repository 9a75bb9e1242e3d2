#include "shapes.hpp"

#include <BRepAlgoAPI_Cut.hxx>
#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepFilletAPI_MakeFillet.hxx>
#include <BRepOffsetAPI_MakePipe.hxx>
#include <BRepOffsetAPI_ThruSections.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCone.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <BRepPrimAPI_MakeRevol.hxx>
#include <BRepPrimAPI_MakeTorus.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <GC_MakeArcOfCircle.hxx>
#include <GeomAPI_Interpolate.hxx>
#include <Geom_BSplineCurve.hxx>
#include <TColgp_HArray1OfPnt.hxx>
#include <TopExp.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
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

TopoDS_Wire circle_wire(const Vec3& center, const Vec3& axis, double radius) {
  const gp_Circ circle(frame(center, axis), radius);
  return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(circle).Edge()).Wire();
}

TopoDS_Shape swept_disc(const TopoDS_Wire& spine, const Vec3& start, const Vec3& tangent, double radius) {
  const TopoDS_Face disc = BRepBuilderAPI_MakeFace(circle_wire(start, tangent, radius)).Face();
  return BRepOffsetAPI_MakePipe(spine, disc).Shape();
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

/// Straight legs joined by tangent arcs.
TopoDS_Wire spine_with_bends(const Points& points, double bend_radius) {
  BRepBuilderAPI_MakeWire wire;
  Vec3 at = points.front();
  for (std::size_t i = 1; i + 1 < points.size(); ++i) {
    const Vec3 in = (points[i] - points[i - 1]).normalized();
    const Vec3 out = (points[i + 1] - points[i]).normalized();
    const double half = 0.5 * std::acos(std::clamp(in.dot(out), -1.0, 1.0));
    if (half < 1e-6) continue;
    const double set_back = bend_radius * std::tan(half);
    const Vec3 from = points[i] - set_back * in;
    const Vec3 to = points[i] + set_back * out;
    const Vec3 inward = (out - in).normalized();
    const Vec3 middle = points[i] + inward * (bend_radius / std::cos(half) - bend_radius);
    if ((from - at).dot(in) > 1e-6) wire.Add(BRepBuilderAPI_MakeEdge(point(at), point(from)).Edge());
    wire.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(point(from), point(middle), point(to)).Value()).Edge());
    at = to;
  }
  if ((points.back() - at).norm() > 1e-6) wire.Add(BRepBuilderAPI_MakeEdge(point(at), point(points.back())).Edge());
  return wire.Wire();
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
  const bool solid = std::ranges::any_of(profile, [](const auto& p) { return p[0] <= 0; });
  for (const auto& [radius, height] : profile) outline.push_back(at(radius, height));
  EXPECTS(outline.size() > 2 || solid);
  const TopoDS_Face face = BRepBuilderAPI_MakeFace(polygon(outline), true).Face();
  return BRepPrimAPI_MakeRevol(face, gp_Ax1(point(origin), direction(up)), 2 * kPi).Shape();
}

TopoDS_Shape bent_tube(const Points& points, double bend_radius, double radius, double wall) {
  const TopoDS_Wire spine = spine_with_bends(points, bend_radius);
  const Vec3 tangent = (points[1] - points[0]).normalized();
  const TopoDS_Shape outer = swept_disc(spine, points.front(), tangent, radius);
  if (wall <= 0) return outer;
  return cut(outer, {swept_disc(spine, points.front(), tangent, radius - wall)});
}

TopoDS_Shape spline_tube(const Points& points, double radius) {
  Handle(TColgp_HArray1OfPnt) through = new TColgp_HArray1OfPnt(1, static_cast<int>(points.size()));
  for (std::size_t i = 0; i < points.size(); ++i) through->SetValue(static_cast<int>(i) + 1, point(points[i]));
  GeomAPI_Interpolate curve(through, false, 1e-6);
  curve.Perform();
  gp_Pnt start;
  gp_Vec tangent;
  curve.Curve()->D1(curve.Curve()->FirstParameter(), start, tangent);
  const TopoDS_Wire spine = BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(curve.Curve()).Edge()).Wire();
  return swept_disc(spine, points.front(), {tangent.X(), tangent.Y(), tangent.Z()}, radius);
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

TopoDS_Shape mirrored_y(const TopoDS_Shape& shape) {
  gp_Trsf mirror;
  mirror.SetMirror(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(0, 1, 0)));
  return transformed(shape, mirror);
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
