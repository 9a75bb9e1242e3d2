#include <algorithm>

#include "checks/check.hpp"
#include "report/page.hpp"

namespace baywright::report {
namespace {

/// Title of the check a limit of the sheet belongs to; its id when the program has no such check.
std::string title_of_limit(const std::string& id) {
  for (const checks::CheckDef& def : checks::registry()) {
    if (def.id == id) return def.title;
    const auto& more = def.further_limits;
    if (std::find(more.begin(), more.end(), id) != more.end()) return def.title + id.substr(def.id.size());
  }
  return id;
}

Markup limit_table(const Page& page) {
  Markup rows;
  for (const auto& [id, limit] : page.installation.sheet.limits) {
    rows += tag("tr", cell(tag("span", "id", text(id))) + cell(text(title_of_limit(id))) +
                          number_cell(text(page.figures.limit(limit))) + cell(origin_text(limit.origin)));
  }
  return table("", {"Check", "Requirement", ">Limit", "Origin"}, rows);
}

Markup clearance_table(const Page& page) {
  const Figures& f = page.figures;
  Markup rows;
  for (const checks::ClearanceRow& r : page.installation.sheet.clearance) {
    rows += tag("tr", cell(text(bay::name(r.part_class))) + number_cell(text(f.number(r.same_body_mm, Unit::mm))) +
                          number_cell(text(f.number(r.at_rest_mm, Unit::mm))) +
                          number_cell(text(f.number(r.over_motion_mm, Unit::mm))) + cell(origin_text(r.origin)));
  }
  const std::string u = ", " + f.symbol(Unit::mm);
  return tag("h3", "Clearance by class of part"_h) +
         table("", {"Class", ">Same body" + u, ">At rest" + u, ">Over the motion" + u, "Origin"}, rows);
}

}  // namespace

Markup limit_section(const Page& page) {
  const checks::Sheet& sheet = page.installation.sheet;
  Markup out = section_heading(7, "limits", "Limits and where they come from") + tag("p", text(sheet.name));
  if (!sheet.note.empty()) out += tag("p", "lede", text(sheet.note));
  out += tag("p", "lede",
             "The engine supplier's installation sheet outranks every other origin. Values of common practice are what "
             "experienced shops use; they carry no authority."_h);
  return out + limit_table(page) + clearance_table(page);
}

}  // namespace baywright::report
