#include "flow/flow_path.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>
#include <set>
#include <utility>

#include "flow/branch_leg.hpp"
#include "flow/entry_loss.hpp"
#include "flow/loss_coefficients.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"

namespace baywright::flow {
namespace {

// Bands as shares of the loss; their bases stand in docs/flow.md.
const RelativeBand kPipeBand{"pipe friction, charts of commercial pipe", 0.10, 0.10, "pipe friction"};
const RelativeBand kTransitionBand{"pipe friction in transition, common practice, no source", 0.50, 0.50,
                                   "pipe friction"};
const RelativeBand kBendBand{"bend formula against 18 measured bends", 0.10, 0.25, "bend formula"};
const RelativeBand kMitreBand{"mitre, spread of three sources", 0.15, 0.15, "mitre"};
const RelativeBand kSegmentBand{"segmented bend, table without size", 0.25, 0.25, "segmented bend"};
const RelativeBand kSmallSegmentBand{"segmented bend below 100 mm, table against one with size", 0.25, 1.15,
                                     "segmented bend"};
const RelativeBand kCorrugatedBand{"corrugated hose, no measurement found", 0.40, 1.00, "corrugated hose"};
const RelativeBand kEntryBand{"entry, spread of sources", 0.20, 0.20, "entry"};
const RelativeBand kLipBand{"bellmouth or cone, spread of sources", 0.50, 0.50, "entry"};
const RelativeBand kConeBand{"cone, Hydraulic Institute reducers", 0.50, 0.50, "cone"};
const RelativeBand kStepBand{"step in bore, common practice, no source", 0.50, 0.50, "step"};
const RelativeBand kInsertBand{"sensor insert as stated, common practice, no source", 0.20, 0.20, "sensor insert"};
const RelativeBand kCouplerBand{"coupler as stated, common practice, no source", 0.25, 0.25, "coupler stated"};
const RelativeBand kAssumedCouplerBand{"coupler assumed, common practice, no source", 0.50, 1.00, "coupler assumed"};
const RelativeBand kBranchBand{"branch flow assumed between 0 and 3 %", 1.00, 2.00, "branch"};
const RelativeBand kStatedBranchBand{"crankcase gas as stated, common practice, no source", 0.30, 0.30, "branch"};
const RelativeBand kStraightenerBand{"flow straightener as stated, common practice, no source", 0.20, 0.20,
                                     "flow straightener"};

// Loss of a coupler nobody stated, on its bore (common practice, no source). An elbow's bend comes on top.
constexpr double kHumpLoss = 0.05;
constexpr double kPlainCouplerLoss = 0.02;
/// Below this bore segmented bends lose up to twice what the table says (ASHRAE CD3-9, 75 mm: .51 against .24).
constexpr double kSmallSegment_mm = 100;
/// Bores that differ by less are one size (rounding of wall thicknesses).
constexpr double kSameBore_mm = 1e-6;
bool same_bore(double a, double b) { return std::abs(a - b) < kSameBore_mm; }

class Builder {
 public:
  Builder(const duct::Duct& duct, const FrictionInputs& inputs) : duct_(duct), layout_(duct.layout), inputs_(inputs) {}

  FlowPath build() {
    std::vector<duct::Bend> bends;
    std::copy_if(layout_.bends.begin(), layout_.bends.end(), std::back_inserter(bends),
                 [](const duct::Bend& bend) { return bend.bends(); });
    const std::vector<duct::Straight> straights = layout_.straights();
    add_entry();
    // The duct's own bore against that of what it is attached to: a step at either end is part of the way.
    if (layout_.bore_ahead_mm) {
      bore_ = *layout_.bore_ahead_mm;
      change_bore(0, layout_.tube_at(0).bore_mm());
    }
    for (std::size_t i = 0; i < straights.size(); ++i) {
      add_straight_with_fittings(straights[i]);
      if (i < bends.size() && !covered_by_elbow(bends[i])) add_bend(bends[i]);
    }
    if (layout_.bore_behind_mm) {
      change_bore(layout_.length_mm, layout_.tube_at(layout_.length_mm).bore_mm());
      change_bore(layout_.length_mm, *layout_.bore_behind_mm);
    }
    return std::move(path_);
  }

 private:
  double friction(double bore_mm) {
    const double re = reynolds(inputs_, bore_mm);
    if (re >= 2000 && re < 4000) note("flow is in transition between laminar and turbulent, friction is uncertain");
    return friction_factor(re, inputs_.roughness_mm / bore_mm);
  }

  const RelativeBand& pipe_band(double bore_mm) const {
    const double re = reynolds(inputs_, bore_mm);
    return re >= 2000 && re < 4000 ? kTransitionBand : kPipeBand;
  }

  void note(const std::string& text) {
    if (said_.insert(text).second) path_.notes.push_back(text);
  }

  double bore_between(double from, double to) const { return layout_.tube_at(0.5 * (from + to)).bore_mm(); }

  void add(LossElement element) { path_.elements.push_back(std::move(element)); }

  void add_entry() {
    if (!duct_.spec.entry) return;
    const double bore = layout_.bore_ahead_mm.value_or(layout_.tube_at(0).bore_mm());
    const auto enter = [&](const char* what, double k, const RelativeBand& band) {
      add({std::string("entry, ") + what, 0, 0, bore, k, {band}});
    };
    const duct::Entry& entry = *duct_.spec.entry;
    if (std::holds_alternative<duct::FlushEntry>(entry)) enter("flush", kFlushEntryLoss, kEntryBand);
    if (std::holds_alternative<duct::ReentrantEntry>(entry)) {
      enter("re-entrant", reentrant_entry_loss(duct_.spec.tube.wall_mm / bore), kEntryBand);
    }
    if (const auto* lip = std::get_if<duct::Bellmouth>(&entry)) {
      enter("bellmouth", bellmouth_loss(lip->radius_mm / bore, lip->in_wall), kLipBand);
    }
    const auto* cone = std::get_if<duct::ConeEntry>(&entry);
    if (!cone) return;  // a stated loss is a pressure, and stands ahead of the duct
    if (const auto k = cone_entry_loss(cone->length_mm / bore, cone->full_angle)) return enter("cone", *k, kLipBand);
    path_.missing.push_back("ducts/" + duct_.spec.id.value +
                            "/entry: another kind (losses of conical entries are known from 50 to 70 degrees)");
  }

  /// A bore that differs from the last one without a cone between is a step.
  void change_bore(double station, double bore_mm) {
    const double before = std::exchange(bore_, bore_mm);
    if (before == 0 || same_bore(before, bore_mm)) return;
    const bool narrows = bore_mm < before;
    const double small = std::min(before, bore_mm);
    const double ratio = small / std::max(before, bore_mm);
    add({narrows ? "step to a smaller bore" : "step to a larger bore",
         station,
         station,
         small,
         narrows ? sudden_contraction_loss(ratio) : sudden_expansion_loss(ratio),
         {kStepBand},
         bore_mm});
  }

  /// Straight from the last element on; cut where the bore changes on the way (ends of a sensor tube).
  void add_straight(double from, double to) {
    if (to <= from) return;
    for (const duct::PlacedFitting& fitting : layout_.fittings) {
      if (!std::holds_alternative<duct::SensorTube>(fitting.kind)) continue;
      for (const double cut : {fitting.station_from_mm, fitting.station_to_mm}) {
        if (cut <= from || cut >= to || same_bore(bore_between(from, cut), bore_between(cut, to))) continue;
        add_straight(from, cut);
        return add_straight(cut, to);
      }
    }
    for (const duct::PlacedFitting& fitting : layout_.fittings) {
      if (!corrugation(fitting)) continue;
      for (const double cut : {fitting.station_from_mm, fitting.station_to_mm}) {
        if (cut <= from || cut >= to) continue;
        add_straight(from, cut);
        return add_straight(cut, to);
      }
    }
    const double bore = bore_between(from, to);
    change_bore(from, bore);
    if (const duct::PlacedFitting* hose = corrugated_at(0.5 * (from + to))) {
      return add({named("corrugated hose", hose->id.value),
                  from,
                  to,
                  bore,
                  corrugated_friction(bore, *corrugation(*hose)) * (to - from) / bore,
                  {kCorrugatedBand}});
    }
    add({"straight " + length_text(to - from, layout_.units),
         from,
         to,
         bore,
         friction(bore) * (to - from) / bore,
         {pipe_band(bore)}});
  }

  static std::optional<double> corrugation(const duct::PlacedFitting& fitting) {
    const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
    return coupler && !coupler->loss_coefficient ? coupler->corrugation_mm : std::nullopt;
  }

  /// The corrugated hose over whose gap a station lies.
  const duct::PlacedFitting* corrugated_at(double station) const {
    const auto found = std::find_if(layout_.fittings.begin(), layout_.fittings.end(), [&](const auto& f) {
      return corrugation(f) && f.station_from_mm <= station && station <= f.station_to_mm;
    });
    return found == layout_.fittings.end() ? nullptr : &*found;
  }

  void add_straight_with_fittings(const duct::Straight& straight) {
    double at = straight.station_from_mm;
    for (; next_ < layout_.fittings.size(); ++next_) {
      const duct::PlacedFitting& fitting = layout_.fittings[next_];
      if (fitting.station_from_mm > straight.station_to_mm) break;
      std::visit([&](const auto& kind) { at = add_fitting(fitting, kind, at); }, fitting.kind);
    }
    add_straight(at, straight.station_to_mm);
  }

  double add_fitting(const duct::PlacedFitting& fitting, const duct::Reducer& reducer, double at) {
    add_straight(at, fitting.station_from_mm);
    add_cone(named("cone", fitting.id.value), fitting, reducer.to.bore_mm());
    return fitting.station_to_mm;
  }

  double bore_ahead(double station) const { return layout_.tube_at(station - kSameBore_mm).bore_mm(); }

  void add_cone(const std::string& name, const duct::PlacedFitting& fitting, double after) {
    const double length = fitting.station_to_mm - fitting.station_from_mm;
    const double before = bore_ > 0 ? bore_ : bore_ahead(fitting.station_from_mm);
    const double small = std::min(before, after);
    bore_ = after;
    LossElement cone{name, fitting.station_from_mm, fitting.station_to_mm, small, 0, {}, after};
    if (same_bore(before, after)) {
      cone.k = friction(small) * length / small;
      cone.band = {pipe_band(small)};
      return add(std::move(cone));
    }
    const double ratio = small / std::max(before, after);
    const Angle full_angle = radians(2 * std::atan(std::abs(before - after) / (2 * length)));
    cone.band = {kConeBand};
    if (after > before) {
      cone.k = diffuser_loss(ratio, full_angle, friction(small));
    } else {
      const double area_ratio = 1 / (ratio * ratio);
      cone.k = contraction_loss(area_ratio, full_angle, friction(small));
      // Below the table's first area ratio K is our own interpolation: the true one may be as large as in its first
      // row.
      if (area_ratio < 2) {
        const double row = contraction_loss(2, full_angle, friction(small));
        cone.band[0].high = std::max(kConeBand.high, row / cone.k - 1);
      }
    }
    add(std::move(cone));
  }

  double add_fitting(const duct::PlacedFitting& fitting, const duct::SensorTube& sensor, double at) {
    const double plane = fitting.station_from_mm + sensor.sensor_offset_mm;
    add_straight(at, plane);
    if (sensor.loss_coefficient) {
      add({named("sensor insert", fitting.id.value),
           plane,
           plane,
           sensor.tube.bore_mm(),
           *sensor.loss_coefficient,
           {kInsertBand}});
    } else {
      miss(fitting, "loss_coefficient");
    }
    return std::max(at, plane);
  }

  double add_fitting(const duct::PlacedFitting& fitting, const duct::Coupler& coupler, double at) {
    const std::string name = named("coupler", fitting.id.value);
    const double from = fitting.station_from_mm;
    if (coupler.shape == duct::CouplerShape::reducer && coupler.to) {
      add_straight(at, from);
      if (!coupler.loss_coefficient) {
        add_cone(name, fitting, coupler.to->bore_mm());
        return fitting.station_to_mm;
      }
      const double small = std::min(bore_ahead(from), coupler.to->bore_mm());
      bore_ = coupler.to->bore_mm();
      add({name, from, fitting.station_to_mm, small, *coupler.loss_coefficient, {kCouplerBand}, bore_});
      return fitting.station_to_mm;
    }
    const bool elbow = coupler.shape == duct::CouplerShape::elbow;
    const double station = elbow || corrugation(fitting) ? from : 0.5 * (from + fitting.station_to_mm);
    add_straight(at, station);
    const double bore = layout_.tube_at(from).bore_mm();
    if (coupler.loss_coefficient) {
      add({name, station, station, bore, *coupler.loss_coefficient, {kCouplerBand}});
    } else {
      const bool hump = coupler.shape == duct::CouplerShape::hump;
      add({name, station, station, bore, hump ? kHumpLoss : kPlainCouplerLoss, {kAssumedCouplerBand}});
      note(
          "couplers without a stated loss are taken as K 0.05 (hump) or 0.02 (others) on their bore: common practice, "
          "no "
          "source");
    }
    return std::max(at, station);
  }

  /// A stated loss of an elbow hose covers the bend inside it.
  bool covered_by_elbow(const duct::Bend& bend) const {
    const double middle = 0.5 * (bend.station_from_mm + bend.station_to_mm);
    return std::any_of(layout_.fittings.begin(), layout_.fittings.end(), [&](const duct::PlacedFitting& f) {
      const auto* coupler = std::get_if<duct::Coupler>(&f.kind);
      return coupler && coupler->shape == duct::CouplerShape::elbow && coupler->loss_coefficient &&
             f.station_from_mm <= middle && middle <= f.station_to_mm;
    });
  }

  double add_fitting(const duct::PlacedFitting& fitting, const duct::BranchPort&, double at) {
    const double station = fitting.station_from_mm;
    add_straight(at, station);
    const BranchShare share = branch_share(inputs_.crankcase_gas, inputs_.mass_flow);
    add({named("branch port", fitting.id.value),
         station,
         station,
         layout_.tube_at(station).bore_mm(),
         joining_run_loss(share.value),
         {share.stated ? kStatedBranchBand : kBranchBand}});
    return std::max(at, station);
  }

  double add_fitting(const duct::PlacedFitting& fitting, const duct::FlowStraightener& straightener, double at) {
    add_straight(at, fitting.station_from_mm);
    const double bore = bore_between(fitting.station_from_mm, fitting.station_to_mm);
    if (straightener.loss_coefficient > 0) {
      add({named("flow straightener", fitting.id.value),
           fitting.station_from_mm,
           fitting.station_to_mm,
           bore,
           straightener.loss_coefficient,
           {kStraightenerBand}});
    } else {
      miss(fitting, "loss_coefficient");
    }
    return std::max(at, fitting.station_to_mm);
  }

  double add_fitting(const duct::PlacedFitting&, const duct::Bracket&, double at) { return at; }
  double add_fitting(const duct::PlacedFitting&, const duct::RestrictionTap&, double at) { return at; }
  double add_fitting(const duct::PlacedFitting&, const duct::Drain&, double at) { return at; }

  void miss(const duct::PlacedFitting& fitting, const std::string& key) {
    path_.missing.push_back("ducts/" + duct_.spec.id.value + "/fittings/" + fitting.id.value + "/" + key);
  }

  /// Straight behind a bend up to the next bend, cone or the end.
  double straight_behind(const duct::Bend& bend) const {
    double end = layout_.length_mm;
    for (const duct::Bend& next : layout_.bends) {
      if (next.bends() && next.station_from_mm > bend.station_from_mm) end = std::min(end, next.station_from_mm);
    }
    for (const duct::PlacedFitting& fitting : layout_.fittings) {
      const bool cone = std::holds_alternative<duct::Reducer>(fitting.kind);
      if (cone && fitting.station_from_mm >= bend.station_to_mm) end = std::min(end, fitting.station_from_mm);
    }
    return end - bend.station_to_mm;
  }

  /// Loss of a bend alone: smooth, welded of pieces, or a corrugated elbow.
  LossElement shape_of_bend(const duct::Bend& bend, double bore) {
    LossElement e{"bend at " + bend.at.value, bend.station_from_mm, bend.station_to_mm, bore, 0, {kBendBand}};
    const double ratio = bend.radius_mm / bore, f = friction(bore);
    if (bend.pieces == 2) {
      e.name = "mitre at " + bend.at.value;
      // The arc stands for two straight stretches, each as long as the set-back.
      e.k = mitre_loss(bend.angle, reynolds(inputs_, bore)) + f * 2 * bend.set_back_mm / bore;
      e.band = {kMitreBand};
      if (bend.angle > degrees(90)) note(e.name + " turns by more than 90 degrees, beyond the formula's table");
    } else if (bend.pieces > 2) {
      e.name = "bend of " + std::to_string(bend.pieces) + " pieces at " + bend.at.value;
      e.k = segmented_bend_loss(ratio, bend.pieces, bend.angle, f);
      e.band = {bore < kSmallSegment_mm ? kSmallSegmentBand : kSegmentBand};
    } else {
      e.k = bend_loss(ratio, bend.angle, f);
      if (const duct::PlacedFitting* hose = corrugated_at(0.5 * (bend.station_from_mm + bend.station_to_mm))) {
        e.name = "corrugated bend at " + bend.at.value;
        e.k += (corrugated_friction(bore, *corrugation(*hose)) - f) * bend.angle.si() * ratio;
        e.band = {kCorrugatedBand};
      }
    }
    return e;
  }

  void add_bend(const duct::Bend& bend) {
    const double bore = bore_between(bend.station_from_mm, bend.station_to_mm);
    change_bore(bend.station_from_mm, bore);
    const double radius_ratio = bend.radius_mm / bore;
    LossElement element = shape_of_bend(bend, bore);
    if (radius_ratio < 0.5 && bend.pieces == 0)
      note(element.name + " is tighter than the bend formula covers (radius below half the bore)");
    const double behind = straight_behind(bend) / bore;
    const double factor = outlet_factor(element.k, behind);
    if (factor < 1)
      element.band.push_back({"straight behind the bend (outlet factor)", 1 - factor, 0, "outlet factor"});
    if (element.k >= 0.25 && behind < 1) {
      note(element.name +
           " has less than one bore of straight behind it: its loss may be up to 2.7 times the stated one");
    }
    add(std::move(element));
  }

  const duct::Duct& duct_;
  const duct::Layout& layout_;
  FrictionInputs inputs_;
  FlowPath path_;
  std::set<std::string> said_;
  std::size_t next_ = 0;  ///< first fitting not passed yet
  double bore_ = 0;       ///< of the last element; 0 before the first
};

}  // namespace

double reynolds(const FrictionInputs& inputs, double bore_mm) {
  return 4 * inputs.mass_flow.si() / (std::numbers::pi * bore_mm / 1000 * inputs.viscosity_Pa_s);
}

FlowPath flow_path(const duct::Duct& duct, const FrictionInputs& inputs) { return Builder(duct, inputs).build(); }

}  // namespace baywright::flow
