#include "routing/regions.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>

#include "geometry/clearance/tri_tree.hpp"
#include "measure/clearance_measure.hpp"

namespace baywright::routing {
namespace {

/// No id of a part holds a blank.
constexpr const char* kKeepOutId = "keep-out ";

/// A face of a convex body: its corners in order.
struct Face {
  Vec3 normal;  ///< unit, outward
  std::vector<Vec3> corners;
};

/// The corners of points that lie in a plane, in order about its normal.
std::vector<Vec3> outline(const std::vector<Vec3>& points, const Vec3& normal) {
  const Vec3 u = normal.unitOrthogonal(), v = normal.cross(u);
  std::vector<Vec3> sorted = points;
  std::sort(sorted.begin(), sorted.end(), [&](const Vec3& a, const Vec3& b) {
    return a.dot(u) != b.dot(u) ? a.dot(u) < b.dot(u) : a.dot(v) < b.dot(v);
  });
  // Lower and upper chain.
  const auto turns_left = [&](const Vec3& a, const Vec3& b, const Vec3& c) {
    return (b - a).cross(c - b).dot(normal) > 1e-9;
  };
  std::vector<Vec3> chain;
  for (const bool back : {false, true}) {
    const std::size_t least = chain.size() + 1;
    for (std::size_t i = 0; i < sorted.size(); ++i) {
      const Vec3& p = back ? sorted[sorted.size() - 1 - i] : sorted[i];
      while (chain.size() > least && !turns_left(chain[chain.size() - 2], chain.back(), p)) chain.pop_back();
      chain.push_back(p);
    }
    chain.pop_back();
  }
  return chain;
}

/// Faces of the convex hull; a plane through three of the points is one where all others lie on one side. For some
/// dozen points: the cost grows with their fourth power.
std::vector<Face> hull_faces(const std::vector<Vec3>& points) {
  std::vector<Face> faces;
  double size = 0;
  for (const Vec3& p : points) size = std::max(size, (p - points.front()).norm());
  const double flat = 1e-6 * size;
  const std::size_t n = points.size();
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t b = a + 1; b < n; ++b) {
      for (std::size_t c = b + 1; c < n; ++c) {
        Vec3 normal = (points[b] - points[a]).cross(points[c] - points[a]);
        if (normal.norm() < 1e-9 * size * size) continue;
        normal.normalize();
        double lo = 0, hi = 0;
        for (const Vec3& p : points) {
          lo = std::min(lo, (p - points[a]).dot(normal));
          hi = std::max(hi, (p - points[a]).dot(normal));
        }
        if (lo < -flat && hi > flat) continue;
        if (hi > flat) normal = -normal;
        const bool known = std::any_of(faces.begin(), faces.end(), [&](const Face& f) {
          return f.normal.dot(normal) > 1 - 1e-9 && std::abs((points[a] - f.corners.front()).dot(normal)) <= flat;
        });
        if (known) continue;
        std::vector<Vec3> on;
        for (const Vec3& p : points) {
          if (std::abs((p - points[a]).dot(normal)) <= flat) on.push_back(p);
        }
        faces.push_back({normal, outline(on, normal)});
      }
    }
  }
  return faces;
}

std::vector<Vec3> corners_of(const job::BoxRegion& box) {
  std::vector<Vec3> corners;
  for (unsigned c = 0; c < 8; ++c) {
    corners.emplace_back((c & 1U ? box.to_mm : box.from_mm).x(), (c & 2U ? box.to_mm : box.from_mm).y(),
                         (c & 4U ? box.to_mm : box.from_mm).z());
  }
  return corners;
}

TriMesh mesh_of(const std::vector<Face>& faces) {
  TriMesh mesh;
  mesh.origin_mm = faces.front().corners.front();
  for (const Face& face : faces) {
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    for (const Vec3& corner : face.corners) mesh.vertices.push_back((corner - mesh.origin_mm).cast<float>());
    for (std::uint32_t i = 2; i < face.corners.size(); ++i) mesh.triangles.push_back({first, first + i - 1, first + i});
  }
  return mesh;
}

/// An octahedron whose triangles are quartered, its faces outside the sphere.
TriMesh around_sphere(const job::SphereRegion& sphere) {
  std::vector<std::array<Vec3, 3>> triangles;
  for (const double x : {-1.0, 1.0}) {
    for (const double y : {-1.0, 1.0}) {
      for (const double z : {-1.0, 1.0}) {
        std::array<Vec3, 3> t = {Vec3(x, 0, 0), Vec3(0, y, 0), Vec3(0, 0, z)};
        if (x * y * z < 0) std::swap(t[1], t[2]);
        triangles.push_back(t);
      }
    }
  }
  constexpr int kQuarterings = 4;  // 2048 triangles: their middles lie at 0.99 of the radius and more
  for (int i = 0; i < kQuarterings; ++i) {
    std::vector<std::array<Vec3, 3>> finer;
    for (const auto& [a, b, c] : triangles) {
      const Vec3 ab = (a + b).normalized(), bc = (b + c).normalized(), ca = (c + a).normalized();
      finer.insert(finer.end(), {{a, ab, ca}, {ab, b, bc}, {ca, bc, c}, {ab, bc, ca}});
    }
    triangles = std::move(finer);
  }
  double nearest = 1;
  for (const auto& [a, b, c] : triangles) nearest = std::min(nearest, (b - a).cross(c - a).normalized().dot(a));
  TriMesh mesh;
  mesh.origin_mm = sphere.center_mm;
  for (const auto& triangle : triangles) {
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    for (const Vec3& corner : triangle) mesh.vertices.push_back((sphere.radius_mm / nearest * corner).cast<float>());
    mesh.triangles.push_back({first, first + 1, first + 2});
  }
  return mesh;
}

std::vector<Face> faces_of(const job::RegionShape& shape) {
  if (const auto* box = std::get_if<job::BoxRegion>(&shape)) return hull_faces(corners_of(*box));
  if (const auto* hull = std::get_if<job::HullRegion>(&shape)) return hull_faces(hull->points_mm);
  return {};
}

}  // namespace

TriMesh surface_of(const job::RegionShape& shape) {
  if (const auto* sphere = std::get_if<job::SphereRegion>(&shape)) return around_sphere(*sphere);
  return mesh_of(faces_of(shape));
}

std::vector<bay::Part> keep_out_parts(const job::RoutingWishes& wishes) {
  std::vector<bay::Part> parts;
  for (const job::Region& region : wishes.keep_out) {
    bay::Part part;
    part.id = bay::PartId(kKeepOutId + region.name);
    part.name = part.id.value;
    part.part_class = bay::PartClass::reserved;
    part.uncertainty_mm = 0;
    part.modelled = part.encloses = true;
    auto mesh = std::make_shared<TriMesh>(surface_of(region.shape));
    part.tree = TriTree::over(*mesh);
    part.mesh = std::move(mesh);
    parts.push_back(std::move(part));
  }
  return parts;
}

bool is_keep_out(const bay::Part& part) { return part.id.value.starts_with(kKeepOutId); }

std::vector<checks::Finding> keep_out_findings(const job::Installation& installation,
                                               const std::vector<bay::Part>& keep_outs, const duct::Duct& duct,
                                               const Progress& progress) {
  std::vector<checks::Finding> out;
  if (keep_outs.empty()) return out;
  bay::Bay bay = installation.bay;
  bay.parts = keep_outs;
  checks::Limit outside;
  outside.unit = Unit::mm;
  outside.origin.kind = checks::Origin::Kind::shop_rule;
  outside.origin.text = "the job: routing/keep_out";
  std::map<int, checks::Finding> worst;
  for (const bool over_motion : {false, true}) {
    const auto report = measure::measure_clearance(bay, duct, over_motion, {.width_mm = 0.1, .range_mm = 10}, progress);
    for (const measure::PairClearance& pair : report.pairs) {
      checks::Finding finding;
      finding.verdict = pair.inside ? checks::Verdict::not_met : checks::decide(pair.value, outside);
      if (finding.verdict == checks::Verdict::met) continue;
      const bay::Part& part = keep_outs[static_cast<std::size_t>(pair.part)];
      finding.check = "keep_out";
      finding.title = "Keep-out " + part.id.value.substr(std::string(kKeepOutId).size());
      finding.severity = checks::Severity::blocker;
      finding.duct = duct.spec.id;
      finding.subject = duct.layout.pieces[static_cast<std::size_t>(pair.piece)].name + " - region" +
                        (over_motion ? ", over the motion" : ", at rest");
      finding.pair = finding.subject;
      finding.over_motion = over_motion;
      finding.outcome = pair.value;
      finding.limit = outside;
      const auto known = worst.find(pair.part);
      if (known == worst.end() || pair.value.lo < std::get<measure::Measured>(known->second.outcome).lo - 1e-9) {
        worst[pair.part] = std::move(finding);
      }
    }
  }
  for (auto& [part, finding] : worst) out.push_back(std::move(finding));
  checks::sort_worst_first(out);
  return out;
}

PreferredRegions::PreferredRegions(const job::RoutingWishes& wishes) {
  for (const job::Region& region : wishes.prefer) {
    Convex convex;
    if (const auto* sphere = std::get_if<job::SphereRegion>(&region.shape)) {
      convex.center = sphere->center_mm;
      convex.radius_mm = sphere->radius_mm;
    }
    for (const Face& face : faces_of(region.shape))
      convex.planes.push_back({face.normal, face.normal.dot(face.corners.front())});
    all_.push_back(std::move(convex));
  }
}

bool PreferredRegions::holds(const Vec3& p) const {
  return std::any_of(all_.begin(), all_.end(), [&](const Convex& convex) {
    if (convex.radius_mm >= 0) return (p - convex.center).norm() <= convex.radius_mm;
    return std::all_of(convex.planes.begin(), convex.planes.end(),
                       [&](const Plane& plane) { return plane.normal.dot(p) <= plane.offset; });
  });
}

double PreferredRegions::length_inside_mm(const CourseShape& shape) const {
  if (!any()) return 0;
  constexpr double kStep_mm = 5;
  const double length = shape.length_mm();
  const int steps = std::max(1, static_cast<int>(std::ceil(length / kStep_mm)));
  int inside = 0;
  for (int i = 0; i < steps; ++i) inside += holds(shape.at((i + 0.5) * length / steps).p);
  return length * inside / steps;
}

}  // namespace baywright::routing
