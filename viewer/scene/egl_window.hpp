#pragma once

#include <memory>

#include "geometry/base/result.hpp"

class vtkRenderWindow;

namespace baywright::viewer {

/// Render window without a display: an EGL context on no surface. Belongs to the thread that opened it.
class EglWindow {
 public:
  struct Impl;

  /// Fails: not_supported when EGL offers no surfaceless display or no core OpenGL 3.2 (says which step).
  static Result<std::unique_ptr<EglWindow>> open();
  ~EglWindow();
  EglWindow(const EglWindow&) = delete;
  EglWindow& operator=(const EglWindow&) = delete;

  /// Context made current, target of the given size in pixels.
  vtkRenderWindow* ready(int width_px, int height_px);
  vtkRenderWindow* window();

 private:
  explicit EglWindow(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace baywright::viewer
