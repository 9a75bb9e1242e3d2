#pragma once

#include <optional>
#include <string>
#include <vector>

#include "duct/layout.hpp"
#include "geometry/base/band.hpp"
#include "geometry/base/quantity.hpp"
#include "measure/measured.hpp"

namespace baywright::flow {

/// Outside air at the place of work.
struct Ambient {
  Pressure pressure;
  Temperature temperature;
  double relative_humidity = 0;  ///< 0..1
  bool operator==(const Ambient&) const = default;
};
/// Density of moist air, kg/m3 (two-gas formula), and dynamic viscosity, Pa s (Sutherland, US Std Atm 1976).
double density_kg_m3(const Ambient& ambient);
double viscosity_Pa_s(Temperature t);
/// ISO 2533 atmosphere at geopotential height (0..11 km).
Ambient standard_atmosphere(double geopotential_m);

enum class PressureKind { total, static_ };

/// Loss of the air cleaner against volume flow, as its supplier gives it.
struct FilterCurve {
  struct Point {
    VolumeFlow flow;
    Pressure loss;
    bool operator==(const Point&) const = default;
  };
  std::vector<Point> points;       ///< at least 3, increasing flow
  PressureKind kind = PressureKind::total;
  double reference_density_kg_m3 = 1.2;
  double outlet_bore_mm = 0;       ///< needed when kind is static_
  bool operator==(const FilterCurve&) const = default;
};
/// Fit dp = a Q + b Q^2 with a, b >= 0 (Forchheimer form, common practice, no source for this product class).
struct FilterFit {
  double a = 0;  ///< Pa s/m3
  double b = 0;  ///< Pa s2/m6
  double worst_relative_error = 0;
};
Result<FilterFit> fit(const FilterCurve& curve);

/// What a job says about its air; every field that is absent makes the checks that need it `not checked`.
struct FlowInputs {
  std::optional<MassFlow> rated;
  std::optional<Ambient> ambient;
  std::optional<FilterCurve> filter_clean, filter_dirty;
  std::optional<Pressure> raw_air_loss;     ///< declared loss from outside to the filter at rated flow
  std::optional<double> wall_roughness_mm;  ///< default 0.01 (common practice, no source)
  bool operator==(const FlowInputs&) const = default;
};

/// Total-pressure loss of one element along the duct.
struct ElementLoss {
  std::string name;            ///< "filter (clean)", "bend at P1", "straight 148 mm"...
  double station_from_mm = 0, station_to_mm = 0;
  double loss_coefficient = 0; ///< on the dynamic pressure below; 0 for curves
  double velocity_m_s = 0;
  Pressure loss;
  std::vector<Contribution> band;  ///< in pascal
};

struct Restriction {
  std::vector<ElementLoss> elements;  ///< in order of flow
  Pressure total;                     ///< outside air to the compressor face
  Band band;                          ///< of total, in pascal
  std::vector<std::string> notes;     ///< warnings: bend interaction, Mach number above 0.1, transition regime
};

/// What a gauge on a static wall tap would read, below ambient.
struct GaugeReading {
  std::string tap;         ///< fitting id
  double station_mm = 0;
  Pressure reading;        ///< losses up to the tap + dynamic pressure there
};

struct RestrictionEstimate {
  Restriction clean, dirty;
  std::vector<GaugeReading> gauge_clean, gauge_dirty;
};

enum class FilterState { clean, dirty };
/// Loss along an intake duct. NotAssessed names every missing input.
std::variant<Restriction, measure::NotAssessed> restriction(const duct::Duct& duct, const FlowInputs& inputs,
                                                            FilterState state);
/// Readings at all restriction taps of the duct, and at `station_mm` when given.
std::vector<GaugeReading> gauge_readings(const duct::Duct& duct, const Restriction& restriction,
                                         const FlowInputs& inputs);

}  // namespace baywright::flow
