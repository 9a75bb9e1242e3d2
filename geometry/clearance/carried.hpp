#pragma once

#include <span>
#include <vector>

#include "geometry/clearance/flexible_gap.hpp"
#include "geometry/clearance/form_functions.hpp"
#include "geometry/clearance/motion.hpp"

namespace baywright {

/// One way in which everything may move at the same time: which member each moving body is in, and the parameters
/// that remain: path parameters and joint coordinates, then shares of links and the mixture of a soft thing whose shape
/// is not known.
struct Scenario {
  struct Mover {
    BodyIndex body = 0;
    int member = 0;
    int first = 0;  ///< of its parameters: one for a path, one per joint for a box
  };
  std::vector<Mover> movers;
  int axial = -1, spin = -1, mix = -1;  ///< parameter index, -1: does not matter here
  std::vector<double> from, to;         ///< range of each parameter
  int count() const { return static_cast<int>(from.size()); }
  /// Whether a parameter is a share between bodies rather than a motion of one.
  bool is_share(int k) const { return k == axial || k == spin || k == mix; }
};

/// All scenarios whose union is the motion set of a carriage against a body. Never empty: at rest there is one without
/// parameters. EXPECTS body indices within `kinematics`, at most kMostParameters at a time.
std::vector<Scenario> scenarios(const Kinematics& kinematics, const Carriage& carriage, BodyIndex surface_body);

PosedState state_at(const Kinematics& kinematics, const Scenario& scenario, std::span<const double> u);

/// Enclosures of where points of a thing are, seen from the surface's body, over a cell of parameters.
class CarriedForms {
 public:
  CarriedForms(const Kinematics& kinematics, const Carriage& carriage, BodyIndex surface_body, const Scenario& scenario,
               std::span<const double> center, std::span<const double> half);

  int count() const { return n_; }
  bool mixed() const { return carriage_.mixed(); }
  bool flexible() const { return carriage_.flexible(); }
  /// Of a flexible joint a point of its axis.
  VectorForm point(const Vec3& rest) const;
  /// Control points of the part of a flexible joint's axis between two shares of its gap (0..1): the part lies in their
  /// hull. EXPECTS a flexible joint.
  std::vector<VectorForm> curve(double from, double to) const;
  /// Unit directions that turn with the thing. For a mixture the first is carried as the mixture of both turns.
  struct Frame {
    VectorForm along, ex, ey;
  };
  Frame frame(const Vec3& along, const Vec3& ex, const Vec3& ey) const;
  /// `along` made unit; the other two follow it by the smallest rotation, so they stay perpendicular to it.
  Frame frame_along(const VectorForm& along) const;

 private:
  struct Link {
    VectorForm middle, along;  ///< seen from the vehicle
    Vec3 rest_middle, rest_along;
    ScalarForm spin;
  };
  const Scenario::Mover* mover(BodyIndex body) const;
  /// A joint's coordinate: middle + half e_parameter.
  struct Coordinate {
    double middle = 0, half = 0;
    int parameter = 0;
  };
  Coordinate coordinate(const Scenario::Mover& mover, std::size_t joint) const;
  void move(VectorForm& v, const Joint& joint, const Coordinate& q, double sign, bool as_point) const;
  VectorForm ride(BodyIndex body, VectorForm v, bool as_point) const;
  VectorForm seen_from_surface(VectorForm v, bool as_point) const;
  ScalarForm twist(BodyIndex body, const Vec3& axis) const;
  Link link(const RigidCarriage& carriage) const;
  VectorForm rigid(const RigidCarriage& carriage, const Link* link, const Vec3& rest, bool as_point) const;
  VectorForm carried(const Vec3& rest, bool as_point) const;
  VectorForm combined(const CubicWeights& weights) const;
  VectorForm mixture(const VectorForm& a, const VectorForm& b) const;
  ScalarForm parameter(int k) const;

  const Kinematics& kinematics_;
  const Carriage& carriage_;
  const BodyIndex surface_;
  const Scenario& scenario_;
  std::span<const double> center_, half_;
  int n_ = 0;
  std::vector<Link> links_;           ///< of first, then of second, where they are links
  std::vector<VectorForm> controls_;  ///< of a flexible joint's axis, seen from the surface's body
};

}  // namespace baywright
