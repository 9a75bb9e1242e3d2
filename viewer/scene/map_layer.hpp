#pragma once

#include <memory>
#include <utility>
#include <vector>

#include "geometry/base/unit.hpp"
#include "measure/surface_map.hpp"
#include "viewer/scene/overlay.hpp"

class vtkRenderer;

namespace baywright::viewer {

/// Colour of a clearance on a scale from 0 to `range_mm`: dark blue where it is tight to pale yellow where there is
/// room. Lightness grows all the way, so it reads without colour and with every common kind of colour blindness; what
/// interferes has a colour of its own, what is beyond the range is grey.
Rgb map_color(double clearance_mm, double range_mm);

/// The map without what it says of some shapes, given as (piece, shape).
measure::SurfaceMap without_shapes(const measure::SurfaceMap& map, const std::vector<std::pair<int, int>>& shapes);

/// Distance of the lines of equal clearance, mm: a round number in the units shown.
double map_line_step_mm(const DisplayUnits& units);

/// Where the scale stands: top left of the picture, or farther down or right where it would cover one of `keep_off`.
Box2 map_scale_box(const Overlay& overlay, const std::vector<Box2>& keep_off);
/// The scale with its numbers and lines. `some_hidden`: it says that parts which are not shown count as well.
void draw_map_scale(Overlay& overlay, const Box2& box, double range_mm, const DisplayUnits& units, bool some_hidden);

/// The clearance over the ducts' surfaces drawn upon them: colours, and lines of equal clearance as a second sign.
class MapLayer {
 public:
  /// The renderer must outlive the layer.
  explicit MapLayer(vtkRenderer* renderer);
  ~MapLayer();
  MapLayer(const MapLayer&) = delete;
  MapLayer& operator=(const MapLayer&) = delete;

  /// Replaces what is shown. Maps are drawn where their points are.
  void show(const std::vector<measure::SurfaceMap>& maps, double range_mm, const DisplayUnits& units);
  void clear();
  void set_line_scale(double scale);  ///< pixels of the target per pixel of a plain screen

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace baywright::viewer
