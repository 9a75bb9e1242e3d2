#pragma once

#include <string>

#include "bay/bay.hpp"

namespace baywright::test {

inline bay::Body body(const std::string& id) {
  bay::Body made;
  made.id = bay::BodyId(id);
  made.name = id;
  return made;
}

/// `axis` of any length. The bore is that of a wall of 1.65.
inline bay::Port port(const std::string& id, const Vec3& center, const Vec3& axis, double outer_mm, BodyIndex body) {
  bay::Port made;
  made.id = bay::PortId(id);
  made.name = id;
  made.center_mm = center;
  made.axis = axis.normalized();
  made.outer_diameter_mm = outer_mm;
  made.bore_mm = outer_mm - 3.3;
  made.body = body;
  return made;
}

}  // namespace baywright::test
