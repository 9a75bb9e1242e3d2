#include "duct/fitting_layout.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/expects.hpp"

namespace baywright::duct {
namespace {

/// Ends that meet within this meet; smaller overlaps are rounding.
constexpr double kRounding_mm = 1e-6;

struct AxialLength {
  double operator()(const SensorTube& f) const { return f.length_mm; }
  double operator()(const Coupler& f) const { return f.gap_mm; }
  double operator()(const Reducer& f) const { return f.length_mm; }
  double operator()(const FlowStraightener& f) const { return f.length_mm; }
  template <class Point>
  double operator()(const Point&) const {
    return 0;
  }
};

bool is_point(const FittingKind& kind) {
  return std::holds_alternative<BranchPort>(kind) || std::holds_alternative<Bracket>(kind) ||
         std::holds_alternative<RestrictionTap>(kind) || std::holds_alternative<Drain>(kind);
}

bool is_elbow(const FittingKind& kind) {
  const auto* coupler = std::get_if<Coupler>(&kind);
  return coupler && coupler->shape == CouplerShape::elbow;
}

std::string stations_text(double from_mm, double to_mm, const Trouble& trouble) {
  return "stations " + trouble.length(from_mm) + " to " + trouble.length(to_mm);
}

/// A fitting while it is being put in its place.
struct Placing {
  const Route& route;
  const Layout& layout;
  Trouble& trouble;

  std::size_t leg_of(const PointId& id) const {
    const auto found =
        std::find_if(route.points.begin(), route.points.end(), [&](const RoutePoint& point) { return point.id == id; });
    return static_cast<std::size_t>(found - route.points.begin());
  }

  /// The straight a leg belongs to, as an index into `straights`.
  static std::size_t straight_of(const Leg& leg, const std::vector<Straight>& straights) {
    std::size_t i = 0;
    while (straights[i].station_to_mm < leg.station_to_mm || straights[i].station_from_mm > leg.station_from_mm) ++i;
    return i;
  }

  /// Whether a station lies in the bend at one of the ends of a leg: the low point that a drain is for is there.
  bool lies_in_a_bend_of(std::size_t leg, double station_mm) const {
    const auto holds = [&](const Bend& bend) {
      return station_mm >= bend.station_from_mm && station_mm <= bend.station_to_mm;
    };
    return (leg > 0 && holds(layout.bends[leg - 1])) || (leg < layout.bends.size() && holds(layout.bends[leg]));
  }

  PlacedFitting place(const Fitting& fitting) const {
    const std::size_t index = leg_of(fitting.anchor.leg);
    const Leg& leg = layout.legs[index];
    const double whole = (route.points[index + 1].p_mm - route.points[index].p_mm).norm();
    const double set_back = index > 0 ? layout.bends[index - 1].set_back_mm : 0;
    const double along = fitting.anchor.from_end ? whole - fitting.anchor.offset_mm : fitting.anchor.offset_mm;
    PlacedFitting placed{fitting.id, fitting.kind, static_cast<int>(index)};
    placed.station_from_mm = leg.station_from_mm + along - set_back;
    placed.station_to_mm = placed.station_from_mm + std::visit(AxialLength(), fitting.kind);

    const std::vector<Straight> straights = layout.straights();
    const std::size_t own = straight_of(leg, straights);
    const std::size_t last = is_elbow(fitting.kind) ? own + 1 : own;
    const std::string where = "fitting " + fitting.id.value;
    if (last >= straights.size()) {
      trouble.add(where, "an elbow needs a bend behind the leg it is anchored to, and this is the last leg");
      return placed;
    }
    if (is_elbow(fitting.kind) && placed.station_to_mm < straights[last].station_from_mm - kRounding_mm) {
      trouble.add(where, "the elbow's gap (" + stations_text(placed.station_from_mm, placed.station_to_mm, trouble) +
                             ") must cover the whole bend (" +
                             stations_text(straights[own].station_to_mm, straights[last].station_from_mm, trouble) +
                             ")");
      return placed;
    }
    if (std::holds_alternative<Drain>(fitting.kind) && lies_in_a_bend_of(index, placed.station_from_mm)) return placed;
    if (is_elbow(fitting.kind))
      check_within(fitting, placed.station_from_mm, placed.station_from_mm, straights[own], along);
    check_within(fitting, is_elbow(fitting.kind) ? placed.station_to_mm : placed.station_from_mm, placed.station_to_mm,
                 straights[last], along);
    placed.station_from_mm = std::clamp(placed.station_from_mm, 0.0, layout.length_mm);
    placed.station_to_mm = std::clamp(placed.station_to_mm, 0.0, layout.length_mm);
    return placed;
  }

  void check_within(const Fitting& fitting, double from, double to, const Straight& straight, double along) const {
    const double before = straight.station_from_mm - from, behind = to - straight.station_to_mm;
    if (before <= kRounding_mm && behind <= kRounding_mm) return;
    std::string message = "does not lie on the straight of its leg: it reaches from " + trouble.length(along) + " to " +
                          trouble.length(along + to - from) + " behind point " + fitting.anchor.leg.value + " and ";
    const bool ends_before = before > kRounding_mm;
    message += ends_before ? "starts " + trouble.length(before) + " before the straight does"
                           : "ends " + trouble.length(behind) + " behind the straight's end";
    const bool off_duct = ends_before ? straight.station_from_mm <= 0 : straight.station_to_mm >= layout.length_mm;
    message += off_duct ? " (the duct ends there)" : " (a bend is there)";
    trouble.add("fitting " + fitting.id.value, message + "; move it or make the leg longer");
  }
};

void check_overlaps(const Layout& layout, Trouble& trouble) {
  const auto& all = layout.fittings;
  for (std::size_t i = 0; i < all.size(); ++i) {
    for (std::size_t j = i + 1; j < all.size(); ++j) {
      const PlacedFitting &a = all[i], &b = all[j];
      if (is_point(a.kind) || is_point(b.kind)) continue;
      const double overlap =
          std::min(a.station_to_mm, b.station_to_mm) - std::max(a.station_from_mm, b.station_from_mm);
      if (overlap <= kRounding_mm) continue;
      trouble.add("fitting " + b.id.value, "overlaps " + fitting_name(a.id, a.kind) + " by " + trouble.length(overlap) +
                                               " (" + stations_text(a.station_from_mm, a.station_to_mm, trouble) +
                                               " and " + stations_text(b.station_from_mm, b.station_to_mm, trouble) +
                                               ")");
    }
  }
}

/// Station of what must not lie under a hose; nullopt when the fitting has none.
std::optional<double> exposed_station(const PlacedFitting& fitting) {
  if (is_point(fitting.kind)) return fitting.station_from_mm;
  if (const auto* sensor = std::get_if<SensorTube>(&fitting.kind)) {
    return fitting.station_from_mm + sensor->sensor_offset_mm;
  }
  return std::nullopt;
}

void check_hoses(const Layout& layout, Trouble& trouble) {
  const PlacedFitting* previous = nullptr;
  for (const PlacedFitting& fitting : layout.fittings) {
    const auto* coupler = std::get_if<Coupler>(&fitting.kind);
    if (!coupler) continue;
    const auto [from, to] = hose_stations(fitting, *coupler);
    for (const PlacedFitting& other : layout.fittings) {
      const auto exposed = exposed_station(other);
      if (!exposed || *exposed <= from + kRounding_mm || *exposed >= to - kRounding_mm) continue;
      const bool sensor = std::holds_alternative<SensorTube>(other.kind);
      trouble.add("fitting " + other.id.value, std::string(sensor ? "its sensor lies" : "lies") +
                                                   " under the hose of " + fitting_name(fitting.id, fitting.kind) +
                                                   " (" + stations_text(from, to, trouble) + ")");
    }
    if (previous) {
      const double end = hose_stations(*previous, std::get<Coupler>(previous->kind)).second;
      if (end > from + kRounding_mm) {
        trouble.add("fitting " + fitting.id.value,
                    "its hose overlaps the hose of " + fitting_name(previous->id, previous->kind) + " by " +
                        trouble.length(end - from) + "; shorten the hoses or the tube between them grows too short");
      }
    }
    previous = &fitting;
  }
}

void check_branches(const Layout& layout, Trouble& trouble) {
  for (const PlacedFitting& fitting : layout.fittings) {
    const auto* branch = std::get_if<BranchPort>(&fitting.kind);
    if (!branch) continue;
    const double outer = layout.tube_at(fitting.station_from_mm).outer_diameter_mm;
    if (branch->outer_diameter_mm > outer) {
      trouble.add("fitting " + fitting.id.value, "its outer diameter " + trouble.length(branch->outer_diameter_mm) +
                                                     " is larger than the tube's " + trouble.length(outer));
    }
  }
}

}  // namespace

std::pair<double, double> hose_stations(const PlacedFitting& fitting, const Coupler& coupler) {
  const double middle = 0.5 * (fitting.station_from_mm + fitting.station_to_mm);
  return {middle - 0.5 * coupler.length_mm, middle + 0.5 * coupler.length_mm};
}

void place_fittings(const DuctSpec& spec, Layout& layout, Trouble& trouble) {
  EXPECTS(!layout.legs.empty());
  layout.upstream_tube = spec.tube;
  const Placing placing{spec.route, layout, trouble};
  std::vector<PlacedFitting> placed;
  for (const Fitting& fitting : spec.fittings) placed.push_back(placing.place(fitting));
  std::stable_sort(placed.begin(), placed.end(), [](const PlacedFitting& a, const PlacedFitting& b) {
    return std::pair(a.station_from_mm, a.station_to_mm) < std::pair(b.station_from_mm, b.station_to_mm);
  });
  layout.fittings = std::move(placed);
  check_overlaps(layout, trouble);
  check_hoses(layout, trouble);
  check_branches(layout, trouble);
}

TubeSize Layout::tube_at(double station_mm) const {
  TubeSize size = upstream_tube;
  for (const PlacedFitting& fitting : fittings) {
    const double from = fitting.station_from_mm, to = fitting.station_to_mm;
    if (station_mm < from) break;
    if (const auto* sensor = std::get_if<SensorTube>(&fitting.kind); sensor && station_mm < to) return sensor->tube;
    if (const auto* coupler = std::get_if<Coupler>(&fitting.kind); coupler && coupler->to && station_mm >= to) {
      size = *coupler->to;
    }
    if (const auto* reducer = std::get_if<Reducer>(&fitting.kind)) {
      const double f = std::clamp((station_mm - from) / (to - from), 0.0, 1.0);
      size.outer_diameter_mm += f * (reducer->to.outer_diameter_mm - size.outer_diameter_mm);
      size.wall_mm += f * (reducer->to.wall_mm - size.wall_mm);
      if (station_mm >= to) size = reducer->to;
    }
  }
  return size;
}

}  // namespace baywright::duct
