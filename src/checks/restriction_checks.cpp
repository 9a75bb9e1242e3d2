#include <algorithm>
#include <limits>

#include "checks/check_groups.hpp"
#include "checks/loss_hint.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"

namespace baywright::checks {
namespace {

using flow::FilterState;
using flow::GaugeReading;

constexpr const char* kCleanHint = "larger tube or filter, fewer or wider bends, a gentler cone";
constexpr const char* kDirtyHint = "change the element earlier, or fit a larger filter";

std::string tap_name(const std::string& tap) {
  return tap == flow::kCompressorFace ? "the compressor face" : named("tap", tap);
}

std::string note_of(const std::vector<GaugeReading>& readings, const flow::Restriction& restriction,
                    const DisplayUnits& units) {
  const auto text = [&](Pressure p) { return format(p.si(), Unit::pascal, units); };
  std::string note = "total loss to the compressor face " + text(restriction.total);
  for (const GaugeReading& g : readings) note += "; gauge at " + tap_name(g.tap) + " " + text(g.reading);
  for (const std::string& line : restriction.notes) note += "; " + line;
  return note;
}

const GaugeReading* reading_at(const std::vector<GaugeReading>& readings, const std::string& station) {
  const auto found = std::find_if(readings.begin(), readings.end(), [&](const auto& g) { return g.tap == station; });
  return found == readings.end() ? nullptr : &*found;
}

/// The duct chokes: no restriction lets the rated flow through, so no limit is kept. What is known is that the loss
/// would be more than all that is lost ahead of that place.
Subject choked(const Context& context, const flow::Restriction& restriction) {
  measure::Measured m = measure::Measured::exact(restriction.total.si(), Unit::pascal);
  m.hi = std::numeric_limits<double>::infinity();
  const double station = restriction.elements.back().station_to_mm;
  m.station_mm = station;
  m.at_mm = context.duct.layout.at(station).p_mm;
  m.note = "the rated flow does not pass: the duct chokes at " + restriction.chokes_at;
  Subject s;
  s.subject = "whole intake";
  s.outcome = m;
  s.fails = true;
  s.hint = "a larger tube at " + restriction.chokes_at + ", or check flow/rated_kg_per_s";
  return s;
}

Subject loss_with_filter(const Context& context, FilterState state) {
  const bool clean = state == FilterState::clean;
  const auto& outcome = clean ? context.measures.clean : context.measures.dirty;
  const auto& readings = clean ? context.measures.gauge_clean : context.measures.gauge_dirty;
  const auto& meaning = context.sheet.restriction;
  const auto* refused = std::get_if<measure::NotAssessed>(&outcome);
  Subject s;
  s.subject = "whole intake";
  if (!meaning || refused) {
    measure::NotAssessed missing = refused ? *refused : measure::NotAssessed{};
    if (!meaning) {
      if (!refused) missing.reason = "the sheet does not say what its restriction limits mean";
      missing.missing.emplace_back("sheet/restriction");
    }
    s.outcome = missing;
    return s;
  }
  const auto& estimated = std::get<flow::Restriction>(outcome);
  if (estimated.choked()) return choked(context, estimated);
  const GaugeReading* reading = reading_at(readings, meaning->station);
  if (!reading) {
    s.outcome = measure::NotAssessed{
        "the sheet's restriction limits hold at the tap " + meaning->station + ", which the duct does not have",
        {"ducts/" + context.duct.spec.id.value + "/fittings: restriction tap " + meaning->station}};
    return s;
  }
  const bool total = meaning->kind == flow::PressureKind::total;
  const Pressure value = total ? reading->total_loss : reading->reading;
  measure::Measured m = measure::Measured::exact(value.si(), Unit::pascal);
  m.band = reading->band;
  m.station_mm = reading->station_mm;
  m.at_mm = context.duct.layout.at(reading->station_mm).p_mm;
  m.note = note_of(readings, estimated, context.bay.units);
  s.subject = std::string(total ? "total loss to " : "gauge at ") + tap_name(reading->tap);
  s.outcome = m;
  const auto limit = context.sheet.limits.find(clean ? "in.loss_clean" : "in.loss_dirty");
  if (limit != context.sheet.limits.end() && m.highest() > limit->second.value) {
    s.hint = loss_hint(m, limit->second, estimated, clean ? kCleanHint : kDirtyHint, context.bay.units,
                       loss_changes(context, state));
  }
  return s;
}

CheckDef loss(const std::string& state, const std::string& definition) {
  CheckDef c;
  c.id = "in.loss_" + state;
  c.title = "Restriction, " + state + " filter";
  c.definition = definition;
  c.unit = Unit::pascal;
  c.comparison = Comparison::at_most;
  c.severity = Severity::blocker;
  c.services = {duct::Service::intake};
  c.inputs = {
      "ducts/route",           "ducts/tube",       "flow/rated_kg_per_s", "flow/ambient", "flow/components/" + state,
      "flow/raw_air_loss_kPa", "sheet/restriction"};
  return c;
}

CheckDef clean() {
  CheckDef c =
      loss("clean",
           "Restriction of the intake at rated mass flow and job ambient with a clean filter element. The "
           "sheet says what it means: `total` is the total-pressure loss from outside air to the named "
           "station, `static` is what a gauge on a wall tap there shows below outside pressure, which is the "
           "loss plus the dynamic pressure in the tube at the tap. Ahead of the filter the raw air duct counts, where "
           "the job states how the air enters it; else the declared loss of that side.");
  c.question = "Is the restriction within budget with a clean filter?";
  c.hint = kCleanHint;
  c.measure = [](const Context& context) {
    return std::vector<Subject>{loss_with_filter(context, FilterState::clean)};
  };
  return c;
}

CheckDef dirty() {
  CheckDef c = loss("dirty", "As in.loss_clean, with the filter element at the point where it is changed.");
  c.question = "Is the restriction within budget when the filter is due for change?";
  c.hint = kDirtyHint;
  c.measure = [](const Context& context) {
    return std::vector<Subject>{loss_with_filter(context, FilterState::dirty)};
  };
  return c;
}

}  // namespace

std::vector<CheckDef> restriction_checks() { return {clean(), dirty()}; }

}  // namespace baywright::checks
