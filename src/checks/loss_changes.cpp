#include "checks/loss_changes.hpp"

#include <algorithm>
#include <optional>

#include "flow/what_if.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"

namespace baywright::checks {
namespace {

constexpr double kWider_mm = 12.7;  // a size up, half an inch (common practice, no source)
constexpr double kMoreRadius_bores = 0.5;
constexpr double kLongerCone = 2;

class Changes {
 public:
  Changes(const Context& context, flow::FilterState state) : context_(context), state_(state) {}

  std::vector<LossChange> all() {
    const auto& outcome = state_ == flow::FilterState::clean ? context_.measures.clean : context_.measures.dirty;
    const auto* known = std::get_if<flow::Restriction>(&outcome);
    if (!known || !context_.sheet.restriction) return {};
    now_ = value(*known, context_.duct);
    if (!now_) return {};
    wider_tube();
    for (const duct::Bend& bend : context_.duct.layout.bends) {
      if (!bend.bends()) continue;
      larger_radius(bend);
      no_bend(bend);
    }
    for (const duct::PlacedFitting& fitting : context_.duct.layout.fittings) {
      longer_cone(fitting);
      wider_behind(fitting);
    }
    std::stable_sort(found_.begin(), found_.end(), [](const auto& a, const auto& b) { return b.saves < a.saves; });
    return std::move(found_);
  }

 private:
  using Outcome = std::variant<flow::Restriction, measure::NotAssessed>;

  std::optional<Pressure> value(const Outcome& outcome, const duct::Duct& duct) const {
    const auto* known = std::get_if<flow::Restriction>(&outcome);
    if (!known || known->choked()) return std::nullopt;
    for (const flow::GaugeReading& g : flow::gauge_readings(duct, *known, context_.flow)) {
      if (g.tap != context_.sheet.restriction->station) continue;
      return context_.sheet.restriction->kind == flow::PressureKind::total ? g.total_loss : g.reading;
    }
    return std::nullopt;
  }

  void keep(const std::string& what, const Outcome& outcome, const duct::Duct& duct) {
    const auto then = value(outcome, duct);
    if (then && *then < *now_) found_.push_back({what, *now_ - *then});
  }

  /// The duct as changed, where it can be laid out.
  void run(const std::string& what, const duct::DuctSpec& spec) {
    auto layout = duct::lay_out(spec, context_.bay, context_.ducts);
    if (!layout) return;
    const duct::Duct changed{spec, std::move(*layout)};
    keep(what, flow::restriction(changed, context_.flow, state_, context_.ducts), changed);
  }

  void wider_tube() {
    duct::DuctSpec spec = context_.duct.spec;
    spec.tube.outer_diameter_mm += kWider_mm;
    run("a tube of " + length(spec.tube.outer_diameter_mm) + " outside", spec);
  }

  void larger_radius(const duct::Bend& bend) {
    duct::DuctSpec spec = context_.duct.spec;
    const double bore = context_.duct.layout.tube_at(bend.station_from_mm).bore_mm();
    for (duct::RoutePoint& point : spec.route.points) {
      if (point.id != bend.at) continue;
      point.bend_radius_mm += kMoreRadius_bores * bore;
      run("a radius of " + length(point.bend_radius_mm) + " at " + bend.at.value, spec);
      return;
    }
  }

  void no_bend(const duct::Bend& bend) {
    keep("no bend at " + bend.at.value,
         flow::restriction_without_bend(context_.duct, context_.flow, state_, context_.ducts, bend.at), context_.duct);
  }

  void longer_cone(const duct::PlacedFitting& placed) {
    if (!std::holds_alternative<duct::Reducer>(placed.kind)) return;
    duct::DuctSpec spec = context_.duct.spec;
    for (duct::Fitting& fitting : spec.fittings) {
      if (fitting.id != placed.id) continue;
      auto& cone = std::get<duct::Reducer>(fitting.kind);
      cone.length_mm *= kLongerCone;
      run(named("cone", placed.id.value) + " " + length(cone.length_mm) + " long", spec);
    }
  }

  /// Of what leads to another size, the tube behind it.
  void wider_behind(const duct::PlacedFitting& placed) {
    duct::DuctSpec spec = context_.duct.spec;
    for (duct::Fitting& fitting : spec.fittings) {
      if (fitting.id != placed.id) continue;
      duct::TubeSize* to = nullptr;
      if (auto* cone = std::get_if<duct::Reducer>(&fitting.kind)) to = &cone->to;
      if (auto* coupler = std::get_if<duct::Coupler>(&fitting.kind); coupler && coupler->to) to = &*coupler->to;
      if (to == nullptr) return;
      to->outer_diameter_mm += kWider_mm;
      run("a tube of " + length(to->outer_diameter_mm) + " outside behind " +
              named(duct::kind_name(placed.kind), placed.id.value),
          spec);
      return;
    }
  }

  std::string length(double mm) const { return length_text(mm, context_.bay.units); }

  const Context& context_;
  flow::FilterState state_;
  std::optional<Pressure> now_;
  std::vector<LossChange> found_;
};

}  // namespace

std::vector<LossChange> loss_changes(const Context& context, flow::FilterState state) {
  return Changes(context, state).all();
}

}  // namespace baywright::checks
