#include "flow/pressure_line.hpp"

#include <algorithm>

#include "flow/compressible.hpp"
#include "flow/march.hpp"
#include "geometry/base/expects.hpp"

namespace baywright::flow {
namespace {

constexpr double kBeside_mm = 1e-6;
/// Along a cone the dynamic pressure goes with the fourth power of the bore.
constexpr int kConeSteps = 16;

/// The fitting over which an element leads from one bore to another.
const duct::PlacedFitting* cone_of(const duct::Layout& layout, const ElementLoss& e) {
  const auto found = std::find_if(layout.fittings.begin(), layout.fittings.end(), [&](const duct::PlacedFitting& f) {
    const auto* coupler = std::get_if<duct::Coupler>(&f.kind);
    const bool leads = std::holds_alternative<duct::Reducer>(f.kind) || (coupler != nullptr && coupler->to.has_value());
    return leads && f.station_from_mm == e.station_from_mm && f.station_to_mm == e.station_to_mm;
  });
  return found == layout.fittings.end() ? nullptr : &*found;
}

class Line {
 public:
  Line(const duct::Layout& layout, const FlowInputs& inputs)
      : layout_(layout), stream_(stream_of(inputs)), outside_(inputs.ambient->pressure) {}

  void add(double station_mm, Pressure total, double bore_mm) {
    const auto state = section_state(stream_, total, bore_mm);
    if (!state) return;  // it chokes here
    points_.push_back({station_mm, outside_ - total, outside_ - state->static_pressure});
  }

  double bore(double station_mm) const { return layout_.tube_at(station_mm).bore_mm(); }

  /// From `ahead` to the total pressure behind the element.
  void along(const ElementLoss& e, Pressure ahead) {
    if (e.station_to_mm <= e.station_from_mm) return;  // two points of its neighbours at one station
    const duct::PlacedFitting* cone = cone_of(layout_, e);
    const double middle = bore(0.5 * (e.station_from_mm + e.station_to_mm));
    const double first = cone ? bore(e.station_from_mm - kBeside_mm) : middle;
    const double last = cone ? bore(e.station_to_mm + kBeside_mm) : middle;
    const int steps = cone ? kConeSteps : 1;
    for (int i = 0; i <= steps; ++i) {
      const double t = static_cast<double>(i) / steps;
      add(e.station_from_mm + t * (e.station_to_mm - e.station_from_mm), ahead - t * e.loss,
          first + t * (last - first));
    }
  }

  std::vector<PressurePoint> points() { return std::move(points_); }

 private:
  const duct::Layout& layout_;
  Stream stream_;
  Pressure outside_;
  std::vector<PressurePoint> points_;
};

}  // namespace

std::size_t elements_ahead(const Restriction& restriction) {
  const auto first = std::find_if(restriction.elements.begin(), restriction.elements.end(), [](const ElementLoss& e) {
    return e.velocity_m_s > 0 && e.name.rfind(kRawAirPrefix, 0) != 0;
  });
  return static_cast<std::size_t>(first - restriction.elements.begin());
}

std::vector<PressurePoint> pressure_line(const duct::Duct& duct, const Restriction& restriction,
                                         const FlowInputs& inputs) {
  EXPECTS(rated_flow(inputs) && inputs.ambient);
  const duct::Layout& layout = duct.layout;
  Line line(layout, inputs);
  const std::size_t ahead = elements_ahead(restriction);
  if (ahead == restriction.elements.size() && restriction.choked()) return {};  // the air does not come so far
  Pressure total = ahead > 0 ? restriction.elements[ahead - 1].total_behind : inputs.ambient->pressure;
  line.add(0, total, layout.bore_ahead_mm.value_or(line.bore(0)));
  for (std::size_t i = ahead; i < restriction.elements.size(); ++i) {
    line.along(restriction.elements[i], total);
    total = restriction.elements[i].total_behind;
  }
  if (!restriction.choked()) {
    line.add(layout.length_mm, total, layout.bore_behind_mm.value_or(line.bore(layout.length_mm)));
  }
  return line.points();
}

}  // namespace baywright::flow
