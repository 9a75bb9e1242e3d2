#include "measure/sensor_places.hpp"

#include <algorithm>

#include "geometry/base/words.hpp"
#include "report/page.hpp"

namespace baywright::report {
namespace {

const checks::Limit* limit_of(const Page& page, const char* check) {
  const auto found = page.installation.sheet.limits.find(check);
  return found == page.installation.sheet.limits.end() ? nullptr : &found->second;
}

std::string straight_text(const Figures& f, double length_mm, double bore_mm) {
  return f.number(length_mm, Unit::mm) + ", " + fixed(length_mm / bore_mm, 1) + " bores";
}

Markup place_row(const Page& page, const measure::SensorPlace& p, int rank) {
  const Figures& f = page.figures;
  const auto percent = [](const std::optional<double>& value) { return value ? text(fixed(*value, 1) + " %") : "–"_h; };
  const checks::Limit* planes = limit_of(page, "in.swirl");
  const bool swirls = p.swirl_deg && planes && *p.swirl_deg > planes->value;
  const Markup pair = text(p.swirl_deg ? f.value(*p.swirl_deg, Unit::degree) : "none near");
  const std::string stands = p.in_the_way.empty() ? std::string() : "in the way of its tube: " + joined(p.in_the_way);
  const std::string note =
      p.here ? "the sensor's run now" + (stands.empty() ? "" : "; at the best station of it " + stands) : stands;
  return tag("tr", cell(text(rank)) + number_cell(text(f.number(p.station_mm, Unit::mm))) +
                       cell(text(p.after + " to " + p.before)) +
                       number_cell(text(straight_text(f, p.ahead_mm, p.bore_mm))) +
                       number_cell(text(straight_text(f, p.behind_mm, p.bore_mm))) +
                       number_cell(p.share < 1 ? tag("strong", text(fixed(100 * p.share, 0) + " %"))
                                               : text(fixed(100 * p.share, 0) + " %")) +
                       number_cell(swirls ? tag("strong", pair) : pair) + number_cell(percent(p.flow_error_percent())) +
                       cell(text(note)));
}

Markup rules(const Page& page) {
  Markup items;
  const std::pair<const char*, const char*> named[] = {{"sn.up", "straight ahead"},
                                                       {"sn.down", "straight behind"},
                                                       {"in.swirl", "planes of the last two bends"},
                                                       {"sn.bore", "bore"}};
  for (const auto& [check, what] : named) {
    const checks::Limit* limit = limit_of(page, check);
    if (!limit) continue;
    items += tag("li", text(std::string(what) + " ") + tag("span", "id", text(check)) +
                           text(" " + page.figures.limit(*limit) + ", ") + origin_text(limit->origin));
  }
  return tag("ul", items);
}

}  // namespace

Markup sensor_block(const Page& page, const duct::Duct& duct) {
  if (duct.spec.service != duct::Service::intake || duct.spec.no_sensor) return {};
  const Markup heading = tag("h3", "Places for the sensor, best first"_h);
  const checks::Limit* ahead = limit_of(page, "sn.up");
  const checks::Limit* behind = limit_of(page, "sn.down");
  if (!ahead || !behind || !(ahead->value > 0 && behind->value > 0)) {
    return heading + tag("p", "Not ranked: the sheet has no limits for the straights it needs (sn.up, sn.down)."_h);
  }
  const auto places = measure::sensor_places(duct, {ahead->value, behind->value});
  if (places.empty()) return heading + tag("p", "The duct has no straight run."_h);
  Markup rows;
  int rank = 0;
  for (const measure::SensorPlace& p : places) rows += place_row(page, p, ++rank);
  const std::string u = ", " + page.figures.symbol(Unit::mm);
  return heading +
         tag("p", "small",
             "On each straight run of the duct as drawn, the station where both straights come equally near to what "
             "the sheet asks for. First comes what has both, then what has no two bends in different planes close "
             "ahead, then what has the sensor's bore. An error in the bore is twice that in the flow, because the "
             "sensor reads speed. Clearance, clocking and reach are not looked at."_h) +
         table("",
               {"Rank", ">Station" + u, "Straight run", ">Ahead" + u, ">Behind" + u, ">Of need", ">Planes",
                ">Flow error", ""},
               rows) +
         tag("p", "small", "Where the rules come from:"_h) + rules(page);
}

}  // namespace baywright::report
