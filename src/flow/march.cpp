#include "flow/march.hpp"

#include <algorithm>
#include <utility>

#include "geometry/base/expects.hpp"

namespace baywright::flow {
namespace {

constexpr double kNoteMach = 0.1;

}  // namespace

Stream stream_of(const FlowInputs& inputs) {
  EXPECTS(rated_flow(inputs) && inputs.ambient);
  Stream stream;
  stream.mass_flow = *rated_flow(inputs);
  stream.total_temperature = inputs.ambient->temperature;
  stream.gas_constant_J_kgK =
      inputs.ambient->pressure.si() / (density_kg_m3(*inputs.ambient) * inputs.ambient->temperature.si());
  return stream;
}

double share_ahead(const ElementLoss& e, double station_mm) {
  const double length = e.station_to_mm - e.station_from_mm;
  if (length <= 0) return e.station_to_mm <= station_mm ? 1 : 0;
  return std::clamp((station_mm - e.station_from_mm) / length, 0.0, 1.0);
}

Contribution expanded_share(const std::string& source, double low, double high, const std::string& group) {
  return {source, Contribution::Kind::expanded, low, high, group};
}

ElementLoss loss_of_curve(const std::string& name, const std::string& what, double reference_density_kg_m3,
                          const FilterFit& fitted, const CurveAir& air, double stated) {
  ElementLoss e;
  e.name = name;
  e.loss = pascals(filter_loss_Pa(fitted, reference_density_kg_m3, air.flow, air.density_kg_m3, air.viscosity_Pa_s));
  const double supplier = stated * e.loss.si(), misfit = fitted.worst_relative_error * e.loss.si();
  e.band = {expanded_share(what + " curve", supplier, supplier, what),
            expanded_share("fit of the " + what + " curve", misfit, misfit, what)};
  const double beyond = std::max(air.flow.si() / fitted.highest.si(), fitted.lowest.si() / air.flow.si()) - 1;
  if (beyond > 0) {
    const double amount = std::min(1.0, beyond) * e.loss.si();
    e.band.push_back(expanded_share(what + " curve beyond its ends, common practice, no source", amount, amount, what));
  }
  return e;
}

void March::choke_at(const std::string& name) {
  way_.chokes_at = name;
  note("the rated flow does not pass: the duct chokes at " + name + ", and what lies behind is not estimated");
}

void March::pass(const ElementLoss& element) {
  if (choked()) return;
  if (!(element.loss < total_)) return choke_at(element.name);  // it would take more than there is
  total_ = total_ - element.loss;
  way_.elements.push_back(element);
  way_.elements.back().total_behind = total_;
}

Pressure March::ahead_along(const FlowPath& path, const Stream& stream, const std::string& prefix) {
  const std::size_t first = way_.elements.size();
  const Pressure lost = along(path, stream, prefix);
  for (std::size_t i = first; i < way_.elements.size(); ++i) {
    way_.elements[i].station_from_mm = way_.elements[i].station_to_mm = 0;
  }
  return lost;
}

Pressure March::along(const FlowPath& path, const Stream& stream, const std::string& prefix) {
  const Pressure ahead = total_;
  for (const std::string& text : path.notes) note(prefix + text);
  for (const LossElement& element : path.elements) {
    if (choked()) break;
    const auto state = section_state(stream, total_, element.bore_mm);
    const auto behind = total_behind(stream, total_, element.bore_mm, element.k);
    if (!state || !behind) {
      choke_at(prefix + element.name);
      break;
    }
    highest_mach_ = std::max(highest_mach_, state->mach);
    ElementLoss e;
    e.name = prefix + element.name;
    e.station_from_mm = element.station_from_mm;
    e.station_to_mm = element.station_to_mm;
    e.loss_coefficient = element.k;
    e.velocity_m_s = state->velocity_m_s;
    e.mach = state->mach;
    e.loss = total_ - *behind;
    for (const RelativeBand& b : element.band) {
      e.band.push_back(expanded_share(b.source, b.low * e.loss.si(), b.high * e.loss.si(), b.group));
    }
    e.total_behind = *behind;
    const double bore_behind_mm = element.bore_behind_mm.value_or(element.bore_mm);
    if (const auto after = section_state(stream, *behind, bore_behind_mm)) e.static_behind = after->static_pressure;
    way_.elements.push_back(std::move(e));
    total_ = *behind;
  }
  return ahead - total_;
}

Restriction March::finished() const {
  Restriction r = way_;
  r.total = start_ - total_;
  for (const ElementLoss& e : r.elements) {
    for (const Contribution& c : e.band) r.band.add(c);
  }
  for (const Contribution& c : further_) r.band.add(c);
  if (highest_mach_ > kNoteMach) {
    r.notes.push_back("Mach number reaches " + std::to_string(highest_mach_).substr(0, 4) +
                      ": losses follow the density along the duct");
  }
  return r;
}

}  // namespace baywright::flow
