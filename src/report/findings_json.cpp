#include "duct/bend_table.hpp"
#include "report/access_json.hpp"
#include "report/report.hpp"
#include "report/wording.hpp"

namespace baywright::report {
namespace {

Json contribution_json(const Contribution& c) {
  Object o;
  o.text("source", c.source);
  o.text("kind", c.kind == Contribution::Kind::standard   ? "standard"
                 : c.kind == Contribution::Kind::expanded ? "expanded"
                                                          : "bound");
  o.number("low", c.low);
  o.number("high", c.high);
  o.text("group", c.group);
  o.text("missing", c.missing);
  return o.done();
}

Json contributions_json(const Band& band) { return array_of(band.contributions(), contribution_json); }

Json limit_json(const checks::Limit& limit) {
  Object o;
  o.text("comparison", checks::name(limit.comparison));
  o.number("value", limit.value);
  o.text("unit", file_name(limit.unit));
  o.set("origin", {{"kind", std::string(checks::name(limit.origin.kind))}, {"text", limit.origin.text}});
  return o.done();
}

/// Where a body stands within its motion: the load case and each joint's parameter, degree or mm.
Json body_state_json(const bay::Body& body, const BodyState& state) {
  Object o;
  o.text("body", body.id.value);
  const auto& members = body.motion.members();
  const bool rest = state.member < 0 || state.member >= static_cast<int>(members.size());
  o.set("load_case", rest ? Json() : Json(members[static_cast<std::size_t>(state.member)].name));
  Json parameters = Json::array();
  if (!rest) {
    const MotionMember& member = members[static_cast<std::size_t>(state.member)];
    for (std::size_t i = 0; i < state.q.size() && i < member.joints.size(); ++i) {
      const bool turn = member.joints[i].kind == Joint::Kind::rotation;
      Object p;
      p.text("joint", turn ? "rotation" : "translation");
      p.point("axis", member.joints[i].axis);
      p.number(turn ? "value_deg" : "value_mm", turn ? to_degrees(radians(state.q[i])) : state.q[i]);
      parameters.push_back(p.done());
    }
  }
  o.set("parameters", std::move(parameters));
  return o.done();
}

Json pose_json(const bay::Bay& bay, const measure::Measured& m) {
  if (!m.pose && m.pose_name.empty()) return nullptr;
  Object o;
  o.text("text", m.pose_name);
  Json bodies = Json::array();
  if (m.pose) {
    for (std::size_t i = 0; i < m.pose->bodies.size() && i < bay.bodies.size(); ++i) {
      bodies.push_back(body_state_json(bay.bodies[i], m.pose->bodies[i]));
    }
  }
  o.set("bodies", std::move(bodies));
  o.number("axial_share", m.pose ? std::optional(m.pose->axial_share) : std::nullopt);
  o.number("spin_share", m.pose ? std::optional(m.pose->spin_share) : std::nullopt);
  o.number("mix", m.pose ? std::optional(m.pose->mix) : std::nullopt);
  return o.done();
}

Json measured_json(const bay::Bay& bay, const measure::Measured& m) {
  Object o;
  o.text("unit", file_name(m.unit));
  o.number("lo", m.lo);
  o.number("hi", m.hi);
  o.number("uncertainty_low", m.band.low());
  o.number("uncertainty_high", m.band.high());
  o.number("lowest", m.lowest());
  o.number("highest", m.highest());
  o.set("contributions", contributions_json(m.band));
  o.number("station_mm", m.station_mm);
  o.point("at_mm", m.at_mm);
  if (m.witness) {
    Object w;
    w.point("on_duct_mm", m.witness->on_duct_mm);
    w.point("on_other_mm", m.witness->on_other_mm);
    o.set("witness", w.done());
  } else {
    o.set("witness", nullptr);
  }
  o.set("pose", pose_json(bay, m));
  o.set("assumed_motion", m.assumed_motion);
  o.text("note", m.note);
  o.set("asides", array_of(m.asides, [](const measure::Aside& aside) {
          Object a;
          a.text("what", aside.what);
          a.number("value", aside.value);
          a.text("unit", file_name(aside.unit));
          return a.done();
        }));
  return o.done();
}

Json not_assessed_json(const measure::NotAssessed& n) { return {{"reason", n.reason}, {"missing", n.missing}}; }

Json finding_json(const bay::Bay& bay, const checks::Finding& f, int number) {
  Object o;
  o.set("number", number);
  o.text("check", f.check);
  o.text("title", f.title);
  o.text("verdict", checks::name(f.verdict));
  o.text("severity", checks::name(f.severity));
  o.text("duct", f.duct.value);
  o.text("subject", f.subject);
  o.set("part", f.part ? Json(f.part->value) : Json());
  const auto* measured = std::get_if<measure::Measured>(&f.outcome);
  o.set("measured", measured ? measured_json(bay, *measured) : Json());
  o.set("not_assessed", measured ? Json() : not_assessed_json(std::get<measure::NotAssessed>(f.outcome)));
  o.set("limit", f.limit ? limit_json(*f.limit) : Json());
  std::optional<double> margin;
  if (measured && f.limit) margin = checks::margin(f);
  o.number("margin", margin);
  o.text("hint", f.hint);
  return o.done();
}

Json restriction_json(const std::variant<flow::Restriction, measure::NotAssessed>& outcome) {
  if (const auto* n = std::get_if<measure::NotAssessed>(&outcome)) {
    return {{"estimate", nullptr}, {"not_assessed", not_assessed_json(*n)}};
  }
  const auto& r = std::get<flow::Restriction>(outcome);
  Object o;
  o.number("total_loss_Pa", r.total.si());
  o.number("uncertainty_low_Pa", r.band.low());
  o.number("uncertainty_high_Pa", r.band.high());
  o.set("contributions", contributions_json(r.band));
  o.set("elements", array_of(r.elements, [](const flow::ElementLoss& e) {
          Object element;
          element.text("name", e.name);
          element.number("station_from_mm", e.station_from_mm);
          element.number("station_to_mm", e.station_to_mm);
          element.number("loss_coefficient", e.loss_coefficient);
          element.number("velocity_m_per_s", e.velocity_m_s);
          element.number("mach", e.mach);
          element.number("loss_Pa", e.loss.si());
          element.number("total_behind_Pa", e.total_behind.si());
          element.number("static_behind_Pa", e.static_behind ? std::optional(e.static_behind->si()) : std::nullopt);
          element.set("contributions", array_of(e.band, contribution_json));
          return element.done();
        }));
  o.set("chokes_at", r.choked() ? Json(r.chokes_at) : Json());
  o.set("notes", r.notes);
  return {{"estimate", o.done()}, {"not_assessed", nullptr}};
}

Json gauges_json(const std::vector<flow::GaugeReading>& readings) {
  return array_of(readings, [](const flow::GaugeReading& g) {
    Object o;
    o.text("tap", g.tap);
    o.number("station_mm", g.station_mm);
    o.number("total_loss_Pa", g.total_loss.si());
    o.number("below_ambient_Pa", g.reading.si());
    o.number("uncertainty_low_Pa", g.band.low());
    o.number("uncertainty_high_Pa", g.band.high());
    return o.done();
  });
}

std::string_view piece_kind(duct::Piece::Kind kind) {
  switch (kind) {
    case duct::Piece::Kind::tube:
      return "tube";
    case duct::Piece::Kind::coupler:
      return "coupler";
    case duct::Piece::Kind::clamps:
      return "clamps";
  }
  return "tube";
}

std::string piece_name(const duct::Duct& duct, int piece) {
  const auto& pieces = duct.layout.pieces;
  return piece >= 0 && piece < static_cast<int>(pieces.size()) ? pieces[static_cast<std::size_t>(piece)].name : "";
}

Json exceptions_json(const bay::Bay& bay, const duct::Duct& duct, const measure::ClearanceReport& report) {
  return array_of(report.exceptions, [&](const measure::ContactException& e) {
    const bool known = e.part >= 0 && e.part < static_cast<int>(bay.parts.size());
    return Json{{"piece", piece_name(duct, e.piece)},
                {"part", known ? bay.parts[static_cast<std::size_t>(e.part)].id.value : ""},
                {"reason", e.reason}};
  });
}

std::string part_id(const bay::Bay& bay, int part) { return bay.parts[static_cast<std::size_t>(part)].id.value; }

/// One slice at rest or over the motion.
Json slice_clearance_json(const bay::Bay& bay, const measure::ProfileSlice& slice) {
  Object o;
  o.set("part", slice.nearest.beyond_range() ? Json() : Json(part_id(bay, slice.nearest.part)));
  o.number("lo_mm", slice.nearest.lo_mm);
  o.number("hi_mm", slice.nearest.hi_mm);
  if (const auto& t = slice.tightest) {
    Object tightest;
    tightest.text("part", part_id(bay, t->part));
    tightest.number("lo_mm", t->lo_mm);
    tightest.number("hi_mm", t->hi_mm);
    tightest.number("need_mm", t->need_mm);
    o.set("tightest", tightest.done());
  } else {
    o.set("tightest", nullptr);
  }
  return o.done();
}

Json profile_json(const bay::Bay& bay, const duct::Duct& duct, const checks::DuctMeasures& m) {
  const auto& moving = m.profile_over_motion.slices;
  const auto& resting = m.profile_at_rest.slices;
  Json slices = Json::array();
  for (std::size_t i = 0; i < moving.size() && i < resting.size(); ++i) {
    Object o;
    o.text("piece", piece_name(duct, moving[i].piece));
    o.number("station_from_mm", moving[i].station_from_mm);
    o.number("station_to_mm", moving[i].station_to_mm);
    o.set("excepted", moving[i].excepted);
    o.set("at_rest", slice_clearance_json(bay, resting[i]));
    o.set("over_motion", slice_clearance_json(bay, moving[i]));
    slices.push_back(o.done());
  }
  Object o;
  o.number("range_mm", m.profile_over_motion.range_mm);
  o.set("slices", std::move(slices));
  return o.done();
}

Json bend_table_json(const duct::BendTable& table) {
  Object o;
  o.set("rows", array_of(table.rows, [](const duct::BendRow& row) {
          Object r;
          r.number("length_before_mm", row.length_before_mm);
          r.number("rotation_deg", to_degrees(row.rotation));
          r.number("angle_deg", to_degrees(row.angle));
          r.number("radius_mm", row.radius_mm);
          r.number("arc_mm", row.arc_mm);
          if (row.pieces > 0) r.number("pieces", row.pieces);
          return r.done();
        }));
  o.number("last_length_mm", table.last_length_mm);
  o.number("developed_mm", table.developed_mm);
  return o.done();
}

Json duct_json(const bay::Bay& bay, const duct::Duct& duct, const checks::Evaluation::DuctResult* result) {
  Object o;
  o.text("id", duct.spec.id.value);
  o.text("name", duct.spec.name);
  o.text("service", duct::name(duct.spec.service));
  o.text("material", duct.spec.material);
  o.number("length_mm", duct.layout.length_mm);
  o.set("bend_table", bend_table_json(duct::bend_table(duct.layout)));
  o.set("pieces", array_of(duct.layout.pieces, [&](const duct::Piece& piece) {
          Object p;
          p.text("name", piece.name);
          p.text("kind", piece_kind(piece.kind));
          p.number("station_from_mm", piece.station_from_mm);
          p.number("station_to_mm", piece.station_to_mm);
          p.text("carrier", carrier_text(bay, piece));
          if (piece.kind == duct::Piece::Kind::tube) {
            p.set("bend_table",
                  bend_table_json(duct::bend_table(duct.layout, piece.station_from_mm, piece.station_to_mm)));
          }
          return p.done();
        }));
  o.set("fittings", array_of(duct.layout.fittings, [](const duct::PlacedFitting& fitting) {
          Object p;
          p.text("id", fitting.id.value);
          p.text("kind", duct::kind_name(fitting.kind));
          p.number("station_from_mm", fitting.station_from_mm);
          p.number("station_to_mm", fitting.station_to_mm);
          return p.done();
        }));
  if (result == nullptr) return o.done();
  const checks::DuctMeasures& m = result->measures;
  o.set("restriction", {{"clean", restriction_json(m.clean)}, {"dirty", restriction_json(m.dirty)}});
  o.set("gauge_readings", {{"clean", gauges_json(m.gauge_clean)}, {"dirty", gauges_json(m.gauge_dirty)}});
  o.set("clearance_profile", profile_json(bay, duct, m));
  o.set("contact_exceptions", exceptions_json(bay, duct, m.over_motion));
  o.set("parts_not_measured", m.over_motion.not_measured);
  o.set("clamps", clamps_json(m.clamps));
  return o.done();
}

Json part_json(const bay::Bay& bay, const bay::Part& part) {
  Object o;
  o.text("id", part.id.value);
  o.text("name", part.name);
  o.text("class", bay::name(part.part_class));
  o.text("body", body_name(bay, part.body));
  o.number("uncertainty_mm", part.uncertainty_mm);
  o.text("uncertainty_source", part.uncertainty_source);
  o.number("chord_error_mm", part.chord_error_mm());
  o.text("file", part.file);
  o.text("sha256", part.content_hash);
  o.set("hidden_left_out", part.hidden);
  return o.done();
}

Json motion_json(const bay::Body& body) {
  Object o;
  o.text("body", body.id.value);
  o.text("name", body.name);
  o.set("assumed", body.motion_assumed);
  o.set("service", bay::for_service(body.spec));
  o.number("fit_residual_mm", body.motion_fit_residual_mm);
  o.set("load_cases", array_of(body.motion.members(), [](const MotionMember& m) { return Json(m.name); }));
  return o.done();
}

Json attitude_json(const bay::Attitude& a) {
  Object o;
  o.text("name", a.name);
  o.number("pitch_deg", to_degrees(a.pitch));
  o.number("roll_deg", to_degrees(a.roll));
  return o.done();
}

Json sheet_json(const checks::Sheet& sheet) {
  Json restriction = nullptr;
  if (sheet.restriction) {
    const bool total = sheet.restriction->kind == flow::PressureKind::total;
    restriction = {{"pressure", total ? "total" : "static"}, {"station", sheet.restriction->station}};
  }
  return {{"name", sheet.name}, {"note", sheet.note}, {"restriction_means", std::move(restriction)}};
}

Json conventions_json() {
  return {{"frame", std::string(frame_text())},
          {"decision_rule", std::string(decision_rule())},
          {"coordinates", "mm, vehicle frame, at the pose of the finding"},
          {"stations", "mm along the centerline from the upstream port"},
          {"margin",
           "how far the whole interval lies inside the limit, in the unit of the value; negative when any of it lies "
           "outside"}};
}

Json display_units_json(const DisplayUnits& units) {
  return {{"length", units.length == LengthUnit::mm ? "mm" : "inch"},
          {"pressure", units.pressure == PressureUnit::kPa ? "kPa" : "inH2O"},
          {"temperature", units.temperature == TemperatureUnit::celsius ? "celsius" : "fahrenheit"}};
}

Json summary_json(const checks::Summary& s) {
  return {{"verdict", std::string(checks::name(job_verdict(s)))},
          {"met", s.met},
          {"not_met", s.not_met},
          {"undecided", s.undecided},
          {"not_checked", s.not_checked},
          {"not_applicable", s.not_applicable},
          {"told", s.told}};
}

const checks::Evaluation::DuctResult* result_of(const checks::Evaluation& evaluation, const duct::DuctId& id) {
  for (const auto& result : evaluation.ducts) {
    if (result.duct == id) return &result;
  }
  return nullptr;
}

}  // namespace

std::string findings_json(const job::Installation& installation, const checks::Evaluation& evaluation) {
  const bay::Bay& bay = installation.bay;
  Json root;
  root["format"] = "baywright findings";
  root["format_version"] = 1;
  root["program"] = {{"name", "baywright"}, {"version", BAYWRIGHT_VERSION}};
  root["job"] = {{"name", installation.job.name},
                 {"note", installation.job.note},
                 {"display_units", display_units_json(installation.job.units)}};
  root["conventions"] = conventions_json();
  root["summary"] = summary_json(evaluation.summary);
  int number = 0;
  root["findings"] = array_of(evaluation.findings, [&](const auto& f) { return finding_json(bay, f, ++number); });
  root["ducts"] = array_of(installation.ducts,
                           [&](const duct::Duct& d) { return duct_json(bay, d, result_of(evaluation, d.spec.id)); });
  root["ways_out"] = evaluation.ducts.empty() ? Json() : ways_json(evaluation.ducts.front().measures.ways.get());
  root["sheet"] = sheet_json(installation.sheet);
  root["motions"] = array_of(bay.bodies, motion_json);
  root["attitudes"] = array_of(bay.attitudes, attitude_json);
  root["parts"] = array_of(bay.parts, [&](const bay::Part& part) { return part_json(bay, part); });
  root["inputs"] = array_of(installation.files, [](const job::InputFile& file) {
    return Json{{"path", file.path}, {"sha256", file.sha256}, {"bytes", file.bytes}};
  });
  root["warnings"] = installation.warnings;
  root["not_modelled"] = not_modelled();
  root["cautions"] = cautions();
  // Names from a job may hold broken UTF-8; it is replaced, never refused.
  return root.dump(1, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

}  // namespace baywright::report
