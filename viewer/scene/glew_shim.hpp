#pragma once

namespace baywright::viewer {

/// Names the shim so that the linker takes it along with the off-screen window. Does nothing.
void keep_glew_shim();

}  // namespace baywright::viewer
