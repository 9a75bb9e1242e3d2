#pragma once

#include <TopoDS_Shape.hxx>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "geometry/solid.hpp"

// Only for .cpp files of geometry: the kernel's headers are on no other module's include path.

namespace baywright {

/// Shapes of stored solids, parsed when the first of them is needed.
class StoredShapes {
 public:
  StoredShapes(std::string bytes, std::size_t count, std::function<Result<std::vector<Solid>>()> again)
      : bytes_(std::move(bytes)), count_(count), again_(std::move(again)) {}
  /// From any thread; the same every time.
  const Result<std::vector<TopoDS_Shape>>& shapes() const;

 private:
  mutable std::once_flag once_;
  mutable Result<std::vector<TopoDS_Shape>> shapes_;
  mutable std::string bytes_;  // until they are parsed, as the next one
  const std::size_t count_;
  mutable std::function<Result<std::vector<Solid>>()> again_;
};

struct Solid::Impl {
  explicit Impl(TopoDS_Shape s) : shape_(std::move(s)) {}
  Impl(std::shared_ptr<const StoredShapes> stored, std::size_t number) : stored_(std::move(stored)), number_(number) {}

  const TopoDS_Shape& shape() const;
  Result<void> ready() const;

  // Costly facts, worked out on first demand.
  mutable std::once_flag box_once, volume_once, area_once;
  mutable Aabb box;
  mutable double volume_mm3 = 0;
  mutable double area_mm2 = 0;

 private:
  // Never written to after construction: threads share them.
  const TopoDS_Shape shape_;
  const std::shared_ptr<const StoredShapes> stored_;  // null unless stored
  const std::size_t number_ = 0;
};

namespace occt {

/// The only way between a Solid and the kernel's shape.
struct Access {
  /// EXPECTS a shape with at least one face. Loose wires, edges and vertices must have been taken out.
  static Solid make(const TopoDS_Shape& shape);
  /// EXPECTS a solid that is not empty.
  static const TopoDS_Shape& shape(const Solid& solid);
  /// For stored_solids().
  static Solid stored(std::shared_ptr<const StoredShapes> shapes, std::size_t number) {
    Solid solid;
    solid.impl_ = std::make_shared<const Solid::Impl>(std::move(shapes), number);
    return solid;
  }
};

}  // namespace occt
}  // namespace baywright
