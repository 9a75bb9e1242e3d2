#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bay/ids.hpp"
#include "bay/motion_spec.hpp"
#include "geometry/base/quantity.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/clearance/motion.hpp"
#include "geometry/clearance/tri_tree.hpp"
#include "geometry/files/step_file.hpp"
#include "geometry/tri_mesh.hpp"

namespace baywright::bay {

/// What a part is to a duct: decides the clearance it needs.
enum class PartClass { plain, edge, hot, rotating, fluid_line, electrical, steering, bonnet, structure, reserved };
inline constexpr std::array kPartClasses{
    PartClass::plain,      PartClass::edge,     PartClass::hot,    PartClass::rotating,  PartClass::fluid_line,
    PartClass::electrical, PartClass::steering, PartClass::bonnet, PartClass::structure, PartClass::reserved};
std::string_view name(PartClass c);  ///< the word in files: "plain", "fluid line"...

/// A rigid group that moves as one. Index 0 is always the vehicle (the reference, never moves).
struct Body {
  BodyId id;
  std::string name;
  MotionSpec spec;
  MotionSet motion;
  bool motion_assumed = false;
  double motion_fit_residual_mm = 0;
};

/// How surely a part was put in its place: at its datum, and growing with the distance from it because the turn that
/// was found is uncertain too. Standard uncertainties.
struct Alignment {
  Vec3 datum_mm = Vec3::Zero();  ///< vehicle frame at rest: the middle of the features it was fitted to
  double at_datum_mm = 0;
  double per_metre_mm = 0;
  bool operator==(const Alignment&) const = default;
};

/// A STEP solid, mesh or point cloud placed in a body. Geometry is shared and immutable.
struct Part {
  PartId id;
  std::string name;
  BodyIndex body = 0;
  PartClass part_class = PartClass::plain;
  std::optional<Temperature> surface_temperature;
  /// Standard uncertainty of its surface, mm: measuring alone where `alignment` is stated, else both together. Absent:
  /// unknown, not 0.
  std::optional<double> uncertainty_mm;
  std::string uncertainty_source;
  std::optional<Alignment> alignment;
  std::optional<Rgb> color;
  std::shared_ptr<const TriMesh> mesh;      ///< null for clouds
  std::shared_ptr<const PointCloud> cloud;  ///< null for meshes
  TriTree tree;
  std::optional<Solid> solid;       ///< exact shape when from STEP and it is one
  std::vector<Solid> shapes;        ///< all exact shapes, in the order of the mesh's face numbers
  bool modelled = false;            ///< from STEP, or a mesh that is said, or taken, to be no scan
  bool model_assumed = false;       ///< nobody said so: a mesh that is `modelled` by what it looks like
  bool encloses = false;            ///< closed solid: inside is occupied
  std::vector<std::string> hidden;  ///< solids of the file that are left out because nothing outside sees them
  bool removed_first =
      false;               ///< is out before clamps that cannot be reached otherwise are worked, and before ways out
  std::string file;        ///< relative path it came from
  std::string doubt;       ///< why its size or shape is not believed (nothing is judged by it); "" when it is
  std::string incomplete;  ///< what is known to be missing of its model (nothing is judged by it); "" when whole
  bool doubted() const { return !doubt.empty() || !incomplete.empty(); }
  std::string content_hash;  ///< sha256 of that file; of a model in several files, of the list of their hashes
  double chord_error_mm() const { return mesh ? mesh->chord_error_mm : 0.0; }
  /// From a scan: a cloud, or a mesh that was made of no model.
  bool scanned() const { return !modelled && !solid && chord_error_mm() == 0; }
};

/// Where outside air enters: the cover over a port.
struct Hood {
  Vec3 faces = -Vec3::UnitZ();  ///< unit: the way its opening looks
  double open_area_cm2 = 0;
  std::optional<bool> labyrinth = {};  ///< the air turns in it so that drops stay outside
  std::optional<Vec3> lowest_mm = {};  ///< lowest point of its opening, vehicle frame at rest; absent: not stated
  bool operator==(const Hood&) const = default;
};

/// How the vehicle stands over ground and water. What is absent was not stated.
struct Ground {
  std::optional<double> height_mm;  ///< of the ground, vehicle frame at rest, level
  std::optional<double> bump_mm;    ///< how far the vehicle sinks from there with its springs on their stops
  std::optional<double> wading_mm;  ///< depth of water it may go through
  bool operator==(const Ground&) const = default;
};

/// An open round end a duct can start or end at.
struct Port {
  PortId id;
  std::string name;
  Vec3 center_mm = Vec3::Zero();
  Vec3 axis = Vec3::UnitX();  ///< unit, outward: away from what the port belongs to
  double bore_mm = 0;
  double outer_diameter_mm = 0;
  BodyIndex body = 0;
  std::optional<PartId> part;    ///< the part it belongs to; touching it near the port is by design
  double contact_length_mm = 0;  ///< a duct may touch `part` within this distance along the duct from the port
  std::optional<double> spigot_length_mm;  ///< from its open end as far as a hose can lie on it; absent: not stated
  std::optional<Hood> hood;                ///< of an inlet of outside air
};

/// Opening a hand or tool comes through: a closed polygon in the vehicle frame.
struct AccessOpening {
  OpeningId id;
  std::string name;
  std::vector<Vec3> outline_mm;
};

/// How the vehicle may stand: pitch positive nose up, roll positive left side up.
struct Attitude {
  std::string name;
  Angle pitch, roll;
  bool operator==(const Attitude&) const = default;
  /// Unit vector against gravity in the vehicle frame; level: (0, 0, 1). Pitch is taken between the vehicle's x axis
  /// and the horizon, roll about that x axis: (sin p, cos p sin r, cos p cos r).
  Vec3 up() const;
};

/// Everything a duct must live with.
struct Bay {
  std::vector<Body> bodies;
  std::vector<Part> parts;
  std::vector<Port> ports;
  std::vector<AccessOpening> openings;
  std::vector<Attitude> attitudes;  ///< first one is level
  bool attitudes_stated = true;     ///< false: nobody said how the vehicle may stand, and level is all there is
  Ground ground;
  bool motions_combined = false;  ///< full product over bodies instead of one at a time
  DisplayUnits units;             ///< units of the texts that are made about it: names, notes, hints

  std::optional<BodyIndex> find_body(const BodyId& id) const;
  const Part* find_part(const PartId& id) const;
  const Port* find_port(const PortId& id) const;
  Kinematics kinematics() const;
};

}  // namespace baywright::bay
