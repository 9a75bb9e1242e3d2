#include <algorithm>

#include "flow/pressure_line.hpp"
#include "report/page.hpp"

namespace baywright::report {
namespace {

using DuctResult = checks::Evaluation::DuctResult;

const flow::Restriction* estimate(const std::variant<flow::Restriction, measure::NotAssessed>& outcome) {
  return std::get_if<flow::Restriction>(&outcome);
}

/// One name for the same element of the clean and the dirty run: "filter" for "filter (clean)" and "filter (dirty)".
std::string shared_name(const std::string& clean, const std::string& dirty) {
  if (clean == dirty) return clean;
  std::size_t same = 0;
  while (same < clean.size() && same < dirty.size() && clean[same] == dirty[same]) ++same;
  while (same > 0 && (clean[same - 1] == ' ' || clean[same - 1] == '(')) --same;
  return same > 0 ? clean.substr(0, same) : clean + " / " + dirty;
}

std::string stations(const Figures& f, double from_mm, double to_mm) {
  if (from_mm == to_mm) return f.number(from_mm, Unit::mm);
  return f.number(from_mm, Unit::mm) + " \u2013 " + f.number(to_mm, Unit::mm);
}

Markup share(double part, double whole) {
  if (!(whole > 0)) return {};
  return text(fixed(100 * part / whole, 0) + " %");
}

/// " ±0.16"; "" when nothing is uncertain.
std::string uncertainty(const Figures& f, const Band& band, int more = 0) {
  if (band.contributions().empty()) return "";
  const std::string low = f.number(band.low(), Unit::pascal, more), high = f.number(band.high(), Unit::pascal, more);
  return low == high ? " \u00B1" + high : " -" + low + " / +" + high;
}

/// Of an element; what lies ahead of the duct has none on it.
Markup station_cell(const Figures& f, const flow::Restriction& r, std::size_t i, bool end_only = false) {
  const flow::ElementLoss& e = r.elements[i];
  if (i < flow::elements_ahead(r)) return number_cell("ahead"_h);
  return number_cell(text(stations(f, end_only ? e.station_to_mm : e.station_from_mm, e.station_to_mm)));
}

Markup element_row(const Figures& f, const std::string& name, const flow::Restriction& first,
                   const flow::Restriction* clean, const flow::Restriction* dirty, std::size_t i) {
  const flow::ElementLoss& e = first.elements[i];
  const auto columns = [&](const flow::Restriction* r) {
    if (!r) return number_cell("–"_h) + number_cell({});
    const double loss = r->elements[i].loss.si();
    const std::string band = uncertainty(f, Band(r->elements[i].band), 1);
    return number_cell(text(f.number(loss, Unit::pascal, 1)) + tag("small", text(band))) +
           number_cell(share(loss, r->total.si()));
  };
  return tag("tr",
             cell(text(name)) + station_cell(f, first, i) +
                 number_cell(e.velocity_m_s > 0 ? text(f.number(e.velocity_m_s, Unit::m_per_s)) : "–"_h) +
                 number_cell(e.mach > 0 ? text(fixed(e.mach, 3)) : "–"_h) +
                 number_cell(e.loss_coefficient > 0 ? text(f.number(e.loss_coefficient, Unit::ratio, 1)) : "–"_h) +
                 columns(clean) + columns(dirty));
}

std::string total_text(const Figures& f, const flow::Restriction& r) {
  return f.number(r.total.si(), Unit::pascal) + uncertainty(f, r.band);
}

Markup element_table(const Page& page, const flow::Restriction* clean, const flow::Restriction* dirty) {
  const Figures& f = page.figures;
  const flow::Restriction& first = clean ? *clean : *dirty;
  // The two runs follow the same duct; should they ever differ in elements, each stands alone.
  if (clean && dirty && clean->elements.size() != dirty->elements.size()) {
    return element_table(page, clean, nullptr) + element_table(page, nullptr, dirty);
  }
  Markup rows;
  for (std::size_t i = 0; i < first.elements.size(); ++i) {
    const std::string name =
        clean && dirty ? shared_name(clean->elements[i].name, dirty->elements[i].name) : first.elements[i].name;
    rows += element_row(f, name, first, clean, dirty, i);
  }
  const auto total = [&](const flow::Restriction* r) {
    return number_cell(r ? text(total_text(f, *r)) : "–"_h) + "<td></td>"_h;
  };
  rows += tag("tr", "total",
              "<td colspan=\"5\">"_h +
                  text(first.choked() ? "Total pressure lost ahead of " + first.chokes_at +
                                            ", where the duct chokes: the rated flow does not pass"
                                      : "Total pressure lost from outside air to the compressor face") +
                  "</td>"_h + total(clean) + total(dirty));
  const std::string p = f.symbol(Unit::pascal);
  return table("",
               {"Element, in order of flow", ">Station, " + f.symbol(Unit::mm), ">Velocity, m/s", ">Mach", ">K",
                ">Clean, " + p, ">share", ">Dirty, " + p, ">share"},
               rows);
}

/// Total and static pressure behind each element, below outside.
Markup pressure_table(const Page& page, const flow::Restriction* clean, const flow::Restriction* dirty) {
  const auto& ambient = page.installation.job.flow.ambient;
  if (!ambient || (clean && dirty && clean->elements.size() != dirty->elements.size())) return {};
  const Figures& f = page.figures;
  const auto below = [&](const std::optional<Pressure>& p) {
    return number_cell(p ? text(f.number((ambient->pressure - *p).si(), Unit::pascal)) : "–"_h);
  };
  const auto columns = [&](const flow::Restriction* r, std::size_t i) {
    if (!r) return number_cell("–"_h) + number_cell("–"_h);
    return below(r->elements[i].total_behind) + below(r->elements[i].static_behind);
  };
  const flow::Restriction& run = clean ? *clean : *dirty;
  const auto& first = run.elements;
  Markup rows;
  for (std::size_t i = 0; i < first.size(); ++i) {
    const std::string name = clean && dirty ? shared_name(first[i].name, dirty->elements[i].name) : first[i].name;
    rows += tag("tr", cell(text(name)) + station_cell(f, run, i, true) + columns(clean, i) + columns(dirty, i));
  }
  const std::string p = ", " + f.symbol(Unit::pascal);
  return "<details><summary>Pressure along the duct, behind each element, below outside</summary>"_h +
         table("fit",
               {"Behind", ">Station, " + f.symbol(Unit::mm), ">Clean: total" + p, ">static" + p, ">Dirty: total" + p,
                ">static" + p},
               rows) +
         "</details>\n"_h;
}

Markup gauge_table(const Page& page, const DuctResult& result) {
  const auto& clean = result.measures.gauge_clean;
  const auto& dirty = result.measures.gauge_dirty;
  const auto& either = clean.empty() ? dirty : clean;
  if (either.empty()) return {};
  const Figures& f = page.figures;
  Markup rows;
  for (const flow::GaugeReading& g : either) {
    const auto columns = [&](const std::vector<flow::GaugeReading>& list) {
      const auto found = std::find_if(list.begin(), list.end(), [&](const flow::GaugeReading& other) {
        return other.tap == g.tap && other.station_mm == g.station_mm;
      });
      if (found == list.end()) return number_cell("–"_h) + number_cell("–"_h);
      return number_cell(text(f.number(found->total_loss.si(), Unit::pascal) + uncertainty(f, found->band))) +
             number_cell(text(f.number(found->reading.si(), Unit::pascal) + uncertainty(f, found->band)));
    };
    rows += tag("tr", cell(text(g.tap)) + number_cell(text(f.number(g.station_mm, Unit::mm))) + columns(clean) +
                          columns(dirty));
  }
  const std::string p = ", " + f.symbol(Unit::pascal);
  return tag("h3", "What a gauge would show"_h) +
         tag("p", "lede",
             "A gauge on a wall tap reads static pressure below the outside air. It shows the loss up to the tap and, "
             "on "
             "top of it, the dynamic pressure of the air passing there, so a tap in a narrow tube reads more without "
             "any "
             "more loss. Compare a gauge with the reading at its own tap, never with the total."_h) +
         table("fit",
               {"Place", ">Station, " + f.symbol(Unit::mm), ">Clean: loss up to here" + p, ">gauge reads" + p,
                ">Dirty: loss up to here" + p, ">gauge reads" + p},
               rows);
}

Markup band_table(const Page& page, const char* title, const flow::Restriction* r) {
  if (!r || r->band.contributions().empty()) return {};
  const Figures& f = page.figures;
  Markup rows;
  for (const Contribution& c : r->band.contributions()) {
    rows += tag("tr", cell(text(c.source)) + number_cell(text(f.number(c.low, Unit::pascal, 1))) +
                          number_cell(text(f.number(c.high, Unit::pascal, 1))) + cell(text(c.group)));
  }
  const std::string p = f.symbol(Unit::pascal);
  return "<details><summary>"_h + text(title) + "</summary>"_h +
         table("fit", {"Cause", ">Below, " + p, ">Above, " + p, "Shared cause"}, rows) + "</details>\n"_h;
}

Markup missing(const char* state, const std::variant<flow::Restriction, measure::NotAssessed>& outcome) {
  const auto* n = std::get_if<measure::NotAssessed>(&outcome);
  if (!n) return {};
  std::string line = n->reason;
  for (std::size_t i = 0; i < n->missing.size(); ++i) line += (i == 0 ? ". Missing: " : ", ") + n->missing[i];
  return tag("p", verdict_mark(checks::Verdict::not_checked) + ", "_h + text(state) + ": "_h + text(line));
}

std::string meaning_of_limit(const checks::Sheet& sheet) {
  if (!sheet.restriction) return "The sheet does not say which pressure at which place its restriction limits mean.";
  const bool total = sheet.restriction->kind == flow::PressureKind::total;
  return std::string("The limits of the sheet mean ") + (total ? "total pressure lost" : "a static gauge reading") +
         " at: " + sheet.restriction->station + ".";
}

std::vector<std::string> notes_of(const flow::Restriction* clean, const flow::Restriction* dirty) {
  std::vector<std::string> notes = clean ? clean->notes : std::vector<std::string>{};
  if (dirty) {
    for (const std::string& note : dirty->notes) {
      if (std::find(notes.begin(), notes.end(), note) == notes.end()) notes.push_back(note);
    }
  }
  return notes;
}

Markup one_duct(const Page& page, const duct::Duct& duct, const DuctResult& result) {
  const flow::Restriction* clean = estimate(result.measures.clean);
  const flow::Restriction* dirty = estimate(result.measures.dirty);
  Markup out;
  if (clean || dirty) {
    out += tag("p", "lede", text(meaning_of_limit(page.installation.sheet))) + restriction_chart(page, result) +
           element_table(page, clean, dirty) + pressure_table(page, clean, dirty) + gauge_table(page, result) +
           breather_block(page, duct, clean ? *clean : *dirty, clean ? dirty : nullptr) + budget_block(page, duct) +
           band_table(page, "Uncertainty of the clean total, cause by cause", clean) +
           band_table(page, "Uncertainty of the dirty total, cause by cause", dirty) + bullets(notes_of(clean, dirty));
  }
  return out + missing("clean filter", result.measures.clean) + missing("dirty filter", result.measures.dirty);
}

}  // namespace

Markup restriction_section(const Page& page) {
  Markup out = section_heading(3, "restriction", "Restriction");
  bool any = false;
  for (const duct::Duct& d : page.installation.ducts) {
    const DuctResult* result = page.result_of(d.spec.id);
    if (!result || d.spec.service != duct::Service::intake) continue;
    any = true;
    if (page.installation.ducts.size() > 1) out += tag("h3", text("Duct " + d.spec.id.value));
    out += one_duct(page, d, *result);
  }
  if (!any) out += tag("p", "lede", "The job has no intake duct, so no restriction was estimated."_h);
  return out + charge_block(page);
}

}  // namespace baywright::report
