#include "access/beside_piece.hpp"

#include <algorithm>
#include <cmath>

#include "access/clamp_site.hpp"
#include "access/hose_seat.hpp"
#include "duct/fitting_layout.hpp"

namespace baywright::access {
namespace {

Primitive at_station(const Shape& shape, double from_mm, double to_mm) {
  Primitive out;
  out.shape = shape;
  out.station_from_mm = from_mm;
  out.station_to_mm = to_mm;
  return out;
}

/// Round rod along the band that holds the body, and the screw's stud at the end it faces, or at both where nobody
/// says.
Shape rod_around(const ClampSite& site, Angle clock, std::optional<Side> faces) {
  const Box body = body_at(site, {clock, faces.value_or(Side::clockwise)}, 0);
  // Its first axis is the screw's.
  const Vec3 half = body.half_mm.x() * body.axes.col(0), stud = site.type.stud_mm * body.axes.col(0);
  const Vec3 back = half + (faces ? Vec3(Vec3::Zero()) : stud);
  return Cylinder{body.center - back, body.center + half + stud, std::hypot(body.half_mm.y(), body.half_mm.z())};
}

/// The body at every clock angle at once.
Shape ring_around(const ClampSite& site) {
  const catalog::ClampType& type = site.type;
  const double radius = std::hypot(site.hose_radius_mm + type.body_height_mm, 0.5 * type.body_length_mm + type.stud_mm);
  const Vec3 half = 0.5 * std::max(type.body_width_mm, type.band_width_mm) * site.along;
  return Collar{site.center - half, site.center + half, radius};
}

/// From the end of what lies under a hose.
struct Bead {
  double height_mm = kUnstatedBead_mm, from_mm = 0, to_mm = kUnstatedBeadReach_mm;
};
std::optional<Bead> bead_under(const duct::Coupler& coupler, duct::HoseEnd end, double length_mm) {
  Bead out;
  if (const duct::TubeEnd* stated = tube_end(coupler, end)) {
    if (stated->no_bead) return std::nullopt;
    out.height_mm = stated->height_mm;
    out.from_mm = std::max(0.0, stated->crest_mm - 0.5 * stated->foot_mm);
    out.to_mm = stated->crest_mm + 0.5 * stated->foot_mm;
  }
  out.to_mm = std::min(out.to_mm, length_mm);
  if (!(out.height_mm > 0) || !(out.to_mm > out.from_mm)) return std::nullopt;
  return out;
}

bool on(const duct::Piece& tube, double station_mm) {
  return station_mm >= tube.station_from_mm && station_mm <= tube.station_to_mm;
}

std::string key_of(const duct::Duct& duct, const duct::PlacedFitting& fitting, const std::string& field) {
  return "ducts/" + duct.spec.id.value + "/fittings/" + fitting.id.value + "/" + field;
}

}  // namespace

std::vector<Primitive> clamp_bodies(const duct::Duct& duct, const duct::PlacedFitting& hose,
                                    std::span<const catalog::ClampType> clamps) {
  std::vector<Primitive> out;
  for (const duct::HoseClamp& clamp : std::get<duct::Coupler>(hose.kind).clamps) {
    const auto type = std::find_if(clamps.begin(), clamps.end(), [&](const auto& t) { return t.id == clamp.type; });
    if (type == clamps.end()) continue;
    const ClampSite site = site_of(duct, hose.id, clamp, *type);
    out.push_back(
        at_station(clamp.screw_clock ? rod_around(site, *clamp.screw_clock, clamp.screw_side) : ring_around(site),
                   site.station_mm, site.station_mm));
  }
  return out;
}

std::vector<Primitive> beads(const duct::Duct& duct, const duct::Piece& tube) {
  std::vector<Primitive> out;
  for (const duct::PlacedFitting& fitting : duct.layout.fittings) {
    const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
    if (!coupler) continue;
    for (const duct::HoseEnd end : {duct::HoseEnd::upstream, duct::HoseEnd::downstream}) {
      const bool upstream = end == duct::HoseEnd::upstream;
      // The tube under a hose's upstream end is the one that ends where the gap begins.
      const double edge = upstream ? fitting.station_from_mm : fitting.station_to_mm;
      constexpr double kSameEnd_mm = 0.01;
      const double own = upstream ? tube.station_to_mm : tube.station_from_mm;
      if (std::abs(own - edge) > kSameEnd_mm) continue;
      const auto bead = bead_under(*coupler, end, tube.station_to_mm - tube.station_from_mm);
      if (!bead) continue;
      const auto [height, from, to] = *bead;
      const double a = upstream ? edge - to : edge + from, b = upstream ? edge - from : edge + to;
      const double radius = 0.5 * duct.layout.tube_at(0.5 * (a + b)).outer_diameter_mm + height;
      out.push_back(at_station(Collar{duct.layout.at(a).p_mm, duct.layout.at(b).p_mm, radius}, a, b));
    }
  }
  return out;
}

std::optional<Primitive> bead_on_branch(const duct::Duct& duct, bool upstream, const duct::BranchPort& port,
                                        double station_mm) {
  const duct::Layout& layout = duct.layout;
  const double end_mm = upstream ? 0 : layout.length_mm;
  std::optional<Bead> bead = Bead();
  bead->to_mm = std::min(bead->to_mm, port.height_mm);
  for (const duct::PlacedFitting& fitting : layout.fittings) {
    const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
    if (!coupler) continue;
    const auto [from, to] = duct::hose_stations(fitting, *coupler);
    if (from > end_mm || to < end_mm) continue;
    bead = bead_under(*coupler, upstream ? duct::HoseEnd::upstream : duct::HoseEnd::downstream, port.height_mm);
  }
  if (!bead) return std::nullopt;
  const duct::StationFrame frame = layout.at(end_mm);
  const Vec3 in = upstream ? Vec3(-frame.tangent) : frame.tangent;
  return at_station(Collar{frame.p_mm + bead->from_mm * in, frame.p_mm + bead->to_mm * in,
                           0.5 * port.outer_diameter_mm + bead->height_mm},
                    station_mm, station_mm);
}

std::vector<UnknownSize> unknown_sizes(const duct::Duct& duct, const duct::Piece& piece,
                                       std::span<const catalog::ClampType> clamps) {
  std::vector<UnknownSize> out;
  for (const duct::PlacedFitting& fitting : duct.layout.fittings) {
    const auto* sensor = std::get_if<duct::SensorTube>(&fitting.kind);
    if (sensor && piece.kind == duct::Piece::Kind::tube &&
        on(piece, fitting.station_from_mm + sensor->sensor_offset_mm) &&
        !(sensor->boss_radius_mm > 0 && sensor->boss_height_mm > 0)) {
      out.push_back({"how large boss and connector of " + fitting.id.value + " are is not stated",
                     {key_of(duct, fitting, "boss_radius_mm"), key_of(duct, fitting, "boss_height_mm")}});
    }
    const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
    if (!coupler || piece.kind == duct::Piece::Kind::tube || piece.fitting != fitting.id) continue;
    const bool typed =
        !coupler->clamps.empty() &&
        std::all_of(coupler->clamps.begin(), coupler->clamps.end(), [&](const duct::HoseClamp& c) {
          return std::any_of(clamps.begin(), clamps.end(), [&](const auto& t) { return t.id == c.type; });
        });
    if (!typed && !(coupler->clamp_height_mm > 0)) {
      out.push_back({"how high the clamps on " + fitting.id.value + " are is not stated",
                     {key_of(duct, fitting, "clamps"), key_of(duct, fitting, "clamp_height_mm")}});
    }
  }
  return out;
}

}  // namespace baywright::access
