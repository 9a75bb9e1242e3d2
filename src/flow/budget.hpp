#pragma once

#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "flow/flow_model.hpp"

namespace baywright::flow {

// A restriction budget held against other flows, heights and loadings of the filter than the job's, and what an
// indicator may show where it really sits. Every value is a `restriction` of the duct as it stands.

/// What a limit on restriction means.
struct Budget {
  PressureKind kind = PressureKind::total;
  std::string station;  ///< id of a restriction tap, or kCompressorFace
  Pressure limit;
};

/// Conditions in place of the job's.
struct Conditions {
  MassFlow flow;
  Ambient ambient;
  double loading = 0;  ///< of the filter's element: 0 clean, 1 dirty; beyond 1 its loss goes on growing in proportion
};
/// As the job states them, for a loading. Nothing without rated flow or ambient.
std::optional<Conditions> job_conditions(const FlowInputs& inputs, double loading);

/// An intake and what is known of its air.
struct Intake {
  const duct::Duct& duct;
  const FlowInputs& inputs;
  std::span<const duct::Duct> ducts;  ///< all of the job
};

/// A restriction, what it is at a budget's station, and the readings at its taps.
struct Held {
  Restriction restriction;
  Pressure value;    ///< infinite where the duct chokes
  Pressure highest;  ///< with the band
  std::vector<GaugeReading> readings;
};
/// Held against a budget under other conditions. Between clean and dirty the element's curve is taken between both
/// fits, a and b in proportion and never below 0 (common practice, no source), with the larger misfit. NotAssessed
/// names every missing input, and a station the duct does not have.
std::variant<Held, measure::NotAssessed> held(const Intake& intake, const Budget& budget, const Conditions& conditions);

/// Where a growing value meets the budget.
struct Crossing {
  std::optional<double> for_certain;  ///< up to here its upper end keeps the limit; nothing: nowhere in the range
  std::optional<double> estimate;     ///< up to here the value keeps it
  bool beyond = false;                ///< even the upper end keeps it all through the range
};
/// Mass flow, kg/s, at which the budget is met, from 5 % to 300 % of the job's, everything else as the job states it.
std::variant<Crossing, measure::NotAssessed> flow_at_budget(const Intake& intake, const Budget& budget, double loading);
/// Loading of the element at which the budget is met at the job's flow, from 0 up to 20 at most.
std::variant<Crossing, measure::NotAssessed> loading_at_budget(const Intake& intake, const Budget& budget);

/// What the engine draws at a height nobody stated it for: between these two.
enum class AltitudeLaw { constant_volume, constant_mass };
/// Air at a height of a map (geometric, turned into the standard's geopotential), 0 to 9000 m: pressure of the standard
/// atmosphere (ISO 2533); its temperature and as much as the job's air is warmer than the standard's at the job's own
/// pressure, so a hot day stays a hot day; the job's relative humidity. With the flow of a law: the job's mass flow, or
/// its volume flow at outside density. Nothing without rated flow or ambient.
std::optional<Conditions> at_height(const FlowInputs& inputs, double height_m, AltitudeLaw law, double loading);
/// Height, m, at which the budget is met with the job's mass flow, from 0 to 5000. With its volume flow the loss falls
/// with height.
std::variant<Crossing, measure::NotAssessed> height_at_budget(const Intake& intake, const Budget& budget,
                                                              double loading);

/// What an indicator may show at its tap before the element must be changed.
struct IndicatorSetting {
  std::string tap;  ///< id of a restriction tap, or kCompressorFace
  double station_mm = 0;
  Pressure clean;      ///< what it shows with a clean element
  Pressure at_budget;  ///< when the estimate stands at the limit at the budget's own station
  Pressure permitted;  ///< less what the loss between tap and station may be more than estimated
  /// Whether it may show more than it does from the start; else no setting there keeps the limit for certain.
  bool certain() const { return permitted > clean; }
};
struct IndicatorSettings {
  std::vector<IndicatorSetting> taps;  ///< in order of station
  std::string note;                    ///< what is taken for granted; empty: nothing
};
/// For every restriction tap of the duct and the compressor face, at rated flow: the element is loaded until the
/// estimate stands at the limit at the budget's station. An indicator reads static pressure at its own tap, so only the
/// way between the two is uncertain. Without a dirty curve the clean one is loaded by its part in proportion to the
/// flow, and the note says so. NotAssessed as `held`, and where a clean element already is beyond the limit.
std::variant<IndicatorSettings, measure::NotAssessed> indicator_settings(const Intake& intake, const Budget& budget);

}  // namespace baywright::flow
