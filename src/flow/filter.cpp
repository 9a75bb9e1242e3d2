#include "flow/filter.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "flow/air.hpp"

namespace baywright::flow {
namespace {

constexpr char kWhere[] = "filter curve";

tl::unexpected<Error> refuse(std::string message) { return fail(ErrorCode::bad_value, kWhere, std::move(message)); }

bool positive(double x) { return std::isfinite(x) && x > 0; }

Result<void> check(const FilterCurve& curve) {
  if (curve.points.size() < 3) {
    return refuse("has " + std::to_string(curve.points.size()) + " points; at least 3 are needed for a curve");
  }
  if (!positive(curve.reference_density_kg_m3)) return refuse("the reference density must be above 0 kg/m3");
  for (std::size_t i = 0; i < curve.points.size(); ++i) {
    const auto& p = curve.points[i];
    const std::string at = "point " + std::to_string(i) + ": ";
    if (!positive(p.flow.si()) || !positive(p.loss.si())) return refuse(at + "flow and loss must be above 0");
    if (i > 0 && !(p.flow > curve.points[i - 1].flow)) return refuse(at + "flow must increase from point to point");
    if (i > 0 && !(p.loss > curve.points[i - 1].loss)) return refuse(at + "loss must increase with flow");
  }
  if (curve.kind == PressureKind::static_ && !positive(curve.outlet_bore_mm)) {
    return refuse("is given as static pressure; state the bore at the outlet so that the total loss can be found");
  }
  return {};
}

struct Sample {
  double q = 0;   // m3/s
  double dp = 0;  // Pa, total
};

Result<std::vector<Sample>> total_loss_samples(const FilterCurve& curve) {
  std::vector<Sample> samples;
  double area = 0;
  if (curve.kind == PressureKind::static_) {
    area = std::numbers::pi / 4 * std::pow(curve.outlet_bore_mm / 1000, 2);
  }
  for (std::size_t i = 0; i < curve.points.size(); ++i) {
    Sample s{curve.points[i].flow.si(), curve.points[i].loss.si()};
    if (area > 0) s.dp -= 0.5 * curve.reference_density_kg_m3 * std::pow(s.q / area, 2);
    if (s.dp <= 0) {
      return refuse("point " + std::to_string(i) +
                    ": the static loss is below the dynamic pressure at the outlet; check bore, flow, or whether the "
                    "curve is one of total pressure");
    }
    samples.push_back(s);
  }
  return samples;
}

/// Least squares of (a q + b q^2 - dp) / dp; the better of the two edges when a coefficient would turn negative.
void solve(const std::vector<Sample>& samples, FilterFit& fit) {
  double xx = 0, xy = 0, yy = 0, x1 = 0, y1 = 0;
  for (const Sample& s : samples) {
    const double x = s.q / s.dp;
    const double y = s.q * s.q / s.dp;
    xx += x * x;
    xy += x * y;
    yy += y * y;
    x1 += x;
    y1 += y;
  }
  const double determinant = xx * yy - xy * xy;  // > 0: flows differ
  fit.a = (x1 * yy - y1 * xy) / determinant;
  fit.b = (xx * y1 - xy * x1) / determinant;
  if (fit.a < 0) {
    fit.a = 0;
    fit.b = y1 / yy;
  } else if (fit.b < 0) {
    fit.b = 0;
    fit.a = x1 / xx;
  }
}

}  // namespace

Result<FilterFit> fit(const FilterCurve& curve) {
  if (const auto checked = check(curve); !checked) return tl::unexpected<Error>(checked.error());
  const auto samples = total_loss_samples(curve);
  if (!samples) return tl::unexpected<Error>(samples.error());
  FilterFit fit;
  solve(*samples, fit);
  for (const Sample& s : *samples) {
    const double error = std::abs(fit.a * s.q + fit.b * s.q * s.q - s.dp) / s.dp;
    fit.worst_relative_error = std::max(fit.worst_relative_error, error);
  }
  fit.lowest = curve.points.front().flow;
  fit.highest = curve.points.back().flow;
  return fit;
}

double filter_loss_Pa(const FilterFit& fit, double reference_density_kg_m3, VolumeFlow flow, double density_kg_m3,
                      double viscosity_Pa_s) {
  const double reference_viscosity = flow::viscosity_Pa_s(celsius(20));
  const double q = flow.si();
  return fit.a * (viscosity_Pa_s / reference_viscosity) * q + fit.b * (density_kg_m3 / reference_density_kg_m3) * q * q;
}

}  // namespace baywright::flow
