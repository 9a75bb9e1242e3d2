#pragma once

#include <optional>
#include <string>
#include <vector>

#include "duct/layout.hpp"
#include "geometry/base/band.hpp"

namespace baywright::measure {

/// One thing in the making of a tube that may come out otherwise than drawn.
struct MakingError {
  enum class Kind { length, rotation, angle };
  Kind kind = Kind::length;
  std::string place;  ///< "bend at P2", "straight behind P2"
};

/// A bent tube between two stations, made straight by straight and bend by bend from its upstream end, then fitted: its
/// ends are brought to where they were drawn. First order in the errors.
class BendChain {
 public:
  /// EXPECTS 0 <= from < to <= length of the duct.
  BendChain(const duct::Layout& layout, double from_mm, double to_mm);

  /// Lengths of the straights, turns between the planes of successive bends, angles of the bends.
  const std::vector<MakingError>& errors() const { return errors_; }

  /// Displacement of the axis at a station for one unit of an error (mm, rad), after fitting. Bends grow about their
  /// own centre: what lies behind swings with them. Fitting is a rigid move: no sideways miss at either end, a miss
  /// along the line of the ends is shared by both; the tube is not turned about that line.
  Vec3 displacement(std::size_t error, double station_mm) const;
  /// The same as it comes from the bender, its upstream end in place and the other free.
  Vec3 free_displacement(std::size_t error, double station_mm) const { return made(steps_.at(error), station_mm); }
  /// Turn of the section at a station for one unit of an error (rad per mm or rad), after fitting: a rotation vector.
  Vec3 turn(std::size_t error, double station_mm) const;

 private:
  struct Step {
    double from_mm = 0, to_mm = 0;                    ///< stations over which the error comes in
    Vec3 along = Vec3::Zero();                        ///< of what lies behind: shift per unit
    Vec3 axis = Vec3::Zero(), center = Vec3::Zero();  ///< and turn per unit
  };
  Vec3 made(const Step& step, double station_mm) const;
  Vec3 fitting_turn(const Step& step) const;

  const duct::Layout& layout_;
  double from_mm_, to_mm_;
  std::vector<MakingError> errors_;
  std::vector<Step> steps_;
};

/// Standard uncertainty of one error under the shop's tolerances, mm or rad.
double standard_size(const MakingError& error, const duct::BendingTolerance& tolerance);

/// What the bender's tolerances (DuctSpec::bending) leave open of a tube's surface at a station, in the direction
/// `toward` (unit): one contribution for each error that matters, independent of one another. Without a place the
/// greatest over the tube in any direction. Empty for a coupler: it follows the ends that were fitted.
/// EXPECTS spec.bending.
std::vector<Contribution> chain_tolerance(const duct::Duct& duct, const duct::Piece& piece,
                                          std::optional<double> station_mm, std::optional<Vec3> toward);

/// What they leave open at one of a tube's ends once both are fitted: of its place along the tube's axis there, mm, or
/// of the axis' direction, rad (`in_angle`). EXPECTS spec.bending, a tube, a station at one of its ends.
std::vector<Contribution> end_tolerance(const duct::Duct& duct, const duct::Piece& tube, double station_mm,
                                        bool in_angle);

/// The bender's standard uncertainty of the turn between the planes of two bends, degrees; see slope_tolerance.
Contribution rotation_tolerance(const duct::DuctSpec& spec, const std::string& where);

/// What they leave open of the slope of a tube's axis at a station against `up`, degrees, once its ends are fitted.
/// Where the bender's tolerances are not stated, a tube-bending shop's published ones for parts of several bends stand
/// in (usual_bending). Empty for a hose. EXPECTS a station of the duct.
std::vector<Contribution> slope_tolerance(const duct::Duct& duct, double station_mm, const Vec3& up);

}  // namespace baywright::measure
