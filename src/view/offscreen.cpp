// The one file that knows EGL.

#include <memory>
#include <string>
#include <utility>

#include <dlfcn.h>
#include <epoxy/egl.h>
#include <tl/expected.hpp>

#include "measure/diagnostic.h"
#include "view/picture.h"

namespace underfoot {

namespace {

class EglContext final : public OffscreenContext {
  public:
    EglContext(EGLDisplay display, EGLContext context, EGLSurface surface)
        : display_(display), context_(context), surface_(surface) {}
    ~EglContext() override {
        eglMakeCurrent(display_, EGL_NO_SURFACE, EGL_NO_SURFACE, EGL_NO_CONTEXT);
        if (surface_ != EGL_NO_SURFACE) eglDestroySurface(display_, surface_);
        eglDestroyContext(display_, context_);
        // The display itself stays: others of this process may use it.
    }
    void makeCurrent() override { eglMakeCurrent(display_, surface_, surface_, context_); }

  private:
    EGLDisplay display_;
    EGLContext context_;
    EGLSurface surface_;
};

/// Compute stages need 4.3; some drivers give no more than is asked for.
EGLContext newestContext(EGLDisplay display, EGLConfig config) {
    for (const auto& [major, minor] : {std::pair{4, 5}, {4, 3}, {3, 3}}) {
        const EGLint core[] = {EGL_CONTEXT_MAJOR_VERSION,
                               major,
                               EGL_CONTEXT_MINOR_VERSION,
                               minor,
                               EGL_CONTEXT_OPENGL_PROFILE_MASK,
                               EGL_CONTEXT_OPENGL_CORE_PROFILE_BIT,
                               EGL_NONE};
        const EGLContext context = eglCreateContext(display, config, EGL_NO_CONTEXT, core);
        if (context != EGL_NO_CONTEXT) return context;
    }
    return EGL_NO_CONTEXT;
}

std::unique_ptr<OffscreenContext> contextOn(EGLDisplay display) {
    if (display == EGL_NO_DISPLAY || !eglInitialize(display, nullptr, nullptr)) return nullptr;
    if (!eglBindAPI(EGL_OPENGL_API)) return nullptr;
    const EGLint wanted[] = {EGL_RENDERABLE_TYPE, EGL_OPENGL_BIT, EGL_SURFACE_TYPE, EGL_PBUFFER_BIT,
                             EGL_NONE};
    const EGLint anySurface[] = {EGL_RENDERABLE_TYPE, EGL_OPENGL_BIT, EGL_SURFACE_TYPE, 0, EGL_NONE};
    EGLConfig config = nullptr;
    EGLint found = 0;
    const bool buffered = eglChooseConfig(display, wanted, &config, 1, &found) && found > 0;
    if (!buffered && !(eglChooseConfig(display, anySurface, &config, 1, &found) && found > 0)) return nullptr;
    const EGLContext context = newestContext(display, config);
    if (context == EGL_NO_CONTEXT) return nullptr;
    EGLSurface surface = EGL_NO_SURFACE;
    if (!eglMakeCurrent(display, EGL_NO_SURFACE, EGL_NO_SURFACE, context)) {
        const EGLint small[] = {EGL_WIDTH, 1, EGL_HEIGHT, 1, EGL_NONE};
        surface = buffered ? eglCreatePbufferSurface(display, config, small) : EGL_NO_SURFACE;
        if (surface == EGL_NO_SURFACE || !eglMakeCurrent(display, surface, surface, context)) {
            eglDestroyContext(display, context);
            return nullptr;
        }
    }
    return std::make_unique<EglContext>(display, context, surface);
}

/// Without any surface, then each card the system names, then whatever the system calls its display. Before a
/// display exists only the EXT name of the call can be found.
std::unique_ptr<OffscreenContext> firstThatWorks() {
    if (epoxy_has_egl_extension(EGL_NO_DISPLAY, "EGL_EXT_platform_base")) {
        if (epoxy_has_egl_extension(EGL_NO_DISPLAY, "EGL_MESA_platform_surfaceless"))
            if (auto made = contextOn(
                    eglGetPlatformDisplayEXT(EGL_PLATFORM_SURFACELESS_MESA, EGL_DEFAULT_DISPLAY, nullptr)))
                return made;
        if (epoxy_has_egl_extension(EGL_NO_DISPLAY, "EGL_EXT_device_enumeration")) {
            EGLDeviceEXT devices[16];
            EGLint count = 0;
            if (eglQueryDevicesEXT(16, devices, &count))
                for (EGLint i = 0; i < count; ++i)
                    if (auto made =
                            contextOn(eglGetPlatformDisplayEXT(EGL_PLATFORM_DEVICE_EXT, devices[i], nullptr)))
                        return made;
        }
    }
    return contextOn(eglGetDisplay(EGL_DEFAULT_DISPLAY));
}

/// The loader of OpenGL's names ends the program where the library itself is missing: look first.
bool systemHasEgl() {
    void* library = dlopen("libEGL.so.1", RTLD_LAZY | RTLD_LOCAL);
    if (!library) return false;
    dlclose(library);
    return true;
}

}  // namespace

Result<std::unique_ptr<OffscreenContext>> OffscreenContext::create() {
    if (!systemHasEgl())
        return tl::unexpected(
            Diagnostic{{},
                       "This system has no EGL library, which pictures without a window need.",
                       "Install libEGL (Debian: libegl1), and a graphics driver or Mesa."});
    if (auto made = firstThatWorks()) return made;
    return tl::unexpected(Diagnostic{{},
                                     "OpenGL 3.3 could not be started without a window.",
                                     "Install a graphics driver with EGL, or Mesa's software rasteriser."});
}

}  // namespace underfoot
