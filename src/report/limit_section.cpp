#include "checks/check.hpp"
#include "report/page.hpp"

namespace baywright::report {
namespace {

/// Every check of the program: what it measures, and the limits the sheet has for it.
Markup check_table(const Page& page) {
  Markup rows;
  for (const checks::CheckDef& def : checks::registry()) {
    std::vector<std::string> ids = {def.id};
    for (const checks::FurtherLimit& f : def.further_limits) ids.push_back(f.id);
    Markup limits, origins;
    for (const std::string& id : ids) {
      const auto found = page.installation.sheet.limits.find(id);
      if (found == page.installation.sheet.limits.end()) continue;
      const std::string stated = checks::stated_otherwise(found->second, page.figures.units());
      limits += tag("div", text(page.figures.limit(found->second) + (stated.empty() ? "" : " (" + stated + ")")));
      origins += tag(
          "div", (ids.size() > 1 ? tag("span", "id", text(id)) + " "_h : Markup()) + origin_text(found->second.origin));
    }
    if (limits.empty() && def.limits == checks::LimitPlace::by_class) limits = "by class"_h;
    const auto waived = page.installation.sheet.not_required.find(def.id);
    if (waived != page.installation.sheet.not_required.end()) {
      limits = "not required"_h;
      origins = text(waived->second);
    }
    if (limits.empty()) limits = "none"_h;
    rows += tag("tr", cell(tag("b", text(def.title)) + "<br>"_h + tag("span", "id", text(def.id))) +
                          cell(text(checks::definition_text(def, page.figures.units()))) + number_cell(limits) +
                          cell(origins));
  }
  return table("checks", {"Requirement", "What is measured", ">Limit", "Origin"}, rows);
}

Markup clearance_table(const Page& page) {
  const Figures& f = page.figures;
  Markup rows;
  for (const checks::ClearanceRow& r : page.installation.sheet.clearance) {
    const auto add = [&](const std::string& of, const checks::ClearanceNeed& need) {
      rows +=
          tag("tr", cell(text(bay::name(r.part_class))) + cell(text(of)) +
                        number_cell(text(f.number(need.same_body_mm, Unit::mm))) +
                        number_cell(text(f.number(need.at_rest_mm, Unit::mm))) +
                        number_cell(text(f.number(need.over_motion_mm, Unit::mm))) + cell(origin_text(need.origin)));
    };
    const bool hose_unknown = !r.of(duct::Piece::Kind::coupler);
    std::string rest = r.hose || hose_unknown ? "tube" : "tube, hose";
    if (!r.clamp) rest += ", clamps";
    add(r.hose || hose_unknown || r.clamp ? rest : "every piece", r.tube());
    if (r.hose) add("hose", *r.hose);
    if (r.clamp) add("clamps", *r.clamp);
  }
  const std::string u = ", " + f.symbol(Unit::mm);
  return tag("h3", "Clearance by class of part"_h) +
         table("", {"Class", "Piece", ">Same body" + u, ">At rest" + u, ">Over the motion" + u, "Origin"}, rows);
}

}  // namespace

Markup limit_section(const Page& page) {
  const checks::Sheet& sheet = page.installation.sheet;
  Markup out = section_heading(9, "limits", "Limits and where they come from") + tag("p", text(sheet.name));
  if (!sheet.note.empty()) out += tag("p", "lede", text(sheet.note));
  out += tag("p", "lede",
             "The engine supplier's installation sheet outranks every other origin. Values of common practice are what "
             "experienced shops use; they carry no authority."_h);
  return out + check_table(page) + clearance_table(page);
}

}  // namespace baywright::report
