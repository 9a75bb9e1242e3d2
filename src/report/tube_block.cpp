#include <algorithm>

#include "duct/bend_table.hpp"
#include "geometry/base/words.hpp"
#include "measure/tube_making.hpp"
#include "measure/tube_support.hpp"
#include "report/page.hpp"

namespace baywright::report {
namespace {

using measure::Beam;
using measure::Measured;
using measure::Support;

/// "0.42 kg", with its uncertainty where there is one.
std::string weight_text(const Figures& f, const Measured& m) {
  const std::string u = f.uncertainty(m);
  return f.measured(m) + (u.empty() ? "" : " (" + u + ")");
}

std::string support_text(const Figures& f, const Support& support) {
  std::string words = support.by;
  if (support.carries) {
    words += (support.rigid ? " carries " : " passes on ") + std::string(support.at_least ? "at least " : "") +
             weight_text(f, *support.carries);
  }
  return words;
}

Markup holders(const Figures& f, const Beam& beam) {
  Markup out;
  for (const Support& support : beam.supports) out += tag("div", text(support_text(f, support)));
  if (out.empty()) out = tag("div", "nothing"_h);
  if (!beam.loose.empty()) out += tag("div", tag("strong", text(beam.loose)));
  if (beam.floats && beam.loose.empty()) out += tag("small", "floats: rubber alone carries it"_h);
  return out;
}

const checks::Finding* landing_of(const Page& page, const duct::Duct& d, const std::string& tube) {
  for (const checks::Finding& finding : page.evaluation.findings) {
    if (finding.check == "fb.stack" && finding.duct == d.spec.id && finding.subject == tube) return &finding;
  }
  return nullptr;
}

std::string made_words(const duct::DuctSpec& spec) {
  if (!spec.made) return "how it is made is not stated";
  return *spec.made == duct::Making::tacked_in_place ? "tacked in place on the vehicle, which brings its ends to where "
                                                       "they belong"
                                                     : "bent in one program";
}

bool is_bent(const std::vector<measure::Landing>& landings, const std::string& tube) {
  return std::any_of(landings.begin(), landings.end(), [&](const measure::Landing& l) { return l.tube == tube; });
}

/// How a tube is made, and what takes up what making leaves open of it.
Markup making_of(const Page& page, const duct::Duct& d, const std::string& tube,
                 const std::vector<measure::Landing>& landings) {
  if (!is_bent(landings, tube)) return text("straight: cut to length");
  Markup out = text(made_words(d.spec));
  if (d.spec.made == duct::Making::tacked_in_place) return out;
  for (const measure::Landing& landing : landings) {
    if (landing.tube != tube) continue;
    const auto* m = std::get_if<Measured>(&landing.left);
    out += tag("div", text(m ? m->note : std::get<measure::NotAssessed>(landing.left).reason));
  }
  const checks::Finding* finding = landing_of(page, d, tube);
  if (!finding) return out;
  const bool lands = finding->verdict == checks::Verdict::met;
  return out + tag("div", verdict_mark(finding->verdict) + text(lands ? ", no trim needed" : ": " + finding->hint));
}

std::string tube_names(const duct::Duct& d, const Beam& beam, std::vector<std::string>& tubes) {
  for (const duct::Piece& piece : d.layout.pieces) {
    const double middle = 0.5 * (piece.station_from_mm + piece.station_to_mm);
    const bool in_it = middle > beam.station_from_mm && middle < beam.station_to_mm;
    if (piece.kind == duct::Piece::Kind::tube && in_it) tubes.push_back(piece.name);
  }
  return beam.name;
}

Markup beam_row(const Page& page, const duct::Duct& d, const Beam& beam,
                const std::vector<measure::Landing>& landings) {
  const Figures& f = page.figures;
  std::vector<std::string> tubes;
  const std::string name = tube_names(d, beam, tubes);
  Markup making;
  for (const std::string& tube : tubes) {
    making +=
        tag("div", (tubes.size() > 1 ? tag("b", text(tube + ": ")) : Markup()) + making_of(page, d, tube, landings));
  }
  return tag("tr", cell(text(name)) + cell(holders(f, beam)) +
                       number_cell(beam.mass ? text(weight_text(f, *beam.mass)) : "–"_h) +
                       number_cell(text(f.measured(beam.longest_free))) + cell(making));
}

std::string cut_text(const Figures& f, const duct::Piece& tube, const duct::BendTable& bends) {
  return "cut ends at stations " + f.number(tube.station_from_mm, Unit::mm) + " and " +
         f.number(tube.station_to_mm, Unit::mm) + ", developed length " + f.value(bends.developed_mm, Unit::mm);
}

/// Bought parts and cones that are part of a rigid tube: what the shop joins to the tube it bends.
std::string parts_in(const Figures& f, const duct::Duct& d, const duct::Piece& tube) {
  std::vector<std::string> parts;
  for (const duct::PlacedFitting& fitting : d.layout.fittings) {
    const bool within = fitting.station_from_mm >= tube.station_from_mm && fitting.station_to_mm <= tube.station_to_mm;
    const bool has_length = fitting.station_to_mm > fitting.station_from_mm;
    if (!within || !has_length || std::holds_alternative<duct::Coupler>(fitting.kind)) continue;
    parts.push_back(std::string(duct::kind_name(fitting.kind)) + " " + fitting.id.value + " at stations " +
                    f.number(fitting.station_from_mm, Unit::mm) + " to " + f.number(fitting.station_to_mm, Unit::mm));
  }
  return parts.empty() ? "" : "; in it " + joined(parts, " and ");
}

Markup bend_row(const Figures& f, const duct::BendRow& r, int number, const duct::Bend* placed) {
  const auto mm = [&](double value) { return f.number(value, Unit::mm); };
  const auto deg = [&](Angle angle) { return f.value(to_degrees(angle), Unit::degree, 1); };
  return tag("tr", cell(text(number)) + cell(placed ? text(placed->at.value) : Markup()) +
                       number_cell(placed ? text(mm(placed->station_from_mm) + " \u2013 " + mm(placed->station_to_mm))
                                          : Markup()) +
                       number_cell(text(mm(r.length_before_mm))) +
                       number_cell(number == 1 ? "–"_h : text(deg(r.rotation))) + number_cell(text(deg(r.angle))) +
                       number_cell(text(mm(r.radius_mm) +
                                        (r.pieces > 0 ? ", welded of " + std::to_string(r.pieces) + " pieces" : ""))) +
                       number_cell(text(mm(r.arc_mm))));
}

Markup bend_rows(const Figures& f, const duct::Duct& d, const duct::Piece& tube, const duct::BendTable& bends) {
  std::vector<const duct::Bend*> placed;
  for (const duct::Bend& bend : d.layout.bends) {
    const double middle = 0.5 * (bend.station_from_mm + bend.station_to_mm);
    if (bend.bends() && middle > tube.station_from_mm && middle < tube.station_to_mm) placed.push_back(&bend);
  }
  Markup rows;
  for (std::size_t i = 0; i < bends.rows.size(); ++i) {
    rows += bend_row(f, bends.rows[i], static_cast<int>(i) + 1, i < placed.size() ? placed[i] : nullptr);
  }
  rows += tag("tr", "<td></td><td colspan=\"2\">last straight</td>"_h +
                        number_cell(text(f.number(bends.last_length_mm, Unit::mm))) + "<td colspan=\"4\"></td>"_h);
  return rows + tag("tr", "total",
                    "<td></td><td colspan=\"2\">developed length</td>"_h +
                        number_cell(text(f.number(bends.developed_mm, Unit::mm))) + "<td colspan=\"4\"></td>"_h);
}

Markup tube_table(const Page& page, const duct::Duct& d, const duct::Piece& tube) {
  const Figures& f = page.figures;
  const duct::BendTable bends = duct::bend_table(d.layout, tube.station_from_mm, tube.station_to_mm);
  const std::string line =
      (bends.rows.empty() ? ": straight, " : ": ") + cut_text(f, tube, bends) + parts_in(f, d, tube);
  const Markup heading = tag("p", "piece", tag("b", text(tube.name)) + text(line + "."));
  if (bends.rows.empty()) return heading;
  const std::string u = ", " + f.symbol(Unit::mm);
  return heading + table("bends",
                         {"Bend", "At", ">Stations" + u, ">Straight before" + u, ">Rotation", ">Bend",
                          ">Centerline radius" + u, ">Arc" + u},
                         bend_rows(f, d, tube, bends));
}

}  // namespace

Markup tube_block(const Page& page, const duct::Duct& d) {
  const measure::DuctSupport support = measure::support_of(d);
  if (support.beams.empty()) return {};
  const auto* result = page.result_of(d.spec.id);
  const std::vector<measure::Landing> landings =
      measure::landings(d, result ? result->measures.joints_over_motion : std::vector<measure::JointShare>());
  Markup rows;
  for (const Beam& beam : support.beams) rows += beam_row(page, d, beam, landings);
  Markup out = tag("h3", "Tubes: what holds each, and what takes up its making"_h) +
               table("tubes",
                     {"Tube", "Held by, and the load there", ">Mass", ">Longest free stretch",
                      "Made, and where its "
                      "error goes"},
                     rows);
  std::string small = "Level vehicle at rest. Tubes that a joint does not part count as one.";
  if (support.unweighed) small += " No weights: " + support.unweighed->reason + ".";
  return out + tag("p", "small", text(small));
}

Markup bend_block(const Page& page, const duct::Duct& d) {
  Markup tables;
  for (const duct::Piece& piece : d.layout.pieces) {
    if (piece.kind == duct::Piece::Kind::tube) tables += tube_table(page, d, piece);
  }
  if (tables.empty()) return {};
  return tag("h3", "Bend tables: feed, rotation, bend of each rigid tube"_h) + tables +
         tag("p", "small",
             "Each table begins at the tube's own upstream end. Positive rotation turns the plane of the bend "
             "right-handed about the feed direction, from that of the bend before; a machine that turns the tube needs "
             "the opposite sign. Nominal angles and lengths: springback, stretch and what is trimmed are the bender's."_h);
}

}  // namespace baywright::report
