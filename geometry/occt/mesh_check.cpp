#include "geometry/occt/mesh_check.hpp"

#include <BRepAdaptor_Surface.hxx>
#include <BRep_Tool.hxx>
#include <Geom2d_Curve.hxx>
#include <Poly_PolygonOnTriangulation.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <unordered_map>
#include <unordered_set>

// How the deviation is bounded
//
// The mesher gives each corner of a facet its place (u, v) in the parameter plane of the exact surface S. The facets'
// (u, v) triangles tile the region enclosed by the chords of the face's rim; the face itself is enclosed by the rim
// curves. So every point of the face is S(q) with q either in a (u, v) triangle or in the sliver between a rim curve
// and its chord. Three checks follow:
//
// 1. Facets. S is evaluated on a grid of n x n steps in every (u, v) triangle and the distance d to that facet or one
//    beside it is taken (at least the distance to the nearest facet, so on the safe side; those beside matter where the
//    image of a (u, v) line bows sideways, as on cones). Between grid points the offset g from
//    the facet's plane is bounded by interpolation theory: a function whose second difference over one grid step is
//    at most D along the three grid directions exceeds its values at the corners of a grid cell by at most
//    D * max(l0 l1 + l1 l2 + l2 l0) / 2 = D / 6 (l: barycentric coordinates). D is read off the grid itself and
//    multiplied by 1.5, because second differences may be somewhat larger between the lines of the grid. The grid is
//    made finer where D is not small against the deviation, and where knots of a spline pass through the facet.
// 2. Rims. The same along each chord of each rim: distance of S(rim curve) from the chord, D / 8 in one dimension,
//    again times 1.5; and half-way across the sliver.
// 3. Cover. A facet side that only one facet uses must be a chord of the rim, and each chord must be used: else facets
//    are missing and no sampling of the others can tell.
//
// A corner at a pole of the parameter plane (tip of a cone, pole of a sphere) stands for a whole line of (u, v): the
// coordinate that is free there is taken from the other corners of the facet.
//
// Corners are taken after rounding to float32, so the rounding is measured along.

namespace baywright::occt {
namespace {

constexpr double kGrowth = 1.5;  // between grid lines; reason above
constexpr int kCoarse = 4;
constexpr int kFinest = 32;

Vec3 vec(const gp_Pnt& p) { return {p.X(), p.Y(), p.Z()}; }

double distance_to_segment(const Vec3& p, const Vec3& a, const Vec3& b) {
  const Vec3 d = b - a;
  const double dd = d.squaredNorm();
  const double t = dd > 0 ? std::clamp((p - a).dot(d) / dd, 0.0, 1.0) : 0.0;
  return (a + t * d - p).norm();
}

/// Facet prepared for many distance queries.
class Facet {
 public:
  Facet(const Vec3& a, const Vec3& b, const Vec3& c) : v_{a, b, c}, n_((b - a).cross(c - a)) {
    const double longest = std::max({(b - a).norm(), (c - b).norm(), (a - c).norm()});
    // Height under 1e-9 of the length: direction of the normal is noise, the facet is a segment.
    flat_ = n_.norm() > 1e-9 * longest * longest;
    if (flat_) n_.normalize();
  }
  bool has_normal() const { return flat_; }
  double offset(const Vec3& p) const { return n_.dot(p - v_[0]); }
  /// The point's foot on the plane lies within the facet.
  bool above(const Vec3& p) const {
    if (!flat_) return false;
    for (std::size_t i = 0; i < 3; ++i) {
      const Vec3& a = v_[i];
      if ((v_[(i + 1) % 3] - a).cross(p - a).dot(n_) < 0) return false;
    }
    return true;
  }
  double distance(const Vec3& p) const {
    if (above(p)) return std::abs(offset(p));
    return std::min({distance_to_segment(p, v_[0], v_[1]), distance_to_segment(p, v_[1], v_[2]),
                     distance_to_segment(p, v_[2], v_[0])});
  }

 private:
  std::array<Vec3, 3> v_;
  Vec3 n_;
  bool flat_ = false;
};

/// A corner in the parameter plane; a coordinate that is free (pole) carries no weight.
struct Corner {
  double u = 0, v = 0;
  double weight_u = 1, weight_v = 1;
};

class FaceChecker {
 public:
  FaceChecker(const TopoDS_Face& face, const Handle(Poly_Triangulation) & mesh, const TopLoc_Location& location,
              const std::vector<Vec3>& corners, double target_mm)
      : face_(face), mesh_(mesh), location_(location), corners_(corners), target_mm_(target_mm), surface_(face) {
    planar_ = surface_.GetType() == GeomAbs_Plane;
    find_breaks();
  }

  FaceCheck run() {
    check_nodes();
    for (int i = 1; i <= mesh_->NbTriangles(); ++i) {
      std::array<int, 3> n{};
      mesh_->Triangle(i).Get(n[0], n[1], n[2]);
      for (std::size_t k = 0; k < 3; ++k) sides_[side(n[k], n[(k + 1) % 3])].add(i - 1);
      if (!planar_) facets_.emplace_back(corner(n[0]), corner(n[1]), corner(n[2]));
    }
    for (int i = 1; i <= mesh_->NbTriangles() && !planar_; ++i) {
      std::array<int, 3> n{};
      mesh_->Triangle(i).Get(n[0], n[1], n[2]);
      check_facet(static_cast<std::size_t>(i - 1), n);
    }
    for (TopExp_Explorer it(face_, TopAbs_EDGE); it.More(); it.Next()) check_rim(TopoDS::Edge(it.Current()));
    for (const auto& [key, users] : sides_) {
      if (users.count == 1 && rims_.count(key) == 0) result_.covered = false;
    }
    for (const std::uint64_t key : rims_) {
      if (sides_.count(key) == 0) result_.covered = false;
    }
    return result_;
  }

 private:
  static std::uint64_t side(int a, int b) {
    const auto [lo, hi] = std::minmax(a, b);
    return static_cast<std::uint64_t>(lo) << 32 | static_cast<std::uint64_t>(hi);
  }
  const Vec3& corner(int node) const { return corners_[static_cast<std::size_t>(node - 1)]; }
  Vec3 at(double u, double v) const { return vec(surface_.Value(u, v)); }
  void found(double d) { result_.deviation_mm = std::max(result_.deviation_mm, d); }

  /// Where the surface's second derivative jumps: knots of splines.
  void find_breaks() {
    if (surface_.GetType() != GeomAbs_BSplineSurface && surface_.GetType() != GeomAbs_SurfaceOfExtrusion &&
        surface_.GetType() != GeomAbs_SurfaceOfRevolution && surface_.GetType() != GeomAbs_OffsetSurface) {
      return;
    }
    const auto list = [](int n, const auto& fill) {
      TColStd_Array1OfReal values(1, n + 1);
      fill(values);
      return std::vector<double>(values.begin(), values.end());
    };
    breaks_u_ = list(surface_.NbUIntervals(GeomAbs_C2), [&](auto& a) { surface_.UIntervals(a, GeomAbs_C2); });
    breaks_v_ = list(surface_.NbVIntervals(GeomAbs_C2), [&](auto& a) { surface_.VIntervals(a, GeomAbs_C2); });
  }

  static int breaks_within(const std::vector<double>& breaks, double a, double b) {
    const auto [lo, hi] = std::minmax(a, b);
    return static_cast<int>(std::lower_bound(breaks.begin(), breaks.end(), hi) -
                            std::upper_bound(breaks.begin(), breaks.end(), lo));
  }

  void check_nodes() {
    for (int i = 1; i <= mesh_->NbNodes(); ++i) {
      const gp_Pnt2d uv = mesh_->UVNode(i);
      Corner c{uv.X(), uv.Y()};
      gp_Pnt p;
      gp_Vec du;
      gp_Vec dv;
      surface_.D1(c.u, c.v, p, du, dv);
      // The whole range of u moves the point by less than a nanometre: a pole.
      const double span_u = surface_.LastUParameter() - surface_.FirstUParameter();
      const double span_v = surface_.LastVParameter() - surface_.FirstVParameter();
      if (!planar_ && du.Magnitude() * std::min(span_u, 1e6) < 1e-6) c.weight_u = 0;
      if (!planar_ && dv.Magnitude() * std::min(span_v, 1e6) < 1e-6) c.weight_v = 0;
      nodes_.push_back(c);
      found((vec(p) - corner(i)).norm());
    }
  }

  /// Facets on the two sides of one line between corners.
  struct Users {
    int count = 0;
    std::array<int, 2> facet{-1, -1};
    void add(int i) {
      if (count < 2) facet[static_cast<std::size_t>(count)] = i;
      ++count;
    }
  };

  /// A facet and those beside it.
  struct Patch {
    std::size_t own = 0;
    std::vector<std::size_t> beside;
  };

  double distance(const Patch& patch, const Vec3& p) const {
    double d = facets_[patch.own].distance(p);
    if (facets_[patch.own].above(p)) return d;
    for (const std::size_t i : patch.beside) d = std::min(d, facets_[i].distance(p));
    return d;
  }

  void check_facet(std::size_t own, const std::array<int, 3>& n) {
    Patch patch{own, {}};
    for (std::size_t k = 0; k < 3; ++k) {
      for (const int i : sides_[side(n[k], n[(k + 1) % 3])].facet) {
        if (i >= 0 && static_cast<std::size_t>(i) != own) patch.beside.push_back(static_cast<std::size_t>(i));
      }
    }
    std::array<Corner, 3> c;
    for (std::size_t k = 0; k < 3; ++k) c[k] = nodes_[static_cast<std::size_t>(n[k] - 1)];
    int breaks = 0;
    for (std::size_t k = 0; k < 3; ++k) {
      breaks = std::max({breaks, breaks_within(breaks_u_, c[k].u, c[(k + 1) % 3].u),
                         breaks_within(breaks_v_, c[k].v, c[(k + 1) % 3].v)});
    }
    int steps = std::clamp(2 * (breaks + 1), kCoarse, kFinest);
    for (;;) {
      const Sampled sampled = sample(patch, c, steps);
      const bool certain = sampled.margin <= 0.15 * sampled.worst || sampled.worst + sampled.margin < 0.5 * target_mm_;
      if (certain || steps >= kFinest) {
        found(sampled.worst + sampled.margin);
        return;
      }
      steps *= 2;
    }
  }

  struct Sampled {
    double worst = 0;
    double margin = 0;
  };

  Vec3 inside(const std::array<Corner, 3>& c, const std::array<double, 3>& w) const {
    double u = 0, v = 0, sum_u = 0, sum_v = 0;
    for (std::size_t k = 0; k < 3; ++k) {
      u += w[k] * c[k].weight_u * c[k].u;
      v += w[k] * c[k].weight_v * c[k].v;
      sum_u += w[k] * c[k].weight_u;
      sum_v += w[k] * c[k].weight_v;
    }
    // At the pole itself any value does.
    u = sum_u > 0 ? u / sum_u : c[0].u;
    v = sum_v > 0 ? v / sum_v : c[0].v;
    return at(u, v);
  }

  Sampled sample(const Patch& patch, const std::array<Corner, 3>& c, int steps) {
    const Facet& facet = facets_[patch.own];
    Sampled out;
    const int row = steps + 1;
    grid_.assign(static_cast<std::size_t>(row * row), Vec3::Zero());
    const auto point = [&](int i, int j) -> Vec3& { return grid_[static_cast<std::size_t>(i * row + j)]; };
    const double h = 1.0 / steps;
    for (int i = 0; i <= steps; ++i) {
      for (int j = 0; i + j <= steps; ++j) {
        point(i, j) = inside(c, {(steps - i - j) * h, i * h, j * h});
        out.worst = std::max(out.worst, distance(patch, point(i, j)));
      }
    }
    const auto bend = [&](const Vec3& a, const Vec3& b, const Vec3& d) {
      const Vec3 second = a - 2 * b + d;
      return facet.has_normal() ? std::abs(facet.offset(a) - 2 * facet.offset(b) + facet.offset(d)) : second.norm();
    };
    double most = 0;
    for (int i = 0; i <= steps; ++i) {
      for (int j = 0; i + j <= steps; ++j) {
        if (i > 0 && i + 1 + j <= steps) most = std::max(most, bend(point(i - 1, j), point(i, j), point(i + 1, j)));
        if (j > 0 && i + j + 1 <= steps) most = std::max(most, bend(point(i, j - 1), point(i, j), point(i, j + 1)));
        if (i > 0 && j > 0) most = std::max(most, bend(point(i - 1, j + 1), point(i, j), point(i + 1, j - 1)));
      }
    }
    out.margin = kGrowth * most / 6;
    return out;
  }

  void check_rim(const TopoDS_Edge& edge) {
    const Handle(Poly_PolygonOnTriangulation) chords = BRep_Tool::PolygonOnTriangulation(edge, mesh_, location_);
    if (chords.IsNull()) return;  // no chord, no rim: the cover check speaks up if one was needed
    const bool pole = BRep_Tool::Degenerated(edge);
    const Handle(Geom2d_Curve) curve = curve_of(edge, *chords);
    for (int i = 1; i < chords->NbNodes(); ++i) {
      const int a = chords->Node(i);
      const int b = chords->Node(i + 1);
      if (a == b) continue;
      if (!pole || sides_.count(side(a, b)) != 0) rims_.insert(side(a, b));
      if (pole || curve.IsNull() || !chords->HasParameters()) continue;
      check_chord(*curve, {a, b}, chords->Parameter(i), chords->Parameter(i + 1));
    }
  }

  /// The edge's curve in the parameter plane. A seam has two, and the kernel's rules for choosing the curve and the
  /// chords differ: the one that passes through the chords' first corner is right.
  Handle(Geom2d_Curve) curve_of(const TopoDS_Edge& edge, const Poly_PolygonOnTriangulation& chords) const {
    double first = 0;
    double last = 0;
    const Handle(Geom2d_Curve) one = BRep_Tool::CurveOnSurface(edge, face_, first, last);
    if (one.IsNull() || !chords.HasParameters() || !BRep_Tool::IsClosed(edge, face_)) return one;
    const Handle(Geom2d_Curve) other = BRep_Tool::CurveOnSurface(TopoDS::Edge(edge.Reversed()), face_, first, last);
    const int middle = (chords.NbNodes() + 1) / 2;
    const gp_Pnt2d uv = mesh_->UVNode(chords.Node(middle));
    const double t = chords.Parameter(middle);
    return one->Value(t).SquareDistance(uv) <= other->Value(t).SquareDistance(uv) ? one : other;
  }

  void check_chord(const Geom2d_Curve& curve, const std::array<int, 2>& ends, double from, double to) {
    const Vec3& a = corner(ends[0]);
    const Vec3& b = corner(ends[1]);
    const Corner& ca = nodes_[static_cast<std::size_t>(ends[0] - 1)];
    const Corner& cb = nodes_[static_cast<std::size_t>(ends[1] - 1)];
    for (int steps = 2 * kCoarse;; steps *= 2) {
      line_.clear();
      double worst = 0;
      for (int k = 0; k <= steps; ++k) {
        const double t = static_cast<double>(k) / steps;
        const gp_Pnt2d q = curve.Value(from + t * (to - from));
        line_.push_back(at(q.X(), q.Y()));
        worst = std::max(worst, distance_to_segment(line_.back(), a, b));
        if (!planar_ && ca.weight_u * cb.weight_u * ca.weight_v * cb.weight_v > 0) {
          const double u = 0.5 * (q.X() + (1 - t) * ca.u + t * cb.u);
          const double v = 0.5 * (q.Y() + (1 - t) * ca.v + t * cb.v);
          worst = std::max(worst, distance_to_segment(at(u, v), a, b));
        }
      }
      const Vec3 along = (b - a).normalized();
      double most = 0;
      for (std::size_t k = 1; k + 1 < line_.size(); ++k) {
        const Vec3 second = line_[k - 1] - 2 * line_[k] + line_[k + 1];
        most = std::max(most, (second - second.dot(along) * along).norm());
      }
      const double margin = kGrowth * most / 8;
      if (margin <= 0.15 * worst || worst + margin < 0.5 * target_mm_ || steps >= 4 * kFinest) {
        found(worst + margin);
        return;
      }
    }
  }

  const TopoDS_Face& face_;
  const Handle(Poly_Triangulation) & mesh_;
  const TopLoc_Location& location_;
  const std::vector<Vec3>& corners_;
  double target_mm_;
  BRepAdaptor_Surface surface_;
  bool planar_ = false;
  std::vector<double> breaks_u_, breaks_v_;
  std::vector<Corner> nodes_;
  std::vector<Vec3> grid_, line_;
  std::vector<Facet> facets_;
  std::unordered_map<std::uint64_t, Users> sides_;
  std::unordered_set<std::uint64_t> rims_;
  FaceCheck result_;
};

}  // namespace

FaceCheck check_face(const TopoDS_Face& face, const Handle(Poly_Triangulation) & mesh, const TopLoc_Location& location,
                     const std::vector<Vec3>& corners, double target_mm) {
  return FaceChecker(face, mesh, location, corners, target_mm).run();
}

}  // namespace baywright::occt
