#pragma once

#include <optional>
#include <string>
#include <vector>

#include "bay/bay.hpp"
#include "bay/motion_spec.hpp"
#include "checks/answer.hpp"
#include "checks/surroundings.hpp"
#include "duct/route.hpp"
#include "flow/flow_model.hpp"
#include "geometry/base/unit.hpp"
#include "job/routing_wishes.hpp"

namespace baywright::job {

inline constexpr int kJobVersion = 1;

struct BodySpec {
  bay::BodyId id;
  std::string name;
  bay::MotionSpec motion;
  bool operator==(const BodySpec&) const = default;
};

/// Rigid placement of a file's own frame in the vehicle frame.
struct Placement {
  Vec3 shift_mm = Vec3::Zero();
  Angle roll, pitch, yaw;  ///< applied roll (x), then pitch (y), then yaw (z)
  bool operator==(const Placement&) const = default;
};

/// A part as the job states it: which file, which shapes of it, what it is.
struct PartSpec {
  bay::PartId id;
  std::string name;
  std::string file;                   ///< relative to the job folder
  std::vector<std::string> select;    ///< names or paths of STEP parts; empty: all of the file
  std::optional<double> mm_per_unit;  ///< formats without a unit
  bay::BodyId body;                   ///< empty: not stated, taken as the vehicle
  bay::PartClass part_class = bay::PartClass::plain;
  std::optional<Temperature> surface_temperature;
  std::optional<double> uncertainty_mm;  ///< standard uncertainty of its surface; absent: unknown
  std::string uncertainty_source;
  std::optional<bay::Alignment> alignment;  ///< absent: inside uncertainty_mm, or unknown where that is absent too
  std::optional<double> chord_error_mm;     ///< target when tessellated; default 0.1
  bool drop_hidden = false;                 ///< solids of a STEP file that nothing outside sees are left out
  std::optional<bool> scanned;              ///< of a mesh: whether it is a scan; absent: by what it looks like
  bool size_confirmed = false;              ///< the user has looked: the size it is read with is right
  bool removed_first = false;               ///< may be taken out before clamps are worked, and before tubes and hoses are
  std::optional<bay::PartId> shielded_by;   ///< hot parts: the part that stands before it as a shield
  Placement placement;
  bool operator==(const PartSpec&) const = default;
};

struct PortSpec {
  bay::PortId id;
  std::string name;
  Vec3 center_mm = Vec3::Zero();
  Vec3 axis = Vec3::UnitX();
  double bore_mm = 0;
  double outer_diameter_mm = 0;
  bay::BodyId body = bay::kVehicle;
  std::optional<bay::PartId> part;
  double contact_length_mm = 0;
  std::optional<double> spigot_length_mm;
  std::optional<bay::Hood> hood;
  bool operator==(const PortSpec&) const = default;
};

struct OpeningSpec {
  bay::OpeningId id;
  std::string name;
  std::vector<Vec3> outline_mm;
  bool operator==(const OpeningSpec&) const = default;
};

/// What job.json says, as plain values. Reading, writing and reading again gives an equal job.
struct Job {
  std::string name;
  std::string note;
  DisplayUnits units;
  std::vector<bay::Attitude> attitudes;  ///< besides level
  bay::Ground ground;
  std::vector<BodySpec> bodies;  ///< `vehicle` need not be listed
  bool motions_combined = false;
  std::vector<PartSpec> parts;
  std::vector<OpeningSpec> openings;
  std::vector<PortSpec> ports;
  std::vector<duct::DuctSpec> ducts;
  flow::FlowInputs flow;
  std::vector<checks::Answer> answers;
  std::vector<checks::ServicePoint> service_points;
  std::vector<checks::FilterElement> filter_elements;
  std::string sheet;  ///< file relative to the job folder, or "default"; "": no limits
  std::string tools;  ///< file of tools and clamps relative to the job folder, or "default"; "": default
  RoutingWishes routing;
  double clearance_width_mm = 0.1;
  double clearance_range_mm = 60;
  std::vector<std::string> outside_files;  ///< paths outside the job folder it asks for; only the user can allow them
  bool operator==(const Job&) const = default;
};

}  // namespace baywright::job
