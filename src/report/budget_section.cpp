#include <array>
#include <cmath>

#include "flow/budget.hpp"
#include "report/page.hpp"

namespace baywright::report {
namespace {

using flow::AltitudeLaw;
using flow::Budget;
using flow::Conditions;
using flow::Crossing;
using flow::Held;
using flow::Intake;
using measure::NotAssessed;

/// Both budgets of the sheet for one duct.
struct Budgets {
  std::optional<Budget> clean, dirty;
};

Budgets budgets_of(const checks::Sheet& sheet) {
  Budgets out;
  if (!sheet.restriction) return out;
  const auto of = [&](const char* id) -> std::optional<Budget> {
    const auto found = sheet.limits.find(id);
    if (found == sheet.limits.end()) return std::nullopt;
    return Budget{sheet.restriction->kind, sheet.restriction->station, pascals(found->second.value)};
  };
  return {of("in.loss_clean"), of("in.loss_dirty")};
}

/// A value of a sweep with its upper end, "over" where that is beyond the limit.
Markup value_cell(const Figures& f, const std::optional<Budget>& budget, const Intake& intake,
                  const std::optional<Conditions>& conditions) {
  if (!budget || !conditions) return number_cell("–"_h);
  const auto outcome = flow::held(intake, *budget, *conditions);
  const auto* known = std::get_if<Held>(&outcome);
  if (!known) return number_cell("not checked"_h);
  if (!std::isfinite(known->value.si())) return number_cell("chokes"_h);
  const bool over = known->highest > budget->limit;
  const Markup line = text(f.number(known->value.si(), Unit::pascal) + " (to " +
                           f.number(known->highest.si(), Unit::pascal) + ")" + (over ? " over" : ""));
  return number_cell(over ? tag("strong", line) : line);
}

/// "kept for certain up to X, by the estimate up to Y", of a quantity that `shown` prints.
template <class Shown>
std::string crossing_text(const std::variant<Crossing, NotAssessed>& outcome, const Shown& shown) {
  if (const auto* unknown = std::get_if<NotAssessed>(&outcome)) {
    std::string line = "not checked: " + unknown->reason;
    for (std::size_t i = 0; i < unknown->missing.size(); ++i) line += (i == 0 ? ": " : ", ") + unknown->missing[i];
    return line;
  }
  const auto& met = std::get<Crossing>(outcome);
  if (met.beyond) return "kept for certain through all of this range";
  const std::string certain =
      met.for_certain ? "kept for certain up to " + shown(*met.for_certain) : std::string("kept for certain nowhere");
  return certain + ", by the estimate " + (met.estimate ? "up to " + shown(*met.estimate) : "nowhere");
}

Markup limits_row(const char* clean, const char* dirty, const std::string& at_clean, const std::string& at_dirty) {
  return bullets({std::string(clean) + at_clean, std::string(dirty) + at_dirty});
}

Markup flow_table(const Figures& f, const Intake& intake, const Budgets& budgets, MassFlow rated) {
  Markup rows;
  for (const double share : {0.5, 0.75, 0.9, 1.0, 1.1, 1.25}) {
    const auto at = [&](double loading) {
      auto conditions = flow::job_conditions(intake.inputs, loading);
      if (conditions) conditions->flow = share * conditions->flow;
      return conditions;
    };
    rows += tag("tr",
                number_cell(text(f.number(share * rated.si(), Unit::kg_per_s) + ", " + fixed(100 * share, 0) + " %")) +
                    value_cell(f, budgets.clean, intake, at(0)) + value_cell(f, budgets.dirty, intake, at(1)));
  }
  const std::string p = ", " + f.symbol(Unit::pascal);
  const auto shown = [&](double kg_s) {
    return f.value(kg_s, Unit::kg_per_s) + " (" + fixed(100 * kg_s / rated.si(), 0) + " % of rated)";
  };
  const auto text_of = [&](const std::optional<Budget>& budget, double loading) {
    return budget ? crossing_text(flow::flow_at_budget(intake, *budget, loading), shown) : "no limit in the sheet";
  };
  return tag("h4", "Over the flow"_h) +
         table("fit", {">Flow, " + f.symbol(Unit::kg_per_s), ">Clean" + p, ">Dirty" + p}, rows) +
         limits_row("Clean: ", "Dirty: ", text_of(budgets.clean, 0), text_of(budgets.dirty, 1));
}

Markup height_table(const Figures& f, const Intake& intake, const Budgets& budgets) {
  Markup rows;
  for (const double height_m : {0.0, 500.0, 1000.0, 1500.0, 2000.0, 3000.0}) {
    const auto there = flow::at_height(intake.inputs, height_m, AltitudeLaw::constant_mass, 0);
    Markup cells = number_cell(text(fixed(height_m, 0))) +
                   number_cell(text(there ? f.number(there->ambient.temperature.si(), Unit::kelvin) : "–"));
    for (const auto& [budget, loading] : {std::pair(&budgets.clean, 0.0), std::pair(&budgets.dirty, 1.0)}) {
      for (const AltitudeLaw law : {AltitudeLaw::constant_volume, AltitudeLaw::constant_mass}) {
        cells += value_cell(f, *budget, intake, flow::at_height(intake.inputs, height_m, law, loading));
      }
    }
    rows += tag("tr", cells);
  }
  const std::string p = ", " + f.symbol(Unit::pascal);
  const auto shown = [](double m) { return fixed(m, 0) + " m"; };
  const auto text_of = [&](const std::optional<Budget>& budget, double loading) {
    return budget ? crossing_text(flow::height_at_budget(intake, *budget, loading), shown) : "no limit in the sheet";
  };
  return tag("h4", "Over the height above the sea"_h) +
         tag("p", "small",
             "Height as on a map, pressure of the standard atmosphere (ISO 2533) there; as much warmer or colder than "
             "the standard as the job's air is at its own pressure, with its relative humidity. What the engine draws "
             "up there lies between the volume flow of the "
             "rating and its mass flow, which a charged engine comes near to: the restriction lies between the two "
             "columns."_h) +
         table("fit",
               {">Height, m", ">Air, " + f.symbol(Unit::kelvin), ">Clean, same volume" + p, ">same mass" + p,
                ">Dirty, same volume" + p, ">same mass" + p},
               rows) +
         limits_row("Clean, with the mass flow of the rating: ", "Dirty, likewise: ", text_of(budgets.clean, 0),
                    text_of(budgets.dirty, 1));
}

Markup loading_table(const Figures& f, const Intake& intake, const Budgets& budgets) {
  Markup rows;
  for (const double loading : {0.0, 0.25, 0.5, 0.75, 1.0}) {
    rows += tag("tr", number_cell(text(fixed(100 * loading, 0) + " %")) +
                          value_cell(f, budgets.dirty, intake, flow::job_conditions(intake.inputs, loading)));
  }
  const auto shown = [](double loading) { return fixed(100 * loading, 0) + " %"; };
  return tag("h4", "Over the loading of the element"_h) +
         tag("p", "small",
             "0 % is the clean curve, 100 % the one at change-out, at rated flow; held against the limit "
             "of the dirty filter."_h) +
         table("fit", {">Loading", ">Restriction, " + f.symbol(Unit::pascal)}, rows) +
         bullets({budgets.dirty ? crossing_text(flow::loading_at_budget(intake, *budgets.dirty), shown)
                                : std::string("no limit in the sheet")});
}

Markup indicator_table(const Figures& f, const Intake& intake, const std::optional<Budget>& budget) {
  const Markup heading = tag("h4", "What an indicator may show"_h);
  if (!budget) return heading + tag("p", "The sheet has no limit for the dirty filter."_h);
  const auto outcome = flow::indicator_settings(intake, *budget);
  if (const auto* unknown = std::get_if<NotAssessed>(&outcome)) {
    std::string line = "not checked: " + unknown->reason;
    for (const std::string& key : unknown->missing) line += "; missing: " + key;
    return heading + tag("p", text(line));
  }
  Markup rows;
  const auto& settings = std::get<flow::IndicatorSettings>(outcome);
  for (const flow::IndicatorSetting& s : settings.taps) {
    rows += tag("tr", cell(text(s.tap)) + number_cell(text(f.number(s.station_mm, Unit::mm))) +
                          number_cell(text(f.number(s.clean.si(), Unit::pascal))) +
                          number_cell(text(f.number(s.at_budget.si(), Unit::pascal))) +
                          number_cell(s.certain() ? tag("strong", text(f.number(s.permitted.si(), Unit::pascal)))
                                                  : "no setting is certain"_h));
  }
  const std::string p = ", " + f.symbol(Unit::pascal);
  return heading +
         tag("p", "small",
             "An indicator reads static pressure at its own tap, so only the way from there to the place of the limit "
             "has to be estimated: what that may lose more is taken off. Change the element when the indicator shows "
             "the permitted value at rated flow. Where that would lie below what it shows with a clean element, no "
             "setting is certain."_h) +
         (settings.note.empty() ? Markup() : tag("p", "small", text(settings.note))) +
         table("fit",
               {"Tap", ">Station, " + f.symbol(Unit::mm), ">Clean it shows" + p, ">At the limit" + p, ">Permitted" + p},
               rows);
}

}  // namespace

Markup budget_block(const Page& page, const duct::Duct& duct) {
  const Intake intake{duct, page.installation.job.flow, page.installation.ducts};
  const Budgets budgets = budgets_of(page.installation.sheet);
  const auto rated = flow::rated_flow(intake.inputs);
  if (!rated || !intake.inputs.ambient || (!budgets.clean && !budgets.dirty)) return {};
  const Figures& f = page.figures;
  return tag("h3", "Where the budget ends"_h) +
         tag("p", "lede",
             text("Restriction as the sheet's limits mean it, with its upper end in brackets; clean limit " +
                  (budgets.clean ? f.value(budgets.clean->limit.si(), Unit::pascal) : "none") + ", dirty limit " +
                  (budgets.dirty ? f.value(budgets.dirty->limit.si(), Unit::pascal) : "none") + ".")) +
         flow_table(f, intake, budgets, *rated) + height_table(f, intake, budgets) + loading_table(f, intake, budgets) +
         indicator_table(f, intake, budgets.dirty);
}

}  // namespace baywright::report
