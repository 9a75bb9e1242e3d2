#include "access/assembly.hpp"

#include <algorithm>
#include <cmath>

#include "access/beside_piece.hpp"
#include "access/seat_left_out.hpp"
#include "access/sweep.hpp"
#include "duct/fitting_layout.hpp"
#include "duct/piece_shapes.hpp"
#include "geometry/base/words.hpp"

namespace baywright::access {
namespace {

/// Of what something sits on: beside its seat it may come as near as this and no nearer (rounding and more).
constexpr double kBesideSeat_mm = 0.3;
/// What is on a tube keeps this from the end of a hose as it is drawn: it could not be put there else.
constexpr double kBesideHoseEnd_mm = 1;
/// Sizes and stations that differ by less are the same.
constexpr double kSameSize_mm = 0.1, kSameStation_mm = 1;
/// A sensor without a stated boss: half of what it may take along the tube (from memory).
constexpr double kHalfSensor_mm = 25;

struct Surface {
  TriTree tree;
  double chord_error_mm = 0;
};

Surface surface_of(std::span<const Primitive> shapes) {
  std::vector<TriMesh> meshes;
  for (const Primitive& shape : shapes) meshes.push_back(surface_mesh(shape.shape, kDuctChordError_mm));
  if (meshes.empty()) return {};
  const TriMesh mesh = merged(meshes);
  return {TriTree::over(mesh), mesh.chord_error_mm};
}

/// What a branch port takes along its tube, to either side.
double half_of_branch_mm(const duct::Layout& layout, const duct::PlacedFitting& fitting,
                         const duct::BranchPort& branch) {
  const double lean = branch.angle ? std::abs(std::sin(branch.angle->si())) : 1;
  const double tube = layout.tube_at(fitting.station_from_mm).outer_diameter_mm;
  return (0.5 * branch.outer_diameter_mm + (lean < 0.999 ? branch.height_mm + 0.5 * tube : 0)) / lean;
}

/// Stretch of a tube that a hose cannot lie on.
struct Taken {
  double from_mm, to_mm;
  bool stated = true;  ///< false: its size is taken from memory
};

std::optional<Taken> taken(const duct::Layout& layout, const duct::PlacedFitting& fitting, double end_diameter_mm) {
  const double a = fitting.station_from_mm, b = fitting.station_to_mm;
  const auto about = [](double station, double half, bool stated) {
    return Taken{station - half, station + half, stated};
  };
  if (std::holds_alternative<duct::Reducer>(fitting.kind)) return Taken{a, b};
  if (std::holds_alternative<duct::Bracket>(fitting.kind)) return about(a, kHalfBracket_mm, false);
  if (std::holds_alternative<duct::RestrictionTap>(fitting.kind) || std::holds_alternative<duct::Drain>(fitting.kind)) {
    return about(a, kHalfTap_mm, false);
  }
  if (const auto* branch = std::get_if<duct::BranchPort>(&fitting.kind)) {
    return about(a, half_of_branch_mm(layout, fitting, *branch), true);
  }
  if (const auto* sensor = std::get_if<duct::SensorTube>(&fitting.kind)) {
    if (std::abs(sensor->tube.outer_diameter_mm - end_diameter_mm) > kSameSize_mm) return Taken{a, b};
    const bool stated = sensor->boss_radius_mm > 0;
    return about(a + sensor->sensor_offset_mm, stated ? sensor->boss_radius_mm : kHalfSensor_mm, stated);
  }
  return std::nullopt;
}

}  // namespace

std::vector<Shape> shapes_at(std::span<const Primitive> shapes, const Pose& X) {
  std::vector<Shape> out;
  for (const Primitive& shape : shapes) out.push_back(moved(shape.shape, X));
  return out;
}

Assembly::Assembly(const WayInputs& inputs) : inputs_(inputs) {
  SceneOptions options;
  for (const bay::Part& part : inputs.bay.parts) {
    if (part.removed_first) options.removed.push_back(part.id);
  }
  scene_ = make_scene(inputs.bay, {}, options);
  for (const bay::PartId& id : options.removed) scene_.notes.push_back("part " + id.value + " is taken out first");
  for (std::size_t d = 0; d < inputs.ducts.size(); ++d) add_items(d);
  for (std::size_t d = 0; d < inputs.ducts.size(); ++d) {
    anchors_.push_back(anchor_at(d, true));
    anchors_.push_back(anchor_at(d, false));
  }
}

void Assembly::add_items(std::size_t duct) {
  const duct::Layout& layout = inputs_.ducts[duct].layout;
  int last = -1;
  for (const duct::Piece& piece : layout.pieces) {
    if (piece.kind == duct::Piece::Kind::clamps) continue;
    Item item;
    item.duct = duct;
    item.piece = &piece;
    item.shapes = piece.shapes;
    if (piece.fitting) item.fitting = layout.find(*piece.fitting);
    for (Primitive& p : item.shapes) {
      // A joint that bends has round ends over its gap for its motion's sake; at rest the hose is flat across there.
      const auto* gap = std::get_if<Cylinder>(&p.shape);
      if (!item.is_tube() && gap && gap->a != gap->b) p.shape = Collar{gap->a, gap->b, gap->radius_mm};
    }
    for (const duct::Piece& bands : layout.pieces) {
      if (bands.kind != duct::Piece::Kind::clamps || bands.fitting != piece.fitting || !piece.fitting) continue;
      item.shapes.insert(item.shapes.end(), bands.shapes.begin(), bands.shapes.end());
    }
    const duct::Duct& of = inputs_.ducts[duct];
    const auto more = item.is_tube() ? beads(of, piece) : clamp_bodies(of, *item.fitting, inputs_.clamps);
    item.shapes.insert(item.shapes.end(), more.begin(), more.end());
    for (UnknownSize& unknown : unknown_sizes(of, piece, inputs_.clamps)) unknown_.push_back(std::move(unknown));
    Surface surface = surface_of(item.shapes);
    item.tree = std::move(surface.tree);
    item.chord_error_mm = surface.chord_error_mm;
    item.before = last;
    const int index = static_cast<int>(items.size());
    if (last >= 0) items[static_cast<std::size_t>(last)].behind = index;
    last = index;
    items.push_back(std::move(item));
  }
}

Anchor Assembly::anchor_at(std::size_t duct, bool upstream) {
  const duct::DuctSpec& spec = inputs_.ducts[duct].spec;
  const duct::PortRef& ref = upstream ? spec.from : spec.to;
  Anchor out;
  if (const bay::Port* port = ref.port.empty() ? nullptr : inputs_.bay.find_port(ref.port)) {
    out.name = named("port", port->id.value);
    out.key = "ports/" + port->id.value + "/spigot_length_mm";
    out.spigot_mm = port->spigot_length_mm;
    out.open = !port->part && upstream && spec.service == duct::Service::raw_air;
    const bay::Part* of = port->part ? inputs_.bay.find_part(*port->part) : nullptr;
    if (of && of->removed_first) out.open = true;
    for (std::size_t i = 0; port->part && i < scene_.obstacles.size(); ++i) {
      const int part = scene_.obstacles[i].part;
      if (part >= 0 && inputs_.bay.parts[static_cast<std::size_t>(part)].id == *port->part) {
        out.obstacle = static_cast<int>(i);
      }
    }
    if (out.obstacle >= 0 && out.spigot_mm) out.rest = rest_of_port(*port, out.obstacle);
    return out;
  }
  for (std::size_t i = 0; i < items.size(); ++i) {
    Item& tube = items[i];
    if (!tube.is_tube() || duct_of(tube).spec.id != ref.duct) continue;
    const duct::PlacedFitting* fitting = duct_of(tube).layout.find(ref.fitting);
    const auto* branch = fitting ? std::get_if<duct::BranchPort>(&fitting->kind) : nullptr;
    if (!branch || fitting->station_from_mm < tube.piece->station_from_mm ||
        fitting->station_from_mm > tube.piece->station_to_mm) {
      continue;
    }
    out.name = named("branch port", fitting->id.value);
    out.key = "ducts/" + ref.duct.value + "/fittings/" + fitting->id.value + "/height_mm";
    if (branch->height_mm > 0) out.spigot_mm = branch->height_mm;
    out.item = static_cast<int>(i);
    tube.branches.push_back(add_branch(duct, upstream, tube, *fitting));
    out.rest = rest_of_branch(out.item, tube.branches.back());
  }
  return out;
}

Branch Assembly::add_branch(std::size_t duct, bool upstream, Item& tube, const duct::PlacedFitting& fitting) {
  const duct::Duct& of = inputs_.ducts[duct];
  const auto& port = std::get<duct::BranchPort>(fitting.kind);
  Branch out;
  out.item = end_item(duct, upstream);
  out.upstream = upstream;
  out.station_mm = fitting.station_from_mm;
  out.half_mm = half_of_branch_mm(duct_of(tube).layout, fitting, port);
  out.tip_mm = of.layout.at(upstream ? 0 : of.layout.length_mm).p_mm;
  if (const auto bead = bead_on_branch(of, upstream, port, out.station_mm)) {
    tube.shapes.push_back(*bead);
    Surface surface = surface_of(tube.shapes);
    tube.tree = std::move(surface.tree);
    tube.chord_error_mm = surface.chord_error_mm;
  }
  return out;
}

bool Branch::owns(const Primitive& p) const {
  const auto* collar = std::get_if<Collar>(&p.shape);
  if (!collar || p.station_from_mm != p.station_to_mm || p.station_from_mm != station_mm) return false;
  return std::min((collar->a - tip_mm).norm(), (collar->b - tip_mm).norm()) < kUnstatedBeadReach_mm;
}

int Assembly::end_item(std::size_t duct, bool upstream) const {
  int found = -1;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (items[i].duct == duct && (found < 0 || !upstream)) found = static_cast<int>(i);
  }
  return found;
}

std::vector<InWay> Assembly::rest_of_port(const bay::Port& port, int obstacle) const {
  const Obstacle& o = scene_.obstacles[static_cast<std::size_t>(obstacle)];
  const bay::Part& part = inputs_.bay.parts[static_cast<std::size_t>(o.part)];
  InWay rest{o.tree, o.X, o.chord_error_mm + kBesideSeat_mm, obstacle};
  // A cloud has no surface to cut, and what is turned open has its port elsewhere: all of it stays.
  if (part.mesh && o.X.p == Vec3::Zero() && o.X.R.isApprox(Eigen::Quaterniond::Identity())) {
    rest.tree = TriTree::over(
        without_seat(*part.mesh, {port.center_mm, port.axis, *port.spigot_length_mm, port.outer_diameter_mm}));
  }
  return {rest};
}

std::vector<InWay> Assembly::rest_of_branch(int item, const Branch& branch) const {
  std::vector<Primitive> rest = items[static_cast<std::size_t>(item)].shapes;
  std::erase_if(rest, [&](const Primitive& p) { return branch.owns(p); });
  Surface surface = surface_of(rest);
  if (surface.tree.empty()) return {};
  return {{surface.tree, Pose(), surface.chord_error_mm + kBesideSeat_mm, of_item(static_cast<std::size_t>(item))}};
}

Vec3 Assembly::along(const Item& hose, bool upstream_side) const {
  return duct_of(hose).layout.at(upstream_side ? hose.fitting->station_from_mm : hose.fitting->station_to_mm).tangent;
}

bool Assembly::slides(const Item& hose) const {
  const auto& coupler = std::get<duct::Coupler>(hose.fitting->kind);
  const bool plain = coupler.shape == duct::CouplerShape::straight || coupler.shape == duct::CouplerShape::hump;
  return plain && !coupler.to && along(hose, true).dot(along(hose, false)) > kOneAxis;
}

Under Assembly::under(const Item& hose, bool upstream_side) const {
  const auto [from, to] = duct::hose_stations(*hose.fitting, std::get<duct::Coupler>(hose.fitting->kind));
  Under out;
  out.engaged_mm = upstream_side ? hose.fitting->station_from_mm - (from + hose.slid_mm)
                                 : to + hose.slid_mm - hose.fitting->station_to_mm;
  out.item = upstream_side ? hose.before : hose.behind;
  if (out.item >= 0) {
    const Item& tube = items[static_cast<std::size_t>(out.item)];
    out.present = !tube.out && out.engaged_mm > 0;
    if (tube.is_tube()) {
      out.plain_mm = plain_mm(tube, !upstream_side);
      out.near_mm = plain_mm(tube, !upstream_side, false);
    }
    return out;
  }
  out.anchor = &anchor(hose.duct, upstream_side);
  out.present = out.engaged_mm > 0 && !out.anchor->open &&
                (out.anchor->item < 0 || !items[static_cast<std::size_t>(out.anchor->item)].out);
  out.plain_mm = out.anchor->spigot_mm;
  out.near_mm = out.plain_mm.value_or(0);
  return out;
}

double Assembly::plain_mm(const Item& tube, bool upstream_end, bool unstated_too) const {
  const duct::Layout& layout = duct_of(tube).layout;
  const double from = tube.piece->station_from_mm, to = tube.piece->station_to_mm;
  double plain = to - from;
  // What is drawn under a hose is plain, however large a memory takes the tap beside it to be.
  double under_hose = 0;
  const int hose = upstream_end ? tube.before : tube.behind;
  if (hose >= 0) {
    const duct::PlacedFitting& fitting = *items[static_cast<std::size_t>(hose)].fitting;
    const auto [a, b] = duct::hose_stations(fitting, std::get<duct::Coupler>(fitting.kind));
    under_hose = kBesideHoseEnd_mm + (upstream_end ? b - from : to - a);
  }
  const auto leave = [&](const Taken& t) {
    if (t.to_mm <= from || t.from_mm >= to) return;
    const double middle = 0.5 * (t.from_mm + t.to_mm);
    const double beside = upstream_end ? t.from_mm - from : to - t.to_mm;
    const bool outside_hose = (upstream_end ? middle - from : to - middle) > under_hose;
    plain = std::min(plain, std::max(!t.stated && outside_hose ? under_hose : 0.0, beside));
  };
  for (const duct::Bend& bend : layout.bends) {
    if (bend.bends()) leave({bend.station_from_mm, bend.station_to_mm});
  }
  const double diameter = layout.tube_at(upstream_end ? from + kSameSize_mm : to - kSameSize_mm).outer_diameter_mm;
  for (const duct::PlacedFitting& fitting : layout.fittings) {
    const auto t = taken(layout, fitting, diameter);
    if (t && (t->stated || unstated_too)) leave(*t);
  }
  return plain;
}

Pose Assembly::place(const Item& item) const {
  if (item.is_tube() || (item.slid_mm == 0 && item.turned_rad == 0)) return Pose();
  const Vec3 axis = along(item, true);
  const Vec3 point = duct_of(item).layout.at(item.fitting->station_from_mm).p_mm;
  return Pose::translation(item.slid_mm * axis) * Pose::rotation(axis, point, item.turned_rad);
}

std::string Assembly::name_of(int of) const {
  const auto index = static_cast<std::size_t>(of);
  if (index < scene_.obstacles.size()) return scene_.obstacles[index].name;
  return full_name(items[index - scene_.obstacles.size()]);
}

std::string Assembly::full_name(const Item& item) const {
  return "duct " + duct_of(item).spec.id.value + ", " + name(item);
}

double Assembly::room_mm(int of, std::size_t duct) const {
  const auto index = static_cast<std::size_t>(of);
  if (index < scene_.obstacles.size()) {
    const auto part = static_cast<std::size_t>(scene_.obstacles[index].part);
    return kWayRoom_mm + inputs_.part_mm[part] + inputs_.duct_mm[duct];
  }
  const Item& item = items[index - scene_.obstacles.size()];
  // Pieces of one duct are fitted to one another.
  return kWayRoom_mm + item.chord_error_mm +
         (item.duct == duct ? 0 : inputs_.duct_mm[duct] + inputs_.duct_mm[item.duct]);
}

std::vector<InWay> Assembly::standing(std::span<const int> pieces, std::span<const int> without) const {
  std::vector<InWay> out;
  const auto add = [&](const TriTree& tree, const Pose& X, int of) {
    if (std::find(without.begin(), without.end(), of) != without.end()) return;
    double room = 0;
    for (const int piece : pieces) {
      room = std::max(room, room_mm(of, items[static_cast<std::size_t>(piece)].duct));
    }
    out.push_back({tree, X, room, of});
  };
  for (std::size_t i = 0; i < scene_.obstacles.size(); ++i) {
    add(scene_.obstacles[i].tree, scene_.obstacles[i].X, static_cast<int>(i));
  }
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (!items[i].out && !items[i].tree.empty()) add(items[i].tree, place(items[i]), of_item(i));
  }
  return out;
}

std::optional<InWay> Assembly::beyond_plain(int item, bool upstream_end) const {
  const Item& tube = items[static_cast<std::size_t>(item)];
  const double from = tube.piece->station_from_mm, to = tube.piece->station_to_mm, plain = plain_mm(tube, upstream_end);
  if (plain >= to - from) return std::nullopt;
  Surface surface = surface_of(upstream_end ? duct::cut_to(tube.shapes, from + plain, to)
                                            : duct::cut_to(tube.shapes, from, to - plain));
  if (surface.tree.empty()) return std::nullopt;
  return InWay{surface.tree, Pose(), surface.chord_error_mm + kBesideSeat_mm, of_item(static_cast<std::size_t>(item))};
}

bool Assembly::opened(int of) const {
  if (of >= of_item(0)) return false;
  return !stands_as_drawn(scene_.obstacles[static_cast<std::size_t>(of)].X);
}

std::optional<int> Assembly::holding(const Vec3& p) const { return Around(scene_).holding(p); }

}  // namespace baywright::access
