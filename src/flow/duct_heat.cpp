#include "flow/duct_heat.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>
#include <utility>

#include "flow/flow_path.hpp"
#include "geometry/base/expects.hpp"

namespace baywright::flow {
namespace {

constexpr double kRubber_W_mK = 0.25;       // from memory: 0.16 to 0.3
constexpr double kInsulation_m2K_W = 0.1;   // 5 mm of foam, 0.05 W/(m K): common practice, no source
constexpr double kInsulationAtLeast = 0.5;  // of it, common practice, no source
constexpr double kInsulationAtMost = 2;
constexpr double kStillAir_W_m2K = 5;   // common practice, no source
constexpr double kFanWind_W_m2K = 30;   // common practice, no source
constexpr double kInsideAtLeast = 0.9;  // Gnielinski's own scatter (from memory)
constexpr double kInsideAtMost = 1.3;   // inlets and bends stir the air: common practice, no source
constexpr double kCutEvery_mm = 100;
constexpr double kShortest_mm = 1e-6;

double square_metres(double diameter_mm, double length_mm) {
  return std::numbers::pi * diameter_mm / 1000 * length_mm / 1000;
}

/// Over whose tube a hose lies at a station, its wall; 0 where none does.
double hose_wall_mm(const duct::Layout& layout, double station_mm) {
  for (const duct::Piece& piece : layout.pieces) {
    if (piece.kind != duct::Piece::Kind::coupler || !piece.fitting) continue;
    if (station_mm < piece.station_from_mm || station_mm > piece.station_to_mm) continue;
    const duct::PlacedFitting* fitting = layout.find(*piece.fitting);
    if (fitting) return std::get<duct::Coupler>(fitting->kind).wall_mm;
  }
  return 0;
}

/// Stations between which the section is one, ends included.
std::vector<double> cuts_of(const duct::Layout& layout) {
  std::set<double> cuts{0, layout.length_mm};
  const auto cut = [&](double station) {
    if (station > 0 && station < layout.length_mm) cuts.insert(station);
  };
  for (const duct::PlacedFitting& f : layout.fittings) {
    cut(f.station_from_mm);
    cut(f.station_to_mm);
  }
  for (const duct::Piece& p : layout.pieces) {
    cut(p.station_from_mm);
    cut(p.station_to_mm);
  }
  return {cuts.begin(), cuts.end()};
}

}  // namespace

double conductivity_W_mK(Temperature t) {
  EXPECTS(t.si() > 0);
  return 2.64638e-3 * std::pow(t.si(), 1.5) / (t.si() + 245.4 * std::pow(10.0, -12 / t.si()));
}

double nusselt(double reynolds, double prandtl) {
  EXPECTS(reynolds > 0 && prandtl > 0);
  constexpr double kLaminarTo = 2300, kTurbulentFrom = 4000, kLaminar = 3.66;
  const auto turbulent = [prandtl](double re) {
    const double eighth = std::pow(1.8 * std::log10(re) - 1.5, -2) / 8;
    return eighth * (re - 1000) * prandtl / (1 + 12.7 * std::sqrt(eighth) * (std::pow(prandtl, 2.0 / 3) - 1));
  };
  if (reynolds <= kLaminarTo) return kLaminar;
  if (reynolds >= kTurbulentFrom) return turbulent(reynolds);
  const double share = (reynolds - kLaminarTo) / (kTurbulentFrom - kLaminarTo);
  return (1 - share) * kLaminar + share * turbulent(kTurbulentFrom);
}

std::vector<HeatedLength> heated_lengths(const duct::Duct& duct) {
  const duct::Layout& layout = duct.layout;
  const std::vector<double> cuts = cuts_of(layout);
  std::vector<HeatedLength> lengths;
  for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
    const double whole = cuts[i + 1] - cuts[i];
    if (whole < kShortest_mm) continue;
    const int parts = static_cast<int>(std::ceil(whole / kCutEvery_mm));
    for (int k = 0; k < parts; ++k) {
      HeatedLength length;
      length.station_from_mm = cuts[i] + whole * k / parts;
      length.station_to_mm = cuts[i] + whole * (k + 1) / parts;
      const duct::TubeSize tube = layout.tube_at(length.middle_mm());
      length.bore_mm = tube.bore_mm();
      length.outer_diameter_mm = tube.outer_diameter_mm;
      if (const double wall = hose_wall_mm(layout, length.middle_mm()); wall > 0) {
        length.outer_diameter_mm += 2 * wall;
        length.rubber_m2K_W = length.outer_diameter_mm / 2000 *
                              std::log(length.outer_diameter_mm / tube.outer_diameter_mm) / kRubber_W_mK;
      }
      if (duct.spec.insulated.value_or(false)) length.insulation_m2K_W = kInsulation_m2K_W;
      lengths.push_back(length);
    }
  }
  return lengths;
}

Temperature warmed(Temperature in, Temperature outside, double conductance_W_K, MassFlow flow) {
  EXPECTS(flow.si() > 0 && conductance_W_K >= 0);
  const double units = conductance_W_K / (flow.si() * kHeatCapacity_J_kgK);
  return outside + std::exp(-units) * (in - outside);
}

double conductance_W_K(const HeatedLength& length, const WarmedAir& air, const Films& films) {
  const double viscosity = viscosity_Pa_s(air.properties), conductivity = conductivity_W_mK(air.properties);
  const double re = reynolds({air.mass_flow, viscosity, 0}, length.bore_mm);
  const double inside = films.inside_factor * nusselt(re, viscosity * kHeatCapacity_J_kgK / conductivity) *
                        conductivity / (length.bore_mm / 1000);
  const double outer_m2 = square_metres(length.outer_diameter_mm, length.length_mm());
  const double wall_m2K_W = length.rubber_m2K_W + films.insulation_factor * length.insulation_m2K_W;
  return 1 / (1 / (inside * square_metres(length.bore_mm, length.length_mm())) +
              (wall_m2K_W + 1 / films.bay_W_m2K) / outer_m2);
}

Temperature behind(std::span<const HeatedLength> lengths, Temperature in, const WarmedAir& air, const Films& films) {
  for (const HeatedLength& length : lengths) {
    const Temperature outside = air.bay + kelvins(films.radiant_factor * length.radiant_W_m2 / films.bay_W_m2K);
    in = warmed(in, outside, conductance_W_K(length, air, films), air.mass_flow);
  }
  return in;
}

namespace {

Temperature behind_housing(double housing_cm2, Temperature in, const WarmedAir& air, const Films& films) {
  const double area_m2 = housing_cm2 / 1e4;
  return warmed(in, air.bay, area_m2 / (1 / films.bay_W_m2K + 1 / films.housing_W_m2K), air.mass_flow);
}

}  // namespace

InletRise inlet_rise(const HeatedWay& way, const FlowInputs& inputs) {
  EXPECTS(rated_flow(inputs) && inputs.ambient && inputs.bay_air);
  const Temperature outside = inputs.ambient->temperature, source = inputs.source_air.value_or(outside);
  const WarmedAir air{*rated_flow(inputs), *inputs.bay_air, source};
  const auto rise_K = [&](const Films& films) {
    const Temperature raw = behind(way.ahead, source, air, films);
    const Temperature filtered = behind_housing(way.housing_cm2, raw, air, films);
    return (behind(way.behind, filtered, air, films) - outside).si();
  };
  InletRise out;
  const Temperature raw = behind(way.ahead, source, air, {});
  const Temperature filtered = behind_housing(way.housing_cm2, raw, air, {});
  const Temperature last = behind(way.behind, filtered, air, {});
  out.source_K = (source - outside).si();
  out.ahead_K = (raw - source).si();
  out.housing_K = (filtered - raw).si();
  out.behind_K = (last - filtered).si();
  out.rise_K = (last - outside).si();

  const auto spread = [&](const char* cause, const Films& least, const Films& most, std::string stand_in = "") {
    const double a = rise_K(least), b = rise_K(most);
    const double low = std::max(0.0, out.rise_K - std::min(a, b)), high = std::max(0.0, std::max(a, b) - out.rise_K);
    if (low > 0 || high > 0) out.band.add({cause, Contribution::Kind::expanded, low, high, "", std::move(stand_in)});
  };
  spread("film of the bay's air between 5 and 30 W/(m2 K), common practice, no source", {.bay_W_m2K = kStillAir_W_m2K},
         {.bay_W_m2K = kFanWind_W_m2K});
  spread("film inside the ducts, Gnielinski and what bends add", {.inside_factor = kInsideAtLeast},
         {.inside_factor = kInsideAtMost});
  spread("film inside the air cleaner between 5 and 30 W/(m2 K), common practice, no source",
         {.housing_W_m2K = kStillAir_W_m2K}, {.housing_W_m2K = kFanWind_W_m2K});
  spread("insulation, half to twice the usual, common practice, no source", {.insulation_factor = kInsulationAtMost},
         {.insulation_factor = kInsulationAtLeast});
  // Radiation only adds, and most where the other films let most of it in: what it adds then comes on top in full.
  double radiant_K = 0;
  for (const double bay : {kStillAir_W_m2K, Films{}.bay_W_m2K, kFanWind_W_m2K}) {
    for (const double insulation : {kInsulationAtLeast, 1.0}) {
      const Films without{.bay_W_m2K = bay, .inside_factor = kInsideAtMost, .insulation_factor = insulation};
      Films with = without;
      with.radiant_factor = 1;
      radiant_K = std::max(radiant_K, rise_K(with) - rise_K(without));
    }
  }
  if (radiant_K > 0) {
    out.band.add({"radiation of hot parts that the ducts see", Contribution::Kind::bound, 0, radiant_K, "",
                  way.radiant_stand_in});
  }
  return out;
}

}  // namespace baywright::flow
