#pragma once

#include <TopoDS_Shape.hxx>
#include <mutex>
#include <optional>

#include "geometry/solid.hpp"

// Only for .cpp files of geometry: the kernel's headers are on no other module's include path.

namespace baywright {

struct Solid::Impl {
  explicit Impl(TopoDS_Shape s) : shape(std::move(s)) {}

  const TopoDS_Shape shape;  // never written to after construction: threads share it

  // Costly facts, worked out on first demand.
  mutable std::once_flag box_once, volume_once, area_once;
  mutable Aabb box;
  mutable double volume_mm3 = 0;
  mutable double area_mm2 = 0;
};

namespace occt {

/// The only way between a Solid and the kernel's shape.
struct Access {
  /// EXPECTS a shape with at least one face. Loose wires, edges and vertices must have been taken out.
  static Solid make(const TopoDS_Shape& shape);
  /// EXPECTS a solid that is not empty.
  static const TopoDS_Shape& shape(const Solid& solid);
};

}  // namespace occt
}  // namespace baywright
