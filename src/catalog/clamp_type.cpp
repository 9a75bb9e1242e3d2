#include "catalog/clamp_type.hpp"

#include <algorithm>

namespace baywright::catalog {
namespace {

constexpr const char* kTypicalClamp = "from memory: typical clamp";

ClampType clamp(const char* id, const char* name, ClampKind kind, double band_mm, double length_mm, double width_mm,
                double height_mm, double screw_mm, double hexagon_mm, double stud_mm, double turns) {
  ClampType type;
  type.id = ClampTypeId(id);
  type.name = name;
  type.kind = kind;
  type.band_width_mm = band_mm;
  type.body_length_mm = length_mm;
  type.body_width_mm = width_mm;
  type.body_height_mm = height_mm;
  type.screw_height_mm = screw_mm;
  type.hexagon_mm = hexagon_mm;
  type.stud_mm = stud_mm;
  type.turns_to_close = turns;
  type.source = kTypicalClamp;
  return type;
}

/// Pliers take its tangs at half their height.
ClampType spring_band(const char* id, const char* name, double band_mm, double length_mm, double width_mm,
                      double height_mm) {
  ClampType type =
      clamp(id, name, ClampKind::spring_band, band_mm, length_mm, width_mm, height_mm, 0.5 * height_mm, 0, 0, 0);
  type.turns_to_close.reset();
  return type;
}

}  // namespace

// Turns: a worm takes in 3.2 mm of band a turn, and a clamp that went over a bead of 2 mm and 4 mm of slack all round
// has 2 pi * 4 = 25 mm to close; a T-bolt with 1 mm of thread a turn about 20 mm (common practice, no source).
const std::vector<ClampType>& usual_clamps() {
  static const std::vector<ClampType> clamps = {
      clamp("worm-9", "worm drive, narrow band", ClampKind::worm, 9, 25, 12, 11, 5, 7, 0, 8),
      clamp("worm-12", "worm drive, wide band", ClampKind::worm, 12.7, 30, 15, 13, 6.5, 8, 0, 8),
      clamp("t-bolt", "T-bolt", ClampKind::t_bolt, 19, 68, 20, 17, 9, 11, 40, 20),
      clamp("t-bolt-spring", "T-bolt with spring", ClampKind::spring_t_bolt, 19, 93, 20, 20, 9, 11, 40, 20),
      clamp("worm-12-lined", "worm drive, wide band, lined", ClampKind::lined_worm, 12.7, 30, 15, 13, 6.5, 8, 0, 8),
      spring_band("spring-band-12", "constant-tension spring band, narrow", 12, 30, 15, 18),
      spring_band("spring-band-15", "constant-tension spring band, wide", 15, 30, 15, 18),
  };
  return clamps;
}

const ClampType* find_clamp(const std::vector<ClampType>& clamps, const ClampTypeId& id) {
  const auto found = std::find_if(clamps.begin(), clamps.end(), [&](const ClampType& c) { return c.id == id; });
  return found == clamps.end() ? nullptr : &*found;
}

}  // namespace baywright::catalog
