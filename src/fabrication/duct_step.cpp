#include "fabrication/duct_step.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "geometry/base/expects.hpp"
#include "geometry/files/step_file.hpp"
#include "geometry/solid.hpp"
#include "geometry/tube_solid.hpp"

namespace baywright::fabrication {
namespace {

constexpr double kNothing_mm = 1e-7;
constexpr Rgb kTubeColor{0.68F, 0.72F, 0.76F};
constexpr Rgb kHoseColor{0.20F, 0.24F, 0.32F};

/// Stations in (from, to) where the run changes its kind or size, with both ends.
std::vector<double> cuts(const duct::Layout& layout, double from_mm, double to_mm) {
  std::set<double> stations{from_mm, to_mm};
  const auto add = [&](double s) {
    if (s > from_mm + kNothing_mm && s < to_mm - kNothing_mm) stations.insert(s);
  };
  for (const duct::Bend& bend : layout.bends) {
    add(bend.station_from_mm);
    add(bend.station_to_mm);
  }
  for (const duct::PlacedFitting& fitting : layout.fittings) {
    const bool sized =
        std::holds_alternative<duct::Reducer>(fitting.kind) || std::holds_alternative<duct::SensorTube>(fitting.kind);
    if (!sized) continue;
    add(fitting.station_from_mm);
    add(fitting.station_to_mm);
  }
  return {stations.begin(), stations.end()};
}

const duct::Bend* bend_at(const duct::Layout& layout, double station_mm) {
  for (const duct::Bend& bend : layout.bends) {
    if (bend.bends() && station_mm > bend.station_from_mm && station_mm < bend.station_to_mm) return &bend;
  }
  return nullptr;
}

TorusSegment part_of(const duct::Bend& bend, double from_mm, double to_mm, double radius_mm) {
  const double t0 = (from_mm - bend.station_from_mm) / bend.radius_mm;
  const double t1 = (to_mm - bend.station_from_mm) / bend.radius_mm;
  return {.center = bend.center,
          .e0 = std::cos(t0) * bend.e0 + std::sin(t0) * bend.e1,
          .e1 = -std::sin(t0) * bend.e0 + std::cos(t0) * bend.e1,
          .bend_radius_mm = bend.radius_mm,
          .angle_rad = t1 - t0,
          .radius_mm = radius_mm};
}

/// Tube size just inside an interval's end: size changes sit exactly on cuts.
double radius_near(const duct::Layout& layout, double station_mm) {
  return 0.5 * layout.tube_at(station_mm).outer_diameter_mm;
}

/// Radius of a flexible joint's hose: of what lies at the middle of its gap the thinner, the other is a hump.
double hose_radius_mm(const duct::Piece& piece) {
  const double middle_mm = 0.5 * (piece.station_from_mm + piece.station_to_mm);
  double radius_mm = std::numeric_limits<double>::infinity();
  for (const Primitive& p : piece.shapes) {
    if (p.station_from_mm > middle_mm || p.station_to_mm < middle_mm) continue;
    if (const auto* s = std::get_if<Cylinder>(&p.shape)) radius_mm = std::min(radius_mm, s->radius_mm);
    if (const auto* s = std::get_if<Collar>(&p.shape)) radius_mm = std::min(radius_mm, s->radius_mm);
  }
  EXPECTS(std::isfinite(radius_mm));
  return radius_mm;
}

Result<Solid> piece_solid(const duct::Layout& layout, const duct::Piece& piece) {
  if (piece.kind == duct::Piece::Kind::tube) {
    const double middle_mm = 0.5 * (piece.station_from_mm + piece.station_to_mm);
    for (const duct::Bend& bend : layout.bends) {
      if (bend.pieces == 0 || bend.station_to_mm <= piece.station_from_mm ||
          bend.station_from_mm >= piece.station_to_mm) {
        continue;
      }
      return fail(ErrorCode::kernel_failed, piece.name,
                  "the bend at " + bend.at.value + " is welded of pieces, which are not written as a solid");
    }
    return tube_solid(tube_run(layout, piece.station_from_mm, piece.station_to_mm), layout.tube_at(middle_mm).wall_mm);
  }
  // The hose's own envelope: its longest shape; hump and bands are local thickenings of it.
  const auto length = [](const Primitive& p) { return p.station_to_mm - p.station_from_mm; };
  const auto hose = std::max_element(piece.shapes.begin(), piece.shapes.end(),
                                     [&](const Primitive& a, const Primitive& b) { return length(a) < length(b); });
  if (hose == piece.shapes.end()) return fail(ErrorCode::kernel_failed, piece.name, "has no surface to write");
  if (!piece.carriage.flexible()) return tube_solid({hose->shape}, 0);
  // Kept in three for its motion: engaged, over the gap, engaged; all of one size and straight.
  const auto end = [&](double station_mm) { return layout.at(station_mm).p_mm; };
  return tube_solid({Collar{end(piece.station_from_mm), end(piece.station_to_mm), hose_radius_mm(piece)}}, 0);
}

}  // namespace

std::vector<Shape> tube_run(const duct::Layout& layout, double from_mm, double to_mm) {
  std::vector<Shape> run;
  const std::vector<double> stations = cuts(layout, from_mm, to_mm);
  for (std::size_t i = 0; i + 1 < stations.size(); ++i) {
    const double a = stations[i];
    const double b = stations[i + 1];
    const double inset = 1e-6 * (b - a);
    const double radius_a = radius_near(layout, a + inset);
    const double radius_b = radius_near(layout, b - inset);
    if (const duct::Bend* bend = bend_at(layout, 0.5 * (a + b))) {
      run.emplace_back(part_of(*bend, a, b, radius_a));
    } else if (std::abs(radius_a - radius_b) > 1e-3) {
      // tube_at is linear along a cone: the ends' radii follow from the inset ones.
      const double per_mm = (radius_b - radius_a) / (b - a - 2 * inset);
      run.emplace_back(
          Cone{layout.at(a).p_mm, layout.at(b).p_mm, radius_a - per_mm * inset, radius_b + per_mm * inset});
    } else {
      run.emplace_back(Collar{layout.at(a).p_mm, layout.at(b).p_mm, radius_a});
    }
  }
  return run;
}

Result<void> write_duct_step(const duct::Duct& duct, const std::filesystem::path& path) {
  std::vector<StepOut> parts;
  for (const duct::Piece& piece : duct.layout.pieces) {
    if (piece.kind == duct::Piece::Kind::clamps) continue;  // bought; their screws are known as an envelope only
    const Result<Solid> solid = piece_solid(duct.layout, piece);
    if (!solid) {
      return fail(solid.error().code, "duct " + duct.spec.id.value + ": " + piece.name, solid.error().message);
    }
    const bool tube = piece.kind == duct::Piece::Kind::tube;
    parts.push_back({piece.name, tube ? kTubeColor : kHoseColor, *solid});
  }
  return write_step(path, parts, "duct " + duct.spec.id.value);
}

}  // namespace baywright::fabrication
