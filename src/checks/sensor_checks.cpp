#include <algorithm>
#include <cmath>

#include "checks/check_groups.hpp"
#include "checks/uncertainty_hint.hpp"
#include "geometry/base/unit.hpp"
#include "measure/path_measures.hpp"

namespace baywright::checks {
namespace {

std::vector<Subject> one(std::string name, measure::Outcome outcome) {
  Subject s;
  s.subject = std::move(name);
  s.outcome = std::move(outcome);
  return {std::move(s)};
}

enum class Fitted { sensor, breather, both };  ///< what a check needs on the duct

/// The measured subject, or why the check does not concern a duct that says it has no such thing.
std::vector<Subject> unless_none(const Context& context, Fitted needs, const std::string& name,
                                 const measure::Outcome& outcome, const std::string& hint = "") {
  std::vector<Subject> subjects = one(name, outcome);
  const duct::DuctSpec& spec = context.duct.spec;
  if (needs != Fitted::breather && spec.no_sensor) subjects[0].left_out = "the job says that the duct has no sensor";
  if (needs != Fitted::sensor && spec.no_breather) subjects[0].left_out = "the job says that the duct has no breather";
  subjects[0].hint = hint;
  return subjects;
}

/// The clock is judged in every attitude, so without any it is not judged.
measure::Outcome clock_in_attitudes(const Context& context) {
  measure::Outcome clock = measure::sensor_clock(context.duct, context.bay);
  if (context.bay.attitudes_stated || std::holds_alternative<measure::NotAssessed>(clock)) return clock;
  return measure::NotAssessed{"nobody said how the vehicle may stand; one attitude, be it level, has to be stated",
                              {"attitudes"}};
}

/// Limit of the sheet and what the guarded value has to spare of it; negative: what it lacks.
std::optional<double> spare(const Context& context, const std::string& check, const measure::Outcome& outcome) {
  const auto* m = std::get_if<measure::Measured>(&outcome);
  const auto limit = context.sheet.limits.find(check);
  if (!m || limit == context.sheet.limits.end()) return std::nullopt;
  return limit->second.comparison == Comparison::at_least ? m->lowest() - limit->second.value
                                                          : limit->second.value - m->highest();
}

/// "1.5 in": how much of another check's limit may be given up; "" when nothing is to spare or nothing is known.
std::string to_spare(const Context& context, const std::string& check, const measure::Outcome& outcome) {
  const auto left = spare(context, check, outcome);
  if (!left || *left <= 0) return "";
  return length_text(*left, context.bay.units) + " to spare there (" + check + ")";
}

/// What to do first where the uncertainty would swallow any move; "" where it would not. EXPECTS a measured value with
/// a limit in the sheet.
std::string swallowed(const Context& context, const std::string& check, const measure::Outcome& outcome) {
  return uncertainty_hint(std::get<measure::Measured>(outcome), context.sheet.limits.at(check), context.bay.units);
}

/// How to make the straight on one side of the sensor longer.
std::string straight_hint(const Context& context, bool before) {
  const measure::Outcome here =
      before ? measure::straight_before_sensor(context.duct) : measure::straight_after_sensor(context.duct);
  const measure::Outcome there =
      before ? measure::straight_after_sensor(context.duct) : measure::straight_before_sensor(context.duct);
  const std::string check = before ? "sn.up" : "sn.down";
  const auto lacks = spare(context, check, here);
  if (!lacks || *lacks >= 0) return "";
  if (std::string first = swallowed(context, check, here); !first.empty()) return first;
  const auto& measured = std::get<measure::Measured>(here);
  const measure::StraightRun run = measure::straight_run(context.duct, *measured.station_mm);
  const std::string room = to_spare(context, before ? "sn.down" : "sn.up", there);
  const bool surely_short = measured.highest() < context.sheet.limits.at(check).value;
  std::string hint = length_text(-*lacks, context.bay.units);
  hint += surely_short ? " too short" : " more are needed to be sure";
  hint += ": move the sensor tube ";
  hint += before ? "downstream" : "upstream";
  hint += room.empty() ? " (nothing to spare there)" : " (" + room + ")";
  hint += ", or " + (before ? run.ends_at_upstream : run.ends_at_downstream);
  return hint += before ? " upstream" : " downstream";
}

/// Which way to move the breather port, and how far it may go.
std::string breather_hint(const Context& context, bool after_sensor) {
  const measure::Outcome behind = measure::sensor_to_breather(context.duct);
  const measure::Outcome ahead = measure::breather_to_compressor(context.duct);
  const std::string check = after_sensor ? "br.after" : "br.before";
  const auto lacks = spare(context, check, after_sensor ? behind : ahead);
  if (!lacks || *lacks >= 0) return "";
  if (std::string first = swallowed(context, check, after_sensor ? behind : ahead); !first.empty()) return first;
  const std::string room = after_sensor ? to_spare(context, "br.before", ahead) : to_spare(context, "br.after", behind);
  std::string hint = "move the breather port " + length_text(-*lacks, context.bay.units);
  hint += after_sensor ? " downstream" : " upstream";
  return hint += room.empty() ? "; nothing is known to be spare there" : "; " + room;
}

/// How far to turn the sensor, and which way.
std::string clock_hint(const Context& context, const std::string& check, const measure::Outcome& outcome) {
  const auto lacks = spare(context, check, outcome);
  if (!lacks || *lacks >= 0) return "";
  if (std::string first = swallowed(context, check, outcome); !first.empty()) return first;
  const auto& measured = std::get<measure::Measured>(outcome);
  const auto& fittings = context.duct.layout.fittings;
  const auto sensor = std::find_if(fittings.begin(), fittings.end(), [](const duct::PlacedFitting& f) {
    return std::holds_alternative<duct::SensorTube>(f.kind);
  });
  const Vec3 tangent = context.duct.layout.at(*measured.station_mm).tangent;
  const Vec3 outward = duct::outward_direction(tangent, std::get<duct::SensorTube>(sensor->kind).clock);
  // The attitude in which it lies farthest from up tells the side.
  double farthest = 0;
  std::vector<bay::Attitude> attitudes = context.bay.attitudes;
  if (attitudes.empty()) attitudes.push_back({"level", Angle(), Angle()});
  for (const bay::Attitude& attitude : attitudes) {
    const auto clock = duct::clock_of(tangent, attitude.up(), outward);
    if (clock && std::abs(clock->si()) > std::abs(farthest)) farthest = clock->si();
  }
  return "turn the sensor tube by " + format(-*lacks, Unit::degree, context.bay.units) +
         (farthest > 0 ? " counter-clockwise" : " clockwise") + ", seen along the flow, towards 12 o'clock";
}

/// From here on the sensing element hangs at the floor of the tube (common practice, no source).
constexpr double kFloor_deg = 135;

std::vector<Subject> measure_bottom(const Context& context) {
  const measure::Outcome clock = clock_in_attitudes(context);
  std::vector<Subject> subjects =
      unless_none(context, Fitted::sensor, "sensor", clock, clock_hint(context, "sn.bottom", clock));
  const auto* measured = std::get_if<measure::Measured>(&subjects[0].outcome);
  if (measured && measured->hi < kFloor_deg) subjects[0].severity = Severity::major;
  return subjects;
}

CheckDef about_sensor(const std::string& id, const std::string& title) {
  CheckDef c;
  c.id = id;
  c.title = title;
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::blocker;
  c.services = {duct::Service::intake};
  c.inputs = {"ducts/route", "ducts/tube", "ducts/fittings: sensor tube"};
  return c;
}

CheckDef up() {
  CheckDef c = about_sensor("sn.up", "Straight ahead of the sensor");
  c.question = "Is the straight ahead of the sensor long enough?";
  c.definition =
      "Straight run that ends at the plane of the sensing element. Going upstream it ends at the first of: tangent "
      "point of a bend, end of a cone, branch port with a bore above a tenth of the tube's that carries flow, a joint "
      "with a step above {1 mm}, a gap above {10 mm} or a hump, the filter outlet. A flush joint within these limits "
      "does not end it and is named. Where the sensor tube states boss_radius_mm, the straight to the edge of the boss "
      "stands beside the value and is not judged.";
  c.hint = "lengthen this straight, or move the bend ahead of the sensor upstream";
  c.measure = [](const Context& context) {
    return unless_none(context, Fitted::sensor, "sensor", measure::straight_before_sensor(context.duct),
                       straight_hint(context, true));
  };
  return c;
}

CheckDef down() {
  CheckDef c = about_sensor("sn.down", "Straight behind the sensor");
  c.question = "Is the straight behind the sensor long enough?";
  c.definition =
      "Straight run that starts at the plane of the sensing element; going downstream it ends as for sn.up, or at the "
      "compressor face. The straight from the edge of the boss stands beside it and is not judged.";
  c.hint = "lengthen this straight, or move the bend behind the sensor downstream";
  c.measure = [](const Context& context) {
    return unless_none(context, Fitted::sensor, "sensor", measure::straight_after_sensor(context.duct),
                       straight_hint(context, false));
  };
  return c;
}

CheckDef clock() {
  CheckDef c = about_sensor("sn.clock", "Clocking of the sensor");
  c.question = "Is the sensor near upright in every attitude?";
  c.definition =
      "Angle between the outward axis of the sensor and up, both projected on the plane square to the flow, 0 to 180 "
      "degrees, at the attitude where it is largest. An attitude in which the tube is within 15 degrees of vertical "
      "has no such angle and is left to sn.vertical. Not checked where all are so, or where the job states none.";
  c.unit = Unit::degree;
  c.comparison = Comparison::at_most;
  c.severity = Severity::major;
  c.inputs.emplace_back("attitudes");
  c.hint = "turn the sensor tube about its axis towards 12 o'clock";
  c.measure = [](const Context& context) {
    const measure::Outcome clock = clock_in_attitudes(context);
    return unless_none(context, Fitted::sensor, "sensor", clock, clock_hint(context, "sn.clock", clock));
  };
  return c;
}

CheckDef bottom() {
  CheckDef c = clock();
  c.id = "sn.bottom";
  c.title = "Sensor not in the lower half";
  c.question = "Does the sensor stay out of the lower half, where water and oil run?";
  c.definition =
      "The same angle as sn.clock. From 135 degrees on the sensing element hangs at the floor of the tube and the "
      "finding is a blocker. A sensor that lies exactly on its side is not met.";
  c.comparison = Comparison::below;
  c.severity = Severity::blocker;
  c.hint = "turn the sensor tube about its axis into the upper half";
  c.measure = measure_bottom;
  return c;
}

CheckDef after() {
  CheckDef c = about_sensor("br.after", "Breather behind the sensor");
  c.question = "Does the breather enter far enough behind the sensor?";
  c.definition =
      "Station of the breather port less the station of the sensor, along the centerline; each is taken where the axis "
      "of the port meets the centerline.";
  c.inputs.emplace_back("ducts/fittings: branch port");
  c.hint = "move the breather port downstream (br.before limits how far)";
  c.measure = [](const Context& context) {
    return unless_none(context, Fitted::both, "breather port", measure::sensor_to_breather(context.duct),
                       breather_hint(context, true));
  };
  return c;
}

CheckDef before() {
  CheckDef c = about_sensor("br.before", "Breather ahead of the compressor");
  c.question = "Does the breather enter far enough ahead of the compressor?";
  c.definition = "Station of the compressor face less the station of the breather port, along the centerline.";
  c.inputs = {"ducts/route", "ducts/fittings: branch port"};
  c.hint = "move the breather port upstream (br.after limits how far)";
  c.measure = [](const Context& context) {
    return unless_none(context, Fitted::breather, "breather port", measure::breather_to_compressor(context.duct),
                       breather_hint(context, false));
  };
  return c;
}

}  // namespace

std::vector<CheckDef> sensor_checks() { return {up(), down(), clock(), bottom(), after(), before()}; }

}  // namespace baywright::checks
