#include "checks/check_groups.hpp"
#include "measure/path_measures.hpp"

namespace baywright::checks {
namespace {

std::vector<Subject> one(std::string name, measure::Outcome outcome) {
  Subject s;
  s.subject = std::move(name);
  s.outcome = std::move(outcome);
  return {std::move(s)};
}

/// From here on the sensing element hangs at the floor of the tube (common practice, no source).
constexpr double kFloor_deg = 135;

std::vector<Subject> measure_bottom(const Context& context) {
  std::vector<Subject> subjects = one("sensor", measure::sensor_clock(context.duct, context.bay));
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
      "point "
      "of a bend, end of a cone, branch port with a bore above a tenth of the tube's that carries flow, a joint with a "
      "step above 1 mm, a gap above 10 mm or a hump, the filter outlet. A flush joint within these limits does not end "
      "it "
      "and is named.";
  c.hint = "lengthen this straight, or move the bend ahead of the sensor upstream";
  c.measure = [](const Context& context) { return one("sensor", measure::straight_before_sensor(context.duct)); };
  return c;
}

CheckDef down() {
  CheckDef c = about_sensor("sn.down", "Straight behind the sensor");
  c.question = "Is the straight behind the sensor long enough?";
  c.definition =
      "Straight run that starts at the plane of the sensing element; going downstream it ends as for sn.up, or at the "
      "compressor face.";
  c.hint = "lengthen this straight, or move the bend behind the sensor downstream";
  c.measure = [](const Context& context) { return one("sensor", measure::straight_after_sensor(context.duct)); };
  return c;
}

CheckDef clock() {
  CheckDef c = about_sensor("sn.clock", "Clocking of the sensor");
  c.question = "Is the sensor near upright in every attitude?";
  c.definition =
      "Angle between the outward axis of the sensor and up, both projected on the plane square to the flow, 0 to 180 "
      "degrees, at the attitude where it is largest. Not defined where the tube is within 15 degrees of vertical.";
  c.unit = Unit::degree;
  c.comparison = Comparison::at_most;
  c.severity = Severity::major;
  c.inputs.push_back("attitudes");
  c.hint = "turn the sensor tube about its axis towards 12 o'clock";
  c.measure = [](const Context& context) { return one("sensor", measure::sensor_clock(context.duct, context.bay)); };
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
  c.inputs.push_back("ducts/fittings: branch port");
  c.hint = "move the breather port downstream (br.before limits how far)";
  c.measure = [](const Context& context) { return one("breather port", measure::sensor_to_breather(context.duct)); };
  return c;
}

CheckDef before() {
  CheckDef c = about_sensor("br.before", "Breather ahead of the compressor");
  c.question = "Does the breather enter far enough ahead of the compressor?";
  c.definition = "Station of the compressor face less the station of the breather port, along the centerline.";
  c.inputs = {"ducts/route", "ducts/fittings: branch port"};
  c.hint = "move the breather port upstream (br.after limits how far)";
  c.measure = [](const Context& context) {
    return one("breather port", measure::breather_to_compressor(context.duct));
  };
  return c;
}

}  // namespace

std::vector<CheckDef> sensor_checks() { return {up(), down(), clock(), bottom(), after(), before()}; }

}  // namespace baywright::checks
