#include "measure/bore_steps.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/words.hpp"
#include "measure/along_duct.hpp"

namespace baywright::measure {
namespace {

class Steps {
 public:
  explicit Steps(const duct::Duct& duct) : layout_(duct.layout) {}

  std::vector<BoreStep> run() {
    ends();
    for (const duct::PlacedFitting& fitting : layout_.fittings) {
      if (const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind)) {
        if (coupler->shape != duct::CouplerShape::reducer) {
          add(named("coupler", fitting.id.value), fitting.station_from_mm, fitting.station_to_mm);
        }
      } else if (std::holds_alternative<duct::SensorTube>(fitting.kind)) {
        sensor_end("start of " + named("sensor tube", fitting.id.value), fitting.station_from_mm);
        sensor_end("end of " + named("sensor tube", fitting.id.value), fitting.station_to_mm);
      }
    }
    std::stable_sort(steps_.begin(), steps_.end(),
                     [](const BoreStep& a, const BoreStep& b) { return a.station_mm < b.station_mm; });
    return std::move(steps_);
  }

 private:
  double bore_before(double station_mm) const {
    if (station_mm <= kBeside_mm && layout_.bore_ahead_mm) return *layout_.bore_ahead_mm;
    return layout_.tube_at(station_mm - kBeside_mm).bore_mm();
  }
  double bore_behind(double station_mm) const {
    if (station_mm >= layout_.length_mm - kBeside_mm && layout_.bore_behind_mm) return *layout_.bore_behind_mm;
    return layout_.tube_at(station_mm + kBeside_mm).bore_mm();
  }

  void add(std::string name, double from_mm, double to_mm) {
    BoreStep step;
    step.name = std::move(name);
    step.station_mm = 0.5 * (from_mm + to_mm);
    step.ahead_mm = bore_before(from_mm);
    step.behind_mm = bore_behind(to_mm);
    step.radial_mm = 0.5 * std::abs(step.ahead_mm - step.behind_mm);
    steps_.push_back(std::move(step));
  }

  bool under_coupler(double station_mm) const {
    return std::any_of(layout_.fittings.begin(), layout_.fittings.end(), [&](const duct::PlacedFitting& fitting) {
      return std::holds_alternative<duct::Coupler>(fitting.kind) &&
             fitting.station_from_mm <= station_mm + kBeside_mm && fitting.station_to_mm >= station_mm - kBeside_mm;
    });
  }
  bool at_an_end(double station_mm) const {
    return station_mm <= kBeside_mm || station_mm >= layout_.length_mm - kBeside_mm;
  }

  void sensor_end(std::string name, double station_mm) {
    if (!under_coupler(station_mm) && !at_an_end(station_mm)) add(std::move(name), station_mm, station_mm);
  }

  void ends() {
    const auto name = [&](bool start) {
      if (layout_.holds.empty()) return std::string(start ? "upstream end" : "downstream end");
      return start ? layout_.holds.front().by : layout_.holds.back().by;
    };
    if (layout_.bore_ahead_mm && !under_coupler(0)) add(name(true), 0, 0);
    if (layout_.bore_behind_mm && !under_coupler(layout_.length_mm)) {
      add(name(false), layout_.length_mm, layout_.length_mm);
    }
  }

  const duct::Layout& layout_;
  std::vector<BoreStep> steps_;
};

}  // namespace

std::vector<BoreStep> bore_steps(const duct::Duct& duct) { return Steps(duct).run(); }

}  // namespace baywright::measure
