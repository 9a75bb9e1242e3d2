#include "routing/port_moves.hpp"

#include <algorithm>
#include <memory>

#include "geometry/base/expects.hpp"

namespace baywright::routing {
namespace {

bay::Part moved_part(bay::Part part, const Pose& by) {
  auto mesh = std::make_shared<TriMesh>(*part.mesh);
  for (std::size_t i = 0; i < mesh->vertices.size(); ++i) {
    mesh->vertices[i] = (by * mesh->vertex(static_cast<std::uint32_t>(i))).cast<float>();
  }
  part.tree = TriTree::over(*mesh);
  part.mesh = std::move(mesh);
  if (part.solid) part.solid = part.solid->moved(by);
  for (Solid& shape : part.shapes) shape = shape.moved(by);
  if (part.alignment) part.alignment->datum_mm = by * part.alignment->datum_mm;
  return part;
}

bool belongs_to(const bay::Bay& bay, const bay::PortId& id, const bay::Port& port) {
  const bay::Port* other = bay.find_port(id);
  return other && (other->id == port.id || (port.part && other->part == port.part));
}

}  // namespace

std::string why_port_stays(const job::Installation& installation, const duct::DuctId& duct, const bay::PortId& id) {
  const bay::Bay& bay = installation.bay;
  const bay::Port* port = bay.find_port(id);
  if (!port) return "there is no port " + id.value;
  for (const duct::Duct& other : installation.ducts) {
    const duct::PortRef *from = &other.spec.from, *to = &other.spec.to;
    for (const duct::PortRef* end : {from, to}) {
      if (end->port.empty() || !belongs_to(bay, end->port, *port)) continue;
      if (other.spec.id == duct && end->port == id) continue;
      return "duct " + other.spec.id.value + " ends there too";
    }
  }
  if (!port->part) return "";
  const bay::Part* part = bay.find_part(*port->part);
  if (!part) return "its part " + port->part->value + " is not known";
  if (!part->mesh) return "its part " + part->name + " is a cloud of points";
  return "";
}

job::Installation with_port_moved(const job::Installation& installation, const bay::PortId& id, const Pose& by) {
  job::Installation out = installation;
  const auto port = std::find_if(out.bay.ports.begin(), out.bay.ports.end(), [&](const auto& p) { return p.id == id; });
  EXPECTS(port != out.bay.ports.end());
  const std::optional<bay::PartId> part = port->part;
  for (bay::Port& p : out.bay.ports) {
    if (p.id != id && !(part && p.part == part)) continue;
    p.center_mm = by * p.center_mm;
    p.axis = by.R * p.axis;
    if (!p.hood) continue;
    p.hood->faces = by.R * p.hood->faces;
    if (p.hood->lowest_mm) p.hood->lowest_mm = by * *p.hood->lowest_mm;
  }
  for (bay::Part& p : out.bay.parts) {
    if (part && p.id == *part) p = moved_part(std::move(p), by);
  }
  return out;
}

}  // namespace baywright::routing
