#include <algorithm>
#include <limits>

#include "checks/check_groups.hpp"
#include "geometry/base/words.hpp"
#include "geometry/clearance/pair_clearance.hpp"
#include "measure/clearance_measure.hpp"
#include "measure/tolerances.hpp"

namespace baywright::checks {
namespace {

using measure::Measured;
using measure::NotAssessed;

/// Room around what is moved is followed so far.
constexpr double kRange_mm = 100;
constexpr double kWidth_mm = 0.1;
/// A connector's way off its sensor.
constexpr double kPull_mm = 40;

std::string name_of(const bay::Part& part) { return part.name.empty() ? part.id.value : part.name; }

Subject not_assessed(std::string subject, std::string reason, std::vector<std::string> missing) {
  Subject s;
  s.subject = std::move(subject);
  s.outcome = NotAssessed{std::move(reason), std::move(missing)};
  return s;
}

/// What is moved by hand: its shape where it stands, and how far it goes along a direction, on the vehicle at rest.
struct Handled {
  Shape shape;
  Vec3 way = Vec3::UnitX();
  double travel_mm = 0;
};

/// Whether a part is out of the way when somebody works there: the bonnet is open, and what may be taken off is.
bool out_of_the_way(const bay::Part& part) { return part.part_class == bay::PartClass::bonnet || part.removed_first; }

/// Nearest of everything that stays, over the whole way.
class Room {
 public:
  Room(const bay::Bay& bay, const Handled& handled) : bay_(bay), handled_({handled.shape, 0, 0, 0}) {
    kinematics_.bodies.resize(bay.bodies.size() + 1);
    MotionMember member;
    member.name = "drawn out";
    member.joints = {{Joint::Kind::translation, handled.way, Vec3::Zero()}};
    member.to = {handled.travel_mm};
    if (handled.travel_mm > 0) kinematics_.bodies.back() = MotionSet({member});
    carriage_ = Carriage::on(static_cast<BodyIndex>(bay.bodies.size()));
  }

  void against(const bay::Part& part) {
    if (out_of_the_way(part)) {
      taken_off_.push_back(name_of(part));
      return;
    }
    if (part.doubted() || part.tree.empty()) {
      unknown_.push_back(name_of(part));
      return;
    }
    const Bracket b = clearance(kinematics_, {&handled_, 1}, carriage_, part.tree, part.body, {kWidth_mm, kRange_mm});
    if (b.beyond_range) return;
    Band band;
    band.add(measure::surface_uncertainty(part, bay_.units));
    if (part.chord_error_mm() > 0) {
      band.add({"chord error of the triangles", Contribution::Kind::bound, part.chord_error_mm(), 0, ""});
    }
    offer(b.lo_mm, b.hi_mm, b.on_shape, b.on_surface, std::move(band), name_of(part), part.id);
  }

  void against(const duct::Duct& duct) {
    const Carriage standing = Carriage::on(0);
    for (const duct::Piece& piece : duct.layout.pieces) {
      const PairBracket b = pair_clearance(kinematics_, {{&handled_, 1}, carriage_}, {piece.shapes, standing},
                                           all_shape_pairs(1, piece.shapes.size()), {kWidth_mm, kRange_mm});
      if (b.beyond_range) continue;
      Band band;
      band.add(measure::bend_tolerance(duct.spec, "", bay_.units));
      offer(b.lo_mm, b.hi_mm, b.on_first, b.on_second, std::move(band),
            "duct " + duct.spec.id.value + ": " + piece.name, std::nullopt);
    }
  }

  Subject subject(const std::string& what) const {
    Subject s;
    if (bay_.parts.empty()) return not_assessed(what, "the bay has no parts", {"parts"});
    if (!unknown_.empty())
      return not_assessed(what, "the shape of " + joined(unknown_) + " is not known", {"parts/file"});
    s.subject = name_.empty() ? what : what + " - " + name_;
    s.part = part_;
    Measured m = best_;
    m.unit = Unit::mm;
    if (name_.empty()) {
      m.lo = kRange_mm;
      m.hi = std::numeric_limits<double>::infinity();
    }
    if (!taken_off_.empty()) m.note = "with " + joined(taken_off_) + " open or taken off";
    s.outcome = std::move(m);
    return s;
  }

 private:
  void offer(double lo, double hi, const Vec3& on_handled, const Vec3& on_other, Band band, std::string name,
             std::optional<bay::PartId> part) {
    if (!name_.empty() && !(lo - band.low() < best_.lowest())) return;
    best_.lo = lo;
    best_.hi = hi;
    best_.band = std::move(band);
    best_.witness = measure::Witness{on_handled, on_other};
    best_.at_mm = on_handled;
    name_ = std::move(name);
    part_ = std::move(part);
  }

  const bay::Bay& bay_;
  const Primitive handled_;
  Kinematics kinematics_;
  Carriage carriage_;
  Measured best_;
  std::string name_;
  std::optional<bay::PartId> part_;
  std::vector<std::string> taken_off_, unknown_;
};

Subject element_subject(const Judged& job, const FilterElement& element) {
  const Handled handled{
      Collar{element.from_mm, element.from_mm + element.length_mm * element.axis, 0.5 * element.diameter_mm},
      element.draw, element.draw_mm};
  Room room(job.bay, handled);
  for (const bay::Part& part : job.bay.parts) {
    if (part.id != element.housing) room.against(part);
  }
  for (const duct::Duct& duct : job.ducts) room.against(duct);
  return room.subject("element of " + element.component.value);
}

std::vector<Subject> measure_elements(const Judged& job, std::span<const Finding>) {
  std::vector<Subject> subjects;
  for (const flow::Component& component : job.flow.components) {
    const auto& elements = job.surroundings.elements;
    const auto of = [&](const FilterElement& e) { return e.component == component.id; };
    if (std::none_of(elements.begin(), elements.end(), of)) {
      subjects.push_back(not_assessed("element of " + component.id.value,
                                      "the job does not say what its element measures and how it comes out",
                                      {"filter_elements"}));
    }
    for (const FilterElement& element : elements) {
      if (of(element)) subjects.push_back(element_subject(job, element));
    }
  }
  return subjects;
}

CheckDef filter_element() {
  CheckDef c;
  c.id = "sv.filter";
  c.title = "Filter element comes out";
  c.question = "Can the filter's element be drawn out with a hand on it?";
  c.definition =
      "Least distance, proven over the whole way, between the space of the element (a cylinder) on its way along the "
      "stated direction, and every part and every duct at rest. Left out: the housing it sits in, the bonnet, which is "
      "open, and parts that the job marks as taken out first; the finding names these. What of the housing is in the "
      "way is its maker's. The limit is the room for a hand around it.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.inputs = {"filter_elements", "parts"};
  c.hint = "turn the housing, or take the duct round it";
  c.measure_job = measure_elements;
  return c;
}

Subject plug_subject(const Context& context, const duct::PlacedFitting& fitting, const duct::SensorTube& sensor) {
  if (!(sensor.boss_radius_mm > 0) || !(sensor.boss_height_mm > 0)) {
    const std::string at = "ducts/" + context.duct.spec.id.value + "/fittings: " + fitting.id.value + ": ";
    return not_assessed(fitting.id.value, "the job does not say how large boss and connector are",
                        {at + "boss_radius_mm", at + "boss_height_mm"});
  }
  const duct::StationFrame frame = context.duct.layout.at(fitting.station_from_mm + sensor.sensor_offset_mm);
  const Vec3 outward = duct::outward_direction(frame.tangent, sensor.clock);
  const Vec3 top = frame.p_mm + (0.5 * sensor.tube.outer_diameter_mm + sensor.boss_height_mm) * outward;
  Room room(context.bay, {Collar{top, top + kPull_mm * outward, sensor.boss_radius_mm}, outward, 0});
  for (const bay::Part& part : context.bay.parts) room.against(part);
  for (const duct::Duct& duct : context.ducts) {
    if (duct.spec.id != context.duct.spec.id) room.against(duct);
  }
  return room.subject(fitting.id.value + ", connector");
}

std::vector<Subject> measure_plug(const Context& context) {
  std::vector<Subject> subjects;
  for (const duct::PlacedFitting& fitting : context.duct.layout.fittings) {
    if (const auto* sensor = std::get_if<duct::SensorTube>(&fitting.kind)) {
      subjects.push_back(plug_subject(context, fitting, *sensor));
    }
  }
  if (subjects.empty() && !context.duct.spec.no_sensor) {
    subjects.push_back(not_assessed("sensor", "the duct has no sensor tube",
                                    {"ducts/" + context.duct.spec.id.value + "/fittings: sensor tube"}));
  }
  return subjects;
}

CheckDef plug() {
  CheckDef c;
  c.id = "sn.plug";
  c.title = "Sensor's connector comes off";
  c.question = "Is there room for two fingers around the connector and its way off?";
  c.definition =
      "Least distance, everything at rest and the bonnet open, between the way of the sensor's connector, which is the "
      "envelope of its boss continued outward by {40 mm}, and every part and every other duct. The limit of half of "
      "{50 mm} all round leaves what two fingers need: the object and {50 mm}. Parts that the job marks as taken out "
      "first "
      "are left out and named.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::minor;
  c.services = {duct::Service::intake};
  c.inputs = {"ducts/fittings: sensor tube", "parts"};
  c.hint = "turn the sensor's clock away from what is in the way";
  c.measure = measure_plug;
  return c;
}

}  // namespace

std::vector<CheckDef> service_checks() { return {filter_element(), plug()}; }

}  // namespace baywright::checks
