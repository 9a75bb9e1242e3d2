#include <cstdio>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "checks/charge_air.hpp"
#include "checks/check_groups.hpp"
#include "checks/loss_hint.hpp"
#include "checks/subjects.hpp"
#include "flow/charge_heat.hpp"
#include "flow/charge_loss.hpp"
#include "geometry/base/words.hpp"

namespace baywright::checks {
namespace {

using measure::Measured;

constexpr const char* kHint = "larger tubes, fewer or wider bends, or a cooler that loses less";

/// What each duct and the cooler lose, and what the estimate has to say.
std::string note_of(const flow::Restriction& way, const DisplayUnits& units) {
  std::vector<std::pair<std::string, double>> shares_Pa;
  for (const flow::ElementLoss& e : way.elements) {
    const std::string where = e.name.substr(0, e.name.find(": "));  // elements of a duct have its name before theirs
    if (shares_Pa.empty() || shares_Pa.back().first != where) shares_Pa.emplace_back(where, 0.0);
    shares_Pa.back().second += e.loss.si();
  }
  std::vector<std::string> lines;
  for (const auto& [where, loss_Pa] : shares_Pa) lines.push_back(where + " " + format(loss_Pa, Unit::pascal, units));
  std::string note = joined(lines);
  for (const std::string& line : way.notes) note += (note.empty() ? "" : "; ") + line;
  return note;
}

std::vector<Subject> measure_loss(const Judged& job, std::span<const Finding>) {
  const auto gathered = charge_way(job.ducts, job.flow);
  if (const auto* unknown = std::get_if<measure::NotAssessed>(&gathered)) {
    return {not_assessed("compressor to engine", unknown->reason, unknown->missing)};
  }
  const auto& way = std::get<flow::ChargeWay>(gathered);
  if (!way.hot && !way.cold) return {};
  const flow::ChargeLoss found = flow::charge_loss(way, job.flow);

  Subject s;
  s.subject = "compressor to engine";
  Measured m = Measured::exact(found.way.total.si(), Unit::pascal);
  m.band = found.way.band;
  m.note = note_of(found.way, job.bay.units);
  if (found.way.choked()) {
    m.hi = std::numeric_limits<double>::infinity();
    s.fails = true;
    s.hint = "a larger tube at " + found.way.chokes_at + ", or check flow/rated_kg_per_s";
    s.outcome = std::move(m);
    return {s};
  }
  const auto limit = limit_of(job.sheet, "ch.loss");
  const bool too_much = limit && decide(m, *limit) == Verdict::not_met;
  if (!found.lacking.empty() && !too_much) {
    s.outcome = measure::NotAssessed{joined(found.lacking), found.missing};
    return {s};
  }
  const auto recovery = flow::density_recovery(way, found, job.flow);
  if (const auto* known = std::get_if<flow::DensityRecovery>(&recovery)) {
    char text[120];
    std::snprintf(text, sizeof text, "; density at the engine %.3f times that behind the compressor, %.3f by cooling",
                  known->value, known->by_cooling);
    m.note += text;
  }
  // What is known to be lost is too much already, whatever else is not stated.
  if (!found.lacking.empty()) m.note = "without what is not known (" + joined(found.lacking) + "): " + m.note;
  if (limit && m.highest() > limit->value) s.hint = loss_hint(m, *limit, found.way, kHint, job.bay.units);
  s.outcome = std::move(m);
  return {s};
}

CheckDef loss() {
  CheckDef c;
  c.id = "ch.loss";
  c.title = "Pressure lost by the charge air";
  c.question = "Does little of the boost get lost on its way to the engine?";
  c.definition =
      "Total pressure lost at the rating from the compressor outlet to the end of the duct behind the cooler: the duct "
      "for hot charge air, the cooler's core and the duct for cold charge air, one number for the job. Ducts element "
      "by element as an intake's (docs/flow.md), from ambient + boost, at the temperatures of ch.temp; the core by its "
      "curve at the density of the air in it. Where the job states no curve, its loss from the compressor to behind "
      "the cooler stands for duct and core. While something of it is not known, a single fitting among them, it is not "
      "checked, but not met where what is known is too much already.";
  c.unit = Unit::pascal;
  c.comparison = Comparison::at_most;
  c.severity = Severity::major;
  c.inputs = {"ducts/route",
              "ducts/tube",
              "flow/ambient",
              "flow/rated_kg_per_s",
              "flow/components/dirty",
              "flow/raw_air_loss_kPa",
              "flow/charge/boost_kPa",
              "flow/charge/inlet_temperature_C",
              "flow/charge/compressor_efficiency",
              "flow/charge/cooler/effectiveness",
              "flow/charge/cooler/cooling_air_C",
              "flow/charge/cooler/curve"};
  c.hint = kHint;
  c.measure_job = measure_loss;
  return c;
}

}  // namespace

std::vector<CheckDef> charge_loss_checks() { return {loss()}; }

}  // namespace baywright::checks
