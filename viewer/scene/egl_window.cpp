#include "viewer/scene/egl_window.hpp"

#include <EGL/egl.h>
#include <EGL/eglext.h>

#include <cstdio>
#include <string>

#include <vtkCallbackCommand.h>
#include <vtkCommand.h>
#include <vtkGenericOpenGLRenderWindow.h>
#include <vtkNew.h>

#include "viewer/scene/glew_shim.hpp"

namespace baywright::viewer {

struct EglWindow::Impl {
  EGLDisplay display = EGL_NO_DISPLAY;
  EGLSurface surface = EGL_NO_SURFACE;
  EGLContext context = EGL_NO_CONTEXT;
  vtkNew<vtkGenericOpenGLRenderWindow> window;

  bool make_current() const { return eglMakeCurrent(display, surface, surface, context) == EGL_TRUE; }
  ~Impl() {
    if (display == EGL_NO_DISPLAY) return;
    if (context != EGL_NO_CONTEXT && make_current()) window->Finalize();
    eglMakeCurrent(display, EGL_NO_SURFACE, EGL_NO_SURFACE, EGL_NO_CONTEXT);
    if (context != EGL_NO_CONTEXT) eglDestroyContext(display, context);
    if (surface != EGL_NO_SURFACE) eglDestroySurface(display, surface);
    // The display itself is shared by the whole process and is left open.
  }
};

namespace {

tl::unexpected<Error> no_graphics(const std::string& step) {
  char code[16];
  std::snprintf(code, sizeof code, "0x%04x", static_cast<unsigned>(eglGetError()));
  return fail(ErrorCode::not_supported, "pictures",
              "no off-screen graphics: " + step + " failed (EGL " + code +
                  "); install a software renderer (libegl1 and libgl1-mesa-dri) or leave pictures out");
}

void on_event(vtkObject*, unsigned long event, void* client, void* data) {
  const auto* impl = static_cast<const EglWindow::Impl*>(client);
  switch (event) {
    case vtkCommand::WindowMakeCurrentEvent:
      impl->make_current();
      break;
    case vtkCommand::WindowIsCurrentEvent:
      *static_cast<bool*>(data) = eglGetCurrentContext() == impl->context;
      break;
    case vtkCommand::WindowSupportsOpenGLEvent:
      *static_cast<int*>(data) = 1;
      break;
    default:
      break;
  }
}

/// Display, 16 x 16 pixel buffer and a core 3.2 context, made current. Empty: all went well; else the step.
std::string open_context(EglWindow::Impl& impl) {
  const auto get_display =
      reinterpret_cast<PFNEGLGETPLATFORMDISPLAYEXTPROC>(eglGetProcAddress("eglGetPlatformDisplayEXT"));
  if (get_display == nullptr) return "looking for a display without a screen";
  impl.display = get_display(EGL_PLATFORM_SURFACELESS_MESA, nullptr, nullptr);
  if (impl.display == EGL_NO_DISPLAY) return "opening a display without a screen";
  EGLint major = 0, minor = 0;
  if (eglInitialize(impl.display, &major, &minor) != EGL_TRUE) {
    impl.display = EGL_NO_DISPLAY;
    return "starting EGL";
  }
  if (eglBindAPI(EGL_OPENGL_API) != EGL_TRUE) return "asking for OpenGL";
  const EGLint wanted[] = {EGL_SURFACE_TYPE,
                           EGL_PBUFFER_BIT,
                           EGL_RENDERABLE_TYPE,
                           EGL_OPENGL_BIT,
                           EGL_RED_SIZE,
                           8,
                           EGL_GREEN_SIZE,
                           8,
                           EGL_BLUE_SIZE,
                           8,
                           EGL_DEPTH_SIZE,
                           24,
                           EGL_NONE};
  EGLConfig config = nullptr;
  EGLint count = 0;
  if (eglChooseConfig(impl.display, wanted, &config, 1, &count) != EGL_TRUE || count < 1) return "choosing a format";
  const EGLint size[] = {EGL_WIDTH, 16, EGL_HEIGHT, 16, EGL_NONE};
  impl.surface = eglCreatePbufferSurface(impl.display, config, size);
  if (impl.surface == EGL_NO_SURFACE) return "making a pixel buffer";
  const EGLint version[] = {
      EGL_CONTEXT_MAJOR_VERSION,           3,       EGL_CONTEXT_MINOR_VERSION, 2, EGL_CONTEXT_OPENGL_PROFILE_MASK,
      EGL_CONTEXT_OPENGL_CORE_PROFILE_BIT, EGL_NONE};
  impl.context = eglCreateContext(impl.display, config, EGL_NO_CONTEXT, version);
  if (impl.context == EGL_NO_CONTEXT) return "making an OpenGL 3.2 context";
  return impl.make_current() ? "" : "making the context current";
}

}  // namespace

EglWindow::EglWindow(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
EglWindow::~EglWindow() = default;

Result<std::unique_ptr<EglWindow>> EglWindow::open() {
  keep_glew_shim();
  auto impl = std::make_unique<Impl>();
  if (const std::string failed = open_context(*impl); !failed.empty()) return no_graphics(failed);
  vtkNew<vtkCallbackCommand> observer;
  observer->SetCallback(on_event);
  observer->SetClientData(impl.get());
  for (const auto event :
       {vtkCommand::WindowMakeCurrentEvent, vtkCommand::WindowIsCurrentEvent, vtkCommand::WindowSupportsOpenGLEvent})
    impl->window->AddObserver(event, observer);
  impl->window->SetOffScreenRendering(1);
  impl->window->SetReadyForRendering(true);
  impl->window->SetMultiSamples(0);
  impl->window->SetSize(64, 64);
  if (!impl->window->InitializeFromCurrentContext()) return no_graphics("loading OpenGL");
  return std::unique_ptr<EglWindow>(new EglWindow(std::move(impl)));
}

vtkRenderWindow* EglWindow::window() { return impl_->window; }

vtkRenderWindow* EglWindow::ready(int width_px, int height_px) {
  impl_->make_current();
  impl_->window->SetSize(width_px, height_px);
  return impl_->window;
}

}  // namespace baywright::viewer
