#include <algorithm>

#include "checks/charge_air.hpp"
#include "flow/branch_leg.hpp"
#include "flow/charge_heat.hpp"
#include "report/page.hpp"

namespace baywright::report {
namespace {

using measure::NotAssessed;

std::string plus_minus(const std::string& low, const std::string& high) {
  return low == high ? " \u00B1" + high : " -" + low + " / +" + high;
}

Markup row(const char* what, const std::string& value, const std::string& from) {
  return tag("tr", cell(text(what)) + number_cell(text(value)) + cell(text(from)));
}

Markup missing_row(const char* what, const NotAssessed& unknown) {
  std::string why = unknown.reason;
  for (std::size_t i = 0; i < unknown.missing.size(); ++i) why += (i == 0 ? ". Missing: " : ", ") + unknown.missing[i];
  return row(what, "not checked", why);
}

Markup temperature_row(const Figures& f, const char* what, const flow::ChargeTemperatureOrNot& air) {
  if (const auto* unknown = std::get_if<NotAssessed>(&air)) return missing_row(what, *unknown);
  const auto& known = std::get<flow::ChargeTemperature>(air);
  std::string value = f.value(known.value.si(), Unit::kelvin);
  if (!known.band.contributions().empty()) {
    value += plus_minus(f.number(known.band.low(), Unit::kelvin_difference),
                        f.number(known.band.high(), Unit::kelvin_difference));
  }
  return row(what, value, known.note);
}

Markup effect_row(const flow::FlowInputs& inputs) {
  const char* what = "Effectiveness of the cooler";
  const auto outcome = flow::cooler_effect(inputs);
  if (const auto* unknown = std::get_if<NotAssessed>(&outcome)) return missing_row(what, *unknown);
  const auto& e = std::get<flow::CoolerEffect>(outcome);
  const std::string from =
      e.stated ? std::string("as stated")
               : "crossflow, neither air mixed; NTU " + fixed(e.transfer_units, 2) +
                     ", ratio of the heat capacity rates " + fixed(e.capacity_ratio, 2) +
                     ". Were one of them mixed: " + fixed(std::min(e.larger_mixed, e.smaller_mixed), 2) +
                     " (in the band); counterflow: " + fixed(e.counterflow, 2);
  return row(what, fixed(e.value, 2) + plus_minus(fixed(e.low, 2), fixed(e.high, 2)), from);
}

/// Both units: a cooler's sheet has one of them, whatever the job is shown in.
std::string power_text(double watts, const Band& band) {
  const auto in = [&](double unit_W, int decimals, const char* unit) {
    return fixed(watts / unit_W, decimals) +
           plus_minus(fixed(band.low() / unit_W, decimals), fixed(band.high() / unit_W, decimals)) + unit;
  };
  return in(1000, 1, " kW") + " (" + in(flow::kWattsPerBtuMinute, 0, " BTU/min") + ")";
}

Markup rows_of(const Figures& f, const flow::ChargeWay& way, const flow::FlowInputs& inputs) {
  Markup rows = temperature_row(f, "Behind the compressor", way.hot_air) + effect_row(inputs) +
                temperature_row(f, "Behind the cooler, in the manifold", way.cold_air);
  const auto heat = flow::charge_heat(way, inputs);
  if (const auto* unknown = std::get_if<NotAssessed>(&heat)) {
    rows += missing_row("Duty of the cooler", *unknown);
  } else {
    const auto& known = std::get<flow::ChargeHeat>(heat);
    rows += row("Duty of the cooler", power_text(known.duty_W, known.duty_band),
                "heat it takes out of the charge air at rated flow");
  }
  const flow::ChargeLoss loss = flow::charge_loss(way, inputs);
  std::string lost = f.value(loss.way.total.si(), Unit::pascal);
  if (!loss.way.band.contributions().empty()) {
    lost += plus_minus(f.number(loss.way.band.low(), Unit::pascal), f.number(loss.way.band.high(), Unit::pascal));
  }
  std::string without;
  for (const std::string& line : loss.lacking) without += (without.empty() ? "at least, without: " : "; ") + line;
  if (loss.way.choked()) without = "ahead of " + loss.way.chokes_at + ", which the rated flow does not pass";
  rows += row("Lost from the compressor to the engine", lost, without);
  const auto recovery = flow::density_recovery(way, loss, inputs);
  const char* what = "Density at the engine over that behind the compressor";
  if (const auto* unknown = std::get_if<NotAssessed>(&recovery)) return rows + missing_row(what, *unknown);
  const auto& known = std::get<flow::DensityRecovery>(recovery);
  return rows + row(what, fixed(known.value, 3) + plus_minus(fixed(known.band.low(), 3), fixed(known.band.high(), 3)),
                    fixed(known.by_cooling, 3) + " by the cooling, had no pressure been lost");
}

}  // namespace

Markup charge_block(const Page& page) {
  const auto gathered = checks::charge_way(page.installation.ducts, page.installation.job.flow);
  const Markup heading = tag("h3", "Charge air at the rating"_h);
  if (const auto* unknown = std::get_if<NotAssessed>(&gathered)) return heading + tag("p", text(unknown->reason));
  const auto& way = std::get<flow::ChargeWay>(gathered);
  if (!way.hot && !way.cold) return {};
  return heading + table("fit", {"", ">At the rating", "How"}, rows_of(page.figures, way, page.installation.job.flow));
}

Markup breather_block(const Page& page, const duct::Duct& duct, const flow::Restriction& clean,
                      const flow::Restriction* dirty) {
  const flow::FlowInputs& inputs = page.installation.job.flow;
  if (!flow::rated_flow(inputs) || !inputs.ambient) return {};
  const auto legs = flow::branch_legs(duct, clean, inputs);
  if (legs.empty()) return {};
  const auto loaded = dirty ? flow::branch_legs(duct, *dirty, inputs) : std::vector<flow::BranchLeg>();
  const Figures& f = page.figures;
  const auto suction = [&](const flow::BranchLeg& leg) {
    return number_cell(
        text(f.number(leg.suction.si(), Unit::pascal) +
             plus_minus(f.number(leg.band.low(), Unit::pascal), f.number(leg.band.high(), Unit::pascal))));
  };
  Markup rows;
  for (std::size_t i = 0; i < legs.size(); ++i) {
    const flow::BranchLeg& leg = legs[i];
    rows += tag("tr", cell(text(leg.name)) + number_cell(text(f.number(leg.station_mm, Unit::mm))) +
                          number_cell(text(fixed(100 * leg.share, 1) + " %")) +
                          number_cell(text(fixed(leg.loss_coefficient, 2))) +
                          number_cell(text(f.number(leg.loss.si(), Unit::pascal))) + suction(leg) +
                          (i < loaded.size() ? suction(loaded[i]) : number_cell("–"_h)));
  }
  const std::string p = ", " + f.symbol(Unit::pascal);
  return tag("h3", "What the breather finds at the intake"_h) +
         tag("p", "lede",
             text(std::string("Crankcase gas that enters a fast stream is drawn in: a K below 0 is pressure that the "
                              "stream gives it. What the breather's end lies below outside is what it and the "
                              "crankcase behind it are drawn with. The share of the gas is ") +
                  (inputs.crankcase_gas ? "as stated." : "assumed: the job states no crankcase gas."))) +
         table("fit",
               {"Place", ">Station, " + f.symbol(Unit::mm), ">Share of the air", ">K", ">Clean: lost entering" + p,
                ">below outside" + p, ">Dirty: below outside" + p},
               rows);
}

}  // namespace baywright::report
