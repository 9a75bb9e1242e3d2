#include <algorithm>
#include <map>

#include "access/way_words.hpp"
#include "geometry/base/words.hpp"
#include "report/page.hpp"

namespace baywright::report {
namespace {

using access::PieceWay;

std::string piece_of(const Page& page, const PieceWay& way) {
  return page.installation.ducts.size() > 1 ? way.duct.value + ": " + way.piece : way.piece;
}

/// What comes out as one: the piece that was freed, then the hoses on it.
std::string together(const Page& page, const PieceWay& freed, const std::vector<const PieceWay*>& pieces) {
  std::string out = piece_of(page, freed);
  for (const PieceWay* way : pieces) {
    if (way == &freed) continue;
    out += " with ";
    out += way->duct == freed.duct ? way->piece : piece_of(page, *way);
  }
  return out;
}

Markup moves_of(const PieceWay& way, const DisplayUnits& units) {
  Markup out;
  for (const access::WayStep& step : way.steps) out += tag("li", text(access::words_of(step, units)));
  return tag("ol", "moves", out);
}

Markup found_table(const Page& page, const access::WaysOut& ways) {
  std::map<int, std::vector<const PieceWay*>> in_order;
  for (const PieceWay& way : ways.pieces) {
    if (way.found) in_order[way.order].push_back(&way);
  }
  Markup rows;
  for (const auto& [order, pieces] : in_order) {
    const PieceWay& first = **std::find_if(pieces.begin(), pieces.end(), [](const auto* w) { return w->with.empty(); });
    rows += tag("tr", number_cell(text(std::to_string(order))) + cell(text(together(page, first, pieces))) +
                          cell(text(first.released.empty() ? "nothing holds it any more" : first.released)) +
                          cell(moves_of(first, page.bay().units)) + cell(text(first.opening)));
  }
  if (in_order.empty()) return tag("p", "No way out was found for any piece."_h);
  return table("ways", {">Order", "Out comes", "Freed", "Moves", "Through"}, rows);
}

/// That somebody said of a duct that it does come out; "" where nobody did. A no is the reason itself.
std::string said_of(const Page& page, const duct::DuctId& duct) {
  for (const checks::Finding& finding : page.evaluation.findings) {
    if (finding.check != "cr.assemble" || finding.duct != duct || !finding.subject.starts_with("said by ")) continue;
    const auto* answer = std::get_if<measure::Measured>(&finding.outcome);
    if (answer && answer->lo > 0.5) return "; that it does come out was " + finding.subject;
  }
  return "";
}

Markup open_list(const Page& page, const access::WaysOut& ways) {
  std::vector<std::string> lines;
  for (const PieceWay& way : ways.pieces) {
    if (!way.found) lines.push_back(piece_of(page, way) + ": " + way.open + said_of(page, way.duct));
  }
  if (lines.empty()) return {};
  return tag("h3", "No way out known"_h) +
         tag("p", "small", "That none was found proves nothing: hoses are moved as rigid here."_h) + bullets(lines);
}

}  // namespace

Markup ways_section(const Page& page) {
  Markup out = section_heading(7, "ways", "Taking apart");
  const auto& results = page.evaluation.ducts;
  const auto searched =
      std::find_if(results.begin(), results.end(), [](const auto& result) { return result.measures.ways != nullptr; });
  if (searched == results.end()) {
    return out + tag("p", "lede",
                     "Ways out were not searched: cr.assemble, with the verdicts, says why, or what somebody said."_h);
  }
  const access::WaysOut& ways = *searched->measures.ways;
  out += tag("p", "lede",
             "In which order the tubes and hoses come out, each by moves that are proven free of everything still "
             "there over their whole length, with "_h +
                 text(page.figures.value(access::kWayRoom_mm, Unit::mm)) +
                 " to spare beside the uncertainties; only while it is slid along its seat, or drawn off it, does a "
                 "piece touch that. Put together in the opposite order, each move backwards. Directions and places in "
                 "the vehicle's frame, turns by the right-hand rule, clamps loosened and left on their hoses, brackets "
                 "undone. Others may be easier: these are the first that were found. What somebody said of a duct "
                 "stands with the verdicts."_h);
  return out + bullets(ways.notes) + found_table(page, ways) + open_list(page, ways);
}

}  // namespace baywright::report
