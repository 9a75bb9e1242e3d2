#pragma once

#include <catch2/catch.hpp>

#include "access/clamp_access.hpp"
#include "access/ways_out.hpp"
#include "checks/evaluation.hpp"
#include "duct/layout.hpp"
#include "job/assemble.hpp"
#include "report/report.hpp"

// A job in memory that has something of everything a report shows. Measured values are invented; the report must only
// pass them on.
namespace baywright::sample {

inline constexpr const char* kHostile = "<script>alert(\"bay\")</script> & 'quoted'";

inline bay::Body moving(const char* id, const char* name, bool assumed) {
  MotionMember torque;
  torque.name = "forward torque";
  torque.joints = {{Joint::Kind::rotation, Vec3::UnitX(), Vec3(0, 0, 90)},
                   {Joint::Kind::translation, Vec3::UnitX(), Vec3::Zero()}};
  torque.to = {degrees(1.8).si(), 4.0};
  bay::Body body;
  body.id = bay::BodyId(id);
  body.name = name;
  body.motion = MotionSet({torque});
  body.motion_assumed = assumed;
  return body;
}

inline bay::Part part(const char* id, const char* name, bay::PartClass part_class, BodyIndex body) {
  bay::Part p;
  p.id = bay::PartId(id);
  p.name = name;
  p.part_class = part_class;
  p.body = body;
  p.uncertainty_mm = 2.5;
  p.uncertainty_source = "tripod scanner, aligned to four marks";
  p.file = "bay.ply";
  p.content_hash = std::string(64, 'a');
  return p;
}

inline bay::Port port(const char* id, const Vec3& center, const Vec3& axis, double bore_mm, double od_mm,
                      BodyIndex body) {
  bay::Port p;
  p.id = bay::PortId(id);
  p.name = id;
  p.center_mm = center;
  p.axis = axis;
  p.bore_mm = bore_mm;
  p.outer_diameter_mm = od_mm;
  p.body = body;
  return p;
}

inline bay::Bay make_bay() {
  bay::Bay bay;
  bay::Body vehicle;
  vehicle.id = bay::BodyId("vehicle");
  vehicle.name = "vehicle";
  bay.bodies = {vehicle, moving("engine", "engine", false), moving("bonnet", "bonnet", true)};
  bay.parts = {part("rocker", "rocker cover", bay::PartClass::plain, 1),
               part("fan", "fan", bay::PartClass::rotating, 1), part("bonnet", kHostile, bay::PartClass::bonnet, 2)};
  bay.parts[1].surface_temperature = celsius(80);
  bay.ports = {port("filter outlet", Vec3(-190, 415, 370), Vec3(255, 0, 70).normalized(), 72.9, 76.2, 0),
               port("compressor inlet", Vec3(-250, -250, 410), Vec3::UnitX(), 60, 63.5, 1)};
  bay.attitudes = {{"level", degrees(0), degrees(0)}, {"uphill", degrees(10), degrees(0)}};
  return bay;
}

inline duct::DuctSpec make_spec() {
  using namespace duct;
  DuctSpec spec;
  spec.id = DuctId("intake");
  spec.name = "intake";
  spec.service = Service::intake;
  spec.from.port = bay::PortId("filter outlet");
  spec.to.port = bay::PortId("compressor inlet");
  spec.tube = {76.2, 1.65};
  spec.material = "aluminium 6060";
  spec.bend_tolerance_mm = 1.0;
  spec.fitting_tolerance_mm = 1.0;
  spec.route.points = {{PointId("P0"), Vec3(-190, 415, 370), 0},
                       {PointId("P1"), Vec3(65, 415, 440), 115},
                       {PointId("P2"), Vec3(65, -250, 410), 115},
                       {PointId("P3"), Vec3(-250, -250, 410), 0}};
  SensorTube sensor;
  sensor.length_mm = 155;
  sensor.sensor_offset_mm = 65;
  sensor.tube = spec.tube;
  Coupler hump;
  hump.shape = CouplerShape::hump;
  hump.gap_mm = 20;
  hump.length_mm = 90;
  hump.hump_height_mm = 8;
  hump.axial_mm = 10;
  hump.lateral_mm = 10;
  hump.angle = degrees(7);
  Reducer cone;
  cone.length_mm = 60;
  cone.to = {63.5, 1.75};
  BranchPort breather;
  breather.bore_mm = 25;
  breather.outer_diameter_mm = 28;
  breather.height_mm = 20;
  spec.fittings = {{FittingId("sensor"), {PointId("P1"), 226.2, false}, sensor},
                   {FittingId("hump-1"), {PointId("P1"), 381.3, false}, hump},
                   {FittingId("breather"), {PointId("P1"), 526.3, false}, breather},
                   {FittingId("tap"), {PointId("P1"), 476.3, false}, RestrictionTap{}},
                   {FittingId("cone"), {PointId("P2"), 170, false}, cone},
                   {FittingId("hump-2"), {PointId("P2"), 290, false}, hump}};
  std::get<Coupler>(spec.fittings[5].kind).gap_mm = 25;
  return spec;
}

inline checks::Limit limit(checks::Comparison c, double value, Unit unit) {
  return {c, value, unit, {checks::Origin::Kind::common_practice, "common practice, no source"}};
}

inline measure::Measured distance(double lo, double hi, const Vec3& at, double station_mm, const char* pose) {
  measure::Measured m;
  m.lo = lo;
  m.hi = hi;
  m.unit = Unit::mm;
  m.band.add({"scan uncertainty", Contribution::Kind::standard, 2.5, 2.5, ""});
  m.band.add({"bend tolerance", Contribution::Kind::standard, 1.0, 1.0, "bends"});
  m.band.add({"chord error", Contribution::Kind::bound, 0.08, 0, ""});
  m.station_mm = station_mm;
  m.witness = measure::Witness{at, at + Vec3(0, 0, hi)};
  m.pose_name = pose;
  return m;
}

inline checks::Finding finding(const char* check, const char* title, const std::string& subject,
                               measure::Outcome outcome, std::optional<checks::Limit> limit,
                               checks::Severity severity = checks::Severity::blocker) {
  checks::Finding f;
  f.check = check;
  f.title = title;
  f.severity = severity;
  f.duct = duct::DuctId("intake");
  f.subject = subject;
  if (f.check.starts_with("cr.")) f.pair = subject;
  f.over_motion = f.check == "cr.motion";
  f.verdict = checks::decide(outcome, limit);
  f.outcome = std::move(outcome);
  f.limit = std::move(limit);
  if (f.verdict != checks::Verdict::met) f.hint = "move the route away from this place";
  return f;
}

inline std::vector<checks::Finding> make_findings() {
  using checks::Comparison;
  const auto least = [](double mm) { return limit(Comparison::at_least, mm, Unit::mm); };
  std::vector<checks::Finding> all;
  auto rocker = distance(-5.93, -5.86, Vec3(-60, -40, 500), 420, "engine: forward torque at 100 %");
  rocker.pose = PosedState{{{-1, {}}, {0, {degrees(1.8).si(), 4.0}}, {-1, {}}}, 0.5, 0.5, 0};
  all.push_back(finding("cr.motion", "Clearance over the motion", "tube 1 - rocker cover", rocker, least(6)));
  all.back().part = bay::PartId("rocker");
  all.push_back(finding("cr.static", "Clearance at rest", "tube 1 - rocker cover",
                        distance(5.25, 5.31, Vec3(-60, -40, 500), 420, "at rest"), least(20)));
  all.back().part = bay::PartId("rocker");
  auto bonnet = distance(17.46, 17.5, Vec3(60, -100, 560), 700, "at rest");
  bonnet.assumed_motion = true;
  bonnet.note = "a single spike of the scan decides";
  all.push_back(finding("cr.static", "Clearance at rest", std::string("tube 2 - ") + kHostile, bonnet, least(20)));
  all.back().part = bay::PartId("bonnet");
  measure::Measured far = measure::Measured::exact(60, Unit::mm);
  far.hi = std::numeric_limits<double>::infinity();
  far.pose_name = "at rest";
  all.push_back(finding("cr.static", "Clearance at rest", "tube 1 - fan", far, least(40)));
  all.back().part = bay::PartId("fan");
  for (int i = 0; i < 24; ++i) {
    all.push_back(finding(
        "cr.motion", "Clearance over the motion", "tube 2 - bracket " + std::to_string(i),
        distance(30 + i, 30.08 + i, Vec3(60, 300 - 20 * i, 430), 300 + 20 * i, "engine: forward torque at 40 %"),
        least(6)));
  }
  measure::Measured straight = measure::Measured::exact(77.2, Unit::mm);
  straight.asides = {{"to the edge of the boss", 59.2, Unit::mm}};
  all.push_back(finding("sn.up", "Straight ahead of the sensor", "sensor", straight, least(101.6)));
  all.push_back(finding("in.bends", "Number of bends", "intake", measure::Measured::exact(4, Unit::count),
                        limit(Comparison::at_most, 3, Unit::count), checks::Severity::minor));
  all.push_back(finding("in.radius", "Smallest bend radius", "bend at P2", measure::Measured::exact(1.0, Unit::ratio),
                        limit(Comparison::at_least, 1.5, Unit::ratio), checks::Severity::major));
  all.push_back(finding("sn.clock", "Clocking of the sensor", "sensor", measure::Measured::exact(10.5, Unit::degree),
                        limit(Comparison::at_most, 45, Unit::degree), checks::Severity::major));
  all.push_back(finding("fx.every", "Soft joint at every change of body", "vehicle to engine",
                        measure::Measured::exact(1, Unit::none), limit(Comparison::at_least, 1, Unit::none)));
  measure::Measured loss = measure::Measured::exact(2490, Unit::pascal);
  loss.band.add({"filter curve", Contribution::Kind::expanded, 150, 150, ""});
  all.push_back(finding("in.loss_clean", "Restriction, clean filter", "intake", loss,
                        limit(Comparison::at_most, 3740, Unit::pascal)));
  measure::Measured dirty = measure::Measured::exact(4910, Unit::pascal);
  dirty.band.add({"filter curve", Contribution::Kind::expanded, 190, 190, ""});
  all.push_back(finding("in.loss_dirty", "Restriction, dirty filter", "intake", dirty,
                        limit(Comparison::at_most, 4980, Unit::pascal)));
  all.push_back(finding("br.before", "Breather ahead of the compressor", "intake",
                        measure::NotAssessed{"the duct has no breather port", {"ducts/intake/fittings: branch port"}},
                        least(304.8)));
  checks::Finding none =
      finding("in.taper", "Half-angle of a cone", "", measure::NotAssessed{"no cone", {}}, std::nullopt);
  none.verdict = checks::Verdict::not_applicable;
  all.push_back(none);
  checks::sort_worst_first(all);
  return all;
}

inline flow::Restriction make_restriction(double filter_Pa, const char* filter) {
  flow::Restriction r;
  const auto add = [&](const char* name, double from, double to, double k, double v, double Pa) {
    flow::ElementLoss e;
    e.name = name;
    e.station_from_mm = from;
    e.station_to_mm = to;
    e.loss_coefficient = k;
    e.velocity_m_s = v;
    e.mach = v / 343;
    e.loss = pascals(Pa);
    r.total = r.total + e.loss;
    e.total_behind = pascals(99'000) - r.total;
    e.static_behind = e.total_behind;
    e.band = {{"correlation", Contribution::Kind::expanded, 0.1 * Pa, 0.1 * Pa, ""}};
    r.elements.push_back(std::move(e));
  };
  add("raw air, declared", 0, 0, 0, 0, 350);
  add(filter, 0, 0, 0, 0, filter_Pa);
  add("straight 148 mm", 0, 148.1, 0.03, 31.1, 17);
  add("bend at P1", 148.1, 330.1, 0.21, 31.1, 118);
  add("sensor tube", 440, 595, 0.3, 31.1, 170);
  add("hump coupler", 595, 615, 0.05, 31.1, 30);
  add("straight 434 mm", 330.1, 764.4, 0.09, 31.1, 52);
  add("bend at P2", 764.4, 945, 0.21, 31.1, 118);
  add("cone 76.2 to 63.5", 1000, 1060, 0.04, 45.9, 60);
  add("hump coupler", 1120, 1145, 0.05, 45.9, 35);
  r.band.add({"filter curve", Contribution::Kind::expanded, 0.1 * filter_Pa, 0.1 * filter_Pa, ""});
  r.band.add({"correlations", Contribution::Kind::standard, 30, 30, "Rennels"});
  r.notes = {"the two bends are closer than their interaction length"};
  return r;
}

inline flow::GaugeReading gauge(double station_mm, double loss_Pa, double reading_Pa) {
  flow::GaugeReading g;
  g.tap = "tap";
  g.station_mm = station_mm;
  g.total_loss = pascals(loss_Pa);
  g.reading = pascals(reading_Pa);
  g.band.add({"filter curve", Contribution::Kind::expanded, 150, 150, ""});
  return g;
}

inline job::InputFile input(const char* path, char hash_digit, std::uintmax_t bytes) {
  job::InputFile file;
  file.path = path;
  file.sha256 = std::string(64, hash_digit);
  file.bytes = bytes;
  return file;
}

struct Sample {
  job::Installation installation;
  checks::Evaluation evaluation;
};

inline Sample make_sample() {
  Sample s;
  s.installation.job.name = "Test bench & co";
  s.installation.job.note = kHostile;
  s.installation.bay = make_bay();
  const duct::DuctSpec spec = make_spec();
  const auto layout = duct::lay_out(spec, s.installation.bay);
  INFO((layout ? std::string() : to_line(layout.error().front())));
  REQUIRE(layout);
  s.installation.ducts = {{spec, *layout}};
  s.installation.sheet.name = "Default sheet";
  s.installation.sheet.limits["sn.up"] = limit(checks::Comparison::at_least, 101.6, Unit::mm);
  s.installation.sheet.clearance = {{bay::PartClass::plain, 6, 20, 6, {checks::Origin::Kind::common_practice, ""}}};
  s.installation.sheet.restriction = checks::Sheet::RestrictionMeaning{flow::PressureKind::total, "compressor face"};
  s.installation.files = {input("job.json", '0', 5120), input("scans/bay.ply", 'f', 18234567)};
  s.installation.warnings = {std::string("bay.ply: 3 triangles dropped ") + kHostile};
  s.installation.job.flow.rated = kilograms_per_second(0.15);
  s.installation.job.flow.ambient = flow::Ambient{kilopascals(99), celsius(25), 0.4};
  checks::Evaluation::DuctResult result;
  result.duct = spec.id;
  result.measures.clean = make_restriction(1500, "filter (clean)");
  result.measures.dirty = make_restriction(3110, "filter (dirty)");
  result.measures.gauge_clean = {gauge(690, 2270, 2860)};
  result.measures.gauge_dirty = {gauge(690, 3840, 4430)};
  result.measures.over_motion.exceptions = {{0, 0, "the tube starts at this part's port"}};
  result.measures.over_motion.not_measured = {"harness: the file holds no surface"};
  result.findings = make_findings();
  s.evaluation.findings = result.findings;
  s.evaluation.ducts = {std::move(result)};
  s.evaluation.summary = checks::summarize(s.evaluation.findings);
  return s;
}

/// Two pieces that come out as one, one before them, one of which no way is known.
inline access::WaysOut make_ways(const duct::DuctId& duct) {
  access::WaysOut ways;
  const auto piece = [&](const std::string& name, int order) -> access::PieceWay& {
    access::PieceWay& way = ways.pieces.emplace_back();
    way.duct = duct;
    way.piece = name;
    way.found = order > 0;
    way.order = order;
    if (order > 0) {
      way.opening = "Bonnet <open>";
      way.released = "hump-1 is slid";
      way.steps = {{access::WayStep::Kind::drawn_off, {name}, {}, {}, {false, Vec3::UnitX(), {}, 30.5}, {"hump-1"}},
                   {access::WayStep::Kind::carried, {name}, {}, {}, {true, Vec3::UnitY(), {1, 2, 3}, 0.5}, {}},
                   {access::WayStep::Kind::carried, {name}, {}, {}, {false, Vec3::UnitZ(), {}, 120}, {}}};
    }
    return way;
  };
  piece("coupler hump-1", 2).with = "tube 2";
  piece("tube 1", 0).open = "the search ended after 4000 moves tried for it";
  piece("tube 2", 2);
  piece("tube 3", 1);
  ways.notes = {"part bonnet stands open"};
  return ways;
}

/// A clamp declared at 90 degrees, where a spanner swings over 70 degrees; over 100 at 200 and 205 degrees, in sight.
inline access::ClampAccess make_clamp() {
  access::ClampAccess clamp;
  clamp.site.name = "hump-1, upstream end";
  clamp.site.type.id = catalog::ClampTypeId("worm-12");
  clamp.site.type.name = "Worm drive 12";
  clamp.site.type.hexagon_mm = 7;
  clamp.site.station_mm = 120;
  clamp.clock = degrees(90);
  clamp.obstacles = {"part battery"};
  clamp.chart.site = clamp.site;
  catalog::Tool spanner, driver;
  spanner.name = "Spanner";
  spanner.swing.emplace();
  driver.name = "Nut driver";
  clamp.chart.tools = {spanner, driver};
  const auto at = [&](double clock_deg, access::Hindrance swing, double arc_deg, bool seen) {
    access::PositionAt position;
    position.position = {degrees(clock_deg), access::Side::clockwise};
    position.seen = seen;
    access::ToolAt swung, rolled;
    swung.hindrance = swing;
    swung.arc = {degrees(0), degrees(arc_deg)};
    rolled.hindrance = access::Hindrance::seated;
    rolled.obstacle = 0;
    position.tools = {swung, rolled};
    clamp.chart.positions.push_back(position);
  };
  at(195, access::Hindrance::swing, 20, false);
  at(200, access::Hindrance::none, 90, true);
  at(205, access::Hindrance::none, 100, true);
  at(90, access::Hindrance::none, 70, false);
  clamp.declared_from = 3;
  clamp.best = {access::Reach::by_feel, 3, 0, false, false};
  clamp.anywhere = {access::Reach::seen, 1, 0, false, true};
  return clamp;
}

/// With a clamp and with ways out.
inline Sample with_access(Sample s) {
  auto& measures = s.evaluation.ducts.front().measures;
  measures.clamps = {make_clamp()};
  measures.ways = std::make_shared<const access::WaysOut>(make_ways(s.installation.ducts.front().spec.id));
  return s;
}

/// Smallest valid PNG (one white point) for every request.
inline report::PictureSource white_point() {
  return [](const job::Installation&, const checks::Evaluation&, const report::PictureRequest&) -> Result<std::string> {
    static const unsigned char kPng[] = {
        0x89, 'P',  'N',  'G',  0x0D, 0x0A, 0x1A, 0x0A, 0,    0,    0,    13,   'I',  'H',  'D',  'R',  0,
        0,    0,    1,    0,    0,    0,    1,    8,    0,    0,    0,    0,    0x3A, 0x7E, 0x9B, 0x55, 0,
        0,    0,    10,   'I',  'D',  'A',  'T',  0x78, 0x9C, 0x63, 0xF8, 0x0F, 0,    1,    1,    1,    0,
        0x1B, 0xB6, 0xEE, 0x56, 0,    0,    0,    0,    'I',  'E',  'N',  'D',  0xAE, 0x42, 0x60, 0x82};
    return std::string(reinterpret_cast<const char*>(kPng), sizeof kPng);
  };
}

inline report::PictureSource no_pictures() {
  return [](const job::Installation&, const checks::Evaluation&, const report::PictureRequest&) -> Result<std::string> {
    return fail(ErrorCode::not_supported, "pictures", "no off-screen graphics <here>");
  };
}

inline std::string page_of(const Sample& s, const report::PictureSource& pictures = no_pictures()) {
  return report::report_html(s.installation, s.evaluation, pictures);
}

inline bool has(const std::string& in, const std::string& what) { return in.find(what) != std::string::npos; }

}  // namespace baywright::sample
