#include "measure/clearance_measure.hpp"
#include "report/page.hpp"
#include "report/wording.hpp"

namespace baywright::report {
namespace {

Markup file_block(const Page& page) {
  Markup rows;
  for (const job::InputFile& file : page.installation.files) {
    rows += tag("tr", cell(text(file.path)) + number_cell(text(std::to_string(file.bytes))) +
                          tag("td", "hash", text(file.sha256)));
  }
  return tag("h3", "Files"_h) + table("", {"File", ">Bytes", "SHA-256"}, rows);
}

Markup part_block(const Page& page) {
  const Figures& f = page.figures;
  Markup rows;
  for (const bay::Part& p : page.bay().parts) {
    std::string source = p.uncertainty_source;
    if (p.surface_temperature) {
      source += source.empty() ? "surface " : "; surface ";
      source += f.value(p.surface_temperature->si(), Unit::kelvin);
    }
    std::string size = "no geometry";
    if (p.mesh) size = std::to_string(p.mesh->triangles.size()) + " triangles";
    if (p.cloud) size = std::to_string(p.cloud->points.size()) + " points";
    if (!p.hidden.empty()) size += "; " + std::to_string(p.hidden.size()) + " solids not seen from outside left out";
    rows +=
        tag("tr", cell(text(p.name.empty() ? p.id.value : p.name)) + cell(text(bay::name(p.part_class))) +
                      cell(text(body_name(page.bay(), p.body))) + cell(text(p.file) + tag("small", text(size))) +
                      number_cell(text(f.number(p.chord_error_mm(), Unit::mm, 1))) +
                      number_cell(p.uncertainty_mm ? text(f.number(*p.uncertainty_mm, Unit::mm, 1)) : "not stated"_h) +
                      cell(text(source)));
  }
  const std::string u = ", " + f.symbol(Unit::mm);
  return tag("h3", "Parts of the bay"_h) + table("parts",
                                                 {"Part", "Class", "Rides on", "File and surface", ">Chord error" + u,
                                                  ">Standard uncertainty" + u, "Its source"},
                                                 rows);
}

Markup port_block(const Page& page) {
  const Figures& f = page.figures;
  if (page.bay().ports.empty()) return {};
  Markup rows;
  for (const bay::Port& p : page.bay().ports) {
    std::string axis;
    for (int k = 0; k < 3; ++k) axis += (k ? ", " : "") + f.number(p.axis[k], Unit::ratio, 1);
    rows += tag("tr", cell(text(p.name.empty() ? p.id.value : p.name)) + number_cell(text(f.point(p.center_mm))) +
                          number_cell(text(axis)) + number_cell(text(f.number(p.bore_mm, Unit::mm))) +
                          number_cell(text(f.number(p.outer_diameter_mm, Unit::mm))) +
                          cell(text(body_name(page.bay(), p.body))));
  }
  const std::string u = ", " + f.symbol(Unit::mm);
  return tag("h3", "Ports"_h) +
         table("", {"Port", ">Centre" + u, ">Outward axis", ">Bore" + u, ">Outer diameter" + u, "Rides on"}, rows);
}

Markup frame_block(const Page& page) {
  const Figures& f = page.figures;
  Markup rows;
  for (const bay::Attitude& a : page.bay().attitudes) {
    rows += tag("tr", cell(text(a.name)) + number_cell(text(f.value(to_degrees(a.pitch), Unit::degree))) +
                          number_cell(text(f.value(to_degrees(a.roll), Unit::degree))));
  }
  return tag("h3", "Frame, units and attitudes"_h) +
         tag("p", text(std::string(frame_text()) + " Lengths in " + f.symbol(Unit::mm) + ", pressures in " +
                       f.symbol(Unit::pascal) + ", temperatures in " + f.symbol(Unit::kelvin) +
                       ", angles in degrees. Pitch is positive with the nose up, roll with the left side up.")) +
         table("fit", {"Attitude", ">Pitch", ">Roll"}, rows);
}

std::string member_text(const MotionMember& member, const Figures& f) {
  std::string line;
  for (std::size_t i = 0; i < member.joints.size() && i < member.to.size(); ++i) {
    const Joint& joint = member.joints[i];
    const bool turn = joint.kind == Joint::Kind::rotation;
    const bool box = member.shape == MotionMember::Shape::box && i < member.from.size();
    if (member.to[i] == 0 && !(box && member.from[i] != 0)) continue;
    const auto amount = [&](double q) {
      return turn ? f.value(to_degrees(radians(q)), Unit::degree, 1) : f.value(q, Unit::mm, 1);
    };
    std::string axis;
    for (int k = 0; k < 3; ++k) axis += (k ? ", " : "") + f.number(joint.axis[k], Unit::ratio);
    line += line.empty() ? "" : "; ";
    line += std::string(turn ? "turn " : "shift ") + (box ? amount(member.from[i]) + " to " : std::string()) +
            amount(member.to[i]) + " about (" + axis + ")";
    if (!turn) line.replace(line.rfind(" about ("), 8, " along (");
    if (turn) line += " through (" + f.point(joint.point) + ")";
  }
  return line.empty() ? "nothing" : line;
}

Markup motion_block(const Page& page) {
  const Figures& f = page.figures;
  Markup rows;
  const Kinematics running = measure::running_kinematics(page.bay());
  for (std::size_t i = 0; i < page.bay().bodies.size(); ++i) {
    const bay::Body& body = page.bay().bodies[i];
    const bool service = !running.bodies[i].moves();  // opened with the engine off: no clearance runs through it
    const std::string name = body.name.empty() ? body.id.value : body.name;
    for (const MotionMember& member : body.motion.members()) {
      const bool box = member.shape == MotionMember::Shape::box;
      rows += tag("tr",
                  cell(text(name)) + cell(text(member.name)) +
                      cell(service ? "for service only, not part of the clearance"_h
                           : box   ? "every combination of"_h
                                   : "straight path from rest to"_h) +
                      cell(text(member_text(member, f))) +
                      cell(body.motion_assumed ? text("assumed")
                           : body.motion_fit_residual_mm > 0
                               ? text("fitted to marks, residual " + f.value(body.motion_fit_residual_mm, Unit::mm, 1))
                               : text("stated")));
    }
  }
  Markup out = tag("h3", "Motion of the bodies"_h);
  if (rows.empty()) return out + tag("p", "lede", "Nothing moves in this job."_h);
  out += tag("p", "lede",
             page.bay().motions_combined
                 ? "Bodies may be away from rest at the same time, in every combination; lengths and angles:"_h
                 : "One body at a time is away from rest; clearances hold for every pose on the way:"_h);
  return out + table("", {"Body", "Load case", "Set", "Amount", "Known from"}, rows);
}

Markup row(const char* name, const std::string& value) { return tag("tr", cell(text(name)) + cell(text(value))); }

Markup curve_text(const Figures& f, const flow::FilterCurve& curve) {
  std::string line;
  for (const flow::FilterCurve::Point& p : curve.points) {
    line += line.empty() ? "" : "; ";
    line += fixed(p.flow.si(), 3) + " m\u00B3/s: " + f.value(p.loss.si(), Unit::pascal);
  }
  const char* kind = curve.kind == flow::PressureKind::total ? "total" : "static";
  return text(line + " (" + kind + " pressure, air of " + fixed(curve.reference_density_kg_m3, 2) + " kg/m\u00B3)");
}

/// How outside air enters a duct.
std::string entry_text(const Figures& f, const duct::Entry& entry) {
  if (std::holds_alternative<duct::FlushEntry>(entry)) return "flush with a wall";
  if (std::holds_alternative<duct::ReentrantEntry>(entry)) return "re-entrant";
  if (const auto* lip = std::get_if<duct::Bellmouth>(&entry)) {
    return "bellmouth, lip of " + f.value(lip->radius_mm, Unit::mm) + (lip->in_wall ? ", in a wall" : ", free");
  }
  if (const auto* cone = std::get_if<duct::ConeEntry>(&entry)) {
    return "cone of " + f.value(to_degrees(cone->full_angle), Unit::degree) + ", " +
           f.value(cone->length_mm, Unit::mm) + " long";
  }
  return "loses " + f.value(std::get<duct::StatedEntry>(entry).loss.si(), Unit::pascal) + ", as stated";
}

Markup charge_rows(const Figures& f, const flow::ChargeInputs& charge) {
  Markup rows;
  const auto add = [&](const char* name, const std::optional<std::string>& value) {
    if (value) rows += row(name, *value);
  };
  const auto pressure = [&](const std::optional<Pressure>& p) {
    return p ? std::optional(f.value(p->si(), Unit::pascal)) : std::nullopt;
  };
  const auto temperature = [&](const std::optional<Temperature>& t) {
    return t ? std::optional(f.value(t->si(), Unit::kelvin)) : std::nullopt;
  };
  const auto share = [](const std::optional<double>& v) { return v ? std::optional(fixed(*v, 2)) : std::nullopt; };
  add("Boost at the rating", pressure(charge.boost));
  add("Greatest boost", pressure(charge.peak_boost));
  add("Compressor inlet", temperature(charge.inlet_temperature));
  add("Efficiency of the compressor", share(charge.compressor_efficiency));
  add("Compressor outlet", temperature(charge.outlet_temperature));
  if (!charge.cooler) return rows;
  const flow::ChargeCooler& cooler = *charge.cooler;
  add("Effectiveness of the cooler", share(cooler.effectiveness));
  if (cooler.conductance_W_K) rows += row("Heat the cooler passes", fixed(*cooler.conductance_W_K, 0) + " W/K");
  if (cooler.air_flow) rows += row("Cooling air through it", f.value(cooler.air_flow->si(), Unit::kg_per_s));
  add("Cooling air", temperature(cooler.cooling_air));
  add("Loss to behind the cooler", pressure(cooler.loss));
  if (cooler.curve) rows += tag("tr", cell("Core of the cooler"_h) + cell(curve_text(f, *cooler.curve)));
  return rows;
}

Markup air_block(const Page& page) {
  const Figures& f = page.figures;
  const flow::FlowInputs& in = page.installation.job.flow;
  const std::string absent = "not stated";
  const auto rated = flow::rated_flow(in);
  Markup rows = row("Rated flow", rated ? f.value(rated->si(), Unit::kg_per_s) : absent);
  if (in.engine) {
    rows += row("Rated flow, from", fixed(in.engine->displacement_cm3, 0) + " cm\u00B3 at " +
                                        fixed(in.engine->speed_rpm, 0) + "/min, volumetric efficiency " +
                                        fixed(in.engine->volumetric_efficiency, 2) + ", manifold " +
                                        f.value(in.engine->manifold_boost.si(), Unit::pascal) + " boost at " +
                                        f.value(in.engine->manifold_temperature.si(), Unit::kelvin));
  }
  if (in.ambient) {
    rows += row("Outside air", f.value(in.ambient->pressure.si(), Unit::pascal) + ", " +
                                   f.value(in.ambient->temperature.si(), Unit::kelvin) + ", relative humidity " +
                                   fixed(100 * in.ambient->relative_humidity, 0) + " %");
  } else {
    rows += row("Outside air", absent);
  }
  bool entered = false;
  for (const duct::Duct& d : page.installation.ducts) {
    if (!d.spec.entry) continue;
    entered = true;
    rows += tag("tr", cell(text("Air enters duct " + d.spec.id.value)) + cell(text(entry_text(f, *d.spec.entry))));
  }
  if (in.raw_air_loss || !entered) {
    rows += row("Loss ahead of the filter", in.raw_air_loss ? f.value(in.raw_air_loss->si(), Unit::pascal) : absent);
  }
  if (in.crankcase_gas) rows += row("Crankcase gas", f.value(in.crankcase_gas->si(), Unit::kg_per_s, 1));
  rows += row("Wall roughness", in.wall_roughness_mm ? f.value(*in.wall_roughness_mm, Unit::mm, 2)
                                                     : "not stated; a usual value was taken");
  rows += row("Air of the bay", in.bay_air ? f.value(in.bay_air->si(), Unit::kelvin) : absent);
  rows += row("Air where it is drawn in", in.source_air ? f.value(in.source_air->si(), Unit::kelvin) : absent);
  if (in.components.empty()) rows += row("Filter", absent);
  for (const flow::Component& c : in.components) {
    const std::string name = c.name.empty() ? c.id.value : c.name;
    rows += tag("tr", cell(text(name + ", clean")) + cell(c.clean ? curve_text(f, *c.clean) : text(absent)));
    rows += tag("tr", cell(text(name + ", due for change")) + cell(c.dirty ? curve_text(f, *c.dirty) : text(absent)));
  }
  if (in.charge) rows += charge_rows(f, *in.charge);
  return tag("h3", "Air"_h) + tag("table", "fit", tag("tbody", rows));
}

}  // namespace

Markup input_section(const Page& page) {
  return section_heading(8, "inputs", "Inputs") + file_block(page) + frame_block(page) + motion_block(page) +
         part_block(page) + port_block(page) + air_block(page);
}

}  // namespace baywright::report
