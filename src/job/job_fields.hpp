#pragma once

#include "job/job.hpp"
#include "job/object_codec.hpp"

namespace baywright::job {

// What stands in job.json, described once: reader, writer and schema visit these functions.

inline constexpr double kLongest_mm = kFarthest_mm;
inline Range any_turn() { return {-360, 360}; }
inline Range quarter_turn() { return {-90, 90}; }
inline Range within_bay() { return {-kLongest_mm, kLongest_mm}; }
inline Range size() { return above(0, kLongest_mm); }
inline Range size_or_none() { return at_least(0, kLongest_mm); }

inline WordCodec<LengthUnit> length_unit() { return {{{LengthUnit::mm, "mm"}, {LengthUnit::inch, "in"}}}; }
inline WordCodec<PressureUnit> pressure_unit() {
  return {{{PressureUnit::kPa, "kPa"}, {PressureUnit::inH2O, "inH2O"}}};
}
inline WordCodec<TemperatureUnit> temperature_unit() {
  return {{{TemperatureUnit::celsius, "degC"}, {TemperatureUnit::fahrenheit, "degF"}}};
}
inline WordCodec<duct::Service> service_word() {
  return {{{duct::Service::raw_air, "raw air"},
           {duct::Service::intake, "intake"},
           {duct::Service::charge_hot, "charge hot"},
           {duct::Service::charge_cold, "charge cold"},
           {duct::Service::breather, "breather"}}};
}
inline WordCodec<duct::CouplerShape> coupler_shape() {
  return {{{duct::CouplerShape::straight, "straight"},
           {duct::CouplerShape::hump, "hump"},
           {duct::CouplerShape::reducer, "reducer"},
           {duct::CouplerShape::elbow, "elbow"}}};
}
inline WordCodec<flow::PressureKind> pressure_meaning() {
  return {{{flow::PressureKind::total, "total"}, {flow::PressureKind::static_, "static"}}};
}
inline WordCodec<bay::PartClass> part_class() {
  WordCodec<bay::PartClass> codec;
  for (const bay::PartClass c : bay::kPartClasses) codec.table.emplace_back(c, std::string(bay::name(c)));
  return codec;
}

/// What a duct may say it does not have.
inline WordCodec<duct::Metal> metal_word() {
  return {{{duct::Metal::steel, "steel"},
           {duct::Metal::stainless_steel, "stainless steel"},
           {duct::Metal::aluminium, "aluminium"}}};
}
inline WordCodec<duct::Making> making_word() {
  return {{{duct::Making::one_bend_program, "one bend program"}, {duct::Making::tacked_in_place, "tacked in place"}}};
}
inline WordCodec<bool> fitted_or_none() { return {{{false, "fitted"}, {true, "none"}}}; }

struct MotionNames {
  static constexpr const char* kDoc = "How the motion is known.";
  static const std::vector<std::string>& of();
};
const std::vector<std::string>& fitting_names();

struct EntryNames {
  static constexpr const char* kDoc = "Form of the inlet.";
  static const std::vector<std::string>& of();
};

template <class V>
void describe(V&, Of<std::monostate>) {}

template <class V>
void describe(V& v, Of<DisplayUnits>) {
  v.optional("length", &DisplayUnits::length, length_unit(), "Unit in which lengths are shown.");
  v.optional("pressure", &DisplayUnits::pressure, pressure_unit(), "Unit in which pressures are shown.");
  v.optional("temperature", &DisplayUnits::temperature, temperature_unit(), "Unit in which temperatures are shown.");
}

template <class V>
void describe(V& v, Of<bay::Attitude>) {
  using S = bay::Attitude;
  v.required("name", &S::name, TextCodec{true}, "Name printed with findings: \"nose up on a slope\".");
  v.optional("nose_up_deg", &S::pitch, angle(quarter_turn()), "Pitch, positive when the nose is up.");
  v.optional("left_up_deg", &S::roll, angle(quarter_turn()), "Roll, positive when the left side is up.");
}

template <class V>
void describe(V& v, Of<bay::Axis>) {
  using S = bay::Axis;
  v.required("point_mm", &S::point_mm, PointCodec(), "A point of the line, vehicle frame at rest.");
  v.required("direction", &S::direction, DirectionCodec(), "Along the line; any length but zero.");
}

template <class V>
void describe(V& v, Of<bay::LoadCase>) {
  using S = bay::LoadCase;
  v.required("name", &S::name, TextCodec{true}, "Name printed with findings: \"forward torque\".");
  v.optional("roll_deg", &S::roll, angle(quarter_turn()), "Turn about the roll axis, right-handed.");
  v.optional("pitch_deg", &S::pitch, angle(quarter_turn()),
             "Turn about y through the axis' point; positive: nose down.");
  v.optional("yaw_deg", &S::yaw, angle(quarter_turn()), "Turn about z through the axis' point; positive: nose left.");
  v.optional("shift_mm", &S::shift_mm, PointCodec(), "Shift [x, y, z] after the turns.");
}

template <class V>
void describe(V& v, Of<bay::LoadCaseMotion>) {
  using S = bay::LoadCaseMotion;
  v.required("roll_axis", &S::roll_axis, object<bay::Axis>(), "Line about which the body rolls.");
  v.required("cases", &S::cases, list_of(object<bay::LoadCase>(), 1), "Where the body goes in each load case.");
}

template <class V>
void describe(V& v, Of<bay::RangeMotion>) {
  using S = bay::RangeMotion;
  v.required("roll_axis", &S::roll_axis, object<bay::Axis>(), "Line about which the body rolls.");
  v.optional("roll_deg", &S::roll, exactly<2>(angle(quarter_turn())), "[from, to], containing 0.");
  v.optional("pitch_deg", &S::pitch, exactly<2>(angle(quarter_turn())), "[from, to], containing 0.");
  v.optional("yaw_deg", &S::yaw, exactly<2>(angle(quarter_turn())), "[from, to], containing 0.");
  v.optional("shift_from_mm", &S::shift_from_mm, PointCodec(), "Least shift [x, y, z], each 0 or below.");
  v.optional("shift_to_mm", &S::shift_to_mm, PointCodec(), "Greatest shift [x, y, z], each 0 or above.");
}

template <class V>
void describe(V& v, Of<bay::MarkedPoint>) {
  using S = bay::MarkedPoint;
  v.required("id", &S::id, IdCodec<bay::MarkTag>(), "Name of the mark.");
  v.required("at_mm", &S::point_mm, PointCodec(), "Where the mark is at rest, vehicle frame.");
}

template <class V>
void describe(V& v, Of<bay::MeasuredCase>) {
  using S = bay::MeasuredCase;
  v.required("name", &S::name, TextCodec{true}, "Name printed with findings: \"forward torque\".");
  v.required("moved_mm", &S::moved_mm, exactly<3>(PointCodec()),
             "How far each mark went [x, y, z], in the order of the marks.");
}

template <class V>
void describe(V& v, Of<bay::MeasuredMotion>) {
  using S = bay::MeasuredMotion;
  v.required("marks", &S::marks, exactly<3>(object<bay::MarkedPoint>()), "Three marked points, not on one line.");
  v.required("cases", &S::cases, list_of(object<bay::MeasuredCase>(), 1), "What was measured in each load case.");
}

template <class V>
void describe(V& v, Of<bay::AssumedMotion>) {
  using S = bay::AssumedMotion;
  v.required("roll_axis", &S::roll_axis, object<bay::Axis>(), "Line about which the body rolls.");
  v.optional("worn_mounts", &S::worn_mounts, FlagCodec(), "Every displacement times 1.5.");
}

template <class V>
void describe(V& v, Of<bay::HingeMotion>) {
  using S = bay::HingeMotion;
  v.required("axis", &S::axis, object<bay::Axis>(), "Hinge line.");
  v.optional("from_deg", &S::from, angle(quarter_turn()), "Least angle, 0 or below (a bonnet pressed on its stops).");
  v.required("to_deg", &S::to, angle(quarter_turn()), "Greatest angle, 0 or above; 0 is rest.");
  v.optional(
      "service", &S::service, FlagCodec(),
      "true: moves with the engine off only (a filter element drawn out); no part of the clearance over motion.");
}

template <class V>
void describe(V& v, Of<bay::SlideMotion>) {
  using S = bay::SlideMotion;
  v.required("direction", &S::direction, DirectionCodec(), "Direction of the slide.");
  v.optional("from_mm", &S::from_mm, length(within_bay()), "Least travel, 0 or below.");
  v.required("to_mm", &S::to_mm, length(within_bay()), "Greatest travel, 0 or above; 0 is rest.");
  v.optional(
      "service", &S::service, FlagCodec(),
      "true: moves with the engine off only (a filter element drawn out); no part of the clearance over motion.");
}

template <class V>
void describe(V& v, Of<BodySpec>) {
  v.required("id", &BodySpec::id, IdCodec<bay::BodyTag>(), "Id; \"vehicle\" is the reference and never moves.");
  v.optional("name", &BodySpec::name, TextCodec(), "Name on screen and in reports.");
  v.optional("motion", &BodySpec::motion, ChoiceCodec<bay::MotionSpec, MotionNames>(),
             "Poses the body may take; without it the body rests.");
}

template <class V>
void describe(V& v, Of<Placement>) {
  using S = Placement;
  v.optional("roll_deg", &S::roll, angle(any_turn()), "First turn: about x of the vehicle, right-handed.");
  v.optional("pitch_deg", &S::pitch, angle(any_turn()), "Second turn: about y, right-handed (positive: nose down).");
  v.optional("yaw_deg", &S::yaw, angle(any_turn()), "Third turn: about z, right-handed (positive: nose left).");
  v.optional("shift_mm", &S::shift_mm, PointCodec(), "Last: shift [x, y, z].");
}

template <class V>
void describe(V& v, Of<bay::Alignment>) {
  using S = bay::Alignment;
  v.required("datum_mm", &S::datum_mm, PointCodec(), "Middle of the features it was fitted to, vehicle frame.");
  v.required("at_datum_mm", &S::at_datum_mm, length(at_least(0, 1000)), "Standard uncertainty (one sigma) there.");
  v.required("per_metre_mm", &S::per_metre_mm, length(at_least(0, 1000)),
             "And for each metre from there, standard: the turn that was found is uncertain; 0.1 degrees are 1.75.");
}

template <class V>
void describe(V& v, Of<PartSpec>) {
  using S = PartSpec;
  v.required("id", &S::id, IdCodec<bay::PartTag>(), "Id of the part.");
  v.optional("name", &S::name, TextCodec(), "Name on screen and in reports.");
  v.required("file", &S::file, TextCodec{true}, "STEP file, mesh or point cloud; path relative to the job folder.");
  v.optional("select", &S::select, list_of(TextCodec{true}),
             "Names or paths of shapes in a STEP file; without it: all.");
  v.optional("mm_per_unit", &S::mm_per_unit, length(above(0, 1e6)),
             "Millimetres per unit of a mesh or cloud: 1, 25.4, 1000, or \"1 in\".");
  v.optional("body", &S::body, IdCodec<bay::BodyTag>(), "Body the part rides on; without it: the vehicle.");
  v.optional("class", &S::part_class, part_class(), "What the part is; decides the clearance it needs.");
  v.optional("surface_temperature_C", &S::surface_temperature, temperature(Range{-80, 1200}),
             "Greatest temperature of its surface.");
  v.optional(
      "uncertainty_mm", &S::uncertainty_mm, length(at_least(0, 1000)),
      "Standard uncertainty (one sigma) of its surface: measuring, and alignment too where that is not stated on "
      "its own; absent: unknown.");
  v.optional("uncertainty_source", &S::uncertainty_source, TextCodec(), "Where that figure comes from.");
  v.optional("alignment", &S::alignment, object<bay::Alignment>(), "How surely the part was put in its place.");
  v.optional("chord_error_mm", &S::chord_error_mm, length(Range{0.001, 10}),
             "How finely a STEP shape is turned into triangles; 0.1 when absent.");
  v.optional("drop_hidden", &S::drop_hidden, FlagCodec(),
             "true: solids of a STEP file that cannot be seen from outside, through no opening, are left out.");
  v.optional("scanned", &S::scanned, FlagCodec(),
             "Of a mesh: true: a scan; false: made of a model. Without it: by what the mesh looks like.");
  v.optional("size_confirmed", &S::size_confirmed, FlagCodec(),
             "true: its size was looked at and is right, however unlikely.");
  v.optional("removed_first", &S::removed_first, FlagCodec(),
             "true: may be taken out before clamps are worked and before tubes and hoses are; the report counts it.");
  v.optional("shielded_by", &S::shielded_by, IdCodec<bay::PartTag>(),
             "Hot parts: the part that stands before it as a heat shield.");
  v.optional("placement", &S::placement, object<Placement>(), "Where the file's own frame lies in the vehicle frame.");
}

template <class V>
void describe(V& v, Of<OpeningSpec>) {
  using S = OpeningSpec;
  v.required("id", &S::id, IdCodec<bay::OpeningTag>(), "Id of the opening.");
  v.optional("name", &S::name, TextCodec(), "Name on screen and in reports.");
  v.required("outline_mm", &S::outline_mm, list_of(PointCodec(), 3, 1000), "Corners in order, vehicle frame.");
}

template <class V>
void describe(V& v, Of<bay::Hood>) {
  using S = bay::Hood;
  v.required("faces", &S::faces, DirectionCodec(), "The way its opening looks; any length but zero.");
  v.required("open_area_cm2", &S::open_area_cm2, number(above(0, 1e6)), "Open area in cm2, grilles taken off.");
  v.optional("labyrinth", &S::labyrinth, FlagCodec(), "true: the air turns in it so that drops stay outside.");
  v.optional("lowest_mm", &S::lowest_mm, PointCodec(), "Lowest point of its opening, vehicle frame at rest.");
}

template <class V>
void describe(V& v, Of<bay::Ground>) {
  using S = bay::Ground;
  v.optional("height_mm", &S::height_mm, length(within_bay()),
             "Of the ground: z in the vehicle frame, at rest, level.");
  v.optional("bump_mm", &S::bump_mm, length(size_or_none()),
             "How far the vehicle sinks from there with its springs on their stops.");
  v.optional("wading_mm", &S::wading_mm, length(size_or_none()), "Depth of water the vehicle may go through.");
}

template <class V>
void describe(V& v, Of<PortSpec>) {
  using S = PortSpec;
  v.required("id", &S::id, IdCodec<bay::PortTag>(), "Id of the port.");
  v.optional("name", &S::name, TextCodec(), "Name on screen and in reports.");
  v.required("center_mm", &S::center_mm, PointCodec(), "Centre of the open end, vehicle frame at rest.");
  v.required("axis", &S::axis, DirectionCodec(), "Outward: away from what the port belongs to.");
  v.required("bore_mm", &S::bore_mm, length(size()), "Inner diameter.");
  v.required("outer_diameter_mm", &S::outer_diameter_mm, length(size()), "Outer diameter of the spigot.");
  v.optional("body", &S::body, IdCodec<bay::BodyTag>(), "Body the port rides on.");
  v.optional("part", &S::part, IdCodec<bay::PartTag>(), "Part it belongs to.");
  v.optional("contact_length_mm", &S::contact_length_mm, length(size_or_none()),
             "Within this distance along the duct, touching that part is by design.");
  v.optional("spigot_length_mm", &S::spigot_length_mm, length(size()),
             "Length of the spigot from its open end, as far as a hose can lie on it.");
  v.optional("hood", &S::hood, object<bay::Hood>(), "Cover over an inlet of outside air.");
}

template <class V>
void describe(V& v, Of<duct::TubeSize>) {
  using S = duct::TubeSize;
  v.required("outer_diameter_mm", &S::outer_diameter_mm, length(size()), "Outer diameter.");
  v.required("wall_mm", &S::wall_mm, length(size()), "Wall thickness.");
}

template <class V>
void describe(V& v, Of<duct::RoutePoint>) {
  using S = duct::RoutePoint;
  v.required("id", &S::id, IdCodec<duct::PointTag>(), "Id of the point.");
  v.required("at_mm", &S::p_mm, PointCodec(), "Where the straight legs meet, vehicle frame.");
  v.optional("bend_radius_mm", &S::bend_radius_mm, length(size_or_none()),
             "Centerline radius of the bend; none at the two ends.");
  v.optional("pieces", &S::pieces, CountCodec{2, 20},
             "Straight pieces the bend is welded of, those at its ends included; 2: one mitre. Absent: bent smooth.");
}

/// A route is written as the list of its points.
struct RouteCodec {
  bool read(const Node& node, duct::Route& value, const At& at) const {
    return list_of(object<duct::RoutePoint>(), 2, 1000).read(node, value.points, at);
  }
  Node write(const duct::Route& value) const { return list_of(object<duct::RoutePoint>()).write(value.points); }
  Node schema() const { return list_of(object<duct::RoutePoint>(), 2, 1000).schema(); }
  std::string expected() const { return "a list of points"; }
};

template <class V>
void describe(V& v, Of<duct::PortRef>) {
  using S = duct::PortRef;
  v.optional("port", &S::port, IdCodec<bay::PortTag>(), "A port of the bay,");
  v.optional("duct", &S::duct, IdCodec<duct::DuctTag>(), "or a branch port on another duct: that duct");
  v.optional("fitting", &S::fitting, IdCodec<duct::FittingTag>(), "and its fitting.");
  v.exactly_one_of({{"port"}, {"duct", "fitting"}});
}

template <class V>
void describe(V& v, Of<duct::Anchor>) {
  using S = duct::Anchor;
  v.required("leg", &S::leg, IdCodec<duct::PointTag>(), "Route point at which the leg starts.");
  v.required("offset_mm", &S::offset_mm, length(size_or_none()),
             "Along the leg, from that intersection point to the upstream end of the fitting.");
  v.optional("from_end", &S::from_end, FlagCodec(), "Count back from the leg's downstream intersection point instead.");
}

template <class V>
void describe(V& v, Of<duct::SensorTube>) {
  using S = duct::SensorTube;
  v.required("length_mm", &S::length_mm, length(size()), "Length of the tube.");
  v.required("sensor_offset_mm", &S::sensor_offset_mm, length(size_or_none()),
             "From its upstream end to the plane of the sensing element.");
  v.required("clock_deg", &S::clock, angle(any_turn()),
             "Outward axis of the sensor: from up, positive clockwise seen along the flow.");
  v.required("tube", &S::tube, object<duct::TubeSize>(), "Size as calibrated.");
  v.optional("loss_coefficient", &S::loss_coefficient, number(at_least(0, 1000)), "K of the insert on its own bore.");
  v.optional("boss_radius_mm", &S::boss_radius_mm, length(size_or_none()), "Room of boss and connector: radius");
  v.optional("boss_height_mm", &S::boss_height_mm, length(size_or_none()), "and height above the tube.");
  v.optional("measured_bore_mm", &S::measured_bore_mm, exactly<2>(length(size())),
             "[least, greatest] inner diameter, measured on the tube as fitted.");
}

inline WordCodec<duct::HoseEnd> hose_end() {
  return {{{duct::HoseEnd::upstream, "upstream"}, {duct::HoseEnd::downstream, "downstream"}}};
}
inline WordCodec<duct::ScrewSide> screw_side() {
  return {{{duct::ScrewSide::clockwise, "clockwise"}, {duct::ScrewSide::counter_clockwise, "counter-clockwise"}}};
}

template <class V>
void describe(V& v, Of<duct::HoseClamp>) {
  using S = duct::HoseClamp;
  v.required("end", &S::end, hose_end(), "End of the hose it sits on.");
  v.required("type", &S::type, IdCodec<catalog::ClampTypeTag>(), "Id of a clamp in the table of tools and clamps.");
  v.optional("screw_clock_deg", &S::screw_clock, angle(any_turn()),
             "Middle of its body: from up, positive clockwise seen along the flow; absent: not decided.");
  v.optional("screw_faces", &S::screw_side, screw_side(),
             "Where the screw's head faces along the band, seen along the flow; absent: not decided.");
  v.optional("from_hose_end_mm", &S::from_hose_end_mm, length(size_or_none()),
             "From the end of the hose to the band; 6.4 when absent.");
  v.optional("range_mm", &S::range_mm, exactly<2>(length(size())),
             "Diameters the size that was bought goes round: [least, greatest].");
}

inline WordCodec<bool> no_bead() { return {{{true, "none"}}}; }

template <class V>
void describe(V& v, Of<duct::TubeEnd>) {
  using S = duct::TubeEnd;
  v.required("end", &S::end, hose_end(), "End of the hose it lies under.");
  v.optional("bead", &S::no_bead, no_bead(), "none: the tube has no bead there;");
  v.optional("crest_mm", &S::crest_mm, length(size()), "or from the tube's end to the top of the bead,");
  v.optional("height_mm", &S::height_mm, length(size()), "height of the bead above the tube");
  v.optional("foot_mm", &S::foot_mm, length(size()), "and width of the bead at the tube's surface.");
  v.exactly_one_of({{"bead"}, {"crest_mm", "height_mm", "foot_mm"}});
}

template <class V>
void describe(V& v, Of<duct::Coupler>) {
  using S = duct::Coupler;
  v.required("shape", &S::shape, coupler_shape(), "Form of the hose.");
  v.required("gap_mm", &S::gap_mm, length(size_or_none()), "Between the two tube ends.");
  v.required("length_mm", &S::length_mm, length(size()), "Of the hose, centred on the gap.");
  v.optional("to", &S::to, object<duct::TubeSize>(), "Shape reducer: tube downstream of the gap.");
  v.optional("wall_mm", &S::wall_mm, length(size()), "Of the hose.");
  v.optional("hump_height_mm", &S::hump_height_mm, length(size_or_none()), "Height of the hump above the hose.");
  v.optional("clamp_height_mm", &S::clamp_height_mm, length(size_or_none()),
             "Height of bands and screws above the hose.");
  v.optional("axial_mm", &S::axial_mm, length(size_or_none()), "Movement it takes along the axis, each way.");
  v.optional("lateral_mm", &S::lateral_mm, length(size_or_none()), "Offset it takes, each way.");
  v.optional("angle_deg", &S::angle, angle(at_least(0, 90)), "Angle it takes, each way.");
  v.optional("loss_coefficient", &S::loss_coefficient, number(at_least(0, 1000)), "K on its own bore.");
  v.optional("clamps", &S::clamps, list_of(object<duct::HoseClamp>(), 0, 8), "Hose clamps on its ends.");
  v.optional("tube_ends", &S::tube_ends, list_of(object<duct::TubeEnd>(), 0, 2), "Beads of the two tubes under it.");
  v.optional("material", &S::material, IdCodec<catalog::HoseMaterialTag>(),
             "Id of a material in the table of tools, clamps and materials.");
  v.optional("plies", &S::plies, CountCodec{1, 20}, "Layers of fabric in its wall.");
  v.optional("wire", &S::wire, FlagCodec(), "true: a coil of wire in its wall; false: none.");
  v.optional("working_pressure_kPa", &S::working_pressure, pressure(above(0, 1e5)), "Gauge, as its maker states it.");
  v.optional("burst_pressure_kPa", &S::burst_pressure, pressure(above(0, 1e5)), "Gauge, as its maker states it.");
  v.optional("tether", &S::tether, FlagCodec(), "true: a strap keeps its two tubes together; false: none.");
  v.optional("end_squareness_mm", &S::end_squareness_mm, length(at_least(0, 1000)),
             "Tolerance, plus or minus: how far an end may lie out of square.");
  v.optional("length_tolerance_mm", &S::length_tolerance_mm, length(at_least(0, 1000)),
             "Tolerance of its length, plus or minus.");
  v.optional("corrugation_mm", &S::corrugation_mm, length(above(0, 1000)),
             "Pitch of the corrugations inside; absent: smooth.");
}

template <class V>
void describe(V& v, Of<duct::Reducer>) {
  using S = duct::Reducer;
  v.required("length_mm", &S::length_mm, length(size()), "Length of the cone.");
  v.required("to", &S::to, object<duct::TubeSize>(), "Tube downstream of it.");
}

template <class V>
void describe(V& v, Of<duct::BranchPort>) {
  using S = duct::BranchPort;
  v.required("bore_mm", &S::bore_mm, length(size()), "Inner diameter of the nipple.");
  v.required("outer_diameter_mm", &S::outer_diameter_mm, length(size()), "Outer diameter of the nipple.");
  v.required("clock_deg", &S::clock, angle(any_turn()), "Its axis: from up, positive clockwise seen along the flow.");
  v.optional("height_mm", &S::height_mm, length(size_or_none()), "Above the tube's surface.");
  v.optional("angle_deg", &S::angle, angle(Range{20, 160}),
             "Between the nipple's axis, inward, and the flow: 90 square, less with the flow.");
  v.optional("intrusion_mm", &S::intrusion_mm, length(size_or_none()), "How far the nipple reaches into the bore.");
}

template <class V>
void describe(V& v, Of<duct::Bracket>) {
  v.required("body", &duct::Bracket::body, IdCodec<bay::BodyTag>(), "Body the tube is held to.");
}

template <class V>
void describe(V&, Of<duct::RestrictionTap>) {}

template <class V>
void describe(V& v, Of<duct::FlowStraightener>) {
  using S = duct::FlowStraightener;
  v.required("length_mm", &S::length_mm, length(size()), "Length of the insert.");
  v.required("loss_coefficient", &S::loss_coefficient, number(at_least(0, 1000)), "K on the tube's bore.");
}

template <class V>
void describe(V& v, Of<duct::Drain>) {
  using S = duct::Drain;
  v.required("bore_mm", &S::bore_mm, length(size()), "Inner diameter of the hole water leaves by.");
  v.optional("self_closing", &S::self_closing, FlagCodec(), "true: shut while the engine draws air.");
}

template <class V>
void describe(V& v, Of<duct::Fitting>) {
  using S = duct::Fitting;
  v.required("id", &S::id, IdCodec<duct::FittingTag>(), "Id of the fitting.");
  v.choice("kind", &S::kind, fitting_names(), "What it is.");
  v.required("at", &S::anchor, object<duct::Anchor>(), "Where it sits.");
}

template <class V>
void describe(V& v, Of<duct::BendingTolerance>) {
  using S = duct::BendingTolerance;
  v.required("angle_deg", &S::angle, angle(at_least(0, 45)), "Standard uncertainty (one sigma) of a bend's angle.");
  v.required("rotation_deg", &S::rotation, angle(at_least(0, 45)), "Of the turn between the planes of two bends.");
  v.required("length_mm", &S::length_mm, length(at_least(0, 1000)), "Of a straight's length.");
}

template <class V>
void describe(V&, Of<duct::FlushEntry>) {}
template <class V>
void describe(V&, Of<duct::ReentrantEntry>) {}

template <class V>
void describe(V& v, Of<duct::Bellmouth>) {
  using S = duct::Bellmouth;
  v.required("radius_mm", &S::radius_mm, length(size()), "Of the rounded lip.");
  v.optional("in_wall", &S::in_wall, FlagCodec(), "true: set in a wall; false: it stands free, as on a snorkel.");
}

template <class V>
void describe(V& v, Of<duct::ConeEntry>) {
  using S = duct::ConeEntry;
  v.required("length_mm", &S::length_mm, length(size()), "Along its axis.");
  v.required("angle_deg", &S::full_angle, angle(above(0, 180)), "Between its sides; losses are known from 50 to 70.");
}

template <class V>
void describe(V& v, Of<duct::StatedEntry>) {
  v.required("loss_kPa", &duct::StatedEntry::loss, pressure(at_least(0, 100)),
             "From outside up to the duct's bore at rated flow, as its supplier states it.");
}

template <class V>
void describe(V& v, Of<duct::DuctSpec>) {
  using S = duct::DuctSpec;
  v.required("id", &S::id, IdCodec<duct::DuctTag>(), "Id of the duct.");
  v.optional("name", &S::name, TextCodec(), "Name on screen and in reports.");
  v.required("service", &S::service, service_word(), "What it carries.");
  v.required("from", &S::from, object<duct::PortRef>(), "Upstream end.");
  v.required("to", &S::to, object<duct::PortRef>(), "Downstream end.");
  v.required("tube", &S::tube, object<duct::TubeSize>(), "Tube at the upstream end.");
  v.optional("material", &S::material, TextCodec(), "Material of the tube.");
  v.optional("metal", &S::metal, metal_word(), "What its tubes are made of.");
  v.optional("made", &S::made, making_word(), "How its bent tubes are made.");
  v.optional("bend_tolerance_mm", &S::bend_tolerance_mm, length(at_least(0, 1000)),
             "Standard uncertainty (one sigma) of the surface as built; absent: unknown.");
  v.optional("fitting_tolerance_mm", &S::fitting_tolerance_mm, length(at_least(0, 1000)),
             "Standard uncertainty (one sigma) of where a fitting or a tube end sits; absent: unknown.");
  v.optional("bending", &S::bending, object<duct::BendingTolerance>(),
             "What the bender holds, one by one; clearance then follows the tube along its bends.");
  v.optional("sensor", &S::no_sensor, fitted_or_none(), "none: the duct has no air-mass sensor and needs none.");
  v.optional("breather", &S::no_breather, fitted_or_none(), "none: no breather enters this duct.");
  v.optional("exposed_mm", &S::exposed_mm, length(size_or_none()), "Of a breather: length of it in the wind.");
  v.optional("insulated", &S::insulated, FlagCodec(),
             "true: that length is insulated or heated; of a raw air duct or an intake: all of it is insulated.");
  v.optional("entry", &S::entry, ChoiceCodec<duct::Entry, EntryNames>(),
             "Of a raw air duct: how outside air enters it; its loss then counts ahead of the filter.");
  v.required("route", &S::route, RouteCodec(), "Centerline as intersection points, in the direction of flow.");
  v.optional("fittings", &S::fittings, list_of(object<duct::Fitting>()), "What sits on it, in any order.");
}

template <class V>
void describe(V& v, Of<flow::Ambient>) {
  using S = flow::Ambient;
  v.required("pressure_kPa", &S::pressure, pressure(Range{flow::kLowestAmbient_kPa, flow::kHighestAmbient_kPa}),
             "Of the air outside, absolute.");
  v.required("temperature_C", &S::temperature, temperature(Range{flow::kColdestAmbient_C, flow::kHottestAmbient_C}),
             "Of the air outside, in the shade.");
  v.optional("relative_humidity", &S::relative_humidity, number(Range{0, 1}), "0 dry to 1 saturated.");
}

template <class V>
void describe(V& v, Of<flow::FilterCurve::Point>) {
  using S = flow::FilterCurve::Point;
  v.required("flow_m3_per_s", &S::flow, volume_flow(above(0, 100)), "Volume flow at the reference density.");
  v.required("loss_kPa", &S::loss, pressure(at_least(0, 100)), "Loss at that flow.");
}

template <class V>
void describe(V& v, Of<flow::FilterCurve>) {
  using S = flow::FilterCurve;
  v.required("points", &S::points, list_of(object<flow::FilterCurve::Point>(), 3, 10000), "In order of flow.");
  v.optional("meaning", &S::kind, pressure_meaning(), "Total pressure loss, or fall of static pressure.");
  v.optional("reference_density_kg_m3", &S::reference_density_kg_m3, density(above(0, 10)),
             "Density the curve holds for.");
  v.optional("outlet_bore_mm", &S::outlet_bore_mm, length(size_or_none()), "Needed when the curve is static.");
}

inline WordCodec<bool> dry_or_oiled() { return {{{true, "dry"}, {false, "oiled"}}}; }

template <class V>
void describe(V& v, Of<flow::FilterElement>) {
  using S = flow::FilterElement;
  v.optional("kind", &S::dry, dry_or_oiled(), "Whether the element is dry or oiled.");
  v.optional("efficiency", &S::efficiency, number(Range{0, 1}), "Share of the test dust it keeps, ISO 5011.");
  v.optional("rated_m3_per_s", &S::rated, volume_flow(above(0, 100)), "Volume flow it is made for.");
}

template <class V>
void describe(V& v, Of<flow::ChargeCooler>) {
  using S = flow::ChargeCooler;
  v.optional("effectiveness", &S::effectiveness, number(Range{0, 1}),
             "(Air in - air out) / (air in - cooling air) at the rating.");
  v.optional("cooling_air_C", &S::cooling_air, temperature(Range{flow::kColdestAmbient_C, 120}),
             "Air ahead of the cooler, on the same day.");
  v.optional("loss_kPa", &S::loss, pressure(at_least(0, 200)),
             "Loss of total pressure from the compressor to behind the cooler.");
  v.optional("curve", &S::curve, object<flow::FilterCurve>(),
             "Loss against flow of its core, between its two ports, at the reference density.");
  v.optional("conductance_W_per_K", &S::conductance_W_K, number(above(0, 1e6)),
             "In place of effectiveness: heat its core passes per kelvin between both airs, at the rating.");
  v.optional("air_kg_per_s", &S::air_flow, mass_flow(above(0, 100)), "Cooling air through it at the rating.");
}

template <class V>
void describe(V& v, Of<flow::ChargeInputs>) {
  using S = flow::ChargeInputs;
  v.optional("boost_kPa", &S::boost, pressure(above(0, 2000)),
             "Gauge pressure at the compressor outlet, at the rating.");
  v.optional("peak_boost_kPa", &S::peak_boost, pressure(above(0, 2000)), "The greatest gauge pressure there ever is.");
  v.optional("inlet_temperature_C", &S::inlet_temperature, temperature(Range{flow::kColdestAmbient_C, 120}),
             "Air at the compressor inlet, on the hottest day it has to work on.");
  v.optional("compressor_efficiency", &S::compressor_efficiency, number(above(0, 1)),
             "Isentropic efficiency of the compressor at the rating.");
  v.optional(
      "outlet_temperature_C", &S::outlet_temperature, temperature(Range{-50, 500}),
      "At the compressor outlet at the rating, on the hottest day it has to work on, measured or from its supplier; "
      "absent: worked out.");
  v.optional("cooler", &S::cooler, object<flow::ChargeCooler>(), "The charge cooler.");
}

template <class V>
void describe(V& v, Of<flow::Component>) {
  using S = flow::Component;
  v.required("id", &S::id, IdCodec<flow::ComponentTag>(), "Id of the component.");
  v.optional("name", &S::name, TextCodec(), "Name on screen and in reports.");
  v.optional("inlet", &S::inlet, IdCodec<bay::PortTag>(), "Port at which the air enters it.");
  v.required("outlet", &S::outlet, IdCodec<bay::PortTag>(), "Port at which the duct behind it starts.");
  v.optional("clean", &S::clean, object<flow::FilterCurve>(), "Loss against flow with a clean element.");
  v.optional("dirty", &S::dirty, object<flow::FilterCurve>(), "Loss against flow at change-out.");
  v.optional("element", &S::element, object<flow::FilterElement>(), "What the element is.");
  v.optional("housing_cm2", &S::housing_cm2, number(at_least(0, 1e6)),
             "Surface of its housing that the bay's air touches; 0 where it stands outside the bay.");
}

template <class V>
void describe(V& v, Of<flow::EngineFlow>) {
  using S = flow::EngineFlow;
  v.required("displacement_cm3", &S::displacement_cm3, number(above(0, 1e6)), "Of all cylinders.");
  v.required("speed_per_min", &S::speed_rpm, number(above(0, 30000)), "At the rating.");
  v.required("volumetric_efficiency", &S::volumetric_efficiency, number(Range{0.2, 1.5}),
             "Air drawn in over displacement, at the density in the manifold.");
  v.required("manifold_boost_kPa", &S::manifold_boost, pressure(at_least(0, 2000)),
             "Gauge pressure in the manifold at the rating; 0 without charging.");
  v.required("manifold_temperature_C", &S::manifold_temperature, temperature(Range{-50, 300}),
             "Of the air in the manifold at the rating.");
}

template <class V>
void describe(V& v, Of<flow::FlowInputs>) {
  using S = flow::FlowInputs;
  v.optional("rated_kg_per_s", &S::rated, mass_flow(above(0, 100)), "Air at the engine's rating.");
  v.optional("ambient", &S::ambient, object<flow::Ambient>(), "Air outside at the place of work.");
  v.optional("components", &S::components, list_of(object<flow::Component>(), 0, 100),
             "What the air passes ahead of a duct: the air cleaner with its curves.");
  v.optional("charge", &S::charge, object<flow::ChargeInputs>(), "What is known about the charge air.");
  v.optional("raw_air_loss_kPa", &S::raw_air_loss, pressure(at_least(0, 100)),
             "Loss from outside to the filter at rated flow.");
  v.optional("wall_roughness_mm", &S::wall_roughness_mm, length(at_least(0, 10)),
             "Of the tube inside; 0.01 when absent.");
  v.optional("bay_air_C", &S::bay_air, temperature(Range{flow::kColdestAmbient_C, 200}),
             "Air around ducts and air cleaner at the rating, on the day of `ambient`.");
  v.optional("source_air_C", &S::source_air, temperature(Range{flow::kColdestAmbient_C, 150}),
             "Air where it is drawn in, at the rating, on the day of `ambient`.");
  v.optional("engine", &S::engine, object<flow::EngineFlow>(),
             "A four-stroke engine from which the rated flow follows, in place of rated_kg_per_s.");
  v.optional("crankcase_gas_kg_per_s", &S::crankcase_gas, mass_flow(at_least(0, 10)),
             "Gas that a breather leads into the intake at the rating; absent: 1 % of the air.");
}

inline WordCodec<bool> yes_or_no() { return {{{true, "yes"}, {false, "no"}}}; }

template <class V>
void describe(V& v, Of<checks::Answer>) {
  using S = checks::Answer;
  v.required("check", &S::check, TextCodec{true}, "Id of the check that asks.");
  v.optional("duct", &S::duct, IdCodec<duct::DuctTag>(), "Duct it holds for; without it: every duct, or the job.");
  v.required("answer", &S::yes, yes_or_no(), "What was found on the vehicle or in the papers.");
  v.required("by", &S::by, TextCodec{true}, "Who looked, and answers for it.");
  v.optional("note", &S::note, TextCodec(), "What was seen.");
}

template <class V>
void describe(V& v, Of<checks::ServicePoint>) {
  using S = checks::ServicePoint;
  v.required("name", &S::name, TextCodec{true}, "What is there: \"dipstick\".");
  v.required("at_mm", &S::at_mm, PointCodec(), "Where the hand goes, vehicle frame at rest.");
}

template <class V>
void describe(V& v, Of<checks::FilterElement>) {
  using S = checks::FilterElement;
  v.required("component", &S::component, IdCodec<flow::ComponentTag>(), "Component of `flow` that it belongs to.");
  v.required("from_mm", &S::from_mm, PointCodec(), "Middle of one of its end faces, vehicle frame.");
  v.required("axis", &S::axis, DirectionCodec(), "From that face to the other.");
  v.required("length_mm", &S::length_mm, length(size()), "Between its end faces.");
  v.required("diameter_mm", &S::diameter_mm, length(size()), "Outer diameter.");
  v.required("draw", &S::draw, DirectionCodec(), "The way it comes out.");
  v.required("draw_mm", &S::draw_mm, length(size()), "How far it has to come until it is free.");
  v.required("housing", &S::housing, IdCodec<bay::PartTag>(), "Part it sits in: not in its way.");
}

}  // namespace baywright::job
