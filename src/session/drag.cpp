#include "session/drag.hpp"

#include <algorithm>
#include <tuple>

namespace baywright::session {
namespace {

ClearanceOptions clearance_options(const job::Installation& installation) {
  return {.width_mm = installation.job.clearance_width_mm,
          .range_mm = checks::search_range_mm(installation.sheet, installation.job.clearance_range_mm)};
}

measure::SurfaceMapOptions map_options(double spacing_mm, double range_mm) {
  measure::SurfaceMapOptions out;
  out.spacing_mm = spacing_mm;
  out.range_mm = range_mm;
  out.previous_of_same_bay = true;  // at rest, all of them
  return out;
}

tl::unexpected<Error> stopped() { return fail(ErrorCode::cancelled, "", "a newer edit took its place"); }

}  // namespace

Result<std::unique_ptr<DragSession>> DragSession::begin(std::shared_ptr<const job::Installation> installation,
                                                        const checks::Evaluation& evaluation, const duct::DuctId& duct,
                                                        const DragOptions& options) {
  const auto& ducts = installation->ducts;
  const auto found = std::find_if(ducts.begin(), ducts.end(), [&](const auto& d) { return d.spec.id == duct; });
  const auto result = std::find_if(evaluation.ducts.begin(), evaluation.ducts.end(),
                                   [&](const checks::Evaluation::DuctResult& r) { return r.duct == duct; });
  if (found == ducts.end() || result == evaluation.ducts.end()) {
    return fail(ErrorCode::bad_value, "duct " + duct.value, "is not among the ducts that were measured");
  }
  const auto index = static_cast<std::size_t>(found - ducts.begin());
  return std::unique_ptr<DragSession>(new DragSession(std::move(installation), *result, index, options));
}

DragSession::DragSession(std::shared_ptr<const job::Installation> installation,
                         const checks::Evaluation::DuctResult& result, std::size_t duct, const DragOptions& options)
    : installation_(std::move(installation)),
      options_(options),
      spec_(installation_->ducts[duct].spec),
      clearance_(installation_->bay, installation_->ducts[duct], result.measures.at_rest, result.measures.over_motion,
                 clearance_options(*installation_)) {
  for (std::size_t i = 0; i < installation_->ducts.size(); ++i) {
    if (i != duct) others_.push_back(installation_->ducts[i]);
  }
}

std::unique_lock<std::mutex> DragSession::take_over(const Progress& stop) {
  {
    const std::lock_guard announce(announcing_);
    running_.cancel();
    running_ = stop;
  }
  return std::unique_lock(working_);
}

Result<DragStep> DragSession::move_point(const duct::PointId& point, const Vec3& to_mm, const Progress& stop) {
  const auto lock = take_over(stop);
  if (stop.cancelled()) return stopped();
  duct::DuctSpec spec = spec_;
  const auto at = std::find_if(spec.route.points.begin(), spec.route.points.end(),
                               [&](const duct::RoutePoint& p) { return p.id == point; });
  if (at == spec.route.points.end()) {
    return fail(ErrorCode::bad_value, "duct " + spec.id.value, "has no point '" + point.value + "'");
  }
  at->p_mm = to_mm;
  auto layout = duct::lay_out(spec, installation_->bay, others_);
  if (!layout) return tl::unexpected<Error>(layout.error().front());
  DragStep step{{spec, std::move(*layout)}, {}, {}, {}, {}};
  auto measured = clearance_.measure(step.duct, stop);
  if (!measured) return stopped();
  step.clearance = std::move(*measured);
  const auto [at_rest, over_motion] = clearance_.whole(step.clearance);
  const bay::Bay& bay = installation_->bay;
  step.tightest_at_rest = tightest_of(bay, step.duct, installation_->sheet, at_rest, false);
  step.tightest_over_motion = tightest_of(bay, step.duct, installation_->sheet, over_motion, true);
  if (options_.step_spacing_mm > 0) {
    measure::SurfaceMapOptions wanted = map_options(options_.step_spacing_mm, options_.map_range_mm);
    wanted.shapes = step.clearance.shapes;
    step.map = measure::surface_map(installation_->bay, step.duct, wanted, &map_, stop);
    if (stop.cancelled()) return stopped();
    map_ = step.map;
  }
  spec_ = std::move(spec);
  last_ = step;
  edit_ = MovePoint{spec_.id, point, to_mm};
  return step;
}

Result<DragRelease> DragSession::release(const Progress& stop) {
  const auto lock = take_over(stop);
  if (stop.cancelled()) return stopped();
  if (!last_) return fail(ErrorCode::bad_value, "duct " + spec_.id.value, "no point of it was moved");
  DragRelease out{*edit_, last_->duct, {}, {}, {}};
  std::tie(out.at_rest, out.over_motion) = clearance_.whole(last_->clearance);
  if (options_.release_spacing_mm > 0) {
    const auto wanted = map_options(options_.release_spacing_mm, options_.map_range_mm);
    out.map = measure::surface_map(installation_->bay, last_->duct, wanted, &map_, stop);
    if (stop.cancelled()) return stopped();
  }
  return out;
}

}  // namespace baywright::session
