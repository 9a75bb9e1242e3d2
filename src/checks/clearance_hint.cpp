#include "checks/clearance_hint.hpp"

#include <algorithm>

#include "checks/subjects.hpp"
#include "checks/uncertainty_hint.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/direction_text.hpp"

namespace baywright::checks {
namespace {

using measure::Measured;
using measure::PairClearance;

/// Farther than that nobody moves a duct to mend one place.
constexpr double kFarthestMove_mm = 150;
/// A ball this near to a part has met it.
constexpr double kMeets_mm = 0.05;

/// Direction in which the duct gains distance. Apart: from the part's witness to the duct's. Interfering: the other way
/// round, because the duct's witness then is the point of its surface that must come out as far as the part's.
std::optional<Vec3> way_out(const Measured& m) {
  if (!m.witness) return std::nullopt;
  Vec3 way = m.witness->on_duct_mm - m.witness->on_other_mm;
  if (m.hi < 0) way = -way;
  const double length = way.norm();
  if (!(length > 1e-9)) return std::nullopt;
  return Vec3(way / length);
}

/// Outer radius of a piece at a station: of the tube, of the hose on it, or of the bands on that.
double outer_radius(const duct::Layout& layout, const duct::Piece& piece, double station_mm) {
  double radius = 0.5 * layout.tube_at(station_mm).outer_diameter_mm;
  const duct::PlacedFitting* fitting = piece.fitting ? layout.find(*piece.fitting) : nullptr;
  const auto* coupler = fitting ? std::get_if<duct::Coupler>(&fitting->kind) : nullptr;
  if (!coupler) return radius;
  radius += coupler->wall_mm;
  return radius + (piece.kind == duct::Piece::Kind::clamps ? coupler->clamp_height_mm : coupler->hump_height_mm);
}

/// "; 43.2 mm are free that way at rest, then comes Bonnet"; "" when it is not known.
std::string room_text(const Context& context, const PairClearance& pair, const Vec3& way, double wanted_mm) {
  if (!pair.value.station_mm) return "";
  const duct::Layout& layout = context.duct.layout;
  const duct::Piece& piece = layout.pieces[static_cast<std::size_t>(pair.piece)];
  const double station = *pair.value.station_mm;
  const FreeWay room = free_way(context.bay, pair.part, layout.at(station).p_mm, outer_radius(layout, piece, station),
                                way, std::max(kFarthestMove_mm, 2 * wanted_mm));
  if (!room.known) return "";
  const std::string length = length_text(room.length_mm, context.bay.units);
  if (!room.next) return "; more than " + length + " are free that way at rest";
  if (room.length_mm >= wanted_mm)
    return "; " + length + " are free that way at rest, then comes " + name_of(*room.next);
  return "; but only " + length + " are free that way at rest before " + name_of(*room.next) +
         " comes: choose another way, or move one of the two parts";
}

}  // namespace

FreeWay free_way(const bay::Bay& bay, int leave_out, const Vec3& from_mm, double radius_mm, const Vec3& way,
                 double range_mm) {
  FreeWay room;
  std::vector<const bay::Part*> parts;
  for (std::size_t i = 0; i < bay.parts.size(); ++i) {
    const bay::Part& part = bay.parts[i];
    if (static_cast<int>(i) == leave_out || part.doubted() || part.tree.empty()) continue;
    const auto nearest = part.tree.nearest(from_mm, radius_mm + kMeets_mm);
    if (!nearest) parts.push_back(&part);
  }
  room.known = !parts.empty();
  // The ball goes on by its distance to the nearest part, which it cannot meet before.
  while (room.known && room.length_mm < range_mm) {
    const Vec3 center = from_mm + room.length_mm * way;
    double step = range_mm - room.length_mm;
    const bay::Part* nearest_part = nullptr;
    for (const bay::Part* part : parts) {
      const auto nearest = part->tree.nearest(center, radius_mm + step);
      if (!nearest || nearest->distance_mm - radius_mm >= step) continue;
      step = nearest->distance_mm - radius_mm;
      nearest_part = part;
    }
    if (nearest_part && step < kMeets_mm) {
      room.next = nearest_part;
      return room;
    }
    room.length_mm += step;
  }
  room.length_mm = std::min(room.length_mm, range_mm);
  return room;
}

std::string clearance_hint(const Context& context, const PairClearance& pair, const Limit& limit) {
  const std::string piece = context.duct.layout.pieces[static_cast<std::size_t>(pair.piece)].name;
  const std::string part = name_of(context.bay.parts[static_cast<std::size_t>(pair.part)]);
  if (pair.inside) return piece + " lies wholly inside " + part + ": route it around, or open the part where it passes";
  const Measured& m = pair.value;
  const double short_by = limit.value - m.lowest();
  if (pair.beyond_range && short_by > 0) {
    return "the limit lies beyond the range that was searched: raise the clearance range of the job";
  }
  const auto way = way_out(m);
  if (std::string first = uncertainty_hint(m, limit, context.bay.units); !first.empty()) {
    first += ": measure this place on the vehicle";
    if (way)
      first.append("; the way out is ")
          .append(vehicle_words(*way))
          .append(", direction ")
          .append(coordinates_text(*way));
    return first;
  }
  // Deeper than its radius nothing of a tube can lie: from there on the depth says nothing of the way out.
  constexpr double kSaturated_mm = 0.1;
  if (m.hi < 0 && m.station_mm) {
    const duct::Layout& layout = context.duct.layout;
    const double radius = outer_radius(layout, layout.pieces[static_cast<std::size_t>(pair.piece)], *m.station_mm);
    const double tube_radius = 0.5 * layout.tube_at(*m.station_mm).outer_diameter_mm;
    if (-m.hi >= std::min(radius, tube_radius) - kSaturated_mm) {
      return part + " reaches the centreline of " + piece + ": route it around; how far is not known from this";
    }
  }
  const bool overlaps = m.hi < 0;  // the part's surface that reaches in is all that is known of it
  std::string hint = "move " + piece + (overlaps ? " by at least " : " by ") + length_text(short_by, context.bay.units);
  if (way)
    hint.append(" ").append(vehicle_words(*way)).append(", direction ").append(coordinates_text(*way)).append(",");
  hint += " away from " + part;
  if (way && short_by > 0 && !overlaps) hint += room_text(context, pair, *way, short_by);
  if (m.highest() >= limit.value) hint += "; or measure this place on the vehicle";
  return hint;
}

}  // namespace baywright::checks
