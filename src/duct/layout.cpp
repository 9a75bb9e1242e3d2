#include "duct/layout.hpp"

#include <algorithm>

#include "duct/ends.hpp"
#include "duct/fitting_layout.hpp"
#include "duct/pieces.hpp"
#include "duct/route_layout.hpp"
#include "duct/self_crossing.hpp"

namespace baywright::duct {
namespace {

/// Ports at the ends and brackets between, in order of station.
std::vector<Hold> holds_of(const Layout& layout, const DuctEnd& from, const DuctEnd& to, const bay::Bay& bay) {
  std::vector<Hold> holds = {from.hold};
  for (const PlacedFitting& fitting : layout.fittings) {
    const auto* bracket = std::get_if<Bracket>(&fitting.kind);
    if (!bracket) continue;
    holds.push_back({fitting.station_from_mm,
                     Carriage::on(*bay.find_body(bracket->body)),
                     {bracket->body},
                     fitting_name(fitting.id, fitting.kind)});
  }
  holds.push_back(to.hold);
  holds.back().station_mm = layout.length_mm;
  return holds;
}

/// A radius below half the outer diameter: the tube's wall would pass through itself on the inside of the bend.
void check_radii(const Layout& layout, Trouble& trouble) {
  for (const Bend& bend : layout.bends) {
    if (!bend.bends()) continue;
    const double outer = layout.tube_at(0.5 * (bend.station_from_mm + bend.station_to_mm)).outer_diameter_mm;
    if (bend.radius_mm >= 0.5 * outer) continue;
    trouble.add("point " + bend.at.value, "its bend radius of " + trouble.length(bend.radius_mm) +
                                              " is less than half the tube's outer diameter of " +
                                              trouble.length(outer) +
                                              "; no tube can be bent or cast like that: give at least " +
                                              trouble.length(0.5 * outer) + ", better one and a half diameters");
  }
}

void check_self_crossing(const Layout& layout, Trouble& trouble) {
  const auto crossing = self_crossing(layout);
  if (!crossing) return;
  trouble.add("route", "the duct passes through itself: its centerline comes within " +
                           trouble.length(crossing->distance_mm) + " at stations " +
                           trouble.length(crossing->station_from_mm) + " and " +
                           trouble.length(crossing->station_to_mm) + ", where the tubes need " +
                           trouble.length(crossing->needed_mm) + "; move the points apart");
}

}  // namespace

ResultAll<Layout> lay_out(const DuctSpec& spec, const bay::Bay& bay, std::span<const Duct> others) {
  Trouble trouble;
  trouble.owner = "duct " + spec.id.value + ": ";
  trouble.units = bay.units;
  check_values(spec, bay, trouble);
  const auto from = find_end(spec.from, "from", bay, others, trouble);
  const auto to = find_end(spec.to, "to", bay, others, trouble);
  const bool values_sound = trouble.none();
  Layout layout = lay_out_legs(spec.route, trouble);
  layout.units = bay.units;
  if (!layout.legs.empty()) {
    const auto& points = spec.route.points;
    if (from) check_end(*from, points.front(), layout.legs.front().direction, trouble);
    if (to) check_end(*to, points.back(), -layout.legs.back().direction, trouble);
    if (values_sound) place_fittings(spec, layout, trouble);
    if (values_sound && trouble.none()) {
      check_radii(layout, trouble);
      check_self_crossing(layout, trouble);
    }
  }
  if (trouble.none()) {
    layout.holds = holds_of(layout, *from, *to, bay);
    layout.bore_ahead_mm = from->bore_mm;
    layout.bore_behind_mm = to->bore_mm;
    make_pieces(layout, {from->outer_diameter_mm, to->outer_diameter_mm}, trouble);
  }
  if (!trouble.none()) return tl::unexpected(std::move(trouble.errors));
  return layout;
}

}  // namespace baywright::duct
