#include "checks/check.hpp"
#include "checks/clearance_subjects.hpp"
#include "measure/chord_error.hpp"

namespace baywright::checks {

DuctMeasures measure_duct(const bay::Bay& bay, const duct::Duct& duct, const flow::FlowInputs& flow, const Sheet& sheet,
                          const ClearanceOptions& options, const Progress& progress) {
  DuctMeasures m;
  m.clean = flow::restriction(duct, flow, flow::FilterState::clean);
  m.dirty = flow::restriction(duct, flow, flow::FilterState::dirty);
  if (const auto* r = std::get_if<flow::Restriction>(&m.clean)) m.gauge_clean = gauge_readings(duct, *r, flow);
  if (const auto* r = std::get_if<flow::Restriction>(&m.dirty)) m.gauge_dirty = gauge_readings(duct, *r, flow);
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
