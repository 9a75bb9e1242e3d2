#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/base/id.hpp"

namespace baywright::catalog {

using ClampTypeId = Id<struct ClampTypeTag>;

/// How a clamp draws its band together.
enum class ClampKind {
  worm,             ///< worm in slots through the band
  lined_worm,       ///< worm in an embossed band, or over a lining: no slot on the hose
  lug,              ///< two lugs and a bolt
  constant_torque,  ///< worm over a stack of spring washers
  t_bolt,
  spring_t_bolt,  ///< T-bolt over springs: constant tension
  spring_band,    ///< a spring that grips of itself, opened by pressing its two tangs together: no screw
};
/// Kinds that hold a hose under boost (common practice, no source).
inline bool holds_boost(ClampKind kind) {
  return kind == ClampKind::constant_torque || kind == ClampKind::t_bolt || kind == ClampKind::spring_t_bolt;
}

/// A hose clamp with a hexagon screw, or a spring band. Its body is a box on the band: along the band, along the hose,
/// and above the hose. The screw's axis runs along the band (square to the hose's axis and to the radius through the
/// body's middle), and its head is at one end of the body; the clamp may be put on either way round. The body of a
/// spring band are its tangs, which pliers take from outside, along the radius.
struct ClampType {
  ClampTypeId id;
  std::string name;
  double band_width_mm = 0;
  double body_length_mm = 0;             ///< along the band
  double body_width_mm = 0;              ///< along the hose
  double body_height_mm = 0;             ///< above the hose
  double screw_height_mm = 0;            ///< above the hose: of the screw's axis, of where pliers take the tangs
  double hexagon_mm = 0;                 ///< across flats; 0: a spring band
  double stud_mm = 0;                    ///< what may stick out beyond the nut when tight
  std::optional<double> turns_to_close;  ///< of the screw, from put on to tight
  std::optional<ClampKind> kind;
  std::string source;
  bool has_screw() const { return kind != ClampKind::spring_band; }
  bool operator==(const ClampType&) const = default;
};

/// Common clamps, each with its source. All dimensions are from memory; a shop puts in those of the catalogue it buys
/// from.
const std::vector<ClampType>& usual_clamps();
/// nullptr: none of this id.
const ClampType* find_clamp(const std::vector<ClampType>& clamps, const ClampTypeId& id);

}  // namespace baywright::catalog
