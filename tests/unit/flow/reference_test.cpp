// Every row of tests/reference/flow_checks.csv: published and library values the formulas are held to, and known
// disagreements that must stay visible. Evidence classes and their tolerance rules stand in docs/flow.md.
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <functional>
#include <iterator>
#include <map>
#include <string>
#include <vector>

#include "cross_formulas.hpp"
#include "flow/air.hpp"
#include "flow/compressible.hpp"
#include "flow/cooler_effect.hpp"
#include "flow/entry_loss.hpp"
#include "flow/loss_coefficients.hpp"
#include "geometry/base/unit.hpp"
#include "job/unit_text.hpp"

using namespace baywright;
using namespace baywright::flow;

namespace {

constexpr double kStandardGravity_m_s2 = 9.80665;

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
    REQUIRE(cell.size() == 17);
    Row row;
    row.id = cell[0];
    row.quantity = cell[1];
    for (std::size_t i = 2; i < 10 && !cell[i].empty(); ++i) row.x.push_back(std::stod(cell[i]));
    row.expected = std::stod(cell[10]);
    row.evidence = cell[11];
    row.tolerance = cell[12].empty() ? 0 : std::stod(cell[12]);
    row.tolerance_kind = cell[13];
    row.agrees = cell[14] == "yes";
    row.deviation = cell[15].empty() ? 0 : std::stod(cell[15]);
    row.source = cell[16];
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

/// What the job's reader makes of a text, in the file's unit.
double read(const std::string& text, job::Dimension dimension) {
  const auto value = job::parse_quantity(text, dimension);
  REQUIRE(value);
  return *value;
}

/// Fall of pressure, psi, of 75 ft of 1 in schedule 40 pipe (bore 1.049 in, 0.0018 in rough): isothermal flow of dry
/// air measured at 60 degF and 14.696 psi.
double air_line_drop_psi(double gauge_psi, double t_F, double scfm) {
  constexpr double kPsi = 6894.757, kInch = 0.0254, kFoot = 0.3048;
  const double bore = 1.049 * kInch, t_K = (t_F + 459.67) / 1.8;
  const double flow = read(std::to_string(scfm) + " cfm at 60 degF and 14.696 psi", job::Dimension::mass_flow);
  const double reynolds = 4 * flow / (M_PI * bore * viscosity_Pa_s(kelvins(t_K)));
  const double friction = test::colebrook(reynolds, 0.0018 * kInch / bore);
  const double p1 = (gauge_psi + 14.696) * kPsi, density = p1 / (287.055 * t_K);
  double lo = 0, hi = 0.5 * p1;
  for (int i = 0; i < 80; ++i) {
    const double mid = 0.5 * (lo + hi);
    (test::isothermal_flow(density, friction, p1, p1 - mid, 75 * kFoot, bore) < flow ? lo : hi) = mid;
  }
  return lo / kPsi;
}

constexpr double kWattsPerBtuMinute = 1055.05585262 / 60;                                  // NIST SP 811
constexpr double kWattsPerHorsepower = 550 * 0.3048 * 0.45359237 * kStandardGravity_m_s2;  // 550 ft lbf/s

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
    {"mitre_loss", [](auto& x) { return mitre_loss(degrees(x[0]), x[1]); }},
    {"flush_entry_loss", [](auto&) { return kFlushEntryLoss; }},
    {"bellmouth_free", [](auto& x) { return bellmouth_loss(x[0], false); }},
    {"cone_entry_loss", [](auto& x) { return cone_entry_loss(x[0], degrees(x[1])).value(); }},
    {"corrugated_over_smooth", [](auto& x) { return corrugated_friction(x[0], x[1]) / test::colebrook(1e5, 0); }},
    {"contraction_on_large_bore", [](auto& x) { return sudden_contraction_loss(x[0]) / std::pow(x[0], 4); }},
    {"pascals_per_psi", [](auto&) { return 1000 * read("1 psi", job::Dimension::pressure); }},
    {"pascals_per_inch_mercury", [](auto&) { return 1000 * read("1 inHg", job::Dimension::pressure); }},
    {"cubic_metres_per_second_per_cfm", [](auto&) { return read("1 cfm", job::Dimension::volume_flow); }},
    {"kilograms_per_second_per_pound_minute", [](auto&) { return read("1 lb/min", job::Dimension::mass_flow); }},
    {"pounds_per_minute_of_scfm",
     [](auto& x) {
       const std::string text = std::to_string(x[0]) + " cfm at 60 degF and 14.696 psi";
       return read(text, job::Dimension::mass_flow) / read("1 lb/min", job::Dimension::mass_flow);
     }},
    // Second opinions: not what the program computes with.
    {"colebrook", [](auto& x) { return test::colebrook(x[0], x[1]); }},
    {"haaland", [](auto& x) { return test::haaland(x[0], x[1]); }},
    {"swamee_jain", [](auto& x) { return test::swamee_jain(x[0], x[1]); }},
    {"blasius", [](auto& x) { return test::blasius(x[0]); }},
    {"crane_rough", [](auto& x) { return test::crane_rough(x[0]); }},
    {"crane_bend", [](auto& x) { return test::crane_bend(x[0], x[1], x[2]); }},
    {"crane_mitre_45", [](auto& x) { return 15 * test::crane_rough(x[0]); }},
    {"crane_contraction", [](auto& x) { return test::crane_contraction(x[0], x[1]); }},
    {"crane_joining_branch", [](auto& x) { return joining_branch_loss(x[0], x[1], degrees(90)); }},
    {"crane_leaving_branch", [](auto& x) { return test::crane_leaving_branch(x[0], x[1]); }},
    {"idelchik_radius_factor", [](auto& x) { return test::idelchik_radius_factor(x[0]); }},
    {"idelchik_angle_factor", [](auto& x) { return test::idelchik_angle_factor(x[0]); }},
    {"ito_bend", [](auto& x) { return test::ito_bend(x[0], x[1], x[2]); }},
    {"rennels_mitre", [](auto& x) { return test::rennels_mitre(x[0]); }},
    {"rennels_rounded_entry", [](auto& x) { return test::rennels_rounded_entry(x[0]); }},
    {"swamee_rounded_entry", [](auto& x) { return test::swamee_rounded_entry(x[0]); }},
    {"rennels_reentrant_entry", [](auto& x) { return test::rennels_reentrant_entry(x[0]); }},
    {"fanno_pressure_ratio", [](auto& x) { return test::fanno_pressure_ratio(x[0]); }},
    {"isothermal_flow", [](auto& x) { return test::isothermal_flow(x[0], x[1], x[2], x[3], x[4], x[5]); }},
    {"air_line_drop_psi", [](auto& x) { return air_line_drop_psi(x[0], x[1], x[2]); }},
    {"cipm_density", [](auto& x) { return test::cipm_density(x[0], x[1], x[2]); }},
    {"oiml_density", [](auto& x) { return test::oiml_density(x[0], x[1], x[2]); }},
    {"density_by_humidity_ratio", [](auto& x) { return test::density_by_humidity_ratio(x[0], x[1], x[2]); }},
    {"inch_of_water_by_density", [](auto& x) { return x[0] * kStandardGravity_m_s2 * 0.0254; }},
    {"watts_per_btu_min", [](auto&) { return kWattsPerBtuMinute; }},
    {"watts_per_horsepower", [](auto&) { return kWattsPerHorsepower; }},
    {"btu_min_per_kilowatt", [](auto&) { return 1000 / kWattsPerBtuMinute; }},
    {"compressed_K", [](auto& x) { return test::compressed_K(x[0], x[1], x[2]); }},
    {"compressor_efficiency", [](auto& x) { return test::compressor_efficiency(x[0], x[1], x[2], x[3]); }},
    {"heat_flow", [](auto& x) { return x[0] * x[1] * x[2]; }},
    {"turbine_drives_compressor_C", [](auto& x) { return x[4] + x[5] * x[0] * x[6] * (x[1] - x[2]) / (x[3] * x[7]); }},
    {"crossflow_unmixed", [](auto& x) { return crossflow_unmixed(x[0], x[1]); }},
    {"crossflow_unmixed_series", [](auto& x) { return test::crossflow_unmixed_series(x[0], x[1]); }},
    {"crossflow_larger_mixed", [](auto& x) { return crossflow_larger_mixed(x[0], x[1]); }},
    {"crossflow_smaller_mixed", [](auto& x) { return crossflow_smaller_mixed(x[0], x[1]); }},
    {"gain", [](auto& x) { return std::pow(x[1] / x[0], 1 / x[2]) - 1; }},
    {"sae_factor", [](auto& x) { return 1.18 * (990 / x[0]) * std::sqrt((x[1] + 273) / 298) - 0.18; }},
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
      CHECK(value / row.expected - 1 == Approx(row.deviation).epsilon(0.02).margin(0.5e-5));
      ++disagreeing;
    }
  }
  CHECK(agreeing == 141);
  CHECK(disagreeing == 22);
}

namespace {

std::string figure(double value) {
  char text[32];
  std::snprintf(text, sizeof text, "%.6g", value);
  return text;
}

/// Table rows of docs/flow-reference.md.
std::string reference_rows() {
  std::string out;
  for (const Row& row : rows()) {
    std::string inputs;
    for (const double x : row.x) inputs += (inputs.empty() ? "" : ", ") + figure(x);
    const double value = kFunctions.at(row.quantity)(row.x);
    char off[32];
    std::snprintf(off, sizeof off, "%+.2g %%", 100 * (value / row.expected - 1));
    const bool same = std::abs(value / row.expected - 1) < 5e-7;
    out += "| " + row.id + " | `" + row.quantity + "` | " + inputs + " | " + figure(row.expected) + " | " +
           figure(value) + " | " + (same ? "0" : off) + " | " + row.evidence + (row.agrees ? "" : ", disagrees") +
           " | " + row.source + " |\n";
  }
  return out;
}

}  // namespace

TEST_CASE("docs/flow-reference.md holds our value beside each published one", "[reference]") {
  const std::string path = BAYWRIGHT_SOURCE_DIR "/docs/flow-reference.md";
  std::ifstream in(path);
  std::string page((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
  in.close();
  const std::string head = "|---|---|---|---|---|---|---|---|\n";
  const std::size_t at = page.find(head);
  REQUIRE(at != std::string::npos);
  const std::string wanted = page.substr(0, at + head.size()) + reference_rows();
  if (std::getenv("BAYWRIGHT_WRITE_DOCS"))
    std::ofstream(path) << wanted;
  else
    CHECK(page == wanted);
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
