#pragma once

#include <memory>
#include <string>
#include <vector>

#include "geometry/files/step_file.hpp"
#include "geometry/vec.hpp"

class vtkRenderer;
class vtkRenderWindow;

namespace baywright::viewer {

/// Point of the picture in pixels, origin bottom left.
using Pixel = Eigen::Vector2d;

/// Rectangle of the picture.
struct Box2 {
  Pixel lo = Pixel::Zero(), hi = Pixel::Zero();
  bool overlaps(const Box2& b) const {
    return lo.x() < b.hi.x() && b.lo.x() < hi.x() && lo.y() < b.hi.y() && b.lo.y() < hi.y();
  }
  Pixel center() const { return 0.5 * (lo + hi); }
};

/// Flat drawing on top of a renderer: lines, arrowheads, boxes and text of constant size in pixels. What is drawn later
/// lies above; text lies above everything. Filled anew for every picture: clear, draw, commit.
class Overlay {
 public:
  /// Adds a layer to the window above `scene`, whose camera it projects with. Both must outlive the overlay.
  Overlay(vtkRenderWindow* window, vtkRenderer* scene);
  ~Overlay();
  Overlay(const Overlay&) = delete;
  Overlay& operator=(const Overlay&) = delete;

  /// Pixels of the target per pixel of the drawing (pictures are drawn larger and reduced; dense screens).
  void set_scale(double scale);
  Pixel size() const;                  ///< of the picture, in drawing pixels
  Pixel project(const Vec3& p) const;  ///< vehicle frame -> picture, with the renderer's camera

  void clear();
  void line(const Pixel& a, const Pixel& b, double width, const Rgb& color);
  void triangle(const Pixel& a, const Pixel& b, const Pixel& c, const Rgb& color);
  void box(const Box2& box, const Rgb& fill, const Rgb& border, double border_width);
  struct Font {
    double size = 14;
    bool bold = false;
    Rgb color = {0, 0, 0};
  };
  Pixel extent(const std::string& text, const Font& font) const;
  /// Text whose bottom left corner (of its extent) lies at `at`.
  void text(const Pixel& at, const std::string& text, const Font& font);
  void commit();

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace baywright::viewer
