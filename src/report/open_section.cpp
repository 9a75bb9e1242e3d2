#include <algorithm>

#include "report/page.hpp"
#include "report/wording.hpp"

namespace baywright::report {
namespace {

using measure::ClearanceReport;

/// What of a duct is left out against others and against itself: pieces that are joined are counted, not listed.
Markup between_rows(const duct::Duct& duct, const checks::Evaluation::DuctResult& result) {
  Markup rows;
  const auto& pieces = duct.layout.pieces;
  for (const measure::DuctPairReport& report : result.measures.between) {
    const bool itself = report.other == duct.spec.id;
    if (itself && !report.exceptions.empty()) {
      rows += tag("tr", cell(text(duct.spec.id.value)) + cell({}) + cell("its own pieces"_h) +
                            cell(text(std::to_string(report.exceptions.size()) +
                                      (report.exceptions.size() == 1 ? " pair is" : " pairs are") +
                                      " joined: nowhere farther apart along the duct than two outer diameters")));
      continue;
    }
    for (const measure::DuctContact& e : report.exceptions) {
      const bool known = e.piece >= 0 && e.piece < static_cast<int>(pieces.size());
      rows += tag("tr", cell(text(duct.spec.id.value)) +
                            cell(text(known ? pieces[static_cast<std::size_t>(e.piece)].name : "")) +
                            cell(text("duct " + report.other.value)) + cell(text(e.reason)));
    }
  }
  return rows;
}

Markup exception_block(const Page& page) {
  Markup rows;
  for (const duct::Duct& d : page.installation.ducts) {
    const auto* result = page.result_of(d.spec.id);
    if (!result) continue;
    for (const measure::ContactException& e : result->measures.over_motion.exceptions) {
      const auto& pieces = d.layout.pieces;
      const auto& parts = page.bay().parts;
      const bool known_piece = e.piece >= 0 && e.piece < static_cast<int>(pieces.size());
      const bool known_part = e.part >= 0 && e.part < static_cast<int>(parts.size());
      const std::string part = known_part ? (parts[static_cast<std::size_t>(e.part)].name.empty()
                                                 ? parts[static_cast<std::size_t>(e.part)].id.value
                                                 : parts[static_cast<std::size_t>(e.part)].name)
                                          : "";
      rows += tag("tr", cell(text(d.spec.id.value)) +
                            cell(text(known_piece ? pieces[static_cast<std::size_t>(e.piece)].name : "")) +
                            cell(text(part)) + cell(text(e.reason)));
    }
  }
  for (const duct::Duct& d : page.installation.ducts) {
    const auto* result = page.result_of(d.spec.id);
    if (result) rows += between_rows(d, *result);
  }
  const Markup title = tag("h3", "Pairs that touch by design"_h);
  if (rows.empty()) return title + tag("p", "lede", "None were left out."_h);
  return title + table("", {"Duct", "Piece", "Part", "Why it is left out"}, rows);
}

std::vector<std::string> not_measured(const Page& page) {
  std::vector<std::string> lines;
  for (const auto& result : page.evaluation.ducts) {
    for (const ClearanceReport* report : {&result.measures.at_rest, &result.measures.over_motion}) {
      for (const std::string& line : report->not_measured) {
        const std::string with_duct = page.evaluation.ducts.size() > 1 ? result.duct.value + ": " + line : line;
        if (std::find(lines.begin(), lines.end(), with_duct) == lines.end()) lines.push_back(with_duct);
      }
    }
  }
  return lines;
}

/// Undecided and not checked findings with what would settle each.
Markup open_block(const Page& page) {
  Markup rows;
  for (const checks::Finding& f : page.evaluation.findings) {
    std::string action;
    if (f.verdict == checks::Verdict::undecided) {
      action = "measure this place on the vehicle, scan it better, or tighten the bend tolerance";
    } else if (f.verdict == checks::Verdict::not_checked) {
      const auto* n = std::get_if<measure::NotAssessed>(&f.outcome);
      action = n ? n->reason : "the sheet has no limit for this check";
      for (std::size_t i = 0; n && i < n->missing.size(); ++i) action += (i == 0 ? "; give " : ", ") + n->missing[i];
    } else {
      continue;
    }
    const int number = page.number_of(f);
    rows +=
        tag("tr", cell("<a href=\"#f"_h + text(number) + "\">"_h + text(number) + "</a>"_h) +
                      cell(verdict_mark(f.verdict)) + cell(text(f.title)) + cell(text(f.subject)) + cell(text(action)));
  }
  const Markup title = tag("h3", "Still open, and what would settle it"_h);
  if (rows.empty()) return title + tag("p", "lede", "Nothing: every check that applies gave a clear answer."_h);
  return title + table("", {"No.", "Verdict", "Requirement", "Where", "What would settle it"}, rows);
}

}  // namespace

Markup open_section(const Page& page) {
  Markup out = section_heading(10, "open", "Not covered, and still open") + open_block(page);
  out += tag("h3", "What no result here speaks about"_h) + bullets(not_modelled());
  if (const auto lines = not_measured(page); !lines.empty()) {
    out += tag("h3", "Parts that could not be measured"_h) + bullets(lines);
  }
  out += exception_block(page);
  out += tag("h3", "Warnings from reading the job and its files"_h);
  const auto& warnings = page.installation.warnings;
  return out + (warnings.empty() ? tag("p", "lede", "None."_h) : bullets(warnings));
}

Markup caution_section(const Page& page) {
  Markup items;
  for (const std::string& line : cautions()) items += tag("li", text(line));
  Markup rows;
  for (const char* role :
       {"Measured and reported by", "Checked on the vehicle by", "Accepted for the engine supplier by"}) {
    rows += tag("tr", cell(text(role)) + "<td></td><td></td><td></td>"_h);
  }
  Markup note;
  if (count_on_assumed_motion(page.evaluation) > 0) {
    note = tag("div", "callout",
               tag("p", "This report rests in part on an assumed movement: the last caution applies."_h));
  }
  return section_heading(11, "cautions", "Cautions and sign-off") + note + tag("ol", "cautions", items) +
         tag("h3", "Sign-off"_h) + table("sign", {"", "Name", "Date", "Signature"}, rows);
}

}  // namespace baywright::report
