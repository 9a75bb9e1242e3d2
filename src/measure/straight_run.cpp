#include <algorithm>
#include <cmath>

#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"
#include "measure/along_duct.hpp"
#include "measure/path_measures.hpp"

namespace baywright::measure {
namespace {

using duct::Coupler;
using duct::PlacedFitting;

// Limits of the trade's definition of a straight run (common practice, no source).
constexpr double kFlushStep_mm = 1;
constexpr double kFlushGap_mm = 10;

/// A stretch of the centerline that is no straight run.
struct Disturbance {
  double from_mm, to_mm;
  std::string name;
};

double radial_step(const duct::Layout& layout, double before_mm, double behind_mm) {
  return 0.5 * std::abs(layout.tube_at(before_mm).bore_mm() - layout.tube_at(behind_mm).bore_mm());
}

std::string coupler_name(const PlacedFitting& fitting, const Coupler& coupler) {
  constexpr const char* kShapes[] = {"straight", "hump", "reducer", "elbow"};
  return named(std::string(kShapes[static_cast<int>(coupler.shape)]) + " coupler", fitting.id.value);
}

/// Disturbances of a duct and what a run may pass.
struct Course {
  std::vector<Disturbance> disturbances;
  std::vector<Disturbance> passed;
};

void add_coupler(const duct::Layout& layout, const PlacedFitting& fitting, const Coupler& coupler, Course& course) {
  const double from = fitting.station_from_mm, to = fitting.station_to_mm;
  const double step = radial_step(layout, from - kRounding_mm, to);
  std::string name = coupler_name(fitting, coupler);
  const bool flush_shape =
      coupler.shape == duct::CouplerShape::straight || coupler.shape == duct::CouplerShape::reducer;
  if (step > kFlushStep_mm) {
    course.disturbances.push_back({from, to, name + " (step " + length_text(step, layout.units) + ")"});
  } else if (to - from > kFlushGap_mm) {
    course.disturbances.push_back({from, to, name + " (gap " + length_text(to - from, layout.units) + ")"});
  } else if (!flush_shape) {
    course.disturbances.push_back({from, to, name});
  } else {
    course.passed.push_back({from, to, name + " (gap " + length_text(to - from, layout.units) + ")"});
  }
}

void add_step(const duct::Layout& layout, double station_mm, const std::string& name, Course& course) {
  if (station_mm <= kRounding_mm || station_mm >= layout.length_mm - kRounding_mm) return;
  const double step = radial_step(layout, station_mm - kRounding_mm, station_mm);
  if (step > kFlushStep_mm) {
    course.disturbances.push_back(
        {station_mm, station_mm, "step of " + length_text(step, layout.units) + " at " + name});
  }
}

Course course_of(const duct::Layout& layout) {
  Course course;
  for (const duct::Bend& bend : layout.bends) {
    if (bend.bends())
      course.disturbances.push_back({bend.station_from_mm, bend.station_to_mm, "bend at " + bend.at.value});
  }
  for (const PlacedFitting& fitting : layout.fittings) {
    const double from = fitting.station_from_mm, to = fitting.station_to_mm;
    if (const auto* coupler = std::get_if<Coupler>(&fitting.kind)) {
      add_coupler(layout, fitting, *coupler, course);
    } else if (std::holds_alternative<duct::Reducer>(fitting.kind)) {
      course.disturbances.push_back({from, to, named("cone", fitting.id.value)});
    } else if (const auto* branch = std::get_if<duct::BranchPort>(&fitting.kind)) {
      if (branch->bore_mm > kSidePortRatio * layout.tube_at(from).bore_mm()) {
        course.disturbances.push_back({from, to, named("branch port", fitting.id.value)});
      }
    } else if (std::holds_alternative<duct::SensorTube>(fitting.kind)) {
      add_step(layout, from, "the start of " + named("sensor tube", fitting.id.value), course);
      add_step(layout, to, "the end of " + named("sensor tube", fitting.id.value), course);
    } else if (std::holds_alternative<duct::FlowStraightener>(fitting.kind)) {
      course.passed.push_back({from, to, named("flow straightener", fitting.id.value)});
    }
  }
  return course;
}

std::string end_name(const duct::Layout& layout, bool start) {
  if (layout.holds.empty()) return start ? "start of the duct" : "end of the duct";
  return start ? layout.holds.front().by : layout.holds.back().by;
}

}  // namespace

StraightRun straight_run(const duct::Duct& duct, double station_mm) {
  const duct::Layout& layout = duct.layout;
  StraightRun run{0, layout.length_mm, end_name(layout, true), end_name(layout, false), {}};
  const Course course = course_of(layout);
  for (const Disturbance& d : course.disturbances) {
    const bool around = d.from_mm < station_mm - kRounding_mm && d.to_mm > station_mm + kRounding_mm;
    const double up = around ? station_mm : d.to_mm, down = around ? station_mm : d.from_mm;
    if (up <= station_mm + kRounding_mm && up >= run.from_mm) {
      run.from_mm = std::min(up, station_mm);
      run.ends_at_upstream = d.name;
    }
    if (down >= station_mm - kRounding_mm && down <= run.to_mm) {
      run.to_mm = std::max(down, station_mm);
      run.ends_at_downstream = d.name;
    }
  }
  for (const Disturbance& d : course.passed) {
    if (d.to_mm > run.from_mm && d.from_mm < run.to_mm) run.inside.push_back({0.5 * (d.from_mm + d.to_mm), d.name});
  }
  return run;
}

}  // namespace baywright::measure
