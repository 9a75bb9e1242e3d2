#include <algorithm>
#include <limits>

#include "checks/check_groups.hpp"
#include "checks/subjects.hpp"
#include "duct/piece_shapes.hpp"
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

/// What is moved by hand: its shape where it stands, and how far it goes along a direction, on the vehicle at rest.
struct Handled {
  Shape shape;
  Vec3 way = Vec3::UnitX();
  double travel_mm = 0;
};

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
    if (part.part_class == bay::PartClass::bonnet) {
      open_.push_back(name_of(part));
      return;
    }
    if (part.doubted() || part.tree.empty()) {
      unknown_.push_back(name_of(part));
      return;
    }
    const Bracket b = clearance(kinematics_, {&handled_, 1}, carriage_, part.tree, part.body, {kWidth_mm, kRange_mm});
    if (b.beyond_range) return;
    // Bodies rest: the witness is where the part is.
    offer(b.lo_mm, b.hi_mm, b.on_shape, b.on_surface, measure::part_uncertainty(part, b.on_surface, bay_.units),
          name_of(part), part.id);
  }

  void against(const duct::Duct& duct) {
    for (const duct::Piece& piece : duct.layout.pieces) against(duct, piece.name, piece.shapes);
  }

  void against(const duct::Duct& duct, const std::string& piece, const std::vector<Primitive>& shapes) {
    if (shapes.empty()) return;
    const PairBracket b = pair_clearance(kinematics_, {{&handled_, 1}, carriage_}, {shapes, Carriage::on(0)},
                                         all_shape_pairs(1, shapes.size()), {kWidth_mm, kRange_mm});
    if (b.beyond_range) return;
    Band band;
    band.add(measure::bend_tolerance(duct.spec, "", bay_.units));
    offer(b.lo_mm, b.hi_mm, b.on_first, b.on_second, std::move(band), "duct " + duct.spec.id.value + ": " + piece,
          std::nullopt);
  }

  /// What was found; beside it what nobody can tell: a part that is not known does not hide one that is in the way.
  std::vector<Subject> subjects(const std::string& what) const {
    if (bay_.parts.empty()) return {not_assessed(what, "the bay has no parts", {"parts"})};
    std::vector<Subject> out;
    if (!unknown_.empty()) {
      out.push_back(not_assessed(what, "the shape of " + joined(unknown_) + " is not known", {"parts/file"}));
    }
    Subject s;
    s.subject = name_.empty() ? what : what + " - " + name_;
    s.part = part_;
    Measured m = best_;
    m.unit = Unit::mm;
    if (name_.empty()) {
      m.lo = kRange_mm;
      m.hi = std::numeric_limits<double>::infinity();
    }
    if (!open_.empty()) m.note = "with " + joined(open_) + " open";
    s.outcome = std::move(m);
    out.push_back(std::move(s));
    return out;
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
  std::vector<std::string> open_, unknown_;
};

std::vector<Subject> element_subjects(const Judged& job, const FilterElement& element) {
  const Handled handled{
      Collar{element.from_mm, element.from_mm + element.length_mm * element.axis, 0.5 * element.diameter_mm},
      element.draw, element.draw_mm};
  Room room(job.bay, handled);
  for (const bay::Part& part : job.bay.parts) {
    if (part.id != element.housing) room.against(part);
  }
  for (const duct::Duct& duct : job.ducts) room.against(duct);
  return room.subjects("element of " + element.component.value);
}

std::vector<Subject> measure_elements(const Judged& job, std::span<const Finding>) {
  std::vector<Subject> subjects;
  const auto cleans = [](const duct::Duct& d) {
    return d.spec.service == duct::Service::intake || d.spec.service == duct::Service::raw_air;
  };
  if (job.flow.components.empty() && std::any_of(job.ducts.begin(), job.ducts.end(), cleans)) {
    subjects.push_back(not_assessed("air cleaner", "the job states no air cleaner, whose element has to come out",
                                    {"flow/components", "filter_elements"}));
  }
  for (const flow::Component& component : job.flow.components) {
    const auto& elements = job.surroundings.elements;
    const auto of = [&](const FilterElement& e) { return e.component == component.id; };
    if (std::none_of(elements.begin(), elements.end(), of)) {
      subjects.push_back(not_assessed("element of " + component.id.value,
                                      "the job does not say what its element measures and how it comes out",
                                      {"filter_elements"}));
    }
    for (const FilterElement& element : elements) {
      if (!of(element)) continue;
      for (Subject& s : element_subjects(job, element)) subjects.push_back(std::move(s));
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
      "stated direction, and every part and every duct at rest. Left out: the housing it sits in, of which what is in "
      "the way is its maker's, and the bonnet, which is open. Parts that are taken out before clamps are worked stay: "
      "an element is changed without tools. A job with an intake that states no air cleaner is not checked. The limit "
      "is the room for a hand around it.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.inputs = {"filter_elements", "parts", "flow/components"};
  c.hint = "turn the housing, or take the duct round it";
  c.measure_job = measure_elements;
  return c;
}

/// The duct that the sensor sits on: all of it but rigid tube of the straight under the sensor, with its boss.
void against_own_duct(const duct::Duct& duct, double sensor_mm, Room& room) {
  double from = sensor_mm, to = sensor_mm;
  for (const duct::Straight& straight : duct.layout.straights()) {
    if (straight.station_from_mm > sensor_mm || straight.station_to_mm < sensor_mm) continue;
    from = straight.station_from_mm;
    to = straight.station_to_mm;
  }
  constexpr double kFar = std::numeric_limits<double>::infinity();
  for (const duct::Piece& piece : duct.layout.pieces) {
    if (piece.kind != duct::Piece::Kind::tube) {
      room.against(duct, piece.name, piece.shapes);
      continue;
    }
    room.against(duct, piece.name, duct::cut_to(piece.shapes, -kFar, from));
    room.against(duct, piece.name, duct::cut_to(piece.shapes, to, kFar));
  }
}

std::vector<Subject> plug_subjects(const Context& context, const duct::PlacedFitting& fitting,
                                   const duct::SensorTube& sensor) {
  if (!(sensor.boss_radius_mm > 0) || !(sensor.boss_height_mm > 0)) {
    const std::string at = "ducts/" + context.duct.spec.id.value + "/fittings: " + fitting.id.value + ": ";
    return {not_assessed(fitting.id.value, "the job does not say how large boss and connector are",
                         {at + "boss_radius_mm", at + "boss_height_mm"})};
  }
  const double sensor_mm = fitting.station_from_mm + sensor.sensor_offset_mm;
  const duct::StationFrame frame = context.duct.layout.at(sensor_mm);
  const Vec3 outward = duct::outward_direction(frame.tangent, sensor.clock);
  const Vec3 top = frame.p_mm + (0.5 * sensor.tube.outer_diameter_mm + sensor.boss_height_mm) * outward;
  Room room(context.bay, {Collar{top, top + kPull_mm * outward, sensor.boss_radius_mm}, outward, 0});
  for (const bay::Part& part : context.bay.parts) room.against(part);
  for (const duct::Duct& duct : context.ducts) {
    if (duct.spec.id != context.duct.spec.id) room.against(duct);
  }
  against_own_duct(context.duct, sensor_mm, room);
  return room.subjects(fitting.id.value + ", connector");
}

std::vector<Subject> measure_plug(const Context& context) {
  std::vector<Subject> subjects;
  for (const duct::PlacedFitting& fitting : context.duct.layout.fittings) {
    if (const auto* sensor = std::get_if<duct::SensorTube>(&fitting.kind)) {
      for (Subject& s : plug_subjects(context, fitting, *sensor)) subjects.push_back(std::move(s));
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
      "envelope of its boss continued outward by {40 mm}, and every part and every duct. The limit of half of {50 mm} "
      "all round leaves what two fingers need: the object and {50 mm}. Of the sensor's own duct the rigid tube of the "
      "straight that it sits on is left out, with what stands on that.";
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
