#include "flow/budget.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

#include "flow/march.hpp"
#include "flow/unstated_air.hpp"
#include "flow/what_if.hpp"

namespace baywright::flow {
namespace {

using measure::NotAssessed;

constexpr double kLeastShare = 0.05, kMostShare = 3;  // of the job's flow
constexpr double kMostLoading = 20;
constexpr double kHighest_m = 5000;
constexpr int kHalvings = 40;

/// The element between clean and dirty. Beyond dirty the line may lead below nothing where one of a and b falls with
/// the loading: that one then stays at 0.
std::variant<ElementFit, NotAssessed> mixed(const Component& component, double loading) {
  const char* keys[] = {"flow/components/clean", "flow/components/dirty"};
  const std::optional<FilterCurve>* curves[] = {&component.clean, &component.dirty};
  FilterFit fits[2];
  for (const int i : {0, 1}) {
    if (!*curves[i]) return NotAssessed{"a curve of the filter is missing", {keys[i]}};
    const auto fitted = fit(**curves[i]);
    if (!fitted) return NotAssessed{to_line(fitted.error()), {keys[i]}};
    fits[i] = *fitted;
  }
  ElementFit out;
  out.reference_density_kg_m3 = component.clean->reference_density_kg_m3;
  // b grows with the density its curve holds for.
  const double denser = out.reference_density_kg_m3 / component.dirty->reference_density_kg_m3;
  out.fit.a = std::max(0.0, fits[0].a + loading * (fits[1].a - fits[0].a));
  out.fit.b = std::max(0.0, fits[0].b + loading * (denser * fits[1].b - fits[0].b));
  out.fit.worst_relative_error = std::max(fits[0].worst_relative_error, fits[1].worst_relative_error);
  out.fit.lowest = std::min(fits[0].lowest, fits[1].lowest);
  out.fit.highest = std::max(fits[0].highest, fits[1].highest);
  return out;
}

/// Inputs under other conditions, and the state whose curve then holds.
struct Changed {
  FlowInputs inputs;
  FilterState state = FilterState::clean;
  std::optional<ElementFit> element;  ///< in place of a curve of the job's
  std::vector<duct::Duct> raw_air;    ///< in place of the job's ducts where its entry's stated loss is another one
};

std::variant<Changed, NotAssessed> changed(const Intake& intake, const Conditions& conditions) {
  Changed out{intake.inputs, conditions.loading > 0 ? FilterState::dirty : FilterState::clean, {}, {}};
  out.inputs.rated = conditions.flow;
  out.inputs.engine.reset();
  out.inputs.ambient = conditions.ambient;
  // A loss that is stated, of the raw air side or its entry, holds at the job's own flow and density; it goes with
  // density times volume flow squared.
  if (const auto own = job_conditions(intake.inputs, 0)) {
    const double flows = conditions.flow.si() / own->flow.si();
    const double scale = flows * flows * density_kg_m3(own->ambient) / density_kg_m3(conditions.ambient);
    if (out.inputs.raw_air_loss) out.inputs.raw_air_loss = scale * *out.inputs.raw_air_loss;
    const duct::Duct* raw_air = raw_air_duct(intake.duct.spec, intake.inputs, intake.ducts);
    if (raw_air && raw_air->spec.entry && std::holds_alternative<duct::StatedEntry>(*raw_air->spec.entry)) {
      out.raw_air.push_back(*raw_air);
      auto& stated = std::get<duct::StatedEntry>(*out.raw_air[0].spec.entry);
      stated.loss = scale * stated.loss;
    }
  }
  if (conditions.loading == 0 || conditions.loading == 1) return out;
  if (const Component* component = component_ahead(intake.duct.spec, intake.inputs)) {
    const auto element = mixed(*component, conditions.loading);
    if (const auto* unknown = std::get_if<NotAssessed>(&element)) return *unknown;
    out.element = std::get<ElementFit>(element);
  }
  return out;
}

Held choked(const Restriction& restriction) {
  const Pressure endless = pascals(std::numeric_limits<double>::infinity());
  return {restriction, endless, endless, {}};
}

using Value = std::function<std::variant<Held, NotAssessed>(double)>;

/// Where a value that grows with its argument meets the limit.
std::variant<Crossing, NotAssessed> crossing(const Value& value, Pressure limit, double from, double to) {
  const auto first = value(from), last = value(to);
  for (const auto* end : {&first, &last}) {
    if (const auto* unknown = std::get_if<NotAssessed>(end)) return *unknown;
  }
  const auto meets = [&](Pressure Held::*member) -> std::optional<double> {
    if (std::get<Held>(first).*member > limit) return std::nullopt;
    if (!(std::get<Held>(last).*member > limit)) return to;
    double lo = from, hi = to;
    for (int i = 0; i < kHalvings; ++i) {
      const double mid = 0.5 * (lo + hi);
      const auto there = value(mid);
      const auto* known = std::get_if<Held>(&there);
      (known && !(known->*member > limit) ? lo : hi) = mid;
    }
    return lo;
  };
  Crossing out{meets(&Held::highest), meets(&Held::value)};
  out.beyond = !(std::get<Held>(last).highest > limit);
  return out;
}

NotAssessed no_conditions(const FlowInputs& inputs) {
  return {"rated flow and outside air are not stated", unstated_air(inputs)};
}

std::variant<Held, NotAssessed> held_as(const Intake& intake, const Budget& budget, const Changed& now) {
  const std::span<const duct::Duct> ducts =
      now.raw_air.empty() ? intake.ducts : std::span<const duct::Duct>(now.raw_air);
  auto outcome = now.element ? restriction_with_element(intake.duct, now.inputs, *now.element, ducts)
                             : restriction(intake.duct, now.inputs, now.state, ducts);
  if (auto* unknown = std::get_if<NotAssessed>(&outcome)) return std::move(*unknown);
  auto& known = std::get<Restriction>(outcome);
  if (known.choked()) return choked(known);
  Held out{std::move(known), {}, {}, {}};
  out.readings = gauge_readings(intake.duct, out.restriction, now.inputs);
  const auto at = std::find_if(out.readings.begin(), out.readings.end(),
                               [&](const GaugeReading& g) { return g.tap == budget.station; });
  if (at == out.readings.end()) {
    return NotAssessed{"the duct has no restriction tap " + budget.station,
                       {"ducts/" + intake.duct.spec.id.value + "/fittings: restriction tap " + budget.station}};
  }
  out.value = budget.kind == PressureKind::total ? at->total_loss : at->reading;
  out.highest = out.value + pascals(at->band.high());
  return out;
}

/// Where a value that grows with the loading meets the limit. The range grows until it does: how far beyond dirty an
/// element has to be loaded nobody knows beforehand.
std::variant<Crossing, NotAssessed> loading_crossing(const Value& value, Pressure limit) {
  double to = 1;
  while (to < kMostLoading) {
    const auto there = value(to);
    const auto* known = std::get_if<Held>(&there);
    if (!known || known->value > limit) break;
    to = std::min(2 * to, kMostLoading);
  }
  return crossing(value, limit, 0, to);
}

/// Held with an element loaded between clean and dirty.
Value by_curves(const Intake& intake, const Budget& budget, const Conditions& own) {
  return [=, &intake, &budget](double loading) {
    Conditions there = own;
    there.loading = loading;
    return held(intake, budget, there);
  };
}

/// Held with a clean element whose loss has grown in proportion to the flow, as a cake of dust makes it: at 1 by about
/// the limit.
std::variant<Value, NotAssessed> by_cake(const Intake& intake, const Budget& budget, const Conditions& own,
                                         const FilterCurve& clean) {
  const auto fitted = fit(clean);
  if (!fitted) return NotAssessed{to_line(fitted.error()), {"flow/components/clean"}};
  const double flow_m3_s = own.flow.si() / density_kg_m3(own.ambient);
  const ElementFit element{*fitted, clean.reference_density_kg_m3};
  return Value([=, &intake, &budget](double loading) -> std::variant<Held, NotAssessed> {
    auto now = changed(intake, own);
    if (const auto* unknown = std::get_if<NotAssessed>(&now)) return *unknown;
    auto& caked = std::get<Changed>(now);
    caked.element = element;
    caked.element->fit.a += loading * budget.limit.si() / flow_m3_s;
    return held_as(intake, budget, caked);
  });
}

}  // namespace

std::optional<Conditions> job_conditions(const FlowInputs& inputs, double loading) {
  const auto flow = rated_flow(inputs);
  if (!flow || !inputs.ambient) return std::nullopt;
  return Conditions{*flow, *inputs.ambient, loading};
}

std::variant<Held, NotAssessed> held(const Intake& intake, const Budget& budget, const Conditions& conditions) {
  const auto now = changed(intake, conditions);
  if (const auto* unknown = std::get_if<NotAssessed>(&now)) return *unknown;
  return held_as(intake, budget, std::get<Changed>(now));
}

std::variant<Crossing, NotAssessed> flow_at_budget(const Intake& intake, const Budget& budget, double loading) {
  const auto own = job_conditions(intake.inputs, loading);
  if (!own) return no_conditions(intake.inputs);
  const auto value = [&](double kg_s) {
    Conditions there = *own;
    there.flow = kilograms_per_second(kg_s);
    return held(intake, budget, there);
  };
  return crossing(value, budget.limit, kLeastShare * own->flow.si(), kMostShare * own->flow.si());
}

std::variant<Crossing, NotAssessed> loading_at_budget(const Intake& intake, const Budget& budget) {
  const auto own = job_conditions(intake.inputs, 0);
  if (!own) return no_conditions(intake.inputs);
  return loading_crossing(by_curves(intake, budget, *own), budget.limit);
}

std::optional<Conditions> at_height(const FlowInputs& inputs, double height_m, AltitudeLaw law, double loading) {
  auto conditions = job_conditions(inputs, loading);
  if (!conditions) return std::nullopt;
  Ambient there = standard_atmosphere(geopotential_m(height_m));
  there.temperature = kelvins(there.temperature.si() + conditions->ambient.temperature.si() -
                              standard_temperature(conditions->ambient.pressure).si());
  there.relative_humidity = conditions->ambient.relative_humidity;
  if (law == AltitudeLaw::constant_volume) {
    conditions->flow = density_kg_m3(there) / density_kg_m3(conditions->ambient) * conditions->flow;
  }
  conditions->ambient = there;
  return conditions;
}

std::variant<Crossing, NotAssessed> height_at_budget(const Intake& intake, const Budget& budget, double loading) {
  if (!job_conditions(intake.inputs, loading)) return no_conditions(intake.inputs);
  const auto value = [&](double height_m) {
    return held(intake, budget, *at_height(intake.inputs, height_m, AltitudeLaw::constant_mass, loading));
  };
  return crossing(value, budget.limit, 0, kHighest_m);
}

namespace {

/// How much more than estimated the way from one station to another may lose; less where it leads upstream.
double doubt_between_Pa(const Restriction& restriction, double from_mm, double to_mm) {
  Band band;
  for (const ElementLoss& e : restriction.elements) {
    const double part = share_ahead(e, to_mm) - share_ahead(e, from_mm);
    if (part == 0) continue;
    for (Contribution c : e.band) {
      const double low = c.low, high = c.high;
      c.low = std::abs(part) * (part > 0 ? low : high);
      c.high = std::abs(part) * (part > 0 ? high : low);
      band.add(std::move(c));
    }
  }
  return band.high();
}

}  // namespace

std::variant<IndicatorSettings, NotAssessed> indicator_settings(const Intake& intake, const Budget& budget) {
  const auto own = job_conditions(intake.inputs, 0);
  if (!own) return no_conditions(intake.inputs);
  const Component* component = component_ahead(intake.duct.spec, intake.inputs);
  IndicatorSettings out;
  Value value = by_curves(intake, budget, *own);
  if (component && component->clean && !component->dirty) {
    auto cake = by_cake(intake, budget, *own, *component->clean);
    if (const auto* unknown = std::get_if<NotAssessed>(&cake)) return *unknown;
    value = std::move(std::get<Value>(cake));
    out.note =
        "no curve of the dirty element is stated: the clean one is taken to lose more in proportion to the flow "
        "(common practice, no source)";
  }
  const auto found = loading_crossing(value, budget.limit);
  if (const auto* unknown = std::get_if<NotAssessed>(&found)) return *unknown;
  const auto& met = std::get<Crossing>(found);
  if (!met.estimate) return NotAssessed{"a clean element already is beyond the limit at the rated flow", {}};
  if (*met.estimate >= kMostLoading) {
    return NotAssessed{"the limit is not reached however the element is loaded", {}};
  }
  const auto before = held(intake, budget, *own), then = value(*met.estimate);
  for (const auto* outcome : {&before, &then}) {
    if (const auto* unknown = std::get_if<NotAssessed>(outcome)) return *unknown;
  }
  const auto& now = std::get<Held>(then);
  const auto at = std::find_if(now.readings.begin(), now.readings.end(),
                               [&](const GaugeReading& g) { return g.tap == budget.station; });
  for (std::size_t i = 0; i < now.readings.size(); ++i) {
    const GaugeReading& g = now.readings[i];
    const double doubt = doubt_between_Pa(now.restriction, g.station_mm, at->station_mm);
    out.taps.push_back(
        {g.tap, g.station_mm, std::get<Held>(before).readings[i].reading, g.reading, g.reading - pascals(doubt)});
  }
  return out;
}

}  // namespace baywright::flow
