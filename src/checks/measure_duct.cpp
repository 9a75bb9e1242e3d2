#include "checks/check.hpp"

namespace baywright::checks {

DuctMeasures measure_duct(const bay::Bay& bay, const duct::Duct& duct, const flow::FlowInputs& flow,
                          const ClearanceOptions& options, const Progress& progress) {
  DuctMeasures m;
  m.clean = flow::restriction(duct, flow, flow::FilterState::clean);
  m.dirty = flow::restriction(duct, flow, flow::FilterState::dirty);
  if (const auto* r = std::get_if<flow::Restriction>(&m.clean)) m.gauge_clean = gauge_readings(duct, *r, flow);
  if (const auto* r = std::get_if<flow::Restriction>(&m.dirty)) m.gauge_dirty = gauge_readings(duct, *r, flow);
  m.at_rest = measure::measure_clearance(bay, duct, false, options, progress);
  m.over_motion = measure::measure_clearance(bay, duct, true, options, progress);
  return m;
}

}  // namespace baywright::checks
