#include "job/port_of.hpp"

namespace baywright::job {

bay::Port port_of(const PortSpec& spec, const bay::Bay& bay) {
  bay::Port port;
  port.id = spec.id;
  port.name = spec.name.empty() ? spec.id.value : spec.name;
  port.center_mm = spec.center_mm;
  port.axis = spec.axis.normalized();
  port.bore_mm = spec.bore_mm;
  port.outer_diameter_mm = spec.outer_diameter_mm;
  port.body = bay.find_body(spec.body).value_or(0);
  port.part = spec.part;
  port.contact_length_mm = spec.contact_length_mm;
  port.spigot_length_mm = spec.spigot_length_mm;
  port.hood = spec.hood;
  if (port.hood) port.hood->faces.normalize();
  return port;
}

}  // namespace baywright::job
