#include "checks/check_groups.hpp"
#include "checks/subjects.hpp"
#include "geometry/base/words.hpp"
#include "measure/flow_quality.hpp"

namespace baywright::checks {
namespace {

using measure::NotAssessed;

CheckDef of_intake(const std::string& id, const std::string& title) {
  CheckDef c;
  c.id = id;
  c.title = title;
  c.services = {duct::Service::intake};
  return c;
}

/// The sensor's subject; left out where the job says that there is no sensor, or where nothing is to be looked at.
std::vector<Subject> of_sensor(const Context& context, measure::Outcome outcome) {
  Subject s = of_the_sensor(context, std::move(outcome));
  const auto* refused = std::get_if<NotAssessed>(&s.outcome);
  if (refused && refused->missing.empty() && s.left_out.empty()) s.left_out = refused->reason;
  return {s};
}

CheckDef sensor_bore() {
  CheckDef c = of_intake("sn.bore", "Bore at the sensor as calibrated");
  c.question = "Has the tube at the sensor the bore it was calibrated in?";
  c.definition =
      "Greatest departure from the bore of the sensor tube as calibrated, in percent of it: of the least and the "
      "greatest inner diameter measured on the tube as fitted (measured_bore_mm: bore and ovality), and of the bores "
      "drawn over the straight run through the sensor (sn.up, sn.down). The flow that the sensor shows is wrong by "
      "twice as many percent.";
  c.unit = Unit::percent;
  c.comparison = Comparison::at_most;
  c.severity = Severity::blocker;
  c.inputs = {"ducts/fittings: sensor tube", "sensor tube/measured_bore_mm"};
  c.hint = "use the sensor's own tube, round and with its bore, and tube of the same bore on both sides";
  c.measure = [](const Context& context) { return of_sensor(context, measure::sensor_bore_departure(context.duct)); };
  return c;
}

CheckDef swirl() {
  CheckDef c = of_intake("in.swirl", "No pair of bends in two planes ahead of the sensor");
  c.question = "Do the last two bends ahead of the sensor lie in about one plane?";
  c.definition =
      "Angle between the planes of the last two bends ahead of the sensor, folded to 0 to 90 degrees. Bends count as "
      "for in.bends. Looked at where both end within 5 bores of the sensor tube ahead of the sensor, along the "
      "centerline, less than 4 bores of straight run (sn.up) end at the sensor, and no flow straightener stands "
      "between the last bend and the sensor; otherwise there is nothing to check.";
  c.unit = Unit::degree;
  c.comparison = Comparison::at_most;
  c.severity = Severity::major;
  c.inputs = {"ducts/route", "ducts/fittings: sensor tube"};
  c.hint = "bring the two bends into one plane, lengthen the straight ahead of the sensor, or add a flow straightener";
  c.measure = [](const Context& context) { return of_sensor(context, measure::planes_ahead_of_sensor(context.duct)); };
  return c;
}

CheckDef straight_to_compressor() {
  CheckDef c = of_intake("in.compr_straight", "Straight before the compressor");
  c.question = "Does the air come to the compressor wheel straight?";
  c.definition =
      "Length of straight axis that ends at the compressor face, divided by the bore there: from the last bend, cone "
      "or branch port with a bore above a tenth of the tube's. Soft joints on it do not end it; they are named.";
  c.unit = Unit::ratio;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.inputs = {"ducts/route", "ducts/tube"};
  c.hint = "add straight between the last bend or cone and the compressor";
  c.measure = [](const Context& context) {
    Subject s;
    s.subject = "compressor face";
    s.outcome = measure::straight_before_end(context.duct);
    return std::vector{s};
  };
  return c;
}

std::vector<Subject> measure_taps(const Context& context) {
  std::vector<Subject> subjects;
  for (const measure::TapStraight& tap : measure::straights_at_taps(context.duct)) {
    Subject s;
    s.subject = named("tap", tap.tap.value);
    s.outcome = tap.bores;
    subjects.push_back(std::move(s));
  }
  if (!subjects.empty()) return subjects;
  Subject none;
  none.subject = "restriction tap";
  none.outcome = NotAssessed{"the duct has no restriction tap",
                             {"ducts/" + context.duct.spec.id.value + "/fittings: restriction tap"}};
  return {none};
}

CheckDef tap() {
  CheckDef c = of_intake("in.tap", "Restriction tap in an even flow");
  c.question = "Does each restriction tap sit on a straight, far enough from what disturbs the flow?";
  c.definition =
      "Straight run ahead of the tap or behind it, whichever is shorter, divided by the bore at the tap. It ends as "
      "for sn.up; a tap on a cone has none.";
  c.unit = Unit::ratio;
  c.comparison = Comparison::at_least;
  c.severity = Severity::minor;
  c.inputs = {"ducts/route", "ducts/tube", "ducts/fittings: restriction tap"};
  c.hint = "move the tap to the middle of a straight; the report names its station";
  c.measure = measure_taps;
  return c;
}

}  // namespace

std::vector<CheckDef> flow_quality_checks() { return {sensor_bore(), swirl(), straight_to_compressor(), tap()}; }

}  // namespace baywright::checks
