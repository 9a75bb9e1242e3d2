#include "routing/port_moves.hpp"

#include <algorithm>
#include <cmath>
#include <memory>

#include "geometry/base/expects.hpp"
#include "job/read_part.hpp"

namespace baywright::routing {
namespace {

/// As the job's text says it: a place that is 30 mm from 12.3 reads 42.3.
Vec3 rounded(const Vec3& p) {
  constexpr double kPerMm = 1e6;
  return {std::round(p.x() * kPerMm) / kPerMm, std::round(p.y() * kPerMm) / kPerMm,
          std::round(p.z() * kPerMm) / kPerMm};
}

bool only_shifts(const Pose& by) { return by.R.vec().isZero(0); }

job::Placement moved_placement(const job::Placement& old, const Pose& by) {
  job::Placement out = old;
  if (only_shifts(by)) {
    out.shift_mm = rounded(old.shift_mm + by.p);
    return out;
  }
  const Pose X = by * job::pose_of(old);
  const Eigen::Matrix3d R = X.R.toRotationMatrix();
  const double sin_pitch = std::clamp(-R(2, 0), -1.0, 1.0);
  constexpr double kUpright = 1 - 1e-12;  // roll and yaw turn about one line: all of it is called yaw
  const bool upright = std::abs(sin_pitch) > kUpright;
  out.pitch = Angle::from_si(std::asin(sin_pitch));
  out.roll = Angle::from_si(upright ? 0 : std::atan2(R(2, 1), R(2, 2)));
  out.yaw = Angle::from_si(upright ? std::atan2(-R(0, 1), R(1, 1)) : std::atan2(R(1, 0), R(0, 0)));
  out.shift_mm = rounded(X.p);
  return out;
}

bay::Part moved_part(bay::Part part, const Pose& by) {
  auto mesh = std::make_shared<TriMesh>(*part.mesh);
  if (only_shifts(by)) {
    mesh->origin_mm += by.p;
  } else {
    mesh->origin_mm = by * mesh->origin_mm;
    for (Vec3f& vertex : mesh->vertices) vertex = (by.R * vertex.cast<double>()).cast<float>();
  }
  part.tree = TriTree::over(*mesh);
  part.mesh = std::move(mesh);
  if (part.solid) part.solid = part.solid->moved(by);
  for (Solid& shape : part.shapes) shape = shape.moved(by);
  if (part.alignment) part.alignment->datum_mm = rounded(by * part.alignment->datum_mm);
  return part;
}

/// bay::Port or job::PortSpec.
template <class Port>
void move_port(Port& port, const Pose& by) {
  port.center_mm = rounded(by * port.center_mm);
  port.axis = by.R * port.axis;
  if (!port.hood) return;
  port.hood->faces = by.R * port.hood->faces;
  if (port.hood->lowest_mm) port.hood->lowest_mm = rounded(by * *port.hood->lowest_mm);
}

template <class Id>
bool has(const std::vector<Id>& list, const Id& id) {
  return std::find(list.begin(), list.end(), id) != list.end();
}

template <class Port>
bool moves_with(const Port& port, const PartMove& move) {
  return has(move.ports, port.id) || (port.part && has(move.parts, *port.part));
}

/// An end of a duct with the part it belongs to.
PartMove move_of(const bay::Port& port, const Pose& by) {
  PartMove move;
  move.by = by;
  if (port.part) {
    move.parts = {*port.part};
  } else {
    move.ports = {port.id};
  }
  return move;
}

}  // namespace

std::string why_it_stays(const job::Installation& installation, const duct::DuctId& duct, const PartMove& move) {
  const bay::Bay& bay = installation.bay;
  for (const duct::Duct& other : installation.ducts) {
    if (other.spec.id == duct) continue;
    const duct::PortRef *from = &other.spec.from, *to = &other.spec.to;
    for (const duct::PortRef* end : {from, to}) {
      const bay::Port* port = bay.find_port(end->port);
      if (port && moves_with(*port, move)) return "duct " + other.spec.id.value + " ends there too";
    }
  }
  for (const bay::PartId& id : move.parts) {
    const bay::Part* part = bay.find_part(id);
    if (!part) return "its part " + id.value + " is not known";
    if (!part->mesh) return "its part " + part->name + " is a cloud of points";
  }
  return "";
}

std::string why_port_stays(const job::Installation& installation, const duct::DuctId& duct, const bay::PortId& id) {
  const bay::Port* port = installation.bay.find_port(id);
  if (!port) return "there is no port " + id.value;
  return why_it_stays(installation, duct, move_of(*port, {}));
}

job::Installation with_moved(const job::Installation& installation, const PartMove& move) {
  job::Installation out = installation;
  for (bay::Port& port : out.bay.ports) {
    if (moves_with(port, move)) move_port(port, move.by);
  }
  for (bay::Part& part : out.bay.parts) {
    if (has(move.parts, part.id)) part = moved_part(std::move(part), move.by);
  }
  out.job = with_moved(std::move(out.job), move);
  return out;
}

job::Installation with_port_moved(const job::Installation& installation, const bay::PortId& id, const Pose& by) {
  const bay::Port* port = installation.bay.find_port(id);
  EXPECTS(port != nullptr);
  return with_moved(installation, move_of(*port, by));
}

job::Job with_moved(job::Job job, const PartMove& move) {
  for (job::PortSpec& port : job.ports) {
    if (moves_with(port, move)) move_port(port, move.by);
  }
  for (job::PartSpec& part : job.parts) {
    if (!has(move.parts, part.id)) continue;
    part.placement = moved_placement(part.placement, move.by);
    if (part.alignment) part.alignment->datum_mm = rounded(move.by * part.alignment->datum_mm);
  }
  for (checks::FilterElement& element : job.filter_elements) {
    if (!has(move.parts, element.housing)) continue;
    element.from_mm = rounded(move.by * element.from_mm);
    element.axis = move.by.R * element.axis;
    element.draw = move.by.R * element.draw;
  }
  std::erase_if(job.routing.may_move,
                [&](const job::MayMove& may) { return may.parts == move.parts && may.ports == move.ports; });
  return job;
}

}  // namespace baywright::routing
