#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

#include "checks/check.hpp"
#include "geometry/base/unit_step.hpp"
#include "report/page.hpp"
#include "report/wording.hpp"

namespace baywright::report {
namespace {

using checks::Finding;
using checks::Verdict;

constexpr std::size_t kMetClearancesShown = 12;  // the rest stays below, folded

std::string check_definition(const std::string& id, const DisplayUnits& units) {
  const checks::CheckDef* def = checks::find_check(id);
  return def ? def->question + " " + checks::definition_text(*def, units) : "";
}

// ---- what opens below a row: how the number came about

Markup block(const char* title, const Markup& inner) {
  return inner.empty() ? inner : tag("div", tag("h4", text(title)) + inner);
}

Markup wide_block(const char* title, const Markup& inner) {
  return inner.empty() ? inner : tag("div", "wide", tag("h4", text(title)) + inner);
}

Markup contributions_table(const Figures& f, const measure::Measured& m) {
  if (m.band.contributions().empty()) return {};
  const Unit unit = step_of(m.unit);
  Markup rows;
  for (const Contribution& c : m.band.contributions()) {
    const char* kind = c.kind == Contribution::Kind::standard   ? "standard, counts twice"
                       : c.kind == Contribution::Kind::expanded ? "expanded, about 95 %"
                                                                : "bound, added in full";
    rows += tag("tr", cell(text(c.source)) + cell(text(kind)) + number_cell(text(f.number(c.low, unit, 1))) +
                          number_cell(text(f.number(c.high, unit, 1))) + cell(text(c.group)));
  }
  rows += tag("tr", "total",
              "<td colspan=\"2\">together</td>"_h + number_cell(text(f.number(m.band.low(), unit, 1))) +
                  number_cell(text(f.number(m.band.high(), unit, 1))) + "<td></td>"_h);
  const std::string mark = f.symbol(unit);
  const std::string of = mark.empty() ? "" : ", " + mark;
  return table("", {"Cause", "Kind", ">Below" + of, ">Above" + of, "Shared cause"}, rows);
}

Markup bracket_text(const Figures& f, const measure::Measured& m) {
  if (m.lo == m.hi || m.unit == Unit::none) return {};
  if (std::isinf(m.hi) && m.unit == Unit::pascal) {
    return tag("p", text(f.value(m.lo, m.unit) + " is lost before the flow stops passing; there is no upper end"));
  }
  const bool of_poses = m.pose || !m.pose_name.empty();
  if (!of_poses) {
    if (std::isinf(m.hi)) return {};
    return tag("p", text("it lies between " + f.number(m.lo, m.unit, 2) + " and " + f.value(m.hi, m.unit, 2)));
  }
  if (std::isinf(m.hi)) {
    return tag("p",
               text("nothing nearer than " + f.value(m.lo, m.unit) + " over all poses; farther was not looked for"));
  }
  return tag("p", text(f.number(m.lo, m.unit, 2) + " \u2026 " + f.value(m.hi, m.unit, 2) +
                       ": the lower end is proven for every pose, the upper end is reached at the pose given"));
}

std::string body_pose(const bay::Body& body, const BodyState& state, const Figures& f) {
  const auto& members = body.motion.members();
  const std::string name = body.name.empty() ? body.id.value : body.name;
  if (state.member < 0 || state.member >= static_cast<int>(members.size())) return name + ": at rest";
  const MotionMember& member = members[static_cast<std::size_t>(state.member)];
  std::string line = name + ": " + member.name;
  for (std::size_t i = 0; i < state.q.size() && i < member.joints.size(); ++i) {
    const Joint& joint = member.joints[i];
    const bool turn = joint.kind == Joint::Kind::rotation;
    if (state.q[i] == 0) continue;
    line += turn ? ", turned " + f.value(to_degrees(radians(state.q[i])), Unit::degree, 1) + " about ("
                 : ", shifted " + f.value(state.q[i], Unit::mm, 1) + " along (";
    for (int k = 0; k < 3; ++k) line += (k ? ", " : "") + f.number(joint.axis[k], Unit::ratio);
    line += ")";
  }
  return line;
}

Markup pose_block(const Page& page, const measure::Measured& m) {
  std::vector<std::string> lines;
  if (m.pose) {
    const auto& bodies = page.bay().bodies;
    for (std::size_t i = 0; i < m.pose->bodies.size() && i < bodies.size(); ++i) {
      if (m.pose->bodies[i].member >= 0) lines.push_back(body_pose(bodies[i], m.pose->bodies[i], page.figures));
    }
  }
  Markup inner;
  if (!m.pose_name.empty()) inner += tag("p", text(m.pose_name));
  inner += bullets(lines);
  if (m.assumed_motion) inner += tag("p", "This movement is assumed: nobody measured it."_h);
  return inner;
}

Markup place_block(const Page& page, const Finding& finding, const measure::Measured& m) {
  const Figures& f = page.figures;
  const std::string mark = std::string(" ").append(f.symbol(Unit::mm));
  std::vector<std::string> lines;
  if (m.witness) {
    lines.push_back("on the duct: " + f.point(m.witness->on_duct_mm) + mark);
    lines.push_back("on the part: " + f.point(m.witness->on_other_mm) + mark);
  } else if (m.at_mm) {
    lines.push_back("at " + f.point(*m.at_mm) + mark);
  }
  if (m.station_mm) lines.push_back("station " + f.value(*m.station_mm, Unit::mm));
  const bay::Part* part = finding.part ? page.bay().find_part(*finding.part) : nullptr;
  if (part) {
    lines.push_back("part " + part->id.value + ", class " + std::string(bay::name(part->part_class)) + ", rides on " +
                    body_name(page.bay(), part->body) + ", from " + part->file);
  }
  return bullets(lines);
}

Markup how_it_was_measured(const Page& page, const Finding& finding) {
  // Printed once per check in section 8; on screen it stands where it is needed.
  Markup inner =
      tag("div", "wide def",
          tag("h4", "What is measured"_h) + tag("p", text(check_definition(finding.check, page.figures.units()))));
  if (const auto* open = std::get_if<measure::NotAssessed>(&finding.outcome)) {
    inner += wide_block("Missing", bullets(open->missing));
  } else {
    const auto& m = std::get<measure::Measured>(finding.outcome);
    inner += block("Bracket", bracket_text(page.figures, m));
    inner += block("Pose", pose_block(page, m));
    inner += block("Place, vehicle frame", place_block(page, finding, m));
    if (finding.limit) inner += block("Origin of the limit", tag("p", origin_text(finding.limit->origin)));
    inner += wide_block("Uncertainty", contributions_table(page.figures, m));
    if (!m.note.empty()) inner += wide_block("Note", tag("p", text(m.note)));
  }
  return tag("div", "how", inner);
}

// ---- one finding

Markup where_cell(const Page& page, const Finding& finding) {
  std::string below;
  const auto* m = std::get_if<measure::Measured>(&finding.outcome);
  if (m && m->station_mm) below += "station " + page.figures.value(*m->station_mm, Unit::mm);
  if (page.installation.ducts.size() > 1 && !finding.duct.empty())
    below += (below.empty() ? "" : ", ") + finding.duct.value;
  if (m && !m->pose_name.empty()) below += (below.empty() ? "" : "; ") + m->pose_name;
  if (m && m->assumed_motion) below += " (assumed movement)";
  return cell(text(finding.subject.empty() ? finding.duct.value : finding.subject) +
              (below.empty() ? Markup() : tag("small", text(below))));
}

Markup measured_cells(const Page& page, const Finding& finding) {
  const Figures& f = page.figures;
  const auto* m = std::get_if<measure::Measured>(&finding.outcome);
  if (!m) {
    return "<td colspan=\"3\">"_h + text(std::get<measure::NotAssessed>(finding.outcome).reason) + "</td>"_h;
  }
  const int more = f.decimals_to_tell(*m, finding.limit);
  Markup value = tag("span", "val", text(f.measured(*m, more)));
  const std::string interval = f.interval(*m, more);
  const std::string u = f.uncertainty(*m, more);
  if (!interval.empty()) {
    value += tag("small", tag("span", "part", text(interval)) + " "_h +
                              (u.empty() ? Markup() : tag("span", "part", text("(U " + u + ")"))));
  }
  for (const measure::Aside& aside : m->asides) {
    value += tag("small", text(aside.what + " " + f.value(aside.value, aside.unit, more) + ", not judged"));
  }
  Markup limit = "–"_h;
  if (finding.limit) {
    const std::string stated = checks::stated_otherwise(*finding.limit, f.units());
    limit = text(f.limit(*finding.limit, more)) + (stated.empty() ? Markup() : tag("small", text(stated))) +
            tag("small", text(checks::name(finding.limit->origin.kind)));
  }
  Markup margin;
  if (finding.limit && m->unit != Unit::none) {
    if (const std::optional<double> by = checks::margin(finding)) margin = text(f.difference(*by, m->unit, more));
  }
  return number_cell(value) + number_cell(limit) + number_cell(margin);
}

/// Whether the way to the number says more than the row: exact geometry of the centerline does not.
bool has_story(const Finding& finding) {
  const auto* m = std::get_if<measure::Measured>(&finding.outcome);
  return m && (m->witness || !m->band.contributions().empty() || !m->note.empty());
}

Markup finding_rows(const Page& page, const Finding& finding) {
  const bool open = finding.verdict == Verdict::not_met || finding.verdict == Verdict::undecided;
  const int number = page.number_of(finding);
  const bool has_hint = !finding.hint.empty() && finding.verdict != Verdict::met;
  const Markup title = "<td><details><summary>"_h + text(finding.title) + "</summary></details><span class=\"id\">"_h +
                       text(finding.check) + "</span></td>"_h;
  Markup rows = "<tr id=\"f"_h + text(number) + "\"><td class=\"no\">"_h + text(number) + "</td><td>"_h +
                verdict_mark(finding.verdict) + (open ? tag("small", text(checks::name(finding.severity))) : Markup()) +
                "</td>"_h + title + where_cell(page, finding) + measured_cells(page, finding) + "</tr>\n"_h;
  if (has_hint) {
    rows += "<tr class=\"hint\"><td></td><td></td><td colspan=\"5\"><span class=\"do\">What would help: </span>"_h +
            text(finding.hint) + "</td></tr>\n"_h;
  }
  rows += "<tr class=\"more\"><td></td><td colspan=\"6\">"_h + how_it_was_measured(page, finding) + "</td></tr>\n"_h;
  return "<tbody"_h + (open && has_story(finding) ? " class=\"open\""_h : ""_h) + ">"_h + rows + "</tbody>\n"_h;
}

Markup group_row(Verdict verdict, std::size_t count, const char* meaning) {
  return "<tbody class=\"group\"><tr class=\"group\"><th colspan=\"7\" scope=\"rowgroup\" class=\""_h +
         verdict_key(verdict) + "\" id=\""_h + verdict_key(verdict) + "\">"_h + verdict_mark(verdict) + " ("_h +
         text(static_cast<int>(count)) + ")<small>"_h + text(meaning) + "</small></th></tr></tbody>\n"_h;
}

Markup open_table() {
  return "<table class=\"findings\"><colgroup><col class=\"c1\"><col class=\"c2\"><col class=\"c3\"><col class=\"c4\">"
         "<col class=\"c5\"><col class=\"c6\"><col class=\"c7\"></colgroup><thead><tr><th scope=\"col\">No.</th>"
         "<th scope=\"col\">Verdict</th><th scope=\"col\">Requirement</th><th scope=\"col\">Where</th>"
         "<th scope=\"col\" class=\"n\">Measured, interval</th><th scope=\"col\" class=\"n\">Limit</th>"
         "<th scope=\"col\" class=\"n\">Margin</th></tr></thead>\n"_h;
}

std::vector<const Finding*> of_verdict(const Page& page, Verdict verdict) {
  std::vector<const Finding*> out;
  for (const Finding& f : page.evaluation.findings) {
    if (f.verdict == verdict) out.push_back(&f);
  }
  return out;
}

/// What would bury the rest, taken out of `met` (worst first): clearances beyond the nearest ones, and of every other
/// check all but its tightest place.
struct Surplus {
  std::vector<const Finding*> places, clearances;
};

std::vector<const Finding*> take_places(std::vector<const Finding*>& met) {
  std::set<std::string> shown;
  const auto first = std::stable_partition(
      met.begin(), met.end(), [&](const Finding* f) { return is_clearance(*f) || shown.insert(f->check).second; });
  std::vector<const Finding*> places(first, met.end());
  met.erase(first, met.end());
  return places;
}

std::vector<const Finding*> take_clearances(std::vector<const Finding*>& met) {
  std::vector<const Finding*> clearances;
  std::copy_if(met.begin(), met.end(), std::back_inserter(clearances), [](const auto* f) { return is_clearance(*f); });
  const auto far = [](const Finding* f) { return std::isinf(std::get<measure::Measured>(f->outcome).hi); };
  std::stable_sort(clearances.begin(), clearances.end(), [&](const auto* a, const auto* b) {
    if (far(a) != far(b)) return far(b);
    const std::optional<double> margin_a = checks::margin(*a), margin_b = checks::margin(*b);
    return margin_a < margin_b;
  });
  std::size_t kept = 0;
  while (kept < clearances.size() && kept < kMetClearancesShown && !far(clearances[kept])) ++kept;
  clearances.erase(clearances.begin(), clearances.begin() + static_cast<std::ptrdiff_t>(kept));
  std::erase_if(
      met, [&](const Finding* f) { return std::find(clearances.begin(), clearances.end(), f) != clearances.end(); });
  return clearances;
}

double least_margin(const std::vector<const Finding*>& findings) {
  double least = std::numeric_limits<double>::infinity();
  for (const Finding* f : findings) least = std::min(least, checks::margin(*f).value_or(least));
  return least;
}

/// Checks of findings, each once, with their titles or as ids alone.
Markup check_list(const std::vector<const Finding*>& findings, bool with_titles) {
  std::vector<std::string> seen;
  Markup list;
  for (const Finding* f : findings) {
    const std::string entry = with_titles ? f->title + " (" + f->check + ")" : f->check;
    if (std::find(seen.begin(), seen.end(), entry) != seen.end()) continue;
    list += (seen.empty() ? ""_h : with_titles ? "; "_h : ", "_h) + text(entry);
    seen.push_back(entry);
  }
  return list;
}

/// Checks that apply nowhere in the job; then, duct by duct, those that apply to others only.
Markup not_applicable_line(const Page& page) {
  const std::vector<const Finding*> left_out = of_verdict(page, Verdict::not_applicable);
  if (left_out.empty())
    return "<p class=\"small\" id=\"not_applicable\">Every check of the program applies to this job.</p>\n"_h;
  std::set<std::string> judged;
  for (const Finding& f : page.evaluation.findings) {
    if (f.verdict != Verdict::not_applicable) judged.insert(f.check);
  }
  std::vector<const Finding*> nowhere;
  std::map<std::string, std::vector<const Finding*>> elsewhere;
  for (const Finding* f : left_out) {
    (judged.contains(f->check) ? elsewhere[f->duct.value] : nowhere).push_back(f);
  }
  Markup out = "<div id=\"not_applicable\">"_h;
  if (!nowhere.empty()) {
    out +=
        "<p>"_h + verdict_mark(Verdict::not_applicable) +
        " (the job has nothing these checks could look at, or it or its sheet rules them out; not counted as open): "_h +
        check_list(nowhere, true) + ".</p>\n"_h;
  }
  for (const auto& [duct, findings] : elsewhere) {
    out += tag("p", "small",
               text("Do not concern " + (duct.empty() ? "the job as a whole" : "duct " + duct) +
                    ", and are judged elsewhere: ") +
                   check_list(findings, false) + "."_h);
  }
  return out + "</div>\n"_h;
}

}  // namespace

Markup verdict_section(const Page& page) {
  struct Group {
    Verdict verdict;
    const char* meaning;
  };
  const Group groups[] = {
      {Verdict::not_met, "the whole interval lies on the wrong side of the limit"},
      {Verdict::undecided, "the limit lies inside the interval: measure this place better"},
      {Verdict::not_checked, "an input is missing: nothing is known about these"},
      {Verdict::met, "the whole interval lies on the right side of the limit"},
  };
  Markup out = section_heading(1, "verdicts", "Verdicts") + tag("p", "lede", text(decision_rule())) + open_table();
  Surplus surplus;
  for (const Group& group : groups) {
    std::vector<const Finding*> findings = of_verdict(page, group.verdict);
    if (findings.empty()) continue;
    out += group_row(group.verdict, findings.size(), group.meaning);
    if (group.verdict == Verdict::met) surplus = {take_places(findings), take_clearances(findings)};
    for (const Finding* f : findings) out += finding_rows(page, *f);
  }
  out += "</table>\n"_h;
  const auto folded = [&](const std::vector<const Finding*>& findings, const std::string& what) {
    if (findings.empty()) return;
    Markup rows;
    for (const Finding* f : findings) rows += finding_rows(page, *f);
    out += "<details><summary>"_h + text(std::to_string(findings.size()) + " more " + what) + "</summary>\n"_h +
           open_table() + rows + "</table></details>\n"_h;
  };
  folded(surplus.places, "places of these checks, all met, none tighter than the one shown");
  folded(surplus.clearances, "clearance findings, all met, each with a margin of at least " +
                                 page.figures.value(least_margin(surplus.clearances), Unit::mm));
  return out + not_applicable_line(page);
}

}  // namespace baywright::report
