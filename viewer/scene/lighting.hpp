#pragma once

class vtkRenderer;

namespace baywright::viewer {

/// Key light over the viewer's left shoulder, weak fill from the right and from below; all follow the camera.
void light(vtkRenderer* renderer);

}  // namespace baywright::viewer
