#include "measure/bend_chain.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "measure/clearance_pairs.hpp"
#include "measure/tolerances.hpp"
#include "tests/support/ducts.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

/// A tube bent by a machine: straights, turns before bends, bends; walked along like a turtle.
struct Recipe {
  std::vector<double> lengths_mm, turns_rad, angles_rad, radii_mm;
};

struct Turtle {
  Vec3 p, t, n;  ///< place, direction, normal of the next bend
};

/// Place on the tube's axis: straight k (from 0) at a share of its length.
Vec3 walk(const Recipe& r, Turtle at, std::size_t straight, double share) {
  for (std::size_t k = 0;; ++k) {
    if (k == straight) return at.p + share * r.lengths_mm[k] * at.t;
    at.p += r.lengths_mm[k] * at.t;
    at.n = Eigen::AngleAxisd(r.turns_rad[k], at.t) * at.n;
    const Vec3 center = at.p + r.radii_mm[k] * at.n.cross(at.t);
    const Eigen::AngleAxisd bend(r.angles_rad[k], at.n);
    at.p = center + bend * (at.p - center);
    at.t = bend * at.t;
  }
}

/// Moves p as the fit moves the tube: ends a, b of the made tube onto the line a0-b0, the miss along it shared.
Vec3 fitted(const Vec3& p, const Vec3& a, const Vec3& b, const Vec3& a0, const Vec3& b0) {
  const Eigen::Quaterniond turn = Eigen::Quaterniond::FromTwoVectors(b - a, b0 - a0);
  return turn * (p - 0.5 * (a + b)) + 0.5 * (a0 + b0);
}

}  // namespace

TEST_CASE("A straight tube only grows longer, and its ends share that") {
  const Installation made = between(route({{0, 0, 0}, {400, 0, 0}}, 0));
  const Duct duct = made.laid_out();
  const BendChain chain(duct.layout, 0, 400);
  REQUIRE(chain.errors().size() == 1);
  CHECK((chain.displacement(0, 0) - Vec3(-0.5, 0, 0)).norm() < 1e-12);
  CHECK(chain.displacement(0, 200).norm() < 1e-12);
  CHECK((chain.displacement(0, 400) - Vec3(0.5, 0, 0)).norm() < 1e-12);
}

TEST_CASE("One bend too far: the corner goes out and the ends stay on their line") {
  // Two straights of 300 around a bend of 90 degrees: ends move along their line only.
  const Installation made = between(route({{0, 0, 0}, {400, 0, 0}, {400, 400, 0}}, 100));
  const Duct duct = made.laid_out();
  const BendChain chain(duct.layout, 0, duct.layout.length_mm);
  REQUIRE(chain.errors().size() == 3);
  const Vec3 line = (duct.layout.at(duct.layout.length_mm).p_mm - duct.layout.at(0).p_mm).normalized();
  for (std::size_t i = 0; i < 3; ++i) {
    for (const double s : {0.0, duct.layout.length_mm}) {
      const Vec3 d = chain.displacement(i, s);
      CHECK((d - line.dot(d) * line).norm() < 1e-9);
    }
  }
}

TEST_CASE("First order of a bent tube is the difference of two bent tubes") {
  // Three bends out of plane; each error in turn, small, against the tube walked with it and fitted for real.
  const Installation made =
      between(route({{0, 0, 0}, {300, 0, 0}, {300, 350, 120}, {600, 420, 60}, {700, 800, 200}}, 80));
  const Duct duct = made.laid_out();
  const Layout& layout = duct.layout;
  Recipe drawn;
  for (std::size_t i = 0; i < layout.legs.size(); ++i) {
    drawn.lengths_mm.push_back(layout.legs[i].length_mm());
    if (i == layout.bends.size()) break;
    drawn.turns_rad.push_back(i == 0 ? 0 : layout.bends[i].rotation.si());
    drawn.angles_rad.push_back(layout.bends[i].angle.si());
    drawn.radii_mm.push_back(80);
  }
  const Turtle start{layout.legs[0].start_mm, layout.legs[0].direction, layout.bends[0].normal};
  const std::size_t last = layout.legs.size() - 1;
  const Vec3 a0 = walk(drawn, start, 0, 0), b0 = walk(drawn, start, last, 1);
  REQUIRE((b0 - layout.at(layout.length_mm).p_mm).norm() < 1e-6);
  const BendChain chain(layout, 0, layout.length_mm);
  constexpr double kStep = 1e-4;
  std::size_t lengths = 0, turns = 1, angles = 0;
  for (std::size_t i = 0; i < chain.errors().size(); ++i) {
    Recipe off = drawn;
    switch (chain.errors()[i].kind) {
      case MakingError::Kind::length:
        off.lengths_mm[lengths++] += kStep;
        break;
      case MakingError::Kind::rotation:
        off.turns_rad[turns++] += kStep;
        break;
      case MakingError::Kind::angle:
        off.angles_rad[angles++] += kStep;
        break;
    }
    const Vec3 a = walk(off, start, 0, 0), b = walk(off, start, last, 1);
    for (std::size_t leg = 0; leg <= last; ++leg) {
      for (const double share : {0.0, 0.4, 1.0}) {
        const Vec3 real = fitted(walk(off, start, leg, share), a, b, a0, b0) - walk(drawn, start, leg, share);
        const double s = layout.legs[leg].station_from_mm + share * layout.legs[leg].length_mm();
        CAPTURE(i, leg, share);
        CHECK((real / kStep - chain.displacement(i, s)).norm() < 0.05 + 2e-3 * (real / kStep).norm());
      }
    }
  }
  CHECK(lengths == 4);
  CHECK(turns == 3);  // the first bend needs none
  CHECK(angles == 3);
}

TEST_CASE("Contributions: independent, toward the part, none for a hose") {
  Installation made = fitted_job();
  made.spec.bending = BendingTolerance{degrees(0.5), degrees(1), 1.0};
  const Duct duct = made.laid_out();
  for (const Piece& piece : duct.layout.pieces) {
    const auto any = chain_tolerance(duct, piece, std::nullopt, std::nullopt);
    if (piece.kind != Piece::Kind::tube) {
      CHECK(any.empty());
      continue;
    }
    CHECK_FALSE(any.empty());
    const double middle = 0.5 * (piece.station_from_mm + piece.station_to_mm);
    const auto up = chain_tolerance(duct, piece, middle, Vec3::UnitZ());
    for (const Contribution& c : up) {
      CHECK(c.kind == Contribution::Kind::standard);
      CHECK(c.group.empty());
      const auto whole =
          std::find_if(any.begin(), any.end(), [&](const Contribution& w) { return w.source == c.source; });
      REQUIRE(whole != any.end());
      CHECK(c.high <= whole->high + 0.2);
    }
  }
}

TEST_CASE("How much nearer a duct may lie by its making follows the bender's tolerances, not the usual figure") {
  Installation made = between(route({{0, 0, 0}, {400, 0, 0}, {400, 400, 0}}, 100));
  const double usual = nearer_by_making_mm(made.laid_out());
  Band band;
  band.add(bend_tolerance(made.spec));
  CHECK(usual == Approx(band.low()));
  made.spec.bending = BendingTolerance{degrees(3), degrees(3), 3};
  const double loose = nearer_by_making_mm(made.laid_out());
  CHECK(loose > usual + 3);
  // At least what the bend's angle alone does at the worst place of the tube.
  const Duct duct = made.laid_out();
  const BendChain chain(duct.layout, 0, duct.layout.length_mm);
  double most = 0;
  for (std::size_t i = 0; i < chain.errors().size(); ++i) {
    for (double s = 0; s <= duct.layout.length_mm; s += 5) {
      most = std::max(most, standard_size(chain.errors()[i], *made.spec.bending) * chain.displacement(i, s).norm());
    }
  }
  CHECK(loose > 2 * most);
}
