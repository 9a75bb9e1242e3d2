#include "measure/tube_support.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "geometry/base/words.hpp"
#include "measure/along_duct.hpp"

namespace baywright::measure {
namespace {

using duct::Duct;
using duct::Piece;
using duct::PlacedFitting;

// Densities from memory of tables of materials; the others common practice, no source.
constexpr double kRubber_kg_m3 = 1250;
constexpr double kWallShare = 0.1;  // how far a wall may lie from the stated one
constexpr double kClamp_kg = 0.06;
constexpr double kSensor_kg = 0.15;
constexpr double kStep_mm = 1;   // of the elements a tube's weight is taken in
constexpr double kAtEnd_mm = 1;  // a support this near to an end holds it
constexpr double kCubicMetre_mm3 = 1e9;

double density_kg_m3(duct::Metal metal) {
  switch (metal) {
    case duct::Metal::steel:
      return 7850;
    case duct::Metal::stainless_steel:
      return 7900;
    case duct::Metal::aluminium:
      return 2700;
  }
  return 0;
}

/// What weighs something at a place. `extra`: what may come on top of it.
struct Weight {
  double station_mm = 0;
  double kg = 0;
  double wall_kg = 0;  ///< either way, as walls vary
  double extra_kg = 0;
};

/// A beam as it is reckoned with; of no length where a hose sits on a port's own spigot.
struct Span {
  double from_mm = 0, to_mm = 0;
  std::vector<Weight> weights;            ///< its own
  std::vector<std::size_t> holds;         ///< of the layout
  const PlacedFitting* ahead = nullptr;   ///< joint that parts, at its upstream end
  const PlacedFitting* behind = nullptr;  ///< likewise
  bool floats() const { return holds.empty(); }
};

double ring_mm2(double outer_mm, double wall_mm) { return std::numbers::pi * (outer_mm - wall_mm) * wall_mm; }

bool is_coupler(const PlacedFitting& f) { return std::holds_alternative<duct::Coupler>(f.kind); }

double metal_kg(const Duct& duct, double station_mm, double length_mm) {
  const duct::TubeSize size = duct.layout.tube_at(station_mm);
  return density_kg_m3(*duct.spec.metal) * ring_mm2(size.outer_diameter_mm, size.wall_mm) * length_mm / kCubicMetre_mm3;
}

void add_metal(const Duct& duct, double from_mm, double to_mm, std::vector<Weight>& out) {
  if (!duct.spec.metal) return;
  const auto steps = static_cast<int>(std::ceil((to_mm - from_mm) / kStep_mm));
  for (int i = 0; i < steps; ++i) {
    const double step = (to_mm - from_mm) / steps, at = from_mm + (i + 0.5) * step;
    const double kg = metal_kg(duct, at, step);
    out.push_back({at, kg, kWallShare * kg, 0});
  }
}

/// Half of a hose, its clamp too, where it lies on the tube.
Weight half_hose(const Duct& duct, const PlacedFitting& fitting, duct::HoseEnd end) {
  const auto& hose = std::get<duct::Coupler>(fitting.kind);
  const bool ahead = end == duct::HoseEnd::upstream;
  const double station = ahead ? fitting.station_from_mm : fitting.station_to_mm;
  const double inner = ahead || !hose.to ? duct.layout.tube_at(station).outer_diameter_mm : hose.to->outer_diameter_mm;
  const double kg =
      kRubber_kg_m3 * ring_mm2(inner + 2 * hose.wall_mm, hose.wall_mm) * 0.5 * hose.length_mm / kCubicMetre_mm3;
  return {station, kg, 0, kClamp_kg};
}

std::vector<Span> beams_of(const Duct& duct) {
  std::vector<Span> beams(1);
  double tube_from = 0;
  for (const PlacedFitting& f : duct.layout.fittings) {
    if (std::holds_alternative<duct::SensorTube>(f.kind)) {
      beams.back().weights.push_back({sensor_station(f), 0, 0, kSensor_kg});
    }
    if (!is_coupler(f)) continue;
    add_metal(duct, tube_from, f.station_from_mm, beams.back().weights);
    beams.back().weights.push_back(half_hose(duct, f, duct::HoseEnd::upstream));
    if (f.separates) {
      beams.back().to_mm = f.station_from_mm;
      beams.back().behind = &f;
      beams.emplace_back();
      beams.back().from_mm = f.station_to_mm;
      beams.back().ahead = &f;
    }
    beams.back().weights.push_back(half_hose(duct, f, duct::HoseEnd::downstream));
    tube_from = f.station_to_mm;
  }
  add_metal(duct, tube_from, duct.layout.length_mm, beams.back().weights);
  beams.back().to_mm = duct.layout.length_mm;
  const auto& holds = duct.layout.holds;
  for (std::size_t i = 0; i < holds.size(); ++i) {
    // A hold lies on the beam it is nearest to: ends sit where a hose on a port's own spigot has its gap.
    const auto off = [&](const Span& b) {
      return std::max({0.0, b.from_mm - holds[i].station_mm, holds[i].station_mm - b.to_mm});
    };
    const auto nearest =
        std::min_element(beams.begin(), beams.end(), [&](const Span& a, const Span& b) { return off(a) < off(b); });
    nearest->holds.push_back(i);
  }
  return beams;
}

/// Shares of a weight at `at` on supports at `a` and `b`, seen in plan; {1, 1} where these stand over one another.
std::pair<double, double> lever(const Vec3& a, const Vec3& b, const Vec3& at) {
  const Eigen::Vector2d span = (b - a).head<2>();
  if (span.norm() < kAtEnd_mm) return {1, 1};
  const double toward_b = (at - a).head<2>().dot(span) / span.squaredNorm();
  return {1 - toward_b, toward_b};
}

/// Kilograms on each of some supports in order of station.
struct Load {
  double kg = 0, wall_kg = 0, extra_kg = 0, relief_kg = 0;
  void add(const Weight& w, double share) {
    kg += share * w.kg;
    wall_kg += std::abs(share) * w.wall_kg;
    extra_kg += std::max(0.0, share) * w.extra_kg;
    relief_kg += std::max(0.0, -share) * w.extra_kg;
  }
};

std::vector<Load> shared_out(const Duct& duct, const std::vector<Weight>& weights,
                             const std::vector<double>& stations) {
  std::vector<Load> loads(stations.size());
  for (const Weight& w : weights) {
    if (stations.size() == 1) {
      loads[0].add(w, 1);
      continue;
    }
    const auto after = std::upper_bound(stations.begin() + 1, stations.end() - 1, w.station_mm);
    const auto i = static_cast<std::size_t>(after - stations.begin());
    const auto place = [&](double station) { return duct.layout.at(station).p_mm; };
    const auto [ahead, behind] = lever(place(stations[i - 1]), place(stations[i]), place(w.station_mm));
    loads[i - 1].add(w, ahead);
    loads[i].add(w, behind);
  }
  return loads;
}

Measured weighed(const Duct& duct, const Load& load, double station_mm) {
  Measured m = at_station(duct, load.kg, Unit::kilogram, std::clamp(station_mm, 0.0, duct.layout.length_mm));
  if (load.wall_kg > 0) {
    m.band.add({"walls of the tubes", Contribution::Kind::expanded, load.wall_kg, load.wall_kg, ""});
  }
  if (load.extra_kg > 0 || load.relief_kg > 0) {
    m.band.add({"clamps and sensor, not weighed", Contribution::Kind::bound, load.relief_kg, load.extra_kg, ""});
  }
  return m;
}

Load sum_of(const std::vector<Weight>& weights) {
  Load all;
  for (const Weight& w : weights) all.add(w, 1);
  return all;
}

double middle_of(const PlacedFitting& f) { return 0.5 * (f.station_from_mm + f.station_to_mm); }

/// All beams with what rests on their supports.
class Frame {
 public:
  explicit Frame(const Duct& duct) : duct_(duct), beams_(beams_of(duct)), on_holds_(duct.layout.holds.size()) {
    std::vector<std::vector<Weight>> weights(beams_.size());
    for (std::size_t i = 0; i < beams_.size(); ++i) {
      weights[i] = beams_[i].weights;
      loose_.push_back(trouble_of(i));
    }
    passed_.resize(beams_.size());
    for (std::size_t i = 0; i < beams_.size(); ++i) {
      if (!beams_[i].floats() || !loose_[i].empty()) continue;
      const std::vector<double> joints{middle_of(*beams_[i].ahead), middle_of(*beams_[i].behind)};
      const auto loads = shared_out(duct, beams_[i].weights, joints);
      passed_[i] = {loads[0], loads[1]};
      const auto hang = [](const Load& l, double station) { return Weight{station, l.kg, l.wall_kg, l.extra_kg}; };
      weights[i - 1].push_back(hang(loads[0], beams_[i - 1].to_mm));
      weights[i + 1].push_back(hang(loads[1], beams_[i + 1].from_mm));
    }
    for (std::size_t i = 0; i < beams_.size(); ++i) {
      if (beams_[i].floats()) continue;
      std::vector<double> stations;
      for (const std::size_t h : beams_[i].holds) stations.push_back(duct.layout.holds[h].station_mm);
      const auto loads = shared_out(duct, weights[i], stations);
      for (std::size_t k = 0; k < loads.size(); ++k) on_holds_[beams_[i].holds[k]] = loads[k];
    }
  }

  const std::vector<Span>& spans() const { return beams_; }
  const std::string& loose(std::size_t beam) const { return loose_[beam]; }
  bool loose_beside(std::size_t beam) const {
    return (beam > 0 && !loose_[beam - 1].empty()) || (beam + 1 < beams_.size() && !loose_[beam + 1].empty());
  }
  Measured on_hold(std::size_t hold) const {
    return weighed(duct_, on_holds_[hold], duct_.layout.holds[hold].station_mm);
  }
  /// What a floating beam leaves to one of its joints; nothing for one that is held.
  Measured on_joint(std::size_t beam, const PlacedFitting& joint) const {
    const auto& [ahead, behind] = passed_[beam];
    return weighed(duct_, &joint == beams_[beam].ahead ? ahead : behind, middle_of(joint));
  }

 private:
  std::string trouble_of(std::size_t i) const {
    const Span& b = beams_[i];
    if (!b.floats()) return "";
    if (!b.ahead || !b.behind) return b.ahead || b.behind ? "one soft joint alone holds it" : "nothing holds it";
    if (beams_[i - 1].floats() || beams_[i + 1].floats()) {
      return "it hangs between soft joints, and so does the tube next to it";
    }
    return "";
  }

  const Duct& duct_;
  std::vector<Span> beams_;
  std::vector<Load> on_holds_;
  std::vector<std::pair<Load, Load>> passed_;
  std::vector<std::string> loose_;
};

Support hold_support(const Duct& duct, const Frame& frame, std::size_t hold, std::size_t beam) {
  Support s;
  s.by = duct.layout.holds[hold].by;
  s.station_mm = duct.layout.holds[hold].station_mm;
  s.rigid = true;
  if (duct.spec.metal) s.carries = frame.on_hold(hold);
  s.at_least = frame.loose_beside(beam);
  return s;
}

std::string names_within(const Duct& duct, const Span& span) {
  std::vector<std::string> names;
  for (const Piece& piece : duct.layout.pieces) {
    const double middle = 0.5 * (piece.station_from_mm + piece.station_to_mm);
    if (piece.kind == Piece::Kind::tube && middle > span.from_mm && middle < span.to_mm) names.push_back(piece.name);
  }
  return joined(names);
}

Beam beam_of(const Duct& duct, const Frame& frame, std::size_t index) {
  const Span& span = frame.spans()[index];
  Beam beam;
  beam.name = names_within(duct, span);
  beam.station_from_mm = span.from_mm;
  beam.station_to_mm = span.to_mm;
  beam.floats = span.floats();
  beam.loose = frame.loose(index);
  const bool weighs = duct.spec.metal.has_value();
  const auto joint = [&](const PlacedFitting& f, double station) {
    Support s;
    s.by = f.id.value;
    s.station_mm = station;
    if (weighs) s.carries = frame.on_joint(index, f);
    beam.supports.push_back(std::move(s));
  };
  if (span.ahead) joint(*span.ahead, span.from_mm);
  for (const std::size_t h : span.holds) beam.supports.push_back(hold_support(duct, frame, h, index));
  if (span.behind) joint(*span.behind, span.to_mm);
  std::stable_sort(beam.supports.begin(), beam.supports.end(),
                   [](const Support& a, const Support& b) { return a.station_mm < b.station_mm; });
  if (weighs) beam.mass = weighed(duct, sum_of(span.weights), 0.5 * (span.from_mm + span.to_mm));
  double last = span.from_mm, longest = 0, at = last;
  const auto until = [&](double station) {
    if (station - last > longest) {
      longest = station - last;
      at = 0.5 * (station + last);
    }
    last = std::max(last, station);
  };
  for (const Support& s : beam.supports) until(s.station_mm);
  until(span.to_mm);
  beam.longest_free = at_station(duct, longest, Unit::mm, at);
  return beam;
}

}  // namespace

DuctSupport support_of(const Duct& duct) {
  DuctSupport support;
  if (!duct.spec.metal) {
    support.unweighed =
        NotAssessed{"what its tubes are made of is not stated", {"ducts/" + duct.spec.id.value + "/metal"}};
  }
  const Frame frame(duct);
  for (std::size_t i = 0; i < frame.spans().size(); ++i) {
    Beam beam = beam_of(duct, frame, i);
    if (!beam.name.empty()) support.beams.push_back(std::move(beam));
    for (const std::size_t h : frame.spans()[i].holds) support.rigid.push_back(hold_support(duct, frame, h, i));
  }
  return support;
}

}  // namespace baywright::measure
