#include "bay/bay.hpp"

#include <algorithm>
#include <cmath>

namespace baywright::bay {

std::string_view name(PartClass c) {
  switch (c) {
    case PartClass::plain:
      return "plain";
    case PartClass::edge:
      return "edge";
    case PartClass::hot:
      return "hot";
    case PartClass::rotating:
      return "rotating";
    case PartClass::fluid_line:
      return "fluid line";
    case PartClass::electrical:
      return "electrical";
    case PartClass::steering:
      return "steering";
    case PartClass::bonnet:
      return "bonnet";
    case PartClass::structure:
      return "structure";
    case PartClass::reserved:
      return "reserved";
  }
  return "plain";
}

Vec3 Attitude::up() const {
  const double p = pitch.si();
  const double r = roll.si();
  return {std::sin(p), std::cos(p) * std::sin(r), std::cos(p) * std::cos(r)};
}

std::optional<BodyIndex> Bay::find_body(const BodyId& id) const {
  const auto it = std::find_if(bodies.begin(), bodies.end(), [&](const Body& b) { return b.id == id; });
  if (it == bodies.end()) return std::nullopt;
  return static_cast<BodyIndex>(it - bodies.begin());
}

const Part* Bay::find_part(const PartId& id) const {
  const auto it = std::find_if(parts.begin(), parts.end(), [&](const Part& p) { return p.id == id; });
  return it == parts.end() ? nullptr : &*it;
}

const Port* Bay::find_port(const PortId& id) const {
  const auto it = std::find_if(ports.begin(), ports.end(), [&](const Port& p) { return p.id == id; });
  return it == ports.end() ? nullptr : &*it;
}

Kinematics Bay::kinematics() const {
  Kinematics kinematics;
  for (const Body& body : bodies) kinematics.bodies.push_back(body.motion);
  kinematics.product = motions_combined;
  return kinematics;
}

}  // namespace baywright::bay
