#pragma once

class vtkRenderer;

namespace baywright::viewer {

/// Key light over the viewer's left shoulder, weak fill from the right and from below; all follow the camera.
void light(vtkRenderer* renderer);

/// Whether corners and gaps that little light reaches are darkened, so that depth is seen. For pictures: costs a second
/// or two without a graphics card. The same picture every time.
void shade_corners(vtkRenderer* renderer, bool shaded);

}  // namespace baywright::viewer
