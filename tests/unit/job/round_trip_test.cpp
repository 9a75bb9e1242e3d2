#include <algorithm>
#include <random>

#include <catch2/catch.hpp>

#include "job/codecs.hpp"
#include "job/job_file.hpp"
#include "job/job_problems.hpp"

using namespace baywright;

namespace {

/// Random jobs that a reader accepts: every field, every kind of motion and fitting, decimals of any length.
class JobMaker {
 public:
  explicit JobMaker(unsigned seed) : random_(seed) {}

  job::Job make() {
    job::Job job;
    job.name = text();
    job.note = text() + "\n" + text();
    job.units = {flip() ? LengthUnit::inch : LengthUnit::mm, flip() ? PressureUnit::inH2O : PressureUnit::kPa,
                 flip() ? TemperatureUnit::fahrenheit : TemperatureUnit::celsius};
    for (int i = count(3); i > 0; --i) job.attitudes.push_back({std::string("a").append(text()), angle(), angle()});
    for (int i = 0; i < 7; ++i) job.bodies.push_back({bay::BodyId("b" + std::to_string(i)), text(), motion(i)});
    job.motions_combined = flip();
    for (int i = count(4); i > 0; --i) job.parts.push_back(part(i));
    for (int i = count(2); i > 0; --i) {
      job.ground = {maybe([&] { return number(-900, 0); }), maybe([&] { return number(0, 200); }),
                    maybe([&] { return number(0, 900); })};
      job.openings.push_back({bay::OpeningId("o" + std::to_string(i)), text(), {point(), point(), point()}});
    }
    for (int i = 0; i < 3; ++i) job.ports.push_back(port(i, job));
    job.ducts.push_back(duct("main"));
    job.ducts.push_back(branch());
    job.flow = air();
    if (flip()) job.sheet = flip() ? "default" : "sheets/supplier.json";
    job.clearance_width_mm = flip() ? 0.1 : number(0.01, 1);
    job.clearance_range_mm = flip() ? 60 : number(10, 100);
    job.routing = wishes(job);
    for (int i = count(2); i > 0; --i) job.outside_files.push_back("/scans/" + std::to_string(i) + ".ply");
    return job;
  }

 private:
  bool flip() { return std::uniform_int_distribution<int>(0, 1)(random_) == 1; }
  int count(int most) { return std::uniform_int_distribution<int>(0, most)(random_); }
  /// Sometimes a round number as people type it, sometimes all digits.
  double number(double lo, double hi) {
    const double x = std::uniform_real_distribution<double>(lo, hi)(random_);
    if (flip()) return x;
    const double round = std::nearbyint(x * 10) / 10;
    return round >= lo && round <= hi ? round : x;
  }
  double positive() { return number(0.1, 500); }
  Angle angle() { return degrees(number(-80, 80)); }
  std::string text() {
    static const std::vector<std::string> kTexts{"x",      "tube 3\" x 1.65", "Kr\xC3\xBCmmer",
                                                 "a\\b/c", "\xE7\xAE\xA1",    "~0~1"};
    return kTexts[static_cast<std::size_t>(count(static_cast<int>(kTexts.size()) - 1))];
  }
  Vec3 point() { return {number(-900, 900), number(-900, 900), number(-900, 900)}; }
  Vec3 direction() {
    std::normal_distribution<double> normal;
    return Vec3(normal(random_), normal(random_), normal(random_)).normalized();
  }
  template <class F>
  auto maybe(F make) -> std::optional<decltype(make())> {
    if (flip()) return std::nullopt;
    return make();
  }
  bay::Axis axis() { return {point(), direction()}; }
  bay::BodyId body() { return bay::BodyId(std::string("b").append(std::to_string(count(6)))); }

  bay::MotionSpec motion(int kind) {
    switch (kind) {
      case 1:
        return bay::LoadCaseMotion{
            axis(), {{"one", angle(), angle(), angle(), point()}, {"two", angle(), {}, {}, Vec3::Zero()}}};
      case 2:
        return bay::RangeMotion{axis(), {-degrees(2), degrees(3)}, {angle(), angle()}, {}, point(), point()};
      case 3:
        return bay::MeasuredMotion{
            {{{bay::MarkId("m1"), point()}, {bay::MarkId("m2"), point()}, {bay::MarkId("m3"), point()}}},
            {{"one", {point(), point(), point()}}}};
      case 4:
        return bay::AssumedMotion{axis(), flip()};
      case 5:
        return bay::HingeMotion{axis(), angle(), angle(), flip()};
      case 6:
        return bay::SlideMotion{direction(), -positive(), positive(), flip()};
      default:
        return {};
    }
  }

  job::RoutingWishes wishes(const job::Job& job) {
    job::RoutingWishes out;
    if (flip()) out.stock = "stock.json";
    job::MayMove may;
    may.name = text();
    if (!job.parts.empty()) may.parts = {job.parts.front().id};
    for (const job::PortSpec& port : job.ports) {
      if (!port.part) may.ports.push_back(port.id);
    }
    for (int i = count(3); i > 0; --i) may.slides.push_back({direction(), -positive(), positive()});
    may.turn = maybe([&] { return job::Turn{axis(), degrees(number(-90, -1)), degrees(number(0, 90))}; });
    may.places = {{"place", point(), angle(), angle(), angle(), point()}, {"other", {}, {}, {}, {}, Vec3(1, 2, 3)}};
    if (!may.parts.empty() || !may.ports.empty()) out.may_move = {may};
    const Vec3 corner = point();
    out.keep_out = {{"battery", job::BoxRegion{corner, corner + Vec3(positive(), positive(), positive())}},
                    {"hose", job::SphereRegion{point(), positive()}}};
    out.prefer = {{"cool side", job::HullRegion{{corner, corner + Vec3(90, 0, 0), corner + Vec3(0, 80, 0),
                                                 corner + Vec3(0, 0, positive() + 2)}}}};
    return out;
  }

  job::PartSpec part(int i) {
    job::PartSpec part;
    part.id = bay::PartId("p" + std::to_string(i));
    part.name = text();
    part.file = "parts/" + std::to_string(i) + ".step";
    for (int k = count(2); k > 0; --k) part.select.push_back(std::string("s").append(text()));
    part.mm_per_unit = maybe([&] { return positive(); });
    part.body = flip() ? bay::kVehicle : body();
    part.part_class = bay::kPartClasses[static_cast<std::size_t>(count(9))];
    part.surface_temperature =
        maybe([&] { return celsius(number(-50, part.part_class == bay::PartClass::plain ? 119 : 900)); });
    part.uncertainty_mm = maybe([&] { return flip() ? 0 : number(0, 10); });
    part.drop_hidden = flip();
    part.removed_first = flip();
    if (part.part_class == bay::PartClass::hot && i > 1) {
      part.shielded_by = maybe([] { return bay::PartId("p1"); });
    }
    part.scanned = maybe([&] { return flip(); });
    part.size_confirmed = flip();
    part.uncertainty_source = text();
    part.alignment = maybe([&] { return bay::Alignment{point(), number(0, 5), number(0, 5)}; });
    part.chord_error_mm = maybe([&] { return number(0.01, 5); });
    part.placement = {point(), angle(), angle(), angle()};
    return part;
  }

  job::PortSpec port(int i, const job::Job& job) {
    job::PortSpec port;
    port.id = bay::PortId("port" + std::to_string(i));
    port.name = text();
    port.center_mm = point();
    port.axis = direction();
    port.bore_mm = number(10, 50);
    port.outer_diameter_mm = number(51, 90);
    if (flip()) port.body = body();
    if (!job.parts.empty() && flip()) port.part = job.parts.front().id;
    port.contact_length_mm = number(0, 3) * port.outer_diameter_mm;
    port.hood = maybe([&] {
      return bay::Hood{direction(), positive(), maybe([&] { return flip(); }), maybe([&] { return point(); })};
    });
    port.spigot_length_mm = maybe([&] { return positive(); });
    return port;
  }

  duct::TubeSize tube() { return {number(20, 120), number(0.5, 5)}; }
  duct::Anchor anchor() { return {duct::PointId(flip() ? "P0" : "P1"), number(0, 300), flip()}; }

  duct::DuctSpec duct(const std::string& id) {
    duct::DuctSpec spec;
    spec.id = duct::DuctId(id);
    spec.name = text();
    spec.service = static_cast<duct::Service>(count(4));
    spec.from.port = bay::PortId("port0");
    spec.to.port = bay::PortId("port1");
    spec.tube = tube();
    spec.material = text();
    spec.bend_tolerance_mm = maybe([&] { return flip() ? 0 : number(0, 5); });
    spec.fitting_tolerance_mm = maybe([&] { return number(0, 5); });
    spec.bending = maybe([&] {
      return duct::BendingTolerance{degrees(number(0, 3)), degrees(number(0, 3)), number(0, 5)};
    });
    spec.exposed_mm = maybe([&] { return number(0, 900); });
    spec.insulated = maybe([&] { return flip(); });
    if (spec.service == duct::Service::raw_air) spec.entry = maybe([&] { return entry(); });
    spec.route.points = {{duct::PointId("P0"), point(), 0},
                         {duct::PointId("P1"), point(), positive(), maybe([&] { return 2 + count(5); })},
                         {duct::PointId("P2"), point(), 0}};
    const auto k = [&] { return maybe([&] { return number(0, 2); }); };
    const auto add = [&](const char* fitting, duct::FittingKind kind) {
      spec.fittings.push_back({duct::FittingId(fitting), anchor(), std::move(kind)});
    };
    duct::SensorTube sensor{155, number(0, 155), angle(), tube(), k(), number(0, 30), number(0, 60)};
    sensor.measured_bore_mm = maybe([&] { return std::array{number(50, 60), number(60, 70)}; });
    add("sensor", sensor);
    for (int shape = 0; shape < 4; ++shape) {
      duct::Coupler coupler;
      coupler.shape = static_cast<duct::CouplerShape>(shape);
      coupler.gap_mm = number(0, 30);
      coupler.length_mm = number(31, 200);
      coupler.wall_mm = flip() ? 5 : number(2, 8);
      coupler.hump_height_mm = number(0, 20);
      coupler.clamp_height_mm = number(0, 20);
      for (const duct::HoseEnd end : {duct::HoseEnd::upstream, duct::HoseEnd::downstream}) {
        if (!flip()) continue;
        duct::HoseClamp clamp{end, catalog::ClampTypeId("worm-12"), {}, {}};
        if (flip()) clamp.screw_clock = degrees(std::round(number(-360, 360)));
        if (flip()) clamp.screw_side = flip() ? duct::ScrewSide::clockwise : duct::ScrewSide::counter_clockwise;
        if (flip()) clamp.from_hose_end_mm = number(0, 30);
        if (flip()) clamp.range_mm = {number(30, 60), number(61, 90)};
        coupler.clamps.push_back(clamp);
      }
      coupler.axial_mm = number(0, 20);
      coupler.lateral_mm = number(0, 20);
      coupler.angle = degrees(number(0, 20));
      coupler.loss_coefficient = k();
      hose(coupler);
      coupler.to = maybe([&] { return tube(); });
      if (coupler.shape == duct::CouplerShape::elbow && spec.route.points[1].pieces) coupler.corrugation_mm.reset();
      add(("coupler" + std::to_string(shape)).c_str(), coupler);
    }
    add("cone", duct::Reducer{positive(), tube()});
    duct::BranchPort nipple{number(5, 19), number(20, 30), angle(), number(0, 40)};
    nipple.angle = maybe([&] { return degrees(std::round(number(20, 160))); });
    nipple.intrusion_mm = maybe([&] { return number(0, 5); });
    add("nipple", nipple);
    add("bracket", duct::Bracket{body()});
    add("tap", duct::RestrictionTap{});
    add("drain", duct::Drain{number(5, 12), flip() ? std::optional(flip()) : std::nullopt});
    add("straightener", duct::FlowStraightener{positive(), number(0, 3)});
    return spec;
  }

  void hose(duct::Coupler& coupler) {
    for (const duct::HoseEnd end : {duct::HoseEnd::upstream, duct::HoseEnd::downstream}) {
      if (flip()) coupler.tube_ends.push_back({end, false, number(5, 8), number(1, 3), number(1, 9)});
    }
    if (coupler.tube_ends.size() == 1) {
      const bool up = coupler.tube_ends[0].end == duct::HoseEnd::upstream;
      coupler.tube_ends.push_back({up ? duct::HoseEnd::downstream : duct::HoseEnd::upstream, true});
    }
    if (flip()) coupler.material = catalog::HoseMaterialId("silicone-fkm");
    coupler.plies = maybe([&] { return 1 + count(19); });
    coupler.wire = maybe([&] { return flip(); });
    coupler.working_pressure = maybe([&] { return kilopascals(number(50, 400)); });
    coupler.burst_pressure = maybe([&] { return kilopascals(number(401, 2000)); });
    coupler.tether = maybe([&] { return flip(); });
    coupler.end_squareness_mm = maybe([&] { return number(0, 7); });
    coupler.length_tolerance_mm = maybe([&] { return number(0, 5); });
    if (!coupler.loss_coefficient && coupler.shape != duct::CouplerShape::hump &&
        coupler.shape != duct::CouplerShape::reducer) {
      coupler.corrugation_mm = maybe([&] { return number(1, 20); });
    }
  }

  duct::Entry entry() {
    switch (count(4)) {
      case 0:
        return duct::FlushEntry{};
      case 1:
        return duct::ReentrantEntry{};
      case 2:
        return duct::Bellmouth{positive(), flip()};
      case 3:
        return duct::ConeEntry{positive(), degrees(std::round(number(1, 180)))};
      default:
        return duct::StatedEntry{kilopascals(number(0, 3))};
    }
  }

  duct::DuctSpec branch() {
    duct::DuctSpec spec = duct("branch");
    spec.from.port = bay::PortId("port2");
    spec.to = {{}, duct::DuctId("main"), duct::FittingId("nipple")};
    spec.fittings.clear();
    return spec;
  }

  flow::FlowInputs air() {
    flow::FlowInputs air;
    air.rated = maybe([&] { return kilograms_per_second(number(0.01, 2)); });
    air.ambient = maybe([&] {
      return flow::Ambient{kilopascals(number(50, 105)), celsius(number(-40, 50)), number(0, 1)};
    });
    for (int i = 1; i <= 2; ++i) {
      flow::Component c{flow::ComponentId("component" + std::to_string(i)),
                        flip() ? "Filter" : "",
                        std::nullopt,
                        bay::PortId("port" + std::to_string(i)),
                        std::nullopt,
                        std::nullopt};
      if (i == 1) c.inlet = maybe([&] { return bay::PortId("port2"); });
      c.clean = maybe([&] { return curve(); });
      c.dirty = maybe([&] { return curve(); });
      c.element = maybe([&] {
        return flow::FilterElement{maybe([&] { return flip(); }), maybe([&] { return number(0.9, 1); }),
                                   maybe([&] { return cubic_metres_per_second(number(0.01, 1)); })};
      });
      c.housing_cm2 = maybe([&] { return number(0, 9000); });
      air.components.push_back(c);
    }
    air.charge = maybe([&] { return charge(); });
    air.raw_air_loss = maybe([&] { return kilopascals(number(0, 3)); });
    if (!air.rated) {
      air.engine = maybe([&] {
        return flow::EngineFlow{number(1000, 9000), number(1500, 4000), number(0.7, 1.1), kilopascals(number(0, 200)),
                                celsius(number(0, 90))};
      });
    }
    if (air.engine && air.charge && air.charge->boost) {  // no more in the manifold than at the compressor
      air.engine->manifold_boost = std::min(air.engine->manifold_boost, *air.charge->boost);
    }
    air.bay_air = maybe([&] { return celsius(number(-40, 120)); });
    air.source_air = maybe([&] { return celsius(number(-40, 60)); });
    air.wall_roughness_mm = maybe([&] { return number(0, 1); });
    air.crankcase_gas = maybe([&] { return kilograms_per_second(number(0, 0.004)); });
    return air;
  }

  flow::ChargeInputs charge() {
    flow::ChargeInputs charge;
    charge.boost = maybe([&] { return kilopascals(number(50, 200)); });
    charge.peak_boost = maybe([&] { return kilopascals(number(201, 300)); });
    charge.inlet_temperature = maybe([&] { return celsius(number(-20, 50)); });
    charge.compressor_efficiency = maybe([&] { return number(0.5, 0.8); });
    charge.outlet_temperature = maybe([&] { return celsius(number(80, 200)); });
    charge.cooler = maybe([&] {
      flow::ChargeCooler cooler{maybe([&] { return number(0.5, 0.9); }),
                                maybe([&] { return celsius(number(-20, 50)); }),
                                maybe([&] { return kilopascals(number(1, 20)); }), maybe([&] { return curve(); })};
      if (!cooler.effectiveness) cooler.conductance_W_K = maybe([&] { return number(50, 900); });
      cooler.air_flow = maybe([&] { return kilograms_per_second(number(0.1, 3)); });
      return cooler;
    });
    return charge;
  }

  flow::FilterCurve curve() {
    flow::FilterCurve curve;
    for (int i = 1; i <= 3 + count(3); ++i) {
      curve.points.push_back({cubic_metres_per_second(i * 0.05 + number(0, 0.04)), kilopascals(number(0, 5))});
    }
    curve.kind = flip() ? flow::PressureKind::total : flow::PressureKind::static_;
    curve.reference_density_kg_m3 = number(0.8, 1.3);
    curve.outlet_bore_mm = number(40, 90);
    return curve;
  }

  std::mt19937 random_;
};

}  // namespace

TEST_CASE("reading, writing and reading again gives an equal job") {
  for (unsigned seed = 1; seed <= 300; ++seed) {
    INFO("seed " << seed);
    const job::Job made = JobMaker(seed).make();
    const auto problems = job::problems_of(made);
    for (const auto& problem : problems) UNSCOPED_INFO(problem.pointer << ": " << problem.message);
    REQUIRE(problems.empty());
    const std::string text = job::write_job(made);
    const auto once = job::read_job(text, "job.json");
    if (!once) {
      for (const Error& error : once.error()) UNSCOPED_INFO(to_line(error));
    }
    REQUIRE(once.has_value());
    CHECK(*once == made);
    const std::string again = job::write_job(*once);
    CHECK(again == text);
    const auto twice = job::read_job(again, "job.json");
    REQUIRE(twice.has_value());
    CHECK(*twice == *once);
  }
}

TEST_CASE("values that no decimal in the file's unit reaches settle after one writing") {
  std::mt19937_64 random(99);
  std::uniform_real_distribution<double> radian(-1.5, 1.5);
  for (int i = 0; i < 20000; ++i) {
    const Angle a = radians(radian(random));
    const Angle once = degrees(job::to_file(a));
    const Angle twice = degrees(job::to_file(once));
    CHECK(once == twice);
    CHECK(std::abs(once.si() - a.si()) <= 3e-16);
  }
}

TEST_CASE("numbers people type come back as they typed them") {
  for (const double d : {0.1, 1.8, -1.2, 15.35, 45.0, 90.0, 33.3}) CHECK(job::to_file(degrees(d)) == d);
  for (const double t : {-40.0, 0.0, 25.0, 58.0, 154.3}) CHECK(job::to_file(celsius(t)) == t);
  for (const double p : {0.35, 3.74, 4.98, 99.0, 101.325}) CHECK(job::to_file(kilopascals(p)) == p);
}
