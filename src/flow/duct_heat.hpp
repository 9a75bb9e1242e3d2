#pragma once

#include <span>
#include <string>
#include <vector>

#include "duct/layout.hpp"
#include "flow/flow_model.hpp"
#include "geometry/base/band.hpp"
#include "geometry/base/quantity.hpp"

namespace baywright::flow {

// What the air gains on its way to the compressor: through the walls of ducts and air cleaner that stand in the bay's
// warm air, and from hot parts that shine on them. Steady, at the rating. Formulas and sources: docs/flow.md.

inline constexpr double kHeatCapacity_J_kgK = 1006;  ///< of dry air at constant pressure, 0 to 60 degC (from memory)

/// Thermal conductivity of air, W/(m K): US Standard Atmosphere 1976, 2.64638e-3 T^1.5 / (T + 245.4 * 10^(-12/T)).
double conductivity_W_mK(Temperature t);

/// Nusselt number of fully developed flow in a smooth tube, wall and air not far apart in temperature. Up to Re 2300
/// laminar: 3.66; from 4000 Gnielinski with Re - 1000 and friction (1.8 lg Re - 1.5)^-2 (his range: up to 5e6, Prandtl
/// 0.5 to 2000); linear in Re between, Gnielinski 2013. EXPECTS Re and Prandtl above 0.
double nusselt(double reynolds, double prandtl);

/// A length of duct of one section, in order of flow.
struct HeatedLength {
  double station_from_mm = 0, station_to_mm = 0;
  double bore_mm = 0;
  double outer_diameter_mm = 0;  ///< what the bay's air touches; insulation does not add to it
  double rubber_m2K_W = 0;       ///< resistance of a hose's wall, on the outer surface
  double insulation_m2K_W = 0;   ///< likewise
  double radiant_W_m2 = 0;       ///< what hot parts send into the outer surface, over what it sends back
  double length_mm() const { return station_to_mm - station_from_mm; }
  double middle_mm() const { return 0.5 * (station_from_mm + station_to_mm); }
};

/// A duct cut where its section changes and at least every 100 mm: tube, hoses over it, cones at their middle diameter.
/// A metal wall resists nothing; a hose by its rubber, 0.25 W/(m K) (from memory: 0.16 to 0.3). A duct that is stated
/// to be insulated has 0.1 m2 K/W all along (5 mm of foam; common practice, no source). `radiant_W_m2` stays 0.
std::vector<HeatedLength> heated_lengths(const duct::Duct& duct);

/// The films between air and wall.
struct Films {
  double bay_W_m2K = 15;      ///< outside; common practice, no source: 5 still air to 30 in the fan's wind
  double housing_W_m2K = 15;  ///< inside the air cleaner; likewise
  double inside_factor = 1;   ///< on nusselt()
  double insulation_factor = 1;
  double radiant_factor = 0;  ///< on HeatedLength::radiant_W_m2
};

/// A stream that is warmed.
struct WarmedAir {
  MassFlow mass_flow;
  Temperature bay;         ///< of the air outside the wall
  Temperature properties;  ///< at which viscosity and conductivity are taken
};

/// Temperature behind a wall of `conductance_W_K` = U A with `outside` beyond it: the exact solution of
/// m cp dT = U (outside - T) dA. EXPECTS flow above 0, conductance 0 or more.
Temperature warmed(Temperature in, Temperature outside, double conductance_W_K, MassFlow flow);
/// U A of one length: films on either side, rubber and insulation, W/K.
double conductance_W_K(const HeatedLength& length, const WarmedAir& air, const Films& films);
/// Behind all lengths, one after another. Radiant heat counts as bay air that is warmer by it over the outside film.
Temperature behind(std::span<const HeatedLength> lengths, Temperature in, const WarmedAir& air, const Films& films);

/// What the air passes from where it is drawn in.
struct HeatedWay {
  std::vector<HeatedLength> ahead;   ///< raw air duct
  double housing_cm2 = 0;            ///< of the air cleaner, in the bay
  std::vector<HeatedLength> behind;  ///< intake
  std::string radiant_stand_in;      ///< input of the job for which a usual figure stands in HeatedLength::radiant_W_m2
};

/// Rise of the air over `ambient` at the end of the way.
struct InletRise {
  double rise_K = 0;    ///< sum of the four below
  double source_K = 0;  ///< where it is drawn in; 0 where that is not stated
  double ahead_K = 0, housing_K = 0, behind_K = 0;
  Band band;  ///< in kelvin: films, insulation, and on its upper side what hot parts radiate
};
/// EXPECTS rated flow, ambient and bay air, all within what a job may state.
InletRise inlet_rise(const HeatedWay& way, const FlowInputs& inputs);

}  // namespace baywright::flow
