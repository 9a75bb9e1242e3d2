#include <algorithm>
#include <limits>

#include "report/page.hpp"
#include "report/wording.hpp"

namespace baywright::report {
namespace {

using checks::Finding;

constexpr std::size_t kSmallest = 20;

/// One piece of a duct against one part or another piece: its findings at rest and over the motion.
struct Pair {
  const Finding* at_rest = nullptr;
  const Finding* over_motion = nullptr;
  const Finding& any() const { return at_rest ? *at_rest : *over_motion; }
};

double least_margin(const Pair& pair) {
  double least = std::numeric_limits<double>::infinity();
  for (const Finding* f : {pair.at_rest, pair.over_motion}) {
    const std::optional<double> by = f ? checks::margin(*f) : std::nullopt;
    if (by && *by < least) least = *by;
  }
  return least;
}

std::vector<Pair> pairs_of(const checks::Evaluation& evaluation) {
  std::vector<Pair> pairs;
  for (const Finding& f : evaluation.findings) {
    if (!is_clearance(f) || !std::holds_alternative<measure::Measured>(f.outcome)) continue;
    auto same = std::find_if(pairs.begin(), pairs.end(), [&](const Pair& p) {
      return p.any().duct == f.duct && p.any().pair == f.pair && p.any().part == f.part;
    });
    if (same == pairs.end()) same = pairs.insert(pairs.end(), Pair{});
    (f.over_motion ? same->over_motion : same->at_rest) = &f;
  }
  std::stable_sort(pairs.begin(), pairs.end(),
                   [](const Pair& a, const Pair& b) { return least_margin(a) < least_margin(b); });
  return pairs;
}

/// Value with its interval, and limit with the verdict.
Markup finding_cells(const Page& page, const Finding* finding) {
  if (!finding) return number_cell("–"_h) + cell({});
  const Figures& f = page.figures;
  const auto& m = std::get<measure::Measured>(finding->outcome);
  const int more = f.decimals_to_tell(m, finding->limit);
  const Markup limit = finding->limit ? text(f.limit(*finding->limit, more)) : "–"_h;
  return number_cell(text(f.measured(m, more)) + tag("small", text(f.interval(m, more)))) +
         cell(limit + "<br><a href=\"#f"_h + text(page.number_of(*finding)) + "\">"_h + verdict_mark(finding->verdict) +
              "</a>"_h);
}

Markup pair_row(const Page& page, const Pair& pair) {
  const Finding& any = pair.any();
  const bay::Part* part = any.part ? page.bay().find_part(*any.part) : nullptr;
  std::string pose;
  if (pair.over_motion) pose = std::get<measure::Measured>(pair.over_motion->outcome).pose_name;
  const std::string u = page.figures.uncertainty(
      std::get<measure::Measured>((pair.over_motion ? pair.over_motion : pair.at_rest)->outcome));
  const std::string margin = page.figures.difference(least_margin(pair), Unit::mm);
  return tag("tr", cell(text(any.pair) + (part ? tag("small", text(bay::name(part->part_class))) : Markup())) +
                       finding_cells(page, pair.at_rest) + finding_cells(page, pair.over_motion) + cell(text(pose)) +
                       number_cell(text(u.empty() ? "–" : u)) + number_cell(text(margin)));
}

Markup pair_table(const Page& page, const std::vector<Pair>& pairs, std::size_t from, std::size_t to) {
  Markup rows;
  for (std::size_t i = from; i < to; ++i) rows += pair_row(page, pairs[i]);
  const std::string u = ", " + page.figures.symbol(Unit::mm);
  return table("pairs",
               {"Pair and class", ">At rest", "Limit, verdict", ">Over the motion", "Limit, verdict", "Worst pose",
                ">U" + u, ">Margin"},
               rows);
}

}  // namespace

Markup clearance_section(const Page& page) {
  const std::vector<Pair> pairs = pairs_of(page.evaluation);
  Markup out = section_heading(5, "clearance", "Clearance");
  if (pairs.empty()) return out + tag("p", "lede", "No clearance was measured."_h);
  const std::size_t shown = std::min(kSmallest, pairs.size());
  out += tag(
      "p", "lede",
      text("Smallest distance between the outer surface of a piece and a part, or a piece of another duct; negative "
           "when they interfere. The "
           "value over the motion is proven for every pose between rest and the load cases, to within " +
           page.figures.value(page.installation.job.clearance_width_mm, Unit::mm) + ". Distances above " +
           page.figures.value(
               checks::search_range_mm(page.installation.sheet, page.installation.job.clearance_range_mm), Unit::mm) +
           " were not followed further. The " + std::to_string(shown) + " smallest margins of " +
           std::to_string(pairs.size()) + " pairs:"));
  out += tag("div", "scroll", pair_table(page, pairs, 0, shown));
  if (shown < pairs.size()) {
    out += "<details><summary>"_h + text(std::to_string(pairs.size() - shown) + " further pairs") + "</summary>"_h +
           pair_table(page, pairs, shown, pairs.size()) + "</details>\n"_h;
  }
  return out;
}

}  // namespace baywright::report
