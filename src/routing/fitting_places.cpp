#include "routing/fitting_places.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "duct/fitting_layout.hpp"

namespace baywright::routing {
namespace {

using duct::PlacedFitting;

/// A fitting that lay this near to an end of the duct was there on purpose.
constexpr double kAtEnd_mm = 1;
/// Tube left between two hoses: shorter stretches are none for the layout.
constexpr double kBetweenHoses_mm = 5;
/// Gap and bore above which a joint or nipple ends a straight run (measure::straight_run).
constexpr double kLongGap_mm = 10;
constexpr double kLargeBranch = 0.1;
/// Places are written in steps of this, mm.
constexpr double kStep_mm = 0.01;
constexpr double kFar = std::numeric_limits<double>::infinity();

/// What a fitting asks of its place, from its own upstream end.
struct Asks {
  double length_mm = 0;                     ///< along the duct
  double lead_mm = 0, tail_mm = 0;          ///< straight ahead of its start and behind its start
  double hose_from_mm = 0, hose_to_mm = 0;  ///< of a coupler
  std::optional<double> exposed_mm;         ///< what must not lie under a hose
  std::optional<double> sensor_mm;          ///< the sensor's plane
  bool coupler = false, branch = false, tap = false, cone = false, ends_straight = false;
};

double end_straight(const duct::Coupler& coupler, duct::HoseEnd end, const FittingRules& rules) {
  const double engaged = std::max(0.5 * (coupler.length_mm - coupler.gap_mm), 0.0);
  double asked = rules.tube_end_mm;
  for (const duct::TubeEnd& tube : coupler.tube_ends) {
    if (tube.end == end && !tube.no_bead) asked = std::max(asked, rules.beaded_tube_end_mm);
  }
  return std::max(engaged, asked);
}

struct AsksOf {
  const FittingRules& rules;
  double bore_mm = 0;

  Asks operator()(const duct::SensorTube& f) const {
    Asks a;
    a.length_mm = f.length_mm;
    a.sensor_mm = a.exposed_mm = f.sensor_offset_mm;
    a.lead_mm = std::max(rules.before_sensor_mm - f.sensor_offset_mm, 0.0);
    a.tail_mm = std::max(f.length_mm, f.sensor_offset_mm + rules.after_sensor_mm);
    return a;
  }
  Asks operator()(const duct::Coupler& f) const {
    Asks a;
    a.coupler = true;
    a.length_mm = f.gap_mm;
    a.hose_from_mm = 0.5 * (f.gap_mm - f.length_mm);
    a.hose_to_mm = 0.5 * (f.gap_mm + f.length_mm);
    a.lead_mm = end_straight(f, duct::HoseEnd::upstream, rules);
    a.tail_mm = f.gap_mm + end_straight(f, duct::HoseEnd::downstream, rules);
    a.ends_straight = f.gap_mm > kLongGap_mm || f.shape != duct::CouplerShape::straight;
    return a;
  }
  Asks operator()(const duct::Reducer& f) const {
    Asks a;
    a.length_mm = a.tail_mm = f.length_mm;
    a.cone = a.ends_straight = true;
    return a;
  }
  Asks operator()(const duct::FlowStraightener& f) const {
    Asks a;
    a.length_mm = a.tail_mm = f.length_mm;
    return a;
  }
  Asks operator()(const duct::BranchPort& f) const {
    Asks a;
    a.branch = true;
    a.exposed_mm = 0;
    a.lead_mm = a.tail_mm = 0.5 * f.outer_diameter_mm;
    a.ends_straight = f.bore_mm > kLargeBranch * bore_mm;
    return a;
  }
  Asks operator()(const duct::RestrictionTap&) const {
    Asks a;
    a.tap = true;
    a.exposed_mm = 0;
    a.lead_mm = a.tail_mm = rules.beside_tap_mm;
    return a;
  }
  template <class Point>
  Asks operator()(const Point&) const {
    Asks a;
    a.exposed_mm = 0;
    return a;
  }
};

/// Least distance from the start of one fitting to that of a later one.
double least_distance(const Asks& a, const Asks& b, const FittingRules& rules) {
  double least = 0;
  const auto at_least = [&least](double mm) { least = std::max(least, mm); };
  const bool points = (a.exposed_mm && !a.sensor_mm) || (b.exposed_mm && !b.sensor_mm);
  if (!points) at_least(a.length_mm);
  if (a.coupler && b.coupler) at_least(a.hose_to_mm - b.hose_from_mm + kBetweenHoses_mm);
  if (a.coupler && b.exposed_mm) at_least(a.hose_to_mm - *b.exposed_mm);
  if (a.exposed_mm && b.coupler) at_least(*a.exposed_mm - b.hose_from_mm);
  if (a.sensor_mm && b.ends_straight) at_least(*a.sensor_mm + rules.after_sensor_mm);
  if (a.ends_straight && b.sensor_mm) at_least(a.length_mm + rules.before_sensor_mm - *b.sensor_mm);
  if (a.sensor_mm && b.branch) at_least(*a.sensor_mm + rules.sensor_to_branch_mm);
  // A band wants a tube of one size under it.
  if (a.coupler && b.cone) at_least(a.hose_to_mm);
  if (a.cone && b.coupler) at_least(a.length_mm - b.hose_from_mm);
  if (a.tap && b.ends_straight) at_least(rules.beside_tap_mm);
  if (a.ends_straight && b.tap) at_least(a.length_mm + rules.beside_tap_mm);
  return least > 0 ? least + 2 * kStep_mm : 0;
}

/// Stations at which a fitting may start.
struct Span {
  double from_mm = 0, to_mm = 0;
};

class Placing {
 public:
  Placing(const duct::Duct& old, const duct::Layout& route, const Requirements& requirements)
      : old_(old), route_(route), rules_(requirements.fittings), placed_(old.layout.fittings) {
    const AsksOf asks{rules_, old.spec.tube.bore_mm()};
    for (const PlacedFitting& fitting : placed_) asks_.push_back(std::visit(asks, fitting.kind));
    for (std::size_t i = 0; i < placed_.size(); ++i) spans_.push_back(spans_of(i));
  }

  std::variant<std::vector<duct::Fitting>, NoPlace> run() const {
    const std::size_t n = placed_.size();
    // The latest place of each that leaves room for those behind it.
    std::vector<double> latest(n);
    for (std::size_t i = n; i-- > 0;) {
      double most = kFar;
      for (std::size_t j = i + 1; j < n; ++j)
        most = std::min(most, latest[j] - least_distance(asks_[i], asks_[j], rules_));
      const auto place = last_not_above(i, most);
      if (!place) return none(i, most);
      latest[i] = *place;
    }
    std::vector<double> station(n);
    for (std::size_t i = 0; i < n; ++i) {
      double least = 0;
      for (std::size_t j = 0; j < i; ++j)
        least = std::max(least, station[j] + least_distance(asks_[j], asks_[i], rules_));
      const auto place = nearest_within(i, wanted(i, station), least, latest[i]);
      if (!place) return none(i, latest[i]);
      station[i] = *place;
    }
    std::vector<duct::Fitting> out = old_.spec.fittings;
    for (duct::Fitting& fitting : out) {
      const auto it = std::find_if(placed_.begin(), placed_.end(), [&](const auto& p) { return p.id == fitting.id; });
      const auto i = static_cast<std::size_t>(it - placed_.begin());
      fitting.anchor = anchor(i, station[i]);
    }
    return out;
  }

 private:
  std::vector<Span> spans_of(std::size_t i) const {
    const Asks& a = asks_[i];
    const double length = route_.length_mm;
    if (at_start(i)) return {{0, 0}};
    if (at_end(i)) return {{length - a.length_mm, length - a.length_mm}};
    std::vector<Span> out;
    for (const duct::Straight& s : route_.straights()) {
      // A step inside: the place is rounded when it is written.
      Span span{s.station_from_mm + a.lead_mm + kStep_mm,
                s.station_to_mm - std::max(a.tail_mm, a.length_mm) - kStep_mm};
      if (a.ends_straight && !a.coupler)
        span.to_mm = std::min(span.to_mm, length - rules_.before_end_mm - a.length_mm - kStep_mm);
      if (a.branch) span.to_mm = std::min(span.to_mm, length - rules_.branch_to_end_mm);
      if (span.from_mm <= span.to_mm) out.push_back(span);
    }
    return out;
  }

  std::optional<double> last_not_above(std::size_t i, double most) const {
    for (auto span = spans_[i].rbegin(); span != spans_[i].rend(); ++span) {
      if (span->from_mm <= most) return std::min(span->to_mm, most);
    }
    return std::nullopt;
  }

  std::optional<double> nearest_within(std::size_t i, double wanted, double least, double most) const {
    std::optional<double> best;
    for (const Span& span : spans_[i]) {
      const double from = std::max(span.from_mm, least), to = std::min(span.to_mm, most);
      if (from > to) continue;
      const double place = std::clamp(wanted, from, to);
      if (!best || std::abs(place - wanted) < std::abs(*best - wanted)) best = place;
    }
    return best;
  }

  double wanted(std::size_t i, const std::vector<double>& station) const {
    const PlacedFitting& fitting = placed_[i];
    const auto straights = old_.layout.straights();
    const auto straight = [&](const PlacedFitting& f) {
      std::size_t k = 0;
      while (k + 1 < straights.size() && straights[k].station_to_mm < f.station_from_mm) ++k;
      return k;
    };
    if (i > 0 && straight(placed_[i - 1]) == straight(fitting)) {
      return station[i - 1] + fitting.station_from_mm - placed_[i - 1].station_from_mm;
    }
    if (straight(fitting) + 1 == straights.size()) {
      return route_.length_mm - (old_.layout.length_mm - fitting.station_from_mm);
    }
    return fitting.station_from_mm / old_.layout.length_mm * route_.length_mm;
  }

  bool at_start(std::size_t i) const { return placed_[i].station_from_mm <= kAtEnd_mm; }
  bool at_end(std::size_t i) const {
    return !at_start(i) && placed_[i].station_to_mm >= old_.layout.length_mm - kAtEnd_mm;
  }

  duct::Anchor anchor(std::size_t i, double station_mm) const {
    if (at_end(i)) return {route_.legs.back().from, asks_[i].length_mm, true};
    std::size_t k = 0;
    while (k + 1 < route_.legs.size() && route_.legs[k].station_to_mm < station_mm - 1e-9) ++k;
    const double set_back = k > 0 ? route_.bends[k - 1].set_back_mm : 0;
    const double offset = station_mm - route_.legs[k].station_from_mm + set_back;
    return {route_.legs[k].from, std::round(offset / kStep_mm) * kStep_mm, false};
  }

  NoPlace none(std::size_t i, double most) const {
    const Asks& a = asks_[i];
    double longest = 0;
    for (const duct::Straight& s : route_.straights()) longest = std::max(longest, s.length_mm());
    const double asked = a.lead_mm + std::max(a.tail_mm, a.length_mm);
    const auto text = [this](double mm) { return length_text(mm, old_.layout.units); };
    NoPlace no;
    no.fitting = placed_[i].id;
    const std::string name = duct::fitting_name(placed_[i].id, placed_[i].kind);
    if (asked > longest) {
      no.lacks_mm = asked - longest;
      no.reason = name + " asks for " + text(asked) + " of straight and the longest is " + text(longest);
    } else {
      no.reason = name + " finds no straight with its distances to the others kept";
      if (std::isfinite(most) && !spans_[i].empty()) no.lacks_mm = std::max(spans_[i].front().from_mm - most, 0.0);
    }
    return no;
  }

  const duct::Duct& old_;
  const duct::Layout& route_;
  const FittingRules& rules_;
  const std::vector<PlacedFitting>& placed_;
  std::vector<Asks> asks_;
  std::vector<std::vector<Span>> spans_;
};

}  // namespace

std::variant<std::vector<duct::Fitting>, NoPlace> place_again(const duct::Duct& old, const duct::Layout& route,
                                                              const Requirements& requirements) {
  return Placing(old, route, requirements).run();
}

}  // namespace baywright::routing
