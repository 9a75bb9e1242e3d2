#include "measure/surface_map.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "geometry/base/expects.hpp"
#include "geometry/clearance/flexible_gap.hpp"
#include "measure/measured.hpp"

namespace baywright::measure {
namespace {

constexpr int kFewestColumns = 12;
/// Points that follow one another on one thread, each helped by the one before.
constexpr std::size_t kPointsTogether = 128;

/// How far around a point a surface is looked for once its winding number is known.
constexpr double kLookAround_mm = 120;

/// A circle of the surface: the section of a shape at a fraction of its axis.
struct ShapeSection {
  Vec3 center, x, y;
  double radius_mm = 0;
};

struct SectionAt {
  double f;
  ShapeSection operator()(const TorusSegment& s) const {
    const double t = f * s.angle_rad;
    // In the plane of the bend and across it: the frame does not turn along the arc.
    return {s.axis_point(t), std::cos(t) * s.e0 + std::sin(t) * s.e1, s.e0.cross(s.e1), s.radius_mm};
  }
  ShapeSection operator()(const Cylinder& s) const { return straight(s.a, s.b, s.radius_mm); }
  ShapeSection operator()(const Collar& s) const { return straight(s.a, s.b, s.radius_mm); }
  ShapeSection operator()(const Cone& s) const {
    return straight(s.a, s.b, s.radius_a_mm + f * (s.radius_b_mm - s.radius_a_mm));
  }
  ShapeSection straight(const Vec3& a, const Vec3& b, double radius_mm) const {
    const Vec3 along = (b - a).normalized(), x = along.unitOrthogonal();
    return {a + f * (b - a), x, along.cross(x), radius_mm};
  }
};

/// Length of the longest line of a shape's side along its axis, and its greatest radius.
std::pair<double, double> size_of(const Shape& shape) {
  if (const auto* s = std::get_if<TorusSegment>(&shape)) {
    return {s->angle_rad * (s->bend_radius_mm + s->radius_mm), s->radius_mm};
  }
  if (const auto* s = std::get_if<Cone>(&shape)) {
    return {std::hypot((s->b - s->a).norm(), s->radius_b_mm - s->radius_a_mm),
            std::max(s->radius_a_mm, s->radius_b_mm)};
  }
  if (const auto* s = std::get_if<Collar>(&shape)) return {(s->b - s->a).norm(), s->radius_mm};
  const auto& s = std::get<Cylinder>(shape);
  return {(s.b - s.a).norm(), s.radius_mm};
}

SurfacePatch patch_of(const Shape& shape, double spacing_mm) {
  const auto [length, radius] = size_of(shape);
  SurfacePatch patch;
  patch.rows = 1 + std::max(1, static_cast<int>(std::ceil(length / spacing_mm)));
  patch.columns = std::max(kFewestColumns, static_cast<int>(std::ceil(2 * std::numbers::pi * radius / spacing_mm)));
  return patch;
}

/// How a pose moves the points of one shape of a piece.
CarriedPoints moved_points(const Kinematics& kinematics, const Carriage& carriage, const Shape& shape,
                           const std::optional<PosedState>& pose) {
  return {kinematics, carriage_of(carriage, shape), pose ? *pose : PosedState()};
}

/// A part where the pose puts it.
struct PosedPart {
  int index = 0;
  const bay::Part* part = nullptr;
  Pose back;                                                 ///< vehicle to the part's rest position
  Aabb box;                                                  ///< rest position
  double free_from_mm = -kInfinity, free_to_mm = kInfinity;  ///< stations where it counts
};

double gap_to(const Aabb& box, const Vec3& p) {
  return (box.lo - p).cwiseMax(p - box.hi).cwiseMax(Vec3(Vec3::Zero())).norm();
}

std::vector<PosedPart> posed_parts(const bay::Bay& bay, const duct::Duct& duct, const Kinematics& kinematics,
                                   const std::optional<PosedState>& pose) {
  std::vector<PosedPart> parts;
  for (std::size_t i = 0; i < bay.parts.size(); ++i) {
    const bay::Part& part = bay.parts[i];
    if (part.tree.empty()) continue;
    PosedPart posed{static_cast<int>(i), &part, {}, part.tree.bounds()};
    const auto body = static_cast<std::size_t>(part.body);
    if (pose && body < pose->bodies.size()) posed.back = pose_at(kinematics.bodies[body], pose->bodies[body]).inverse();
    const auto contact = [&](const duct::PortRef& ref) {
      const bay::Port* port = ref.port.empty() ? nullptr : bay.find_port(ref.port);
      return port && port->part == part.id ? port->contact_length_mm : 0.0;
    };
    if (const double length = contact(duct.spec.from); length > 0) posed.free_from_mm = length;
    if (const double length = contact(duct.spec.to); length > 0) posed.free_to_mm = duct.layout.length_mm - length;
    parts.push_back(posed);
  }
  return parts;
}

/// Answers one point after the other; remembers the last one.
class Walker {
 public:
  Walker(const std::vector<PosedPart>& parts, double range_mm, bool believe_hints)
      : parts_(parts), range_mm_(range_mm), believe_hints_(believe_hints), inside_(parts.size()) {}

  void answer(SurfacePoint& point, double station_mm, const SurfacePoint* hint) {
    outside_ = (walked_ && in_the_open(point, last_)) || (believe_hints_ && hint && in_the_open(point, *hint));
    walked_ = true;
    if (hint == nullptr || hint->part < 0) hint = last_.part >= 0 ? &last_ : nullptr;
    point.clearance_mm = range_mm_;
    point.part = -1;
    std::size_t first = parts_.size();
    if (hint) {
      for (std::size_t i = 0; i < parts_.size(); ++i) {
        if (parts_[i].index == hint->part) first = i;
      }
      if (first < parts_.size()) look(first, point, station_mm, hint->triangle);
    }
    for (std::size_t i = 0; i < parts_.size(); ++i) {
      if (i != first) look(i, point, station_mm, std::nullopt);
    }
    if (point.part < 0) point.clearance_mm = kInfinity;
    last_ = point;
  }

 private:
  /// Whether a point lies inside a closed part: as the last one that was asked, when nothing of the part is between.
  struct Inside {
    Vec3 at = Vec3::Zero();
    double free_mm = -1;  ///< no surface within this of `at`
    bool inside = false;
  };

  /// Whether a point lies nearer to one that is outside of everything than any surface does.
  bool in_the_open(const SurfacePoint& point, const SurfacePoint& known) const {
    const double free_mm = known.part < 0 ? range_mm_ : known.clearance_mm;
    return free_mm > 0 && (point.p_mm - known.p_mm).norm() < free_mm;
  }

  bool is_inside(std::size_t i, const Vec3& q) {
    // Where stations were left out, other points say nothing of this part.
    if (outside_ && parts_[i].free_from_mm == -kInfinity && parts_[i].free_to_mm == kInfinity) return false;
    Inside& known = inside_[i];
    if (known.free_mm >= 0 && (q - known.at).norm() < known.free_mm) return known.inside;
    const TriTree& tree = parts_[i].part->tree;
    known.inside = std::abs(tree.winding_number(q)) > 0.5;
    known.at = q;
    // A look far around costs a hundredth of a winding number and spares those of the points to come.
    const auto surface = tree.nearest(q, kLookAround_mm);
    known.free_mm = surface ? surface->distance_mm : kLookAround_mm;
    return known.inside;
  }

  void look(std::size_t i, SurfacePoint& point, double station_mm, std::optional<std::uint32_t> triangle) {
    const PosedPart& part = parts_[i];
    if (station_mm < part.free_from_mm || station_mm > part.free_to_mm) return;
    const Vec3 q = part.back * point.p_mm;
    const double gap = gap_to(part.box, q);
    if (gap > point.clearance_mm) return;
    const bool inside = part.part->encloses && gap == 0 && is_inside(i, q);
    const auto found = part.part->tree.nearest(q, inside ? kInfinity : std::max(point.clearance_mm, 0.0), triangle);
    if (!found) return;
    if (part.part->encloses && gap == 0 && !outside_ &&
        found->distance_mm > inside_[i].free_mm - (q - inside_[i].at).norm()) {
      inside_[i] = {q, found->distance_mm, inside};
    }
    const double clearance = inside ? -found->distance_mm : found->distance_mm;
    const bool nearer = clearance < point.clearance_mm ||
                        (clearance == point.clearance_mm && (point.part < 0 || part.index < point.part));
    if (!nearer) return;
    point.clearance_mm = clearance;
    point.part = part.index;
    point.triangle = found->triangle;
  }

  const std::vector<PosedPart>& parts_;
  const double range_mm_;
  const bool believe_hints_;
  std::vector<Inside> inside_;
  SurfacePoint last_;
  bool walked_ = false;   ///< last_ is a point of this map
  bool outside_ = false;  ///< of the point being answered: it is outside of every part that counts everywhere
};

/// The grid of a map and how its points are found.
class Grid {
 public:
  Grid(const bay::Bay& bay, const duct::Duct& duct, const SurfaceMapOptions& options, const SurfaceMap* previous)
      : duct_(duct),
        options_(options),
        previous_(previous),
        kinematics_(bay.kinematics()),
        parts_(posed_parts(bay, duct, kinematics_, options.pose)) {
    std::map<std::pair<int, int>, const SurfacePatch*> known;
    if (previous) {
      for (const SurfacePatch& patch : previous->patches) known[{patch.piece, patch.shape}] = &patch;
    }
    for (const auto& [piece, shape] : wanted()) {
      const auto& of = duct.layout.pieces[static_cast<std::size_t>(piece)];
      const Shape& surface = of.shapes[static_cast<std::size_t>(shape)].shape;
      SurfacePatch patch = patch_of(surface, options.spacing_mm);
      patch.piece = piece;
      patch.shape = shape;
      patch.first = count_;
      count_ += static_cast<std::size_t>(patch.rows) * static_cast<std::size_t>(patch.columns);
      patches_.push_back(patch);
      moves_.push_back(moved_points(kinematics_, of.carriage, surface, options.pose));
      const auto found = known.find({piece, shape});
      old_.push_back(found == known.end() ? nullptr : found->second);
    }
  }

  std::size_t count() const { return count_; }
  const std::vector<SurfacePatch>& patches() const { return patches_; }

  /// Points `begin` to `end`, one after the other.
  void measure(std::size_t begin, std::size_t end, std::vector<SurfacePoint>& points) const {
    Walker walker(parts_, options_.range_mm, options_.previous_of_same_bay);
    const auto behind = std::upper_bound(patches_.begin(), patches_.end(), begin,
                                         [](std::size_t at, const SurfacePatch& p) { return at < p.first; });
    auto patch = static_cast<std::size_t>(behind - patches_.begin()) - 1;
    for (std::size_t i = begin; i < end; ++i) {
      while (patch + 1 < patches_.size() && i >= patches_[patch + 1].first) ++patch;
      const SurfacePatch& at = patches_[patch];
      const int k = static_cast<int>(i - at.first), row = k / at.columns, column = k % at.columns;
      const duct::Piece& piece = duct_.layout.pieces[static_cast<std::size_t>(at.piece)];
      const Primitive& primitive = piece.shapes[static_cast<std::size_t>(at.shape)];
      const double f = static_cast<double>(row) / (at.rows - 1), turn = 2 * std::numbers::pi * column / at.columns;
      const ShapeSection section = std::visit(SectionAt{f}, primitive.shape);
      points[i].p_mm =
          moves_[patch](section.center + section.radius_mm * (std::cos(turn) * section.x + std::sin(turn) * section.y));
      const double station = primitive.station_from_mm + f * (primitive.station_to_mm - primitive.station_from_mm);
      walker.answer(points[i], station, same_place(patch, row, column));
    }
  }

 private:
  std::vector<std::pair<int, int>> wanted() const {
    if (options_.shapes) return *options_.shapes;
    std::vector<std::pair<int, int>> all;
    const auto& pieces = duct_.layout.pieces;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      for (std::size_t k = 0; k < pieces[i].shapes.size(); ++k) {
        all.emplace_back(static_cast<int>(i), static_cast<int>(k));
      }
    }
    return all;
  }

  /// The point of the earlier map at the same share of its patch.
  const SurfacePoint* same_place(std::size_t patch, int row, int column) const {
    const SurfacePatch* old = old_[patch];
    if (old == nullptr) return nullptr;
    const SurfacePatch& now = patches_[patch];
    const int r = old->rows == now.rows ? row : row * (old->rows - 1) / (now.rows - 1);
    const int c = old->columns == now.columns ? column : column * old->columns / now.columns;
    return &previous_->points[old->first + static_cast<std::size_t>(r * old->columns + c)];
  }

  const duct::Duct& duct_;
  const SurfaceMapOptions& options_;
  const SurfaceMap* previous_;
  const Kinematics kinematics_;
  const std::vector<PosedPart> parts_;
  std::vector<SurfacePatch> patches_;
  std::vector<CarriedPoints> moves_;
  std::vector<const SurfacePatch*> old_;
  std::size_t count_ = 0;
};

}  // namespace

SurfaceMap surface_map(const bay::Bay& bay, const duct::Duct& duct, const SurfaceMapOptions& options,
                       const SurfaceMap* previous, const Progress& progress) {
  EXPECTS(options.spacing_mm > 0 && std::isfinite(options.range_mm) && options.range_mm >= 0);
  const Grid grid(bay, duct, options, previous);
  SurfaceMap map;
  map.patches = grid.patches();
  map.points.resize(grid.count());
  const std::size_t blocks = (grid.count() + kPointsTogether - 1) / kPointsTogether;
  tbb::parallel_for(std::size_t{0}, blocks, [&](std::size_t block) {
    if (progress.cancelled()) return;
    grid.measure(block * kPointsTogether, std::min(grid.count(), (block + 1) * kPointsTogether), map.points);
  });
  if (progress.cancelled()) return {};
  return map;
}

}  // namespace baywright::measure
