#include "viewer/scene/glew_shim.hpp"

#include <dlfcn.h>

namespace {
/// GLEW's code for "no GLX display" (glew.h, GLEW_ERROR_NO_GLX_DISPLAY).
constexpr unsigned kNoGlxDisplay = 4;
}  // namespace

/// The distribution's GLEW is built for GLX: without an X display its start-up answers "no GLX display" although all
/// OpenGL entry points are loaded, and the drawing library then prints errors. This definition comes first in the
/// program's symbol order, calls the real one and lets that single answer pass.
extern "C" unsigned glewInit() {  // NOLINT(readability-identifier-naming): the library's name
  using Init = unsigned (*)();
  static const auto real = reinterpret_cast<Init>(dlsym(RTLD_NEXT, "glewInit"));
  const unsigned answer = real != nullptr ? real() : 0;
  return answer == kNoGlxDisplay ? 0 : answer;
}

namespace baywright::viewer {

void keep_glew_shim() {}

}  // namespace baywright::viewer
