// Every row of tests/reference/flow_checks.csv: published and library values the formulas are held to, and known
// disagreements that must stay visible. Evidence classes and their tolerance rules stand in docs/flow.md.
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "flow/air.hpp"
#include "flow/compressible.hpp"
#include "flow/loss_coefficients.hpp"
#include "geometry/base/unit.hpp"

using namespace baywright;
using namespace baywright::flow;

namespace {

struct Row {
  std::string id, quantity, evidence, tolerance_kind, source;
  std::vector<double> x;
  double expected = 0, tolerance = 0, deviation = 0;
  bool agrees = true;
};

/// One line of comma-separated values with double quotes around those that hold a comma.
std::vector<std::string> split(const std::string& line) {
  std::vector<std::string> cells(1);
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (c == '"' && quoted && i + 1 < line.size() && line[i + 1] == '"') {
      cells.back() += line[++i];
    } else if (c == '"') {
      quoted = !quoted;
    } else if (c == ',' && !quoted) {
      cells.emplace_back();
    } else {
      cells.back() += c;
    }
  }
  return cells;
}

std::vector<Row> rows() {
  std::ifstream file(BAYWRIGHT_SOURCE_DIR "/tests/reference/flow_checks.csv");
  REQUIRE(file.good());
  std::string line;
  std::getline(file, line);
  std::vector<Row> all;
  while (std::getline(file, line)) {
    const auto cell = split(line);
    INFO(line);
    REQUIRE(cell.size() == 13);
    Row row;
    row.id = cell[0];
    row.quantity = cell[1];
    for (std::size_t i = 2; i < 6 && !cell[i].empty(); ++i) row.x.push_back(std::stod(cell[i]));
    row.expected = std::stod(cell[6]);
    row.evidence = cell[7];
    row.tolerance = cell[8].empty() ? 0 : std::stod(cell[8]);
    row.tolerance_kind = cell[9];
    row.agrees = cell[10] == "yes";
    row.deviation = cell[11].empty() ? 0 : std::stod(cell[11]);
    row.source = cell[12];
    REQUIRE_FALSE(row.source.empty());
    all.push_back(row);
  }
  return all;
}

constexpr double kBore_mm = 100;

/// State of air whose flow was chosen so that the Mach number is `mach`.
SectionState state_at(double mach) {
  Stream stream;
  stream.total_temperature = celsius(25);
  const double area = M_PI / 4 * kBore_mm * kBore_mm * 1e-6;
  const double speed = std::sqrt(stream.gas_constant_J_kgK * stream.total_temperature.si() / kHeatCapacityRatio);
  stream.mass_flow = kilograms_per_second(mach * std::pow(1 + 0.2 * mach * mach, -3) * area * 100000 / speed);
  const auto state = section_state(stream, kilopascals(100), kBore_mm);
  REQUIRE(state);
  CHECK(state->mach == Approx(mach).epsilon(1e-12));
  return *state;
}

// Fanno line of air (adiabatic pipe with friction, gamma = 1.4), an independent check on the stepwise march.
double fanno_length(double m) {  // 4 Cf L* / D = f L* / D
  return (1 - m * m) / (1.4 * m * m) + 2.4 / 2.8 * std::log(1.2 * m * m / (1 + 0.2 * m * m));
}
double fanno_total_ratio(double m) { return std::pow((1 + 0.2 * m * m) / 1.2, 3) / m; }

using Function = std::function<double(const std::vector<double>&)>;
const std::map<std::string, Function> kFunctions = {
    {"friction_factor", [](auto& x) { return friction_factor(x[0], x[1]); }},
    {"bend_loss", [](auto& x) { return bend_loss(x[0], degrees(x[1]), x[2]); }},
    {"bend_loss_of_pipe", [](auto& x) { return bend_loss(x[0], degrees(x[1]), friction_factor(x[2], x[3])); }},
    {"sudden_expansion_loss", [](auto& x) { return sudden_expansion_loss(x[0]); }},
    {"sudden_contraction_loss", [](auto& x) { return sudden_contraction_loss(x[0]); }},
    {"contraction_loss_rennels", [](auto& x) { return contraction_loss_rennels(x[0], degrees(x[1]), x[2]); }},
    {"diffuser_loss", [](auto& x) { return diffuser_loss(x[0], degrees(x[1]), x[2]); }},
    {"joining_run_loss", [](auto& x) { return joining_run_loss(x[0]); }},
    {"outlet_factor", [](auto& x) { return outlet_factor(x[0], x[1]); }},
    {"total_ratio", [](auto& x) { return 100000 / state_at(x[0]).static_pressure.si(); }},
    {"static_ratio", [](auto& x) { return state_at(x[0]).static_pressure.si() / 100000; }},
    {"density_ratio", [](auto& x) { return 100000 / (287.055 * 298.15) / state_at(x[0]).density_kg_m3; }},
    {"fanno_length", [](auto& x) { return fanno_length(x[0]); }},
    {"fanno_total_ratio", [](auto& x) { return fanno_total_ratio(x[0]); }},
    {"standard_pressure", [](auto& x) { return standard_atmosphere(x[0]).pressure.si(); }},
    // With the standard's own gas constant; the two-gas formula uses one that is 7e-6 larger.
    {"standard_density_geometric",
     [](auto& x) {
       const Ambient air = standard_atmosphere(geopotential_m(x[0]));
       return air.pressure.si() / (287.05287 * air.temperature.si());
     }},
    {"viscosity", [](auto& x) { return viscosity_Pa_s(kelvins(x[0])); }},
    {"moist_density",
     [](auto& x) {
       return density_kg_m3({pascals(x[1]), celsius(x[0]), x[2]});
     }},
    {"saturation_pressure", [](auto& x) { return saturation_pressure_Pa(celsius(x[0])); }},
    {"pascals_per_inch_water", [](auto&) { return kPascalsPerInchWater; }},
};

bool within(const Row& row, double value) {
  const double difference = std::abs(value - row.expected);
  if (row.tolerance_kind == "abs") return difference <= row.tolerance;
  if (row.tolerance_kind == "rel") return difference <= row.tolerance * std::abs(row.expected);
  if (row.tolerance_kind == "rel or 0.01 abs") {
    return difference <= row.tolerance * std::abs(row.expected) || difference <= 0.01;
  }
  return difference <= 1e-4 * std::abs(row.expected);  // memory and transcription rows: held, not counted as evidence
}

}  // namespace

TEST_CASE("published and library values", "[reference]") {
  int agreeing = 0;
  int disagreeing = 0;
  for (const Row& row : rows()) {
    INFO(row.id << " " << row.quantity << ", source: " << row.source);
    REQUIRE(kFunctions.count(row.quantity) == 1);
    const double value = kFunctions.at(row.quantity)(row.x);
    INFO("value " << value << ", expected " << row.expected);
    if (row.agrees) {
      CHECK(within(row, value));
      ++agreeing;
    } else {
      // A known disagreement. If it went away the formula was changed or the row is wrong: look before deleting it.
      CHECK_FALSE(within(row, value));
      CHECK(value / row.expected - 1 == Approx(row.deviation).margin(0.01));
      ++disagreeing;
    }
  }
  CHECK(agreeing == 64);
  CHECK(disagreeing == 12);
}

TEST_CASE("the march follows the Fanno line", "[reference]") {
  const double mach = GENERATE(0.05, 0.1, 0.15, 0.2, 0.3);
  const double k = GENERATE(0.5, 1.0, 2.0, 4.0);
  Stream stream;
  stream.total_temperature = celsius(25);
  const double area = M_PI / 4 * kBore_mm * kBore_mm * 1e-6;
  const double speed = std::sqrt(stream.gas_constant_J_kgK * stream.total_temperature.si() / kHeatCapacityRatio);
  stream.mass_flow = kilograms_per_second(mach * std::pow(1 + 0.2 * mach * mach, -3) * area * 100000 / speed);
  const auto behind = total_behind(stream, kilopascals(100), kBore_mm, k);
  REQUIRE(behind);
  // Exact: the Mach number at the end has f L* / D smaller by K.
  double lo = mach;
  double hi = 1;
  for (int i = 0; i < 80; ++i) {
    const double mid = 0.5 * (lo + hi);
    (fanno_length(mid) > fanno_length(mach) - k ? lo : hi) = mid;
  }
  const double exact = 100000 * (1 - fanno_total_ratio(lo) / fanno_total_ratio(mach));
  INFO("Mach " << mach << ", K " << k);
  CHECK(100000 - behind->si() == Approx(exact).epsilon(0.001));
}
