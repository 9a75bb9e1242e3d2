#pragma once

#include <algorithm>
#include <cmath>
#include <memory>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "checks/check.hpp"
#include "geometry/clearance/clearance.hpp"
#include "geometry/primitive.hpp"
#include "job/assemble.hpp"
#include "tests/support/box_mesh.hpp"
#include "tests/support/ducts.hpp"

namespace baywright::test {

/// What a planted bay is asked to be.
struct PlantOptions {
  unsigned seed = 1;
  int bends = 3;                   ///< 2 to 6
  double margin_mm = 10;           ///< that the planted duct has everywhere beyond what it needs, at least
  std::size_t triangles = 30'000;  ///< about, at least 20'000
  bool motion = true;              ///< the far port and a third of the clutter ride on an engine
  bool blocked = false;            ///< a wall between the ports
  int blocks = 160;                ///< boxes and pipes that are tried; about 1'000 leave little room but the corridors
  int dead_ends = 0;               ///< further corridors, as wide, that leave the planted one; most end in the clutter
};

/// A bay in which a duct is known to fit: clutter with a corridor carved along it. The job's own duct is another one
/// between the same ports, which mostly runs into the clutter.
struct PlantedBay {
  job::Installation installation;
  duct::DuctSpec planted;
};

class Planter {
 public:
  explicit Planter(const PlantOptions& options) : options_(options), random_(options.seed * 2654435761U + 97) {}

  PlantedBay grow() {
    PlantedBay out;
    out.installation.bay = empty_bay();
    while (!plant(out)) continue;
    draw_another(out);
    clutter(out.installation.bay);
    out.installation.sheet = sheet();
    out.installation.job.ducts = {out.installation.ducts[0].spec};
    out.installation.job.flow = flow();
    return out;
  }

 private:
  static constexpr double kOuter_mm = 60, kRadius_mm = 90, kRest_mm = 10, kMotion_mm = 6;
  /// Twice the standard uncertainties of bending (1) and of the parts (0.5), rounded up.
  static constexpr double kOpen_mm = 2.3;

  double unit() { return static_cast<double>(random_()) / 4294967296.0; }
  double between(double a, double b) { return a + (b - a) * unit(); }
  Vec3 direction() {
    for (;;) {
      const Vec3 v(between(-1, 1), between(-1, 1), between(-1, 1));
      if (v.norm() > 0.1 && v.norm() < 1) return v.normalized();
    }
  }

  bay::Bay empty_bay() const {
    bay::Bay bay;
    bay.bodies = {body("vehicle"), body("engine")};
    bay.attitudes = {{"level", Angle(), Angle()}};
    if (options_.motion) {
      bay::LoadCaseMotion motion;
      motion.roll_axis = {Vec3(0, 0, -100), Vec3::UnitX()};
      motion.cases = {{"torque", degrees(0.4), Angle(), Angle(), Vec3(-1, -1, 2)},
                      {"bump", Angle(), Angle(), Angle(), Vec3(0, 0, -4)}};
      bay.bodies[1].spec = motion;
      bay.bodies[1].motion = bay::build_motion(motion)->set;
    }
    return bay;
  }

  /// Straights of 2 diameters and more, one of which takes a coupler; bends of 35 to 100 degrees in any plane.
  bool plant(PlantedBay& out) {
    std::vector<Vec3> ways = {Vec3::UnitX()};
    std::vector<double> angles;
    for (int i = 0; i < options_.bends; ++i) {
      const double angle = between(35, 100) * M_PI / 180;
      const Vec3 across = ways.back().cross(direction()).normalized();
      ways.push_back(Eigen::AngleAxisd(angle, across) * ways.back());
      angles.push_back(angle);
    }
    std::vector<Vec3> points = {Vec3::Zero()};
    const auto longest = static_cast<std::size_t>(between(1, options_.bends - 1e-9));
    for (std::size_t i = 0; i < ways.size(); ++i) {
      const bool end = i == 0 || i + 1 == ways.size();
      double length = (end ? between(60, 140) : between(140, 220)) + (i == longest ? 90 : 0);
      if (i > 0) length += kRadius_mm * std::tan(0.5 * angles[i - 1]);
      if (i < angles.size()) length += kRadius_mm * std::tan(0.5 * angles[i]);
      points.push_back(points.back() + length * ways[i]);
    }
    bay::Bay& bay = out.installation.bay;
    const std::size_t n = points.size();
    bay.ports = {port("filter-out", points[0], ways.front(), kOuter_mm, 0),
                 port("compressor-in", points[n - 1], -ways.back(), kOuter_mm, options_.motion ? 1 : 0)};
    for (bay::Port& p : bay.ports) p.bore_mm = kOuter_mm - 4;
    auto spec = spec_of(points);
    const auto layout = duct::lay_out(spec, bay);
    if (!layout || crowded(*layout)) return false;
    out.planted = std::move(spec);
    planted_ = *layout;
    return true;
  }

  duct::DuctSpec spec_of(const std::vector<Vec3>& points) const {
    duct::DuctSpec spec;
    spec.id = duct::DuctId("intake");
    spec.name = "Intake";
    spec.from.port = bay::PortId("filter-out");
    spec.to.port = bay::PortId("compressor-in");
    spec.tube = {kOuter_mm, 2};
    spec.bend_tolerance_mm = spec.fitting_tolerance_mm = 1;
    spec.no_sensor = spec.no_breather = true;
    spec.route = route(points, kRadius_mm);
    const auto legs = duct::lay_out_route(spec.route);
    if (!legs || !options_.motion) return spec;
    const auto longest = std::max_element(legs->legs.begin(), legs->legs.end(),
                                          [](const auto& a, const auto& b) { return a.length_mm() < b.length_mm(); });
    duct::Coupler soft = coupler(duct::CouplerShape::straight, 12, 70);
    soft.wall_mm = 4;
    soft.axial_mm = soft.lateral_mm = 15;
    soft.angle = degrees(8);
    for (const auto end : {duct::HoseEnd::upstream, duct::HoseEnd::downstream}) {
      duct::TubeEnd plain;
      plain.end = end;
      plain.no_bead = true;
      soft.tube_ends.push_back(plain);
    }
    const double middle = 0.5 * (longest->station_from_mm + longest->station_to_mm);
    spec.fittings = {fitting_at(spec.route, "joint", middle - 6, soft)};
    return spec;
  }

  /// Parts of the duct that are no neighbours keep a way between their corridors: there is no short cut through both.
  bool crowded(const duct::Layout& layout) const {
    const double apart = kOuter_mm + 2 * (kRest_mm + kOpen_mm + options_.margin_mm) + 70;
    for (double a = 0; a < layout.length_mm; a += 25) {
      for (double b = a + 420; b < layout.length_mm; b += 25) {
        if ((layout.at(a).p_mm - layout.at(b).p_mm).norm() < apart) return true;
      }
    }
    return false;
  }

  /// Any duct between the ports, of three bends.
  void draw_another(PlantedBay& out) {
    const bay::Port &from = out.installation.bay.ports[0], &to = out.installation.bay.ports[1];
    for (;;) {
      const Vec3 middle = 0.5 * (from.center_mm + to.center_mm) + between(150, 700) * direction();
      auto spec = spec_of({from.center_mm, from.center_mm + between(150, 400) * from.axis, middle,
                           to.center_mm + between(150, 400) * to.axis, to.center_mm});
      auto layout = duct::lay_out(spec, out.installation.bay);
      if (!layout) continue;
      out.installation.ducts = {{std::move(spec), std::move(*layout)}};
      return;
    }
  }

  /// What everything keeps from the planted duct's surfaces at rest.
  double kept(const bay::Bay& bay) const {
    double reach = 0;
    for (double s = 0; s <= planted_.length_mm; s += 50) {
      reach = std::max(reach, bay.bodies[1].motion.reach_mm(planted_.at(s).p_mm));
    }
    // Parts are met some way beside the duct: a little farther from the roll axis.
    return std::max(kRest_mm, kMotion_mm + 1.15 * reach) + kOpen_mm + options_.margin_mm;
  }

  void clutter(bay::Bay& bay) {
    kept_ = kept(bay);
    for (const duct::Piece& piece : planted_.pieces) {
      for (const Primitive& p : piece.shapes) solids_.push_back(p);
    }
    kept_from_ = solids_;
    Aabb box;
    for (double s = 0; s <= planted_.length_mm; s += 10) box.grow(planted_.at(s).p_mm);
    for (int i = 0; i < options_.dead_ends; ++i) add_dead_end(box);
    box = box.inflated(kept_ + 0.5 * kOuter_mm + 60);
    TriMesh still = inside_out_box(box), moving;
    for (int i = 0; i < options_.blocks; ++i) {
      const Vec3 half(between(15, 70), between(15, 70), between(15, 70));
      Vec3 at;
      for (int k = 0; k < 3; ++k) at[k] = between(box.lo[k], box.hi[k]);
      const TriMesh block = i % 3 == 0 ? pipe(at) : box_mesh(at - half, at + half);
      if (far(block)) append(i % 3 == 1 && options_.motion ? moving : still, block);
    }
    if (options_.blocked) append(still, wall(bay, box));
    add_soup(still, box);
    bay.parts.push_back(part("still", std::move(still), 0));
    if (!moving.triangles.empty()) bay.parts.push_back(part("moving", std::move(moving), 1));
  }

  /// Two straights as wide as the tube, from the planted duct away. They may meet one another or the duct farther on.
  void add_dead_end(Aabb& box) {
    const duct::StationFrame frame = planted_.at(between(0, planted_.length_mm));
    Vec3 from = frame.p_mm, way = frame.tangent.cross(direction()).normalized();
    for (int i = 0; i < 2; ++i) {
      const Vec3 to = from + between(150, 350) * way;
      kept_from_.push_back(Primitive{Cylinder{from, to, 0.5 * kOuter_mm}});
      box.grow(to);
      from = to;
      way = (way + 1.2 * direction()).normalized();
    }
  }

  bool far(const TriMesh& mesh) const {
    return clearance_at_rest(kept_from_, TriTree::over(mesh), {.width_mm = 0.1, .range_mm = kept_}).beyond_range;
  }

  TriMesh pipe(const Vec3& at) {
    const Vec3 way = direction();
    return surface_mesh(Cylinder{at - 150 * way, at + 150 * way, between(8, 30)}, 1.0);
  }

  /// Loose triangles close around the duct, and others anywhere, none nearer to it than is kept.
  void add_soup(TriMesh& mesh, const Aabb& box) {
    const std::size_t sleeve = 18'000;
    while (mesh.triangles.size() < options_.triangles || sleeve_done_ < sleeve) {
      const bool near = sleeve_done_ < sleeve;
      const double size = between(2, 6);
      Vec3 at;
      if (near) {
        const double station = between(-30, planted_.length_mm + 30);
        const duct::StationFrame frame = planted_.at(station);
        const Vec3 out = frame.tangent.cross(direction()).normalized();
        at = frame.p_mm + (0.5 * kOuter_mm + kept_ + size + 12 * unit() * unit()) * out;
      } else {
        for (int k = 0; k < 3; ++k) at[k] = between(box.lo[k], box.hi[k]);
      }
      ++sleeve_done_;
      bool clear = true;
      for (const Primitive& p : kept_from_) clear = clear && signed_distance(p.shape, at) >= kept_ + size;
      if (!clear) continue;
      const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
      for (int k = 0; k < 3; ++k) mesh.vertices.push_back((at + size * direction()).cast<float>());
      mesh.triangles.push_back({first, first + 1, first + 2});
    }
  }

  static void append(TriMesh& to, const TriMesh& mesh) {
    const auto first = static_cast<std::uint32_t>(to.vertices.size());
    for (std::uint32_t i = 0; i < mesh.vertices.size(); ++i) to.vertices.push_back(mesh.vertex(i).cast<float>());
    for (const auto& t : mesh.triangles) to.triangles.push_back({first + t[0], first + t[1], first + t[2]});
  }

  static TriMesh inside_out_box(const Aabb& box) { return box_mesh(box.lo, box.hi); }

  /// Right across the bay, square to the line between the ports.
  static TriMesh wall(const bay::Bay& bay, const Aabb& box) {
    const Vec3 a = bay.ports[0].center_mm, b = bay.ports[1].center_mm;
    const Vec3 n = (b - a).normalized(), u = n.unitOrthogonal(), v = n.cross(u);
    const double half = box.size().norm();
    TriMesh mesh;
    for (const Vec3& corner : {Vec3(-u - v), Vec3(u - v), Vec3(u + v), Vec3(-u + v)})
      mesh.vertices.push_back((0.5 * (a + b) + half * corner).cast<float>());
    mesh.triangles = {{0, 1, 2}, {0, 2, 3}};
    return mesh;
  }

  static bay::Part part(const std::string& id, TriMesh mesh, BodyIndex body) {
    bay::Part made;
    made.id = bay::PartId(id);
    made.name = id;
    made.body = body;
    made.uncertainty_mm = 0.5;
    made.uncertainty_source = "test";
    made.mesh = std::make_shared<TriMesh>(std::move(mesh));
    made.tree = TriTree::over(*made.mesh);
    return made;
  }

  static checks::Limit limit(checks::Comparison sense, double value, Unit unit) {
    return {sense, value, unit, {checks::Origin::Kind::shop_rule, "planted"}};
  }

  /// What the shape of a duct decides, and nothing else.
  checks::Sheet sheet() const {
    using checks::Comparison;
    checks::Sheet sheet;
    sheet.limits = {{"in.bends", limit(Comparison::at_most, 6, Unit::count)},
                    {"in.radius", limit(Comparison::at_least, 1.5, Unit::ratio)},
                    {"in.loss_clean", limit(Comparison::at_most, 12000, Unit::pascal)},
                    {"fb.grip", limit(Comparison::at_least, 2, Unit::ratio)},
                    {"fb.end", limit(Comparison::at_least, 25, Unit::mm)},
                    {"fb.radius", limit(Comparison::at_most, 1, Unit::count)},
                    {"fx.every", limit(Comparison::at_least, 1, Unit::none)},
                    {"fx.motion", limit(Comparison::at_most, 1, Unit::ratio)}};
    const checks::Origin origin{checks::Origin::Kind::shop_rule, "planted"};
    sheet.clearance = {{bay::PartClass::plain, kRest_mm, kRest_mm, kMotion_mm, origin}};
    sheet.restriction = checks::Sheet::RestrictionMeaning{flow::PressureKind::total, "compressor face"};
    for (const checks::CheckDef& check : checks::registry()) {
      const bool asked_for = sheet.limits.contains(check.id) || check.id == "cr.static" || check.id == "cr.motion";
      if (!asked_for) sheet.not_required[check.id] = "not what a planted bay is for";
    }
    if (!options_.motion) sheet.not_required["fx.motion"] = sheet.not_required["fx.every"] = "nothing moves";
    return sheet;
  }

  static flow::FlowInputs flow() {
    flow::FlowInputs inputs;
    inputs.rated = kilograms_per_second(0.1);
    inputs.ambient = flow::Ambient{kilopascals(99), celsius(25), 0};
    flow::FilterCurve clean;
    for (const double q : {0.05, 0.10, 0.15}) {
      clean.points.push_back({cubic_metres_per_second(q), pascals(5000 * q + 60000 * q * q)});
    }
    inputs.components = {
        {flow::ComponentId("air-cleaner"), "Air cleaner", std::nullopt, bay::PortId("filter-out"), clean, clean}};
    inputs.raw_air_loss = pascals(350);
    inputs.wall_roughness_mm = 0.01;
    return inputs;
  }

  const PlantOptions options_;
  std::mt19937 random_;
  duct::Layout planted_;
  std::vector<Primitive> solids_;     ///< the planted duct
  std::vector<Primitive> kept_from_;  ///< and the dead ends
  double kept_ = 0;
  std::size_t sleeve_done_ = 0;
};

inline PlantedBay planted_bay(const PlantOptions& options) { return Planter(options).grow(); }

}  // namespace baywright::test
