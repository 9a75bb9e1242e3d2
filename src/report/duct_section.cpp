#include "report/page.hpp"
#include "report/wording.hpp"

namespace baywright::report {
namespace {

template <class... F>
struct Overloaded : F... {
  using F::operator()...;
};
template <class... F>
Overloaded(F...) -> Overloaded<F...>;

std::string mm(const Figures& f, double value_mm) { return f.number(value_mm, Unit::mm); }
std::string deg(const Figures& f, Angle angle, int more = 0) { return f.value(to_degrees(angle), Unit::degree, more); }

std::string tube_text(const Figures& f, const duct::TubeSize& tube) {
  return mm(f, tube.outer_diameter_mm) + " \u00D7 " + f.value(tube.wall_mm, Unit::mm, 1);
}

Markup point_block(const Page& page, const duct::Duct& d) {
  const Figures& f = page.figures;
  Markup rows;
  for (const duct::RoutePoint& p : d.spec.route.points) {
    rows += tag("tr", cell(text(p.id.value)) + number_cell(text(mm(f, p.p_mm.x()))) +
                          number_cell(text(mm(f, p.p_mm.y()))) + number_cell(text(mm(f, p.p_mm.z()))) +
                          number_cell(p.bend_radius_mm > 0 ? text(mm(f, p.bend_radius_mm)) : "–"_h));
  }
  const std::string u = ", " + f.symbol(Unit::mm);
  return tag("h3", "Intersection points, vehicle frame"_h) +
         table("fit", {"Point", ">x" + u, ">y" + u, ">z" + u, ">Bend radius" + u}, rows);
}

Markup piece_block(const Page& page, const duct::Duct& d) {
  const Figures& f = page.figures;
  Markup rows;
  int number = 0;
  for (const duct::Piece& p : d.layout.pieces) {
    const bool tube = p.kind == duct::Piece::Kind::tube;
    rows += tag("tr", cell(text(++number)) + cell(text(p.name)) +
                          number_cell(text(mm(f, p.station_from_mm) + " \u2013 " + mm(f, p.station_to_mm))) +
                          number_cell(text(mm(f, p.station_to_mm - p.station_from_mm))) +
                          cell(tube ? text(tube_text(f, d.layout.tube_at(p.station_from_mm))) : "–"_h) +
                          cell(text(carrier_text(page.bay(), p))));
  }
  const std::string u = ", " + f.symbol(Unit::mm);
  return tag("h3", "Pieces and what carries them"_h) +
         table("", {"No.", "Piece", ">Stations" + u, ">Length" + u, "Tube at its start", "Carried"}, rows);
}

std::string fitting_text(const Page& page, const duct::PlacedFitting& fitting) {
  const Figures& f = page.figures;
  const auto shape = [](duct::CouplerShape s) {
    switch (s) {
      case duct::CouplerShape::straight:
        return "straight";
      case duct::CouplerShape::hump:
        return "hump";
      case duct::CouplerShape::reducer:
        return "reducing";
      case duct::CouplerShape::elbow:
        return "elbow";
    }
    return "straight";
  };
  return std::visit(
      Overloaded{
          [&](const duct::SensorTube& s) {
            return "sensor at station " + mm(f, fitting.station_from_mm + s.sensor_offset_mm) + ", clock angle " +
                   deg(f, s.clock) + ", tube " + tube_text(f, s.tube);
          },
          [&](const duct::Coupler& c) {
            return std::string(shape(c.shape)) + ", gap " + mm(f, c.gap_mm) + ", hose " + mm(f, c.length_mm) +
                   " long; takes \u00B1" + mm(f, c.axial_mm) + " along, " + mm(f, c.lateral_mm) + " across, " +
                   deg(f, c.angle);
          },
          [&](const duct::Reducer& r) { return "cone to tube " + tube_text(f, r.to); },
          [&](const duct::BranchPort& b) { return "bore " + mm(f, b.bore_mm) + ", clock angle " + deg(f, b.clock); },
          [&](const duct::Bracket& b) { return "holds the tube to " + body_name(page.bay(), b.body); },
          [](const duct::RestrictionTap&) { return std::string("wall tap for a restriction gauge"); },
          [&](const duct::FlowStraightener& s) {
            return mm(f, s.length_mm) + " long, K " + f.number(s.loss_coefficient, Unit::ratio);
          },
          [&](const duct::Drain& d) {
            return "bore " + mm(f, d.bore_mm) +
                   (!d.self_closing   ? ""
                    : *d.self_closing ? ", closes itself"
                                      : ", always open");
          },
      },
      fitting.kind);
}

Markup fitting_block(const Page& page, const duct::Duct& d) {
  if (d.layout.fittings.empty()) return tag("p", "lede", "No fittings sit on this duct."_h);
  const Figures& f = page.figures;
  Markup rows;
  for (const duct::PlacedFitting& p : d.layout.fittings) {
    const bool point = p.station_from_mm == p.station_to_mm;
    rows +=
        tag("tr", cell(text(p.id.value)) + cell(text(duct::kind_name(p.kind))) +
                      number_cell(text(mm(f, p.station_from_mm) + (point ? "" : " \u2013 " + mm(f, p.station_to_mm)))) +
                      cell(text(fitting_text(page, p))));
  }
  return tag("h3", "Fittings"_h) +
         table("", {"Fitting", "Kind", ">Stations, " + f.symbol(Unit::mm), "Data, lengths in " + f.symbol(Unit::mm)},
               rows);
}

Markup one_duct(const Page& page, const duct::Duct& d) {
  const Figures& f = page.figures;
  std::string title = d.spec.name.empty() ? d.spec.id.value : d.spec.name;
  std::string line = "Service " + std::string(duct::name(d.spec.service)) + "; tube " + tube_text(f, d.spec.tube) +
                     (d.spec.material.empty() ? "" : ", " + d.spec.material) + "; " +
                     f.value(d.layout.length_mm, Unit::mm) + " along the centerline";
  if (d.spec.bend_tolerance_mm) {
    line += "; as-built position of the surface: standard uncertainty " + f.value(*d.spec.bend_tolerance_mm, Unit::mm) +
            " (declared by the shop)";
  }
  return tag("h3", text("Duct " + title)) + tag("p", "lede", text(line + ".")) + duct_strip(page, d) +
         piece_block(page, d) + tube_block(page, d) + joint_block(page, d) + bend_block(page, d) +
         point_block(page, d) + fitting_block(page, d) + sensor_block(page, d);
}

}  // namespace

Markup duct_section(const Page& page) {
  Markup out = section_heading(4, "ducts", "Duct data");
  if (page.installation.ducts.empty()) return out + tag("p", "lede", "The job has no duct."_h);
  out +=
      tag("p", "lede",
          "Stations run along the centerline in the direction of flow, from 0 at the upstream port. Clock angles turn "
          "clockwise seen along the flow, 0 is up."_h);
  for (const duct::Duct& d : page.installation.ducts) out += one_duct(page, d);
  return out;
}

}  // namespace baywright::report
