#include "checks/check.hpp"
#include "checks/clearance_subjects.hpp"
#include "measure/chord_error.hpp"

namespace baywright::checks {

void measure_restriction(const duct::Duct& duct, std::span<const duct::Duct> ducts, const flow::FlowInputs& flow,
                         DuctMeasures& measures) {
  measures.clean = flow::restriction(duct, flow, flow::FilterState::clean, ducts);
  measures.dirty = flow::restriction(duct, flow, flow::FilterState::dirty, ducts);
  const auto gauges = [&](const auto& outcome) {
    const auto* known = std::get_if<flow::Restriction>(&outcome);
    return known ? gauge_readings(duct, *known, flow) : std::vector<flow::GaugeReading>();
  };
  measures.gauge_clean = gauges(measures.clean);
  measures.gauge_dirty = gauges(measures.dirty);
}

DuctMeasures measure_duct(const Judged& judged, const duct::Duct& duct, const ClearanceOptions& options,
                          const Progress& progress) {
  const bay::Bay& bay = judged.bay;
  const Sheet& sheet = judged.sheet;
  DuctMeasures m;
  measure_restriction(duct, judged.ducts, judged.flow, m);
  m.joints_over_motion = measure::joint_shares_over_motion(duct, bay, progress);
  m.at_rest = measure::measure_clearance(bay, duct, false, options, progress);
  m.over_motion = measure::measure_clearance(bay, duct, true, options, progress);
  const auto need_of = [&](bool over_motion) {
    return [&, over_motion](const measure::PairClearance& pair) -> std::optional<double> {
      const std::optional<Limit> limit = clearance_limit(bay, duct, sheet, pair, over_motion);
      return limit ? std::optional(limit->value) : std::nullopt;
    };
  };
  const auto profile = [&](const measure::ClearanceReport& report, bool over_motion) {
    return measure::measure_clearance_profile(bay, duct, report, over_motion, need_of(over_motion), options, progress);
  };
  if (progress.cancelled()) return m;
  measure::settle_chord_error(bay, duct, false, need_of(false), options, m.at_rest, progress);
  measure::settle_chord_error(bay, duct, true, need_of(true), options, m.over_motion, progress);
  if (progress.cancelled()) return m;
  m.profile_at_rest = profile(m.at_rest, false);
  m.profile_over_motion = profile(m.over_motion, true);
  return m;
}

}  // namespace baywright::checks
