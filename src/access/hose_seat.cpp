#include "access/hose_seat.hpp"

#include <algorithm>

#include "duct/fitting_layout.hpp"
#include "geometry/base/expects.hpp"
#include "geometry/base/words.hpp"

namespace baywright::access {
namespace {

/// Stations that agree within this touch and do not overlap; also how far inside its end a hose is looked at.
constexpr double kBeside_mm = 1e-6;

const duct::Coupler& coupler_of(const duct::PlacedFitting& fitting) {
  const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
  EXPECTS(coupler);
  return *coupler;
}

std::string lies_on(const duct::Layout& layout, double from_mm, double to_mm) {
  const auto overlaps = [&](double from, double to) { return to > from_mm + kBeside_mm && from < to_mm - kBeside_mm; };
  for (const duct::Bend& bend : layout.bends) {
    if (bend.bends() && overlaps(bend.station_from_mm, bend.station_to_mm)) return "the bend at " + bend.at.value;
  }
  for (const duct::PlacedFitting& fitting : layout.fittings) {
    if (std::holds_alternative<duct::Reducer>(fitting.kind) &&
        overlaps(fitting.station_from_mm, fitting.station_to_mm)) {
      return named("cone", fitting.id.value);
    }
  }
  return "";
}

}  // namespace

double engagement_mm(const duct::PlacedFitting& coupler, duct::HoseEnd end) {
  const auto [from, to] = duct::hose_stations(coupler, coupler_of(coupler));
  return end == duct::HoseEnd::upstream ? coupler.station_from_mm - from : to - coupler.station_to_mm;
}

const duct::TubeEnd* tube_end(const duct::Coupler& coupler, duct::HoseEnd end) {
  const auto found = std::find_if(coupler.tube_ends.begin(), coupler.tube_ends.end(),
                                  [&](const duct::TubeEnd& tube) { return tube.end == end; });
  return found == coupler.tube_ends.end() ? nullptr : &*found;
}

double hose_bore_mm(const duct::Duct& duct, const duct::PlacedFitting& coupler, duct::HoseEnd end) {
  const duct::Coupler& hose = coupler_of(coupler);
  const auto [from, to] = duct::hose_stations(coupler, hose);
  // At its very end a hose is plain, whatever shape it has over the gap.
  const double station = end == duct::HoseEnd::upstream ? from + kBeside_mm : to - kBeside_mm;
  return 2 * (hose_radius_mm(duct, coupler.id, station) - hose.wall_mm);
}

std::optional<Spigot> spigot_under(const bay::Bay& bay, std::span<const duct::Duct> ducts, const duct::Duct& duct,
                                   const duct::PlacedFitting& coupler, duct::HoseEnd end) {
  const bool upstream = end == duct::HoseEnd::upstream;
  // Something of the duct itself on that side is what the hose lies on.
  const auto is_beyond = [&](const duct::Piece& piece) {
    if (piece.kind == duct::Piece::Kind::clamps || piece.fitting == coupler.id) return false;
    return upstream ? piece.station_from_mm < coupler.station_from_mm - kBeside_mm
                    : piece.station_to_mm > coupler.station_to_mm + kBeside_mm;
  };
  const auto& pieces = duct.layout.pieces;
  if (std::any_of(pieces.begin(), pieces.end(), is_beyond)) return std::nullopt;
  const duct::PortRef& ref = upstream ? duct.spec.from : duct.spec.to;
  if (const bay::Port* port = ref.port.empty() ? nullptr : bay.find_port(ref.port)) {
    return Spigot{port->spigot_length_mm, named("port", port->id.value),
                  "ports/" + port->id.value + "/spigot_length_mm"};
  }
  for (const duct::Duct& other : ducts) {
    const duct::PlacedFitting* fitting = other.spec.id == ref.duct ? other.layout.find(ref.fitting) : nullptr;
    const auto* branch = fitting ? std::get_if<duct::BranchPort>(&fitting->kind) : nullptr;
    if (!branch) continue;
    const std::string key = "ducts/" + other.spec.id.value + "/fittings/" + fitting->id.value + "/height_mm";
    const auto stated = branch->height_mm > 0 ? std::optional(branch->height_mm) : std::nullopt;
    return Spigot{stated, named("branch port", fitting->id.value), key};
  }
  return std::nullopt;
}

HoseSeat seat_of(const duct::Duct& duct, const ClampSite& site, const duct::TubeEnd& tube) {
  const duct::PlacedFitting* placed = duct.layout.find(site.coupler);
  EXPECTS(placed);
  const auto [from, to] = duct::hose_stations(*placed, coupler_of(*placed));
  const double half = 0.5 * site.type.band_width_mm;
  const double bead = tube.no_bead ? 0 : tube.crest_mm + 0.5 * tube.foot_mm;
  const bool upstream = site.end == duct::HoseEnd::upstream;
  HoseSeat seat;
  seat.engagement_mm = engagement_mm(*placed, site.end);
  seat.band_to_hose_end_mm = upstream ? site.station_mm - half - from : to - (site.station_mm + half);
  seat.bead_to_band_mm =
      (upstream ? placed->station_from_mm - (site.station_mm + half) : site.station_mm - half - placed->station_to_mm) -
      bead;
  seat.band_lies_on = lies_on(duct.layout, site.station_mm - half, site.station_mm + half);
  return seat;
}

}  // namespace baywright::access
