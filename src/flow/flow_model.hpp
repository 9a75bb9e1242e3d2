#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "bay/ids.hpp"
#include "duct/layout.hpp"
#include "flow/air.hpp"
#include "flow/filter.hpp"
#include "geometry/base/band.hpp"
#include "geometry/base/id.hpp"
#include "geometry/base/quantity.hpp"
#include "measure/measured.hpp"

namespace baywright::flow {

using ComponentId = Id<struct ComponentTag>;

/// The element of an air cleaner, as its supplier states it.
struct FilterElement {
  std::optional<bool> dry;           ///< false: oiled, which in time reaches the air-mass sensor
  std::optional<double> efficiency;  ///< share of the test dust it keeps, ISO 5011, 0..1
  std::optional<VolumeFlow> rated;   ///< flow it is made for
  bool operator==(const FilterElement&) const = default;
};

/// What the air passes between two ducts, and what that costs: an air cleaner between its inlet and outlet port.
struct Component {
  ComponentId id;
  std::string name;
  std::optional<bay::PortId> inlet;  ///< where a raw air duct ends; absent: it draws from outside by itself
  bay::PortId outlet;                ///< the duct that starts here has this component ahead of it
  std::optional<FilterCurve> clean, dirty;
  std::optional<FilterElement> element = {};
  std::optional<double> housing_cm2 = {};  ///< surface of its housing that the bay's air touches
  bool operator==(const Component&) const = default;
};

/// Cooler of the charge air.
struct ChargeCooler {
  std::optional<double> effectiveness;         ///< (hot in - hot out) / (hot in - cooling air), 0..1, at the rating
  std::optional<Temperature> cooling_air;      ///< ahead of the cooler on the day that is asked for
  std::optional<Pressure> loss;                ///< of total pressure, from the compressor to behind the cooler
  std::optional<FilterCurve> curve = {};       ///< of its core alone, between its two ports
  std::optional<double> conductance_W_K = {};  ///< heat its core passes per kelvin between both airs, at the rating
  std::optional<MassFlow> air_flow = {};       ///< of the cooling air through it, at the rating
  bool operator==(const ChargeCooler&) const = default;
};

/// What a job says about its charge air.
struct ChargeInputs {
  std::optional<Pressure> boost;                  ///< gauge, at the compressor outlet, at the rating
  std::optional<Pressure> peak_boost;             ///< the greatest there ever is
  std::optional<Temperature> inlet_temperature;   ///< of the compressor, on the day that is asked for
  std::optional<double> compressor_efficiency;    ///< isentropic, total to total, at the rating, 0..1
  std::optional<Temperature> outlet_temperature;  ///< of the compressor, measured or from its supplier
  std::optional<ChargeCooler> cooler;
  bool operator==(const ChargeInputs&) const = default;
};

/// A four-stroke engine from which the rated flow follows.
struct EngineFlow {
  double displacement_cm3 = 0;
  double speed_rpm = 0;
  double volumetric_efficiency = 0;  ///< on the air in the manifold
  Pressure manifold_boost;           ///< gauge, in the manifold, at the rating; 0: no charging
  Temperature manifold_temperature;
  bool operator==(const EngineFlow&) const = default;
};

/// What a job says about its air; every field that is absent makes the checks that need it `not checked`.
struct FlowInputs {
  std::optional<MassFlow> rated;
  std::optional<Ambient> ambient;
  std::vector<Component> components;
  std::optional<ChargeInputs> charge;
  std::optional<Pressure> raw_air_loss;        ///< declared loss from outside to the filter at rated flow
  std::optional<double> wall_roughness_mm;     ///< default 0.01 (common practice, no source)
  std::optional<Temperature> bay_air;          ///< around ducts and air cleaner, on the day of `ambient`
  std::optional<Temperature> source_air;       ///< where the air is drawn in, on that day
  std::optional<EngineFlow> engine = {};       ///< in place of `rated`
  std::optional<MassFlow> crankcase_gas = {};  ///< at the rating, that a breather leads into the intake
  bool operator==(const FlowInputs&) const = default;
};

/// Air at the engine's rating: as stated, else volumetric efficiency * density * displacement * speed / 2 of the
/// engine, with the density (ambient + boost) / (287.055 T) of dry air in its manifold. Nothing without either, and
/// without `ambient` for an engine.
std::optional<MassFlow> rated_flow(const FlowInputs& inputs);
/// The input that is lacking where `rated_flow` gives nothing.
std::string rated_flow_key(const FlowInputs& inputs);

/// Total-pressure loss of one element along the duct.
struct ElementLoss {
  std::string name;  ///< "filter (clean)", "bend at P1", "straight 148.0 mm"...
  double station_from_mm = 0, station_to_mm = 0;
  double loss_coefficient = 0;  ///< on the dynamic pressure below; 0 for curves
  double velocity_m_s = 0;
  double mach = 0;  ///< there; 0 for curves
  Pressure loss;
  Pressure total_behind;                  ///< absolute
  std::optional<Pressure> static_behind;  ///< absolute, in the bore behind it; none behind what has no bore
  std::vector<Contribution> band;         ///< in pascal
};

/// What is lost along a way; of an intake: outside air to the compressor face.
struct Restriction {
  std::vector<ElementLoss> elements;  ///< in order of flow
  Pressure total;                     ///< of all elements
  Band band;                          ///< of total, in pascal
  std::vector<std::string> notes;     ///< warnings: bend interaction, Mach number above 0.1, transition regime
  /// The element the rated flow does not pass. `elements` and `total` then end ahead of it: the loss is at least that.
  std::string chokes_at;
  bool choked() const { return !chokes_at.empty(); }
};

/// Station of a gauge or a restriction limit at the downstream end of the duct; elsewhere the id of a restriction tap.
inline constexpr std::string_view kCompressorFace = "compressor face";

/// What can be told about one station: the loss up to it and what a gauge on a static wall tap there would read.
struct GaugeReading {
  std::string tap;  ///< fitting id, or kCompressorFace
  double station_mm = 0;
  Pressure total_loss;  ///< of total pressure, from outside air to the station
  Pressure reading;     ///< below outside pressure: total_loss + (total - static pressure) there
  Band band;            ///< of both, in pascal
};

/// The component a duct draws from: the one whose outlet is the duct's upstream port. Null: none.
const Component* component_ahead(const duct::DuctSpec& spec, const FlowInputs& inputs);

/// The raw air duct of `ducts` that ends at the inlet of the component ahead of `intake`. Null: none is drawn.
const duct::Duct* raw_air_duct(const duct::DuctSpec& intake, const FlowInputs& inputs,
                               std::span<const duct::Duct> ducts);

enum class FilterState { clean, dirty };
/// Loss along an intake duct, outside air to compressor face, marched element by element at constant total temperature
/// (docs/flow.md). No loss for an exit: the compressor takes the air as it comes.
/// Ahead of the filter the raw air duct among `ducts` counts, from its entry on, where the job states how the air
/// enters it; else the declared raw air loss, for all of that side. NotAssessed names every missing input, and says
/// when a duct is no intake. A duct that chokes is no lack of input: see Restriction::chokes_at.
std::variant<Restriction, measure::NotAssessed> restriction(const duct::Duct& duct, const FlowInputs& inputs,
                                                            FilterState state, std::span<const duct::Duct> ducts = {});
/// Readings at all restriction taps of the duct in order of station, and at the compressor face (last).
/// EXPECTS a `restriction` of the same duct and inputs. None when it chokes: there is no such flow. A tap within an
/// element takes the share of its length.
std::vector<GaugeReading> gauge_readings(const duct::Duct& duct, const Restriction& restriction,
                                         const FlowInputs& inputs);
/// What a gauge would read on the tube's wall at any station, `name` standing for the tap. EXPECTS as above, and that
/// the duct does not choke.
GaugeReading gauge_at(const duct::Duct& duct, double station_mm, const std::string& name,
                      const Restriction& restriction, const FlowInputs& inputs);

}  // namespace baywright::flow
