#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "geometry/aabb.hpp"
#include "geometry/clearance/carried.hpp"
#include "geometry/shape_kernels.hpp"
#include "geometry/triangle_kernels.hpp"
#include "geometry/primitive.hpp"

namespace baywright {

/// A convex set that holds every place of (a part of) a shape over a cell of motion:
/// the convex hull of its nodes, grown by `rest_mm`. A node is a point or a disc, moved by a zonotope.
struct Hull {
  struct Node {
    Vec3 c = Vec3::Zero();
    Vec3 d1 = Vec3::Zero(), d2 = Vec3::Zero();  ///< the disc's half axes; zero for a point
    std::uint32_t corner = 0;                   ///< sign of each parameter in `corners` (bit set: +)
    int place = 0;                              ///< which point of the shape it stands for
  };
  std::vector<Node> nodes;
  std::vector<int> zonotope;     ///< parameters whose generators stand beside the nodes
  std::vector<Vec3> generators;  ///< nodes x zonotope
  std::vector<int> corners;      ///< parameters spread over the nodes instead
  bool discs = false;
  double rest_mm = 0;
  Aabb box;  ///< of the nodes, without rest_mm

  struct Support {
    double value = 0;
    Vec3 point = Vec3::Zero();
    std::uint32_t node = 0;
    std::uint32_t signs = 0;  ///< of the zonotope's parameters
  };
  /// Greatest w.x over the hull without rest_mm.
  double reach(const Vec3& w) const;
  Support support(const Vec3& w) const;
  /// Adds `weight` times the parameters (in [-1, 1]) of a support point.
  void add_parameters(const Support& s, double weight, std::vector<double>& e) const;
  /// A point of it near p: where to look from when guessing a separating direction.
  Vec3 near(const Vec3& p) const;
  void finish();  ///< fills box
};

/// What lower bounds over a cell need to know about one part of one shape.
struct Target {
  Hull hull;
  double radius_mm = 0;          ///< tubes: around the axis that the hull encloses; 0 for flat-ended solids
  bool flat = false;             ///< the hull encloses the solid itself
  double greatest_depth_mm = 0;  ///< the signed distance is never below minus this

  /// Lower bound of the signed distance given a separation of the hull (without rest).
  double bound(double separation_mm) const {
    const double s = separation_mm - hull.rest_mm;
    if (flat) return s > 0 ? s : -greatest_depth_mm;
    return std::max(s, 0.0) - radius_mm;
  }
};

/// Part of a shape between the fractions `from` and `to` of its axis.
struct Span {
  double from = 0, to = 1;
};

double greatest_depth_mm(const Shape& shape);
/// Parts an axis is cut into before anything else: arcs of at most 45 degrees.
int first_parts(const Shape& shape);

/// A box of one scenario's parameters.
struct Cell {
  std::vector<double> center, half;
};
/// Everything besides the cell that says where things are.
struct Carried {
  const Kinematics& kinematics;
  const Carriage& carriage;
  BodyIndex surface_body = 0;
};

/// Enclosure of a part of a shape over a cell, seen from the surface's body. `erosion_mm`: flat-ended solids only,
/// the enclosure of the points at least that deep; nullopt when there are none.
std::optional<Target> target_over(const Shape& shape, const Span& part, const Carried& carried,
                                  const Scenario& scenario, const Cell& cell, double erosion_mm = 0);

/// How much each way of splitting a cell can tighten its enclosure, mm.
struct SplitGain {
  double along_axis = 0;
  std::vector<double> parameter;
};
SplitGain gain_of(const Shape& shape, const Span& part, const Target& target, int parameters);

/// Separation of a hull from a triangle.
struct Separation {
  double lower_mm = 0;    ///< proven: a plane leaves this gap (negative: none was found)
  std::vector<double> e;  ///< parameters in [-1, 1] at which they come nearest
};
/// Gilbert, Johnson and Keerthi 1988; every step's support plane is a proof, the best one counts. Stops when the gap
/// reaches `enough_mm` or is known to `tolerance_mm`.
Separation separation(const Hull& hull, const Corners3& v, double enough_mm, double tolerance_mm, int parameters);

}  // namespace baywright
