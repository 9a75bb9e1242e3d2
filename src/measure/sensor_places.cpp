#include "measure/sensor_places.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "geometry/base/expects.hpp"
#include "geometry/base/words.hpp"
#include "measure/along_duct.hpp"
#include "measure/flow_quality.hpp"
#include "measure/path_measures.hpp"

namespace baywright::measure {
namespace {

using duct::Duct;
using duct::PlacedFitting;

constexpr double kLeastRun_D = 0.25;  // what is shorter is no straight: common practice, no source
constexpr double kSameRun_mm = 1e-6;

/// Stations one in every run: beside every end of a fitting and of a bend.
std::vector<double> probes(const duct::Layout& layout) {
  std::vector<double> ends{0, layout.length_mm};
  for (const PlacedFitting& f : layout.fittings) ends.insert(ends.end(), {f.station_from_mm, f.station_to_mm});
  for (const duct::Bend* b : real_bends(layout)) ends.insert(ends.end(), {b->station_from_mm, b->station_to_mm});
  std::sort(ends.begin(), ends.end());
  std::vector<double> middles;
  for (std::size_t i = 1; i < ends.size(); ++i) {
    if (ends[i] - ends[i - 1] > kSameRun_mm) middles.push_back(0.5 * (ends[i] + ends[i - 1]));
  }
  return middles;
}

bool disturbs_a_tube(const PlacedFitting& f) {
  return !std::holds_alternative<duct::SensorTube>(f.kind) && !std::holds_alternative<duct::Drain>(f.kind);
}

SensorPlace place_on(const Duct& duct, const StraightRun& run, const SensorNeeds& needs, const PlacedFitting* sensor) {
  SensorPlace p;
  const double length = run.to_mm - run.from_mm;
  p.ahead_mm = length * needs.ahead_mm / (needs.ahead_mm + needs.behind_mm);
  p.behind_mm = length - p.ahead_mm;
  p.station_mm = run.from_mm + p.ahead_mm;
  p.share = std::min(p.ahead_mm / needs.ahead_mm, p.behind_mm / needs.behind_mm);
  p.bore_mm = duct.layout.tube_at(p.station_mm).bore_mm();
  p.after = run.ends_at_upstream;
  p.before = run.ends_at_downstream;
  p.swirl_deg = swirling_pair_deg(duct, p.station_mm, p.bore_mm);
  if (!sensor) return p;
  const auto& tube = std::get<duct::SensorTube>(sensor->kind);
  const double now = sensor_station(*sensor);
  p.here = now >= run.from_mm && now <= run.to_mm;
  // Its own tube is as calibrated; what counts is what stands beside it.
  const double calibrated = tube.tube.bore_mm();
  double worst = 0;
  for (const double beside : {run.from_mm + kSameRun_mm, run.to_mm - kSameRun_mm}) {
    const double bore = duct.layout.tube_at(beside).bore_mm();
    if (std::abs(bore - calibrated) > std::abs(worst)) worst = bore - calibrated;
  }
  p.bore_percent = 100 * std::abs(worst) / calibrated;
  const double from = p.station_mm - tube.sensor_offset_mm, to = from + tube.length_mm;
  // A fitting that ends the run is named once, as a fitting.
  bool after = from<run.from_mm, before = to> run.to_mm;
  for (const PlacedFitting& f : duct.layout.fittings) {
    if (!disturbs_a_tube(f) || f.station_to_mm < from || f.station_from_mm > to) continue;
    p.in_the_way.push_back(named(duct::kind_name(f.kind), f.id.value));
    if (std::abs(f.station_to_mm - run.from_mm) < kSameRun_mm) after = false;
    if (std::abs(f.station_from_mm - run.to_mm) < kSameRun_mm) before = false;
  }
  if (after) p.in_the_way.push_back(p.after);
  if (before) p.in_the_way.push_back(p.before);
  std::sort(p.in_the_way.begin(), p.in_the_way.end());
  p.in_the_way.erase(std::unique(p.in_the_way.begin(), p.in_the_way.end()), p.in_the_way.end());
  return p;
}

/// Smaller is better.
auto rank(const SensorPlace& p) {
  return std::tuple(-std::min(1.0, p.share), p.swirl_deg.value_or(0), p.bore_percent.value_or(0), -p.share,
                    p.station_mm);
}

}  // namespace

std::vector<SensorPlace> sensor_places(const Duct& duct, const SensorNeeds& needs) {
  EXPECTS(needs.ahead_mm > 0 && needs.behind_mm > 0);
  const PlacedFitting* sensor = sensor_fitting(duct.layout);
  std::vector<SensorPlace> places;
  double passed = -1;
  for (const double probe : probes(duct.layout)) {
    const StraightRun run = straight_run(duct, probe);
    if (run.to_mm <= passed + kSameRun_mm) continue;
    if (run.to_mm - run.from_mm < kLeastRun_D * duct.layout.tube_at(probe).bore_mm()) continue;
    passed = run.to_mm;
    places.push_back(place_on(duct, run, needs, sensor));
  }
  std::stable_sort(places.begin(), places.end(),
                   [](const SensorPlace& a, const SensorPlace& b) { return rank(a) < rank(b); });
  return places;
}

}  // namespace baywright::measure
