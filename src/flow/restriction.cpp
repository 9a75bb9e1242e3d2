#include <algorithm>
#include <cmath>

#include "flow/compressible.hpp"
#include "flow/flow_model.hpp"
#include "flow/flow_path.hpp"
#include "flow/march.hpp"
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

const char* word(FilterState state) { return state == FilterState::clean ? "clean" : "dirty"; }

std::string curve_name(FilterState state) { return std::string("flow/components/") + word(state); }

std::vector<std::string> missing_inputs(const FlowInputs& inputs, const Component* component, FilterState state) {
  std::vector<std::string> missing;
  if (!inputs.rated) missing.push_back("flow/rated_kg_per_s");
  if (!inputs.ambient) missing.push_back("flow/ambient");
  if (!component || !curve_of(*component, state)) missing.push_back(curve_name(state));
  if (!inputs.raw_air_loss) missing.push_back("flow/raw_air_loss_kPa");
  return missing;
}

measure::NotAssessed not_assessed(std::string reason, std::vector<std::string> missing = {}) {
  return {std::move(reason), std::move(missing)};
}

/// Values that a reader should have refused; a program may hand them over all the same.
std::optional<std::string> unusable(const FlowInputs& inputs) {
  if (!(std::isfinite(inputs.rated->si()) && inputs.rated->si() > 0)) return "the rated flow must be above 0 kg/s";
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
  if (!(inputs.raw_air_loss->si() >= 0 && *inputs.raw_air_loss < air.pressure)) {
    return "the raw air loss must be 0 or more and below the outside pressure";
  }
  if (inputs.wall_roughness_mm && !(*inputs.wall_roughness_mm >= 0)) return "the wall roughness must be 0 mm or more";
  return std::nullopt;
}

Stream stream_of(const FlowInputs& inputs) {
  Stream stream;
  stream.mass_flow = *inputs.rated;
  stream.total_temperature = inputs.ambient->temperature;
  stream.gas_constant_J_kgK =
      inputs.ambient->pressure.si() / (density_kg_m3(*inputs.ambient) * inputs.ambient->temperature.si());
  return stream;
}

/// Losses ahead of the duct: what the job declares for the raw air side, and the filter.
struct Ahead {
  std::vector<ElementLoss> elements;
  std::vector<std::string> notes;
};

ElementLoss raw_air(Pressure loss) {
  ElementLoss e;
  e.name = "raw air side (declared)";
  e.loss = loss;
  const double amount = kRawAirBand * loss.si();
  e.band = {expanded_share("raw air loss as declared, common practice, no source", amount, amount, "raw air")};
  return e;
}

Ahead ahead_of_duct(const FlowInputs& inputs, const Component& component, FilterState state, const FilterFit& fitted,
                    const Stream& stream) {
  Ahead ahead;
  ahead.elements.push_back(raw_air(*inputs.raw_air_loss));
  const Pressure total = inputs.ambient->pressure - *inputs.raw_air_loss;
  const double density = total.si() / (stream.gas_constant_J_kgK * stream.total_temperature.si());
  const VolumeFlow flow = cubic_metres_per_second(stream.mass_flow.si() / density);
  const FilterCurve& curve = *curve_of(component, state);
  ahead.elements.push_back(loss_of_curve(std::string("filter (") + word(state) + ")", "filter", curve, fitted,
                                         {flow, density, viscosity_Pa_s(stream.total_temperature)},
                                         state == FilterState::clean ? kCleanFilterBand : kDirtyFilterBand));
  if (flow < fitted.lowest || flow > fitted.highest) {
    ahead.notes.push_back("rated flow lies outside the filter curve (" + std::string(word(state)) +
                          "): the curve is extended");
  }
  return ahead;
}

Restriction march(const Ahead& ahead, const FlowPath& path, const Stream& stream, Pressure ambient) {
  March march(ambient);
  for (const std::string& text : ahead.notes) march.note(text);
  for (const ElementLoss& e : ahead.elements) march.pass(e);
  march.along(path, stream);
  return march.finished();
}

}  // namespace

const Component* component_ahead(const duct::DuctSpec& spec, const FlowInputs& inputs) {
  if (spec.from.port.empty()) return nullptr;
  const auto found = std::find_if(inputs.components.begin(), inputs.components.end(),
                                  [&](const Component& c) { return c.outlet == spec.from.port; });
  return found == inputs.components.end() ? nullptr : &*found;
}

std::variant<Restriction, measure::NotAssessed> restriction(const duct::Duct& duct, const FlowInputs& inputs,
                                                            FilterState state) {
  if (duct.spec.service != duct::Service::intake) return not_assessed("restriction is estimated for intake ducts only");
  const Component* component = component_ahead(duct.spec, inputs);
  std::vector<std::string> missing = missing_inputs(inputs, component, state);
  if (missing.empty()) {
    if (const auto trouble = unusable(inputs)) return not_assessed(*trouble, {"flow"});
  }
  // What the fittings lack does not depend on the flow: with any flow it is found along with the rest.
  FrictionInputs friction{kilograms_per_second(0.1), viscosity_Pa_s(celsius(20)), kDefaultRoughness_mm};
  if (missing.empty()) {
    friction = {*inputs.rated, viscosity_Pa_s(inputs.ambient->temperature),
                inputs.wall_roughness_mm.value_or(kDefaultRoughness_mm)};
  }
  const FlowPath path = flow_path(duct, friction);
  missing.insert(missing.end(), path.missing.begin(), path.missing.end());
  if (!missing.empty()) return not_assessed("inputs of the restriction estimate are missing", missing);

  const auto fitted = fit(*curve_of(*component, state));
  if (!fitted) return not_assessed(to_line(fitted.error()), {curve_name(state)});
  const Stream stream = stream_of(inputs);
  Restriction marched =
      march(ahead_of_duct(inputs, *component, state, *fitted, stream), path, stream, inputs.ambient->pressure);
  if (!inputs.wall_roughness_mm) {
    marched.notes.push_back("wall roughness taken as " + length_text(kDefaultRoughness_mm, duct.layout.units) +
                            ": common practice, no source");
  }
  return marched;
}

namespace {

/// Share of an element that lies ahead of a station.
double share_ahead(const ElementLoss& e, double station_mm) {
  const double length = e.station_to_mm - e.station_from_mm;
  if (length <= 0) return e.station_to_mm <= station_mm ? 1 : 0;
  return std::clamp((station_mm - e.station_from_mm) / length, 0.0, 1.0);
}

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
  EXPECTS(inputs.rated && inputs.ambient && !restriction.choked());
  return reading_at(name, station_mm, duct.layout.tube_at(station_mm).bore_mm(), restriction, inputs);
}

std::vector<GaugeReading> gauge_readings(const duct::Duct& duct, const Restriction& restriction,
                                         const FlowInputs& inputs) {
  EXPECTS(inputs.rated && inputs.ambient);
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
