#include "measure/tube_making.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

#include "geometry/base/expects.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"
#include "measure/along_duct.hpp"
#include "measure/bend_chain.hpp"
#include "measure/tolerances.hpp"

namespace baywright::measure {
namespace {

using duct::Bend;
using duct::Duct;
using duct::Piece;

std::vector<const Piece*> tubes(const Duct& duct) {
  std::vector<const Piece*> out;
  for (const Piece& piece : duct.layout.pieces) {
    if (piece.kind == Piece::Kind::tube) out.push_back(&piece);
  }
  return out;
}

/// Bends that lie in a tube, if only in part: one that a cut end falls into was bent whole. Not those welded of pieces:
/// no die makes them, and their wall is the tube's.
std::vector<const Bend*> bends_of(const Duct& duct, const Piece& tube) {
  std::vector<const Bend*> out;
  for (const Bend& bend : duct.layout.bends) {
    const bool inside = bend.station_to_mm > tube.station_from_mm + kRounding_mm &&
                        bend.station_from_mm < tube.station_to_mm - kRounding_mm;
    if (bend.bends() && bend.pieces == 0 && inside) out.push_back(&bend);
  }
  return out;
}

Measured of_tube(const Duct& duct, double value, Unit unit, double station_mm) {
  Measured m = Measured::exact(value, unit);
  m.station_mm = std::clamp(station_mm, 0.0, duct.layout.length_mm);
  m.at_mm = duct.layout.at(*m.station_mm).p_mm;
  return m;
}

}  // namespace

std::vector<Outcome> dies(const Duct& duct) {
  std::vector<Outcome> out;
  for (const Piece* tube : tubes(duct)) {
    std::vector<double> radii;
    for (const Bend* bend : bends_of(duct, *tube)) radii.push_back(bend->radius_mm);
    if (radii.empty()) continue;
    std::sort(radii.begin(), radii.end());
    const auto same = [](double a, double b) { return std::abs(a - b) <= kRounding_mm; };
    radii.erase(std::unique(radii.begin(), radii.end(), same), radii.end());
    Measured m = of_tube(duct, static_cast<double>(radii.size()), Unit::count, middle_mm(*tube));
    std::vector<std::string> texts;
    for (const double radius : radii) texts.push_back(length_text(radius, duct.layout.units));
    m.note = tube->name + ": " + (texts.size() == 1 ? "radius " : "radii ") + joined(texts);
    out.emplace_back(std::move(m));
  }
  return out;
}

std::vector<Outcome> walls_after_bending(const Duct& duct) {
  std::vector<Outcome> out;
  for (const Piece* tube : tubes(duct)) {
    const Bend* thinnest = nullptr;
    double least = std::numeric_limits<double>::infinity(), share = 0;
    for (const Bend* bend : bends_of(duct, *tube)) {
      const duct::TubeSize size = duct.layout.tube_at(middle_mm(*bend));
      const double taken = 0.5 * size.outer_diameter_mm / (bend->radius_mm + 0.5 * size.outer_diameter_mm);
      const double left = size.wall_mm * (1 - taken);
      if (left >= least) continue;
      least = left;
      share = taken;
      thinnest = bend;
    }
    if (!thinnest) continue;
    Measured m = of_tube(duct, least, Unit::mm, middle_mm(*thinnest));
    m.note = tube->name + ", bend at " + thinnest->at.value + ": the outer wall thins by about " +
             std::to_string(static_cast<int>(std::lround(100 * share))) + " %";
    out.emplace_back(std::move(m));
  }
  return out;
}

std::vector<Outcome> developed_lengths(const Duct& duct) {
  std::vector<Outcome> out;
  for (const Piece* tube : tubes(duct)) {
    const double from = std::max(0.0, tube->station_from_mm), to = std::min(duct.layout.length_mm, tube->station_to_mm);
    Measured m = of_tube(duct, to - from, Unit::mm, middle_mm(*tube));
    m.note = tube->name;
    out.emplace_back(std::move(m));
  }
  return out;
}

std::vector<EndStraight> end_straights(const Duct& duct) {
  std::vector<EndStraight> out;
  for (const Piece* tube : tubes(duct)) {
    const std::vector<const Bend*> bends = bends_of(duct, *tube);
    if (bends.empty()) continue;
    for (const duct::PlacedFitting& fitting : duct.layout.fittings) {
      if (!std::holds_alternative<duct::Coupler>(fitting.kind)) continue;
      const bool starts = std::abs(fitting.station_to_mm - tube->station_from_mm) <= kRounding_mm;
      const bool ends = std::abs(fitting.station_from_mm - tube->station_to_mm) <= kRounding_mm;
      if (!starts && !ends) continue;
      const Bend& nearest = starts ? *bends.front() : *bends.back();
      // A cut through a bend leaves no straight at all.
      const double length = std::max(
          0.0, starts ? nearest.station_from_mm - tube->station_from_mm : tube->station_to_mm - nearest.station_to_mm);
      Measured m = of_tube(duct, length, Unit::mm, starts ? tube->station_from_mm : tube->station_to_mm);
      m.band.add(bend_tolerance(duct.spec, "bend at " + nearest.at.value, duct.layout.units));
      m.band.add(fitting_tolerance(duct.spec, "end of the tube", duct.layout.units));
      m.note = tube->name + ", to the bend at " + nearest.at.value;
      out.push_back({fitting.id, starts ? duct::HoseEnd::downstream : duct::HoseEnd::upstream, std::move(m)});
    }
  }
  return out;
}

namespace {

/// Squares of the components of directions that fill one octant evenly.
const std::vector<Vec3>& squared_directions() {
  static const std::vector<Vec3> directions = [] {
    constexpr int kSteps = 64;
    std::vector<Vec3> out;
    for (int i = 0; i < kSteps; ++i) {
      const double z = (i + 0.5) / kSteps, flat = std::sqrt(1 - z * z);
      for (int k = 0; k < kSteps; ++k) {
        const double azimuth = (k + 0.5) / kSteps * 0.5 * std::numbers::pi;
        out.emplace_back(Vec3(flat * std::cos(azimuth), flat * std::sin(azimuth), z).cwiseAbs2());
      }
    }
    return out;
  }();
  return directions;
}

}  // namespace

double radius_of_95_percent(const Vec3& sigma) {
  const double largest = sigma.maxCoeff();
  if (!(largest > 0)) return 0;
  // With z normal and z = rho u, the length |sigma z| = rho |sigma u|: the share within r is the mean over all
  // directions u of the chi distribution of three degrees at r / |sigma u|. One octant stands for all.
  std::vector<double> sizes;
  sizes.reserve(squared_directions().size());
  const Vec3 variance = sigma.cwiseAbs2();
  for (const Vec3& u2 : squared_directions()) sizes.push_back(std::max(std::sqrt(variance.dot(u2)), 1e-12 * largest));
  const double root_2_over_pi = std::sqrt(2 / std::numbers::pi);
  double low = 0, high = 4 * sigma.norm(), r = 2 * sigma.norm();
  while (high - low > 1e-6 * high) {
    double share = 0, density = 0;  // within r, and how it grows with r
    for (const double size : sizes) {
      const double x = r / size, tail = root_2_over_pi * x * std::exp(-0.5 * x * x);
      share += std::erf(x / std::numbers::sqrt2) - tail;
      density += x * tail / size;
    }
    const double lacks = 0.95 - share / static_cast<double>(sizes.size());
    (lacks > 0 ? low : high) = r;
    // Newton's step a little beyond the root, so that both bounds close in; halves where it leads outside them.
    const double step = lacks * static_cast<double>(sizes.size()) / density;
    constexpr double kBeyond = 4e-7;
    const double next = r + step + (lacks > 0 ? kBeyond : -kBeyond) * r;
    r = density > 0 && next > low && next < high ? next : 0.5 * (low + high);
  }
  return high;
}

double free_end_error_mm(const Duct& duct, const Piece& tube) {
  EXPECTS(duct.spec.bending.has_value() && tube.kind == Piece::Kind::tube);
  const double from = std::max(0.0, tube.station_from_mm), to = std::min(duct.layout.length_mm, tube.station_to_mm);
  const BendChain chain(duct.layout, from, to);
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
  for (std::size_t i = 0; i < chain.errors().size(); ++i) {
    const Vec3 d = standard_size(chain.errors()[i], *duct.spec.bending) * chain.free_displacement(i, to);
    covariance += d * d.transpose();
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> solver(covariance, Eigen::EigenvaluesOnly);
  return radius_of_95_percent(solver.eigenvalues().cwiseMax(0).cwiseSqrt());
}

namespace {

/// What the couplers at a tube's ends leave of what they take sideways.
struct Left {
  double sum_mm = 0;
  std::string text;
  std::vector<std::string> unstated;   ///< keys
  std::optional<NotAssessed> unknown;  ///< why nobody knows what the motion takes of them
  bool any = false;
};

Left left_by_couplers(const Duct& duct, const Piece& tube, const std::vector<JointShare>& over_motion) {
  Left left;
  for (const duct::PlacedFitting& fitting : duct.layout.fittings) {
    const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
    const bool at_end = std::abs(fitting.station_to_mm - tube.station_from_mm) <= kRounding_mm ||
                        std::abs(fitting.station_from_mm - tube.station_to_mm) <= kRounding_mm;
    if (!coupler || !at_end) continue;
    left.any = true;
    if (coupler->lateral_mm <= 0) {
      left.unstated.push_back("ducts/" + duct.spec.id.value + "/fittings/" + fitting.id.value + "/lateral_mm");
      continue;
    }
    double asked = 0;
    for (const JointShare& share : over_motion) {
      if (share.coupler != fitting.id || share.give != Give::sideways) continue;
      asked = share.asked;
      if (const auto* why = std::get_if<NotAssessed>(&share.share)) left.unknown = *why;
    }
    const double rest = std::max(0.0, coupler->lateral_mm - asked);
    left.sum_mm += rest;
    left.text += (left.text.empty() ? "" : ", ") + fitting.id.value + " " + length_text(rest, duct.layout.units);
  }
  return left;
}

}  // namespace

std::vector<Landing> landings(const Duct& duct, const std::vector<JointShare>& over_motion) {
  std::vector<Landing> out;
  for (const Piece* tube : tubes(duct)) {
    if (bends_of(duct, *tube).empty()) continue;
    const Left left = left_by_couplers(duct, *tube, over_motion);
    Landing landing{tube->name, left.any, {}};
    if (!left.unstated.empty()) {
      landing.left =
          NotAssessed{tube->name + ": what the couplers at its ends take sideways is not stated", left.unstated};
    } else if (left.unknown) {
      landing.left = *left.unknown;
    } else if (!duct.spec.bending && left.any) {
      landing.left = NotAssessed{"what the bender holds is not stated", {"ducts/" + duct.spec.id.value + "/bending"}};
    } else {
      const double error = duct.spec.bending ? free_end_error_mm(duct, *tube) : 0;
      Measured m = of_tube(duct, left.sum_mm - error, Unit::mm, middle_mm(*tube));
      if (duct.spec.bending) m.note = "it may end " + length_text(error, duct.layout.units) + " from its place; ";
      m.note += left.any ? "its couplers have left sideways: " + left.text
                         : std::string("no coupler takes up what making leaves open");
      landing.left = std::move(m);
    }
    out.push_back(std::move(landing));
  }
  return out;
}

}  // namespace baywright::measure
