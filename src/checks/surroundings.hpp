#pragma once

#include <string>
#include <vector>

#include "bay/bay.hpp"
#include "flow/flow_model.hpp"

namespace baywright::checks {

/// A place where somebody's hand goes on a warm vehicle: dipstick, filter cover, filler cap.
struct ServicePoint {
  std::string name;
  Vec3 at_mm = Vec3::Zero();  ///< vehicle frame at rest
  bool operator==(const ServicePoint&) const = default;
};

/// Space that a filter's element takes where it sits, and how it is drawn out. It rides on the vehicle.
struct FilterElement {
  flow::ComponentId component;
  Vec3 from_mm = Vec3::Zero();  ///< middle of one of its end faces
  Vec3 axis = Vec3::UnitX();    ///< unit, from that face to the other
  double length_mm = 0, diameter_mm = 0;
  Vec3 draw = Vec3::UnitX();  ///< unit, the way it comes out
  double draw_mm = 0;
  bay::PartId housing;  ///< the part it sits in: what of that is in its way is the maker's
  bool operator==(const FilterElement&) const = default;
};

/// A hot part and the part that shields it.
struct Shield {
  bay::PartId hot, shield;
};

/// What a job says of its bay besides what takes space.
struct Surroundings {
  std::vector<ServicePoint> service_points;
  std::vector<FilterElement> elements;
  std::vector<Shield> shields;
};

}  // namespace baywright::checks
