#include <algorithm>
#include <cmath>

#include "flow/compressible.hpp"
#include "flow/flow_model.hpp"
#include "flow/flow_path.hpp"
#include "flow/march.hpp"
#include "flow/pressure_line.hpp"
#include "flow/unstated_air.hpp"
#include "flow/what_if.hpp"
#include "geometry/base/expects.hpp"

namespace baywright::flow {
namespace {

// Bands of what the job states, as shares of the loss (docs/flow.md).
constexpr double kRawAirBand = 0.20;       // common practice, no source
constexpr double kCleanFilterBand = 0.05;  // flow within 2 % (ISO 5011) doubles in a quadratic curve
constexpr double kDirtyFilterBand = 0.10;  // loading differs from element to element: common practice, no source

const std::optional<FilterCurve>& curve_of(const Component& component, FilterState state) {
  return state == FilterState::clean ? component.clean : component.dirty;
}

/// What a restriction is run with in place of the job's own.
struct Variation {
  const duct::PointId* without_bend = nullptr;  ///< null: none is left out
  const ElementFit* element = nullptr;          ///< null: by the curve of the state
};

const char* word(FilterState state) { return state == FilterState::clean ? "clean" : "dirty"; }

std::string curve_name(FilterState state) { return std::string("flow/components/") + word(state); }

std::vector<std::string> missing_inputs(const FlowInputs& inputs, const Component* component, const duct::Duct* raw_air,
                                        bool apart, std::optional<FilterState> state) {
  std::vector<std::string> missing = unstated_air(inputs);
  if (state && (!component || !curve_of(*component, *state))) missing.emplace_back(curve_name(*state));
  if (!inputs.raw_air_loss && !(raw_air && raw_air->spec.entry)) {
    missing.emplace_back(raw_air ? "ducts/" + raw_air->spec.id.value + "/entry"
                         : apart ? "flow/components/inlet"
                                 : "flow/raw_air_loss_kPa");
  }
  return missing;
}

measure::NotAssessed not_assessed(std::string reason, std::vector<std::string> missing = {}) {
  return {std::move(reason), std::move(missing)};
}

/// Values that a reader should have refused; a program may hand them over all the same.
std::optional<std::string> unusable(const FlowInputs& inputs) {
  const double rated = rated_flow(inputs)->si();
  if (!(std::isfinite(rated) && rated > 0)) return "the rated flow must be above 0 kg/s";
  const Ambient& air = *inputs.ambient;
  if (!(air.temperature >= celsius(kColdestAmbient_C) && air.temperature <= celsius(kHottestAmbient_C))) {
    return "the outside temperature is out of range";
  }
  if (!(air.relative_humidity >= 0 && air.relative_humidity <= 1)) return "the humidity must lie between 0 and 1";
  if (!(air.pressure >= kilopascals(kLowestAmbient_kPa) && air.pressure <= kilopascals(kHighestAmbient_kPa))) {
    return "the outside pressure is out of range";
  }
  // Hot and thin at once, the vapour alone could outweigh the air.
  if (!(air.relative_humidity * saturation_pressure_Pa(air.temperature) < air.pressure.si())) {
    return "the outside air holds more vapour than its pressure allows";
  }
  if (inputs.raw_air_loss && !(inputs.raw_air_loss->si() >= 0 && *inputs.raw_air_loss < air.pressure)) {
    return "the raw air loss must be 0 or more and below the outside pressure";
  }
  if (inputs.crankcase_gas && !(inputs.crankcase_gas->si() >= 0 && inputs.crankcase_gas->si() < rated)) {
    return "the crankcase gas must be 0 kg/s or more and below the rated flow";
  }
  if (inputs.wall_roughness_mm && !(*inputs.wall_roughness_mm >= 0)) return "the wall roughness must be 0 mm or more";
  return std::nullopt;
}

ElementLoss declared(const std::string& name, const std::string& source, Pressure loss) {
  ElementLoss e;
  e.name = name;
  e.loss = loss;
  const double amount = kRawAirBand * loss.si();
  e.band = {expanded_share(source, amount, amount, "raw air")};
  return e;
}

/// What a restriction is made of: the duct's own path, and that of the raw air duct where it counts.
struct Way {
  FlowPath path;
  const duct::Duct* raw_air = nullptr;  ///< that ends at the filter
  std::vector<std::string> apart;       ///< those that draw from outside and end at no air cleaner
  std::optional<FlowPath> raw_air_path;
};

void pass_raw_air(March& march, const Way& way, const FlowInputs& inputs, const Stream& stream) {
  for (const std::string& id : way.apart) {
    march.note("duct " + id + " does not end at the inlet of this duct's air cleaner (flow/components/inlet): " +
               (way.raw_air_path ? "its loss is not counted" : "the declared raw air loss counts"));
  }
  if (!way.raw_air_path) {
    march.pass(declared("raw air side (declared)", "raw air loss as declared, common practice, no source",
                        *inputs.raw_air_loss));
    if (way.raw_air) {
      march.note("how the air enters duct " + way.raw_air->spec.id.value + " is not stated (ducts/" +
                 way.raw_air->spec.id.value + "/entry): the declared raw air loss stands for all of that duct");
    }
    return;
  }
  if (const auto* stated = std::get_if<duct::StatedEntry>(&*way.raw_air->spec.entry)) {
    march.pass(declared(std::string(kRawAirPrefix) + "entry (stated)", "entry as stated, common practice, no source",
                        stated->loss));
  }
  if (!march.choked()) march.ahead_along(*way.raw_air_path, stream, std::string(kRawAirPrefix));
}

void pass_filter(March& march, const ElementFit& element, const std::string& called, double stated,
                 const Stream& stream) {
  if (march.choked()) return;
  const double density = march.total().si() / (stream.gas_constant_J_kgK * stream.total_temperature.si());
  const VolumeFlow flow = cubic_metres_per_second(stream.mass_flow.si() / density);
  if (flow < element.fit.lowest || flow > element.fit.highest) {
    march.note("rated flow lies outside the filter curve (" + called + "): the curve is extended");
  }
  march.pass(loss_of_curve("filter (" + called + ")", "filter", element.reference_density_kg_m3, element.fit,
                           {flow, density, viscosity_Pa_s(stream.total_temperature)}, stated));
}

}  // namespace

const Component* component_ahead(const duct::DuctSpec& spec, const FlowInputs& inputs) {
  if (spec.from.port.empty()) return nullptr;
  const auto found = std::find_if(inputs.components.begin(), inputs.components.end(),
                                  [&](const Component& c) { return c.outlet == spec.from.port; });
  return found == inputs.components.end() ? nullptr : &*found;
}

const duct::Duct* raw_air_duct(const duct::DuctSpec& intake, const FlowInputs& inputs,
                               std::span<const duct::Duct> ducts) {
  const Component* component = component_ahead(intake, inputs);
  if (!component || !component->inlet) return nullptr;
  const auto found = std::find_if(ducts.begin(), ducts.end(), [&](const duct::Duct& d) {
    return d.spec.service == duct::Service::raw_air && d.spec.to.port == *component->inlet;
  });
  return found == ducts.end() ? nullptr : &*found;
}

namespace {

using Outcome = std::variant<Restriction, measure::NotAssessed>;

/// Of any component: what leads to another one's is no loss of this intake.
bool ends_at_cleaner(const duct::DuctSpec& spec, const FlowInputs& inputs) {
  return std::any_of(inputs.components.begin(), inputs.components.end(),
                     [&](const Component& c) { return c.inlet && !c.inlet->empty() && *c.inlet == spec.to.port; });
}

void leave_out(FlowPath& path, const duct::Layout& layout, const duct::PointId& point) {
  for (const duct::Bend& bend : layout.bends) {
    if (bend.at != point || !bend.bends()) continue;
    std::erase_if(path.elements, [&](const LossElement& e) {
      return e.station_from_mm == bend.station_from_mm && e.station_to_mm == bend.station_to_mm;
    });
  }
}

Outcome estimate(const duct::Duct& duct, const FlowInputs& inputs, FilterState state, std::span<const duct::Duct> ducts,
                 const Variation& variation) {
  if (duct.spec.service != duct::Service::intake) return not_assessed("restriction is estimated for intake ducts only");
  const Component* component = component_ahead(duct.spec, inputs);
  Way way;
  way.raw_air = raw_air_duct(duct.spec, inputs, ducts);
  for (const duct::Duct& other : ducts) {
    if (other.spec.entry && !ends_at_cleaner(other.spec, inputs)) way.apart.push_back(other.spec.id.value);
  }
  std::vector<std::string> missing = missing_inputs(inputs, component, way.raw_air, !way.apart.empty(),
                                                    variation.element ? std::nullopt : std::optional(state));
  if (missing.empty()) {
    if (const auto trouble = unusable(inputs)) return not_assessed(*trouble, {"flow"});
  }
  // What the fittings lack does not depend on the flow: with any flow it is found along with the rest.
  FrictionInputs friction{kilograms_per_second(0.1), viscosity_Pa_s(celsius(20)), kDefaultRoughness_mm};
  if (missing.empty()) {
    friction = {*rated_flow(inputs), viscosity_Pa_s(inputs.ambient->temperature),
                inputs.wall_roughness_mm.value_or(kDefaultRoughness_mm), inputs.crankcase_gas};
  }
  way.path = flow_path(duct, friction);
  if (variation.without_bend) leave_out(way.path, duct.layout, *variation.without_bend);
  missing.insert(missing.end(), way.path.missing.begin(), way.path.missing.end());
  if (way.raw_air && way.raw_air->spec.entry) {
    way.raw_air_path = flow_path(*way.raw_air, friction);
    missing.insert(missing.end(), way.raw_air_path->missing.begin(), way.raw_air_path->missing.end());
  }
  if (!missing.empty()) return not_assessed("inputs of the restriction estimate are missing", missing);

  ElementFit element;
  if (variation.element) {
    element = *variation.element;
  } else {
    const FilterCurve& curve = *curve_of(*component, state);
    const auto fitted = fit(curve);
    if (!fitted) return not_assessed(to_line(fitted.error()), {curve_name(state)});
    element = {*fitted, curve.reference_density_kg_m3};
  }
  const Stream stream = stream_of(inputs);
  March march(inputs.ambient->pressure);
  pass_raw_air(march, way, inputs, stream);
  pass_filter(march, element, variation.element ? "loaded" : word(state),
              state == FilterState::clean ? kCleanFilterBand : kDirtyFilterBand, stream);
  if (!march.choked()) march.along(way.path, stream);
  Restriction marched = march.finished();
  if (!inputs.wall_roughness_mm) {
    marched.notes.push_back("wall roughness taken as " + length_text(kDefaultRoughness_mm, duct.layout.units) +
                            ": common practice, no source");
  }
  return marched;
}

}  // namespace

Outcome restriction(const duct::Duct& duct, const FlowInputs& inputs, FilterState state,
                    std::span<const duct::Duct> ducts) {
  return estimate(duct, inputs, state, ducts, {});
}

Outcome restriction_without_bend(const duct::Duct& duct, const FlowInputs& inputs, FilterState state,
                                 std::span<const duct::Duct> ducts, const duct::PointId& bend) {
  return estimate(duct, inputs, state, ducts, {.without_bend = &bend});
}

Outcome restriction_with_element(const duct::Duct& duct, const FlowInputs& inputs, const ElementFit& element,
                                 std::span<const duct::Duct> ducts) {
  return estimate(duct, inputs, FilterState::dirty, ducts, {.element = &element});
}

namespace {

GaugeReading reading_at(const std::string& tap, double station_mm, double bore_mm, const Restriction& restriction,
                        const FlowInputs& inputs) {
  GaugeReading g;
  g.tap = tap;
  g.station_mm = station_mm;
  for (const ElementLoss& e : restriction.elements) {
    const double part = share_ahead(e, station_mm);
    g.total_loss = g.total_loss + part * e.loss;
    for (Contribution c : e.band) {
      c.low *= part;
      c.high *= part;
      g.band.add(std::move(c));
    }
  }
  const Pressure total = inputs.ambient->pressure - g.total_loss;
  const auto state = section_state(stream_of(inputs), total, bore_mm);
  EXPECTS(state.has_value());  // the march passed here with less total pressure
  g.reading = g.total_loss + (total - state->static_pressure);
  return g;
}

}  // namespace

GaugeReading gauge_at(const duct::Duct& duct, double station_mm, const std::string& name,
                      const Restriction& restriction, const FlowInputs& inputs) {
  EXPECTS(rated_flow(inputs) && inputs.ambient && !restriction.choked());
  return reading_at(name, station_mm, duct.layout.tube_at(station_mm).bore_mm(), restriction, inputs);
}

std::vector<GaugeReading> gauge_readings(const duct::Duct& duct, const Restriction& restriction,
                                         const FlowInputs& inputs) {
  EXPECTS(rated_flow(inputs) && inputs.ambient);
  std::vector<GaugeReading> readings;
  if (restriction.choked()) return readings;
  for (const duct::PlacedFitting& fitting : duct.layout.fittings) {
    if (!std::holds_alternative<duct::RestrictionTap>(fitting.kind)) continue;
    const double station = fitting.station_from_mm;
    readings.push_back(
        reading_at(fitting.id.value, station, duct.layout.tube_at(station).bore_mm(), restriction, inputs));
  }
  const double end = duct.layout.length_mm;
  const double bore = duct.layout.bore_behind_mm.value_or(duct.layout.tube_at(end).bore_mm());
  readings.push_back(reading_at(std::string(kCompressorFace), end, bore, restriction, inputs));
  return readings;
}

}  // namespace baywright::flow
