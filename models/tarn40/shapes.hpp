#pragma once

#include <Eigen/Geometry>
#include <TopoDS_Edge.hxx>
#include <TopoDS_Shape.hxx>
#include <algorithm>
#include <array>
#include <functional>
#include <string>
#include <vector>

#include "geometry/vec.hpp"

// Short names for the modelling kernel's operations, as far as the demo's parts need them. Millimetres, vehicle frame.
// A failure of the kernel leaves as Standard_Failure: the parts are fixed, so it can only be a mistake in a drawing.

namespace baywright::tarn40 {

/// A named, coloured solid (or group of solids that belong together) of the demo.
struct Drawn {
  std::string name;
  std::array<float, 3> color;  ///< sRGB, 0..1
  TopoDS_Shape shape;
};

using Points = std::vector<Vec3>;
using Shapes = std::vector<TopoDS_Shape>;
using EdgeTest = std::function<bool(const Vec3& from, const Vec3& to)>;

TopoDS_Shape box(const Vec3& lo, const Vec3& hi);
TopoDS_Shape cylinder(const Vec3& from, const Vec3& to, double radius);
TopoDS_Shape cone(const Vec3& from, const Vec3& to, double radius_from, double radius_to);
TopoDS_Shape torus(const Vec3& center, const Vec3& axis, double ring_radius, double section_radius);
/// Raised bead round a tube of `radius`, as it holds a hose; centred on `at`.
TopoDS_Shape bead(const Vec3& at, const Vec3& axis, double radius, double height);
/// Hollow cylinder.
TopoDS_Shape ring(const Vec3& from, const Vec3& to, double outer_radius, double inner_radius);
/// Plane closed polygon swept along `along`.
TopoDS_Shape prism(const Points& outline, const Vec3& along);
/// Profile of (radius, height) pairs turned about `axis` through `origin`; its last point is joined to its first.
TopoDS_Shape turned(const std::vector<std::array<double, 2>>& profile, const Vec3& origin, const Vec3& axis);

/// Round bar along straight legs with a bend of one radius at each inner point, as a bent tube looks.
TopoDS_Shape bent_tube(const Points& points, double bend_radius, double radius);
/// Round bar whose axis is drawn into bends as wide as the polygon allows: hoses, looms, small lines.
TopoDS_Shape soft_tube(const Points& points, double radius);
/// Solid through plane sections of equally many corners (blades, funnels).
TopoDS_Shape lofted(const std::vector<Points>& sections);

TopoDS_Shape fused(const Shapes& shapes);
TopoDS_Shape cut(const TopoDS_Shape& from, const Shapes& tools);
TopoDS_Shape group(const Shapes& shapes);
TopoDS_Shape rounded(const TopoDS_Shape& shape, double radius, const EdgeTest& which);
TopoDS_Shape shifted(const TopoDS_Shape& shape, const Vec3& by);
/// Turned by `degrees` about the line through `point` along `axis`.
TopoDS_Shape turned_about(const TopoDS_Shape& shape, const Vec3& point, const Vec3& axis, double degrees);

/// Hexagon head with washer standing on the plane through `at`, looking along `out`; `width` across flats.
TopoDS_Shape bolt(const Vec3& at, const Vec3& out, double width);

// Which edges to round.
EdgeTest along_x();
EdgeTest along_y();
EdgeTest along_z();
EdgeTest all_edges();
EdgeTest both(EdgeTest a, EdgeTest b);
/// Both ends inside the box.
EdgeTest within(const Vec3& lo, const Vec3& hi);

}  // namespace baywright::tarn40
