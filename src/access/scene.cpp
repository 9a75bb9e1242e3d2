#include "access/scene.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "access/clamp_site.hpp"
#include "access/sweep.hpp"
#include "geometry/aabb_gap.hpp"
#include "geometry/base/expects.hpp"

namespace baywright::access {
namespace {

bool is_soft(bay::PartClass c) { return c == bay::PartClass::fluid_line || c == bay::PartClass::electrical; }

/// The end of a hinge or slide that is farther from rest; nothing for other motions.
std::optional<Pose> open_pose(const bay::Body& body) {
  const auto farther = [](double from, double to) { return std::abs(from) > std::abs(to) ? from : to; };
  std::optional<double> q;
  if (const auto* hinge = std::get_if<bay::HingeMotion>(&body.spec)) q = farther(hinge->from.si(), hinge->to.si());
  if (const auto* slide = std::get_if<bay::SlideMotion>(&body.spec)) q = farther(slide->from_mm, slide->to_mm);
  if (!q || body.motion.members().empty()) return std::nullopt;
  return pose_at(body.motion.members().front(), {*q});
}

/// Of the bonnet, or carried by the body that it rides on: a scoop, a strut's upper end, a liner.
bool opens(const bay::Bay& bay, const bay::Part& part) {
  if (part.part_class == bay::PartClass::bonnet) return true;
  // The first body is the vehicle, which stays.
  return part.body != 0 && std::any_of(bay.parts.begin(), bay.parts.end(), [&](const bay::Part& other) {
           return other.part_class == bay::PartClass::bonnet && other.body == part.body;
         });
}

void add_parts(const bay::Bay& bay, const SceneOptions& options, Scene& scene) {
  for (const bay::Part& part : bay.parts) {
    if (part.tree.empty()) continue;
    if (std::find(options.removed.begin(), options.removed.end(), part.id) != options.removed.end()) continue;
    Obstacle obstacle;
    obstacle.name = "part " + (part.name.empty() ? part.id.value : part.name);
    if (opens(bay, part)) {
      const auto pose = open_pose(bay.bodies[static_cast<std::size_t>(part.body)]);
      if (!pose) {
        scene.notes.push_back("part " + part.id.value +
                              " is left out: it rides on the bonnet, whose body has no hinge or slide that opens it");
        continue;
      }
      obstacle.X = *pose;
      scene.notes.push_back("part " + part.id.value + " stands open");
    }
    obstacle.tree = part.tree;
    obstacle.chord_error_mm = part.chord_error_mm();
    obstacle.soft = is_soft(part.part_class);
    obstacle.encloses = part.encloses;
    obstacle.part = static_cast<int>(&part - bay.parts.data());
    scene.obstacles.push_back(std::move(obstacle));
  }
}

/// Corners in the order of Box's signs, triangles facing outward.
TriMesh mesh_of(const Box& box) {
  TriMesh mesh;
  for (unsigned i = 0; i < 8; ++i) mesh.vertices.emplace_back(corner(box, i).cast<float>());
  mesh.triangles = {{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4},
                    {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
  return mesh;
}

/// The drawn bands on one end of a hose; nothing where none are drawn.
std::vector<TriMesh> bands_of(const duct::Duct& duct, const duct::PlacedFitting& fitting, duct::HoseEnd end) {
  std::vector<TriMesh> meshes;
  const double middle = 0.5 * (fitting.station_from_mm + fitting.station_to_mm);
  for (const duct::Piece& piece : duct.layout.pieces) {
    if (piece.kind != duct::Piece::Kind::clamps || piece.fitting != fitting.id) continue;
    for (const Primitive& shape : piece.shapes) {
      const bool upstream = 0.5 * (shape.station_from_mm + shape.station_to_mm) < middle;
      if (upstream == (end == duct::HoseEnd::upstream)) meshes.push_back(surface_mesh(shape.shape, kDuctChordError_mm));
    }
  }
  return meshes;
}

void add_clamps(const duct::Duct& duct, std::span<const catalog::ClampType> types, Scene& scene) {
  for (const duct::PlacedFitting& fitting : duct.layout.fittings) {
    const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
    if (!coupler) continue;
    for (const duct::HoseEnd end : {duct::HoseEnd::upstream, duct::HoseEnd::downstream}) {
      std::vector<TriMesh> meshes = bands_of(duct, fitting, end);
      Obstacle obstacle;
      for (const duct::HoseClamp& clamp : coupler->clamps) {
        const auto type =
            std::find_if(types.begin(), types.end(), [&](const catalog::ClampType& t) { return t.id == clamp.type; });
        if (clamp.end != end || !clamp.screw_clock || type == types.end()) continue;
        // Either way round it takes the same room.
        const ScrewPosition position{*clamp.screw_clock, Side::clockwise};
        meshes.push_back(mesh_of(body_at(site_of(duct, fitting.id, clamp, *type), position, 0)));
        obstacle.encloses = true;
      }
      if (meshes.empty()) continue;
      const TriMesh mesh = merged(meshes);
      obstacle.name = "duct " + duct.spec.id.value + ", clamp on " + fitting.id.value + ", " +
                      std::string(duct::name(end)) + " end";
      obstacle.tree = TriTree::over(mesh);
      obstacle.chord_error_mm = mesh.chord_error_mm;
      obstacle.duct = duct.spec.id;
      obstacle.fitting = fitting.id;
      obstacle.kind = duct::Piece::Kind::clamps;
      obstacle.end = end;
      scene.obstacles.push_back(std::move(obstacle));
    }
  }
}

void add_duct(const duct::Duct& duct, Scene& scene) {
  for (const duct::Piece& piece : duct.layout.pieces) {
    if (piece.kind == duct::Piece::Kind::clamps) continue;
    std::vector<TriMesh> meshes;
    for (const Primitive& shape : piece.shapes) meshes.push_back(surface_mesh(shape.shape, kDuctChordError_mm));
    if (meshes.empty()) continue;
    const TriMesh mesh = merged(meshes);
    Obstacle obstacle;
    obstacle.name = "duct " + duct.spec.id.value + ", " + piece.name;
    obstacle.tree = TriTree::over(mesh);
    obstacle.chord_error_mm = mesh.chord_error_mm;
    obstacle.soft = piece.kind == duct::Piece::Kind::coupler;
    obstacle.duct = duct.spec.id;
    obstacle.fitting = piece.fitting;
    obstacle.kind = piece.kind;
    scene.obstacles.push_back(std::move(obstacle));
  }
}

Aabb turned(const Aabb& box, const Pose& X) {
  const Eigen::Matrix3d R = X.R.toRotationMatrix();
  const Vec3 center = X * box.center(), half = R.cwiseAbs() * (0.5 * box.size());
  return {center - half, center + half};
}

/// A point in the frame of an obstacle's tree.
Vec3 into(const Obstacle& o, const Vec3& p) { return stands_as_drawn(o.X) ? p : Vec3(o.X.inverse() * p); }

}  // namespace

Vec3 middle_of(std::span<const duct::Duct> ducts) {
  Aabb box;
  for (const duct::Duct& duct : ducts) {
    for (const duct::RoutePoint& p : duct.spec.route.points) box.grow(p.p_mm);
  }
  return box.center();
}

Scene make_scene(const bay::Bay& bay, std::span<const duct::Duct> ducts, const SceneOptions& options) {
  Scene scene;
  add_parts(bay, options, scene);
  for (const duct::Duct& duct : ducts) {
    add_duct(duct, scene);
    add_clamps(duct, options.clamps, scene);
  }
  return scene;
}

Around::Around(const Scene& scene) : scene_(&scene) {
  for (std::size_t i = 0; i < scene.obstacles.size(); ++i) {
    entries_.push_back({static_cast<int>(i), false, scene.obstacles[i].tree.bounds()});
  }
}

Around::Around(const Scene& scene, const duct::DuctId& duct, const duct::FittingId& coupler, duct::HoseEnd end)
    : Around(scene) {
  const auto own = [&](const Entry& e, duct::Piece::Kind kind) {
    const Obstacle& o = obstacle(e.index);
    return o.duct == duct && o.fitting == coupler && o.kind == kind;
  };
  std::erase_if(entries_,
                [&](const Entry& e) { return own(e, duct::Piece::Kind::clamps) && obstacle(e.index).end == end; });
  for (Entry& e : entries_) e.touchable = own(e, duct::Piece::Kind::coupler);
}

Around Around::within(const Vec3& p, double reach_mm) const {
  Around out = *this;
  std::erase_if(out.entries_, [&](const Entry& e) {
    const Obstacle& o = obstacle(e.index);
    return !o.tree.nearest(o.X.inverse() * p, reach_mm);
  });
  return out;
}

Around Around::with_field(const Vec3& p, double reach_mm) const {
  Around out = *this;
  Aabb region;
  region.grow(Vec3(p - Vec3::Constant(reach_mm)));
  region.grow(Vec3(p + Vec3::Constant(reach_mm)));
  out.field_ = std::make_shared<const RoomField>(region, [self = *this](const Vec3& q) { return self.room_at(q); });
  return out;
}

RoomField::At Around::room_at(const Vec3& p) const {
  constexpr double kFar_mm = 1e6;
  RoomField::At least{kFar_mm, -1};
  const auto from_bounds = [&](const Entry& entry) {
    const Vec3 q = into(obstacle(entry.index), p);
    return (q - q.cwiseMax(entry.bounds.lo).cwiseMin(entry.bounds.hi)).norm();
  };
  const auto look = [&](const Entry& entry) {
    const Obstacle& o = obstacle(entry.index);
    const double demanded = demanded_mm(entry, Asking::tool);
    const double limit = demanded + least.room_mm;
    if (!(limit > 0) || from_bounds(entry) >= limit) return;
    const auto found = o.tree.nearest(into(o, p), limit);
    if (found && found->distance_mm - demanded < least.room_mm) least = {found->distance_mm - demanded, entry.index};
  };
  // First what is likely to be near: it spares most of the others.
  const Entry* first = nullptr;
  double nearest_mm = std::numeric_limits<double>::infinity();
  for (const Entry& entry : entries_) {
    const double room = from_bounds(entry) + 0.5 * entry.bounds.size().norm();
    if (room >= nearest_mm) continue;
    nearest_mm = room;
    first = &entry;
  }
  if (first) look(*first);
  for (const Entry& entry : entries_) {
    if (&entry != first) look(entry);
  }
  return least;
}

double Around::demanded_mm(const Entry& entry, Asking asking) const {
  const Obstacle& o = obstacle(entry.index);
  // The hose gives way: what touches it is not in its way, so the inscribed triangles are its surface.
  if (entry.touchable) return 0;
  double room = 0;
  if (asking == Asking::tool) room = kToolRoom_mm;
  if (asking == Asking::body) room = o.soft ? kBodyRoomSoft_mm : kBodyRoom_mm;
  return room + o.chord_error_mm;
}

RoomLeft Around::room_left(std::span<const StandingShape> shapes, Asking asking, double up_to_mm) const {
  EXPECTS(up_to_mm > 0);
  RoomLeft left{up_to_mm, -1};
  std::vector<StandingShape> unsettled;
  if (field_ && asking != Asking::body) {
    // An arm needs less room than the field's tools: what is enough for them is for it.
    const double less = asking == Asking::arm ? kToolRoom_mm : 0;
    for (const StandingShape& shape : shapes) {
      const RoomField::Between room = field_->around(shape);
      if (room.high_mm + less <= 0) return {room.high_mm + less, room.obstacle};
      if (room.low_mm < std::min(left.room_mm, kAmple_mm)) {
        unsettled.push_back(shape);
      } else {
        left.room_mm = std::min(left.room_mm, room.low_mm);
      }
    }
    shapes = unsettled;
  }
  std::vector<Aabb> boxes;
  for (const StandingShape& shape : shapes) boxes.push_back(bounds(shape));
  for (const Entry& entry : entries_) {
    if (entry.touchable && asking == Asking::body) continue;  // the body sits on it
    const Obstacle& o = obstacle(entry.index);
    const double demanded = demanded_mm(entry, asking);
    const bool as_drawn = stands_as_drawn(o.X);
    for (std::size_t i = 0; i < shapes.size(); ++i) {
      // Where nothing is demanded, meeting it is still too near.
      const double limit = demanded + left.room_mm;
      const auto look = [&](const StandingShape& here, const Aabb& box) -> std::optional<StandingNear> {
        if (apart(box.inflated(std::max(limit, 0.0)), entry.bounds)) return std::nullopt;
        return nearest(o.tree, here, std::max(limit, 1e-9), demanded);
      };
      std::optional<StandingNear> found;
      if (as_drawn) {
        found = look(shapes[i], boxes[i]);
      } else {
        const StandingShape here = moved(shapes[i], o.X.inverse());
        found = look(here, bounds(here));
      }
      if (found && found->distance_mm - demanded < left.room_mm) left = {found->distance_mm - demanded, entry.index};
      if (left.room_mm <= 0) return left;
    }
  }
  return left;
}

bool Around::has_room(std::span<const StandingShape> shapes, Asking asking) const {
  constexpr double kAny_mm = 1e-6;
  return room_left(shapes, asking, kAny_mm).room_mm > 0;
}

std::optional<int> Around::holding(const Vec3& p) const {
  for (const Entry& entry : entries_) {
    const Obstacle& o = obstacle(entry.index);
    if (!o.encloses) continue;
    const Vec3 q = o.X.inverse() * p;
    if ((q.array() < entry.bounds.lo.array()).any() || (q.array() > entry.bounds.hi.array()).any()) continue;
    if (std::abs(o.tree.winding_number(q)) > 0.5) return entry.index;
  }
  return std::nullopt;
}

std::optional<int> Around::hides(const Vec3& from, const Vec3& to) const {
  const double length = (to - from).norm();
  if (!(length > 0)) return std::nullopt;
  Aabb line;
  line.grow(from);
  line.grow(to);
  std::optional<int> first;
  double nearest_mm = length;
  for (const Entry& entry : entries_) {
    const Obstacle& o = obstacle(entry.index);
    const Pose back = o.X.inverse();
    if (apart(turned(line, back), entry.bounds)) continue;
    if (const auto hit = o.tree.first_hit(back * from, back.R * Vec3((to - from) / length), nearest_mm)) {
      nearest_mm = hit->distance_mm;
      first = entry.index;
    }
  }
  return first;
}

}  // namespace baywright::access
