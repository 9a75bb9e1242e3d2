#include "access/beside_piece.hpp"

#include <algorithm>
#include <cmath>

#include "access/clamp_site.hpp"

namespace baywright::access {
namespace {

Primitive at_station(const Shape& shape, double from_mm, double to_mm) {
  Primitive out;
  out.shape = shape;
  out.station_from_mm = from_mm;
  out.station_to_mm = to_mm;
  return out;
}

/// Round rod along the band that holds the body, and the screw's stud at either end.
Shape rod_around(const ClampSite& site, Angle clock) {
  const Box body = body_at(site, {clock, Side::clockwise}, 0);
  // Its first axis is the screw's.
  const Vec3 reach = (body.half_mm.x() + site.type.stud_mm) * body.axes.col(0);
  return Cylinder{body.center - reach, body.center + reach, std::hypot(body.half_mm.y(), body.half_mm.z())};
}

/// The body at every clock angle at once.
Shape ring_around(const ClampSite& site) {
  const catalog::ClampType& type = site.type;
  const double radius = std::hypot(site.hose_radius_mm + type.body_height_mm, 0.5 * type.body_length_mm + type.stud_mm);
  const Vec3 half = 0.5 * std::max(type.body_width_mm, type.band_width_mm) * site.along;
  return Collar{site.center - half, site.center + half, radius};
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
    out.push_back(at_station(clamp.screw_clock ? rod_around(site, *clamp.screw_clock) : ring_around(site),
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
      const auto stated = std::find_if(coupler->tube_ends.begin(), coupler->tube_ends.end(),
                                       [&](const duct::TubeEnd& t) { return t.end == end; });
      double height = kUnstatedBead_mm, from = 0, to = kUnstatedBeadReach_mm;
      if (stated != coupler->tube_ends.end()) {
        if (stated->no_bead) continue;
        height = stated->height_mm;
        from = std::max(0.0, stated->crest_mm - 0.5 * stated->foot_mm);
        to = stated->crest_mm + 0.5 * stated->foot_mm;
      }
      to = std::min(to, tube.station_to_mm - tube.station_from_mm);
      if (!(height > 0) || !(to > from)) continue;
      const double a = upstream ? edge - to : edge + from, b = upstream ? edge - from : edge + to;
      const double radius = 0.5 * duct.layout.tube_at(0.5 * (a + b)).outer_diameter_mm + height;
      out.push_back(at_station(Collar{duct.layout.at(a).p_mm, duct.layout.at(b).p_mm, radius}, a, b));
    }
  }
  return out;
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
