#include "access/clamp_site.hpp"

#include <algorithm>
#include <cmath>

#include "duct/fitting_layout.hpp"
#include "geometry/base/expects.hpp"

namespace baywright::access {

namespace {
constexpr double kHoseBeyondBand_mm = 6.4;
}  // namespace

double hose_radius_mm(const duct::Duct& duct, const duct::FittingId& coupler, double station_mm) {
  double radius = 0;
  for (const duct::Piece& piece : duct.layout.pieces) {
    if (piece.kind != duct::Piece::Kind::coupler || piece.fitting != coupler) continue;
    for (const Primitive& p : piece.shapes) {
      if (station_mm < p.station_from_mm || station_mm > p.station_to_mm) continue;
      const double r = std::visit(
          [](const auto& s) {
            if constexpr (requires { s.radius_mm; })
              return s.radius_mm;
            else
              return std::max(s.radius_a_mm, s.radius_b_mm);
          },
          p.shape);
      radius = std::max(radius, r);
    }
  }
  return radius;
}

ClampSite site_of(const duct::Duct& duct, const duct::FittingId& coupler, const duct::HoseClamp& clamp,
                  const catalog::ClampType& type) {
  const duct::PlacedFitting* placed = duct.layout.find(coupler);
  EXPECTS(placed && std::holds_alternative<duct::Coupler>(placed->kind));
  const auto [from, to] = duct::hose_stations(*placed, std::get<duct::Coupler>(placed->kind));
  const double in = clamp.from_hose_end_mm.value_or(kHoseBeyondBand_mm) + 0.5 * type.band_width_mm;
  ClampSite site;
  site.duct = duct.spec.id;
  site.coupler = coupler;
  site.end = clamp.end;
  site.name = coupler.value;
  site.name += ", ";
  site.name += duct::name(clamp.end);
  site.name += " end";
  site.station_mm = clamp.end == duct::HoseEnd::upstream ? from + in : to - in;
  const duct::StationFrame frame = duct.layout.at(site.station_mm);
  site.center = frame.p_mm;
  site.along = frame.tangent;
  site.hose_radius_mm = hose_radius_mm(duct, coupler, site.station_mm);
  site.type = type;
  site.place_stated = clamp.from_hose_end_mm.has_value();
  return site;
}

Vec3 Screw::swing(Angle angle) const { return std::cos(angle.si()) * out + std::sin(angle.si()) * axis.cross(out); }

Screw screw_at(const ClampSite& site, const ScrewPosition& position) {
  Screw screw;
  screw.out = duct::outward_direction(site.along, position.clock);
  // The clock runs along x out.
  screw.axis = (position.side == Side::clockwise ? 1.0 : -1.0) * site.along.cross(screw.out);
  screw.head = site.center + (site.hose_radius_mm + site.type.screw_height_mm) * screw.out +
               0.5 * site.type.body_length_mm * screw.axis;
  return screw;
}

Screw grip_at(const ClampSite& site, const ScrewPosition& position) {
  if (site.type.has_screw()) return screw_at(site, position);
  Screw grip;
  grip.axis = duct::outward_direction(site.along, position.clock);
  grip.out = site.along.cross(grip.axis);
  grip.head = site.center + (site.hose_radius_mm + site.type.screw_height_mm) * grip.axis;
  return grip;
}

Box body_at(const ClampSite& site, const ScrewPosition& position, double raised_mm) {
  EXPECTS(raised_mm >= 0);
  const Screw screw = screw_at(site, position);
  const double low = std::min(raised_mm, site.type.body_height_mm);
  Box box;
  box.axes.col(0) = screw.axis;
  box.axes.col(1) = screw.out;
  box.axes.col(2) = screw.axis.cross(screw.out);
  box.half_mm = 0.5 * Vec3(site.type.body_length_mm, site.type.body_height_mm - low, site.type.body_width_mm);
  box.center = site.center + (site.hose_radius_mm + 0.5 * (low + site.type.body_height_mm)) * screw.out;
  return box;
}

}  // namespace baywright::access
