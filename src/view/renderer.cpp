#include <algorithm>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>
#include <tl/expected.hpp>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "view/camera.h"
#include "view/compute_path.h"
#include "view/fragment_path.h"
#include "view/frame.h"
#include "view/gl.h"
#include "view/scene_buffers.h"
#include "view/scene_view.h"
#include "view/shown.h"

namespace underfoot {

namespace {

class GlRenderer final : public Renderer {
  public:
    static Result<std::unique_ptr<Renderer>> make(Shading shading);

    void setModel(std::shared_ptr<const Model> model, const Catalogue& catalogue) override {
        buffers_.setModel(std::move(model), catalogue);
    }
    void moveHeights(const Model& model, std::span<const int> moved) override {
        buffers_.moveHeights(model, moved);
    }
    void draw(const Camera& camera, const Look& look, int x, int y, int width, int height,
              unsigned frameBuffer) override;
    void timePasses(bool timed) override { timer_.time(timed); }
    std::vector<PassTime> passTimes() override { return timer_.times(); }
    bool software() const override;
    std::string device() const override { return device_; }

  private:
    GlRenderer() = default;
    void fillRegion(Frame& frame);
    void drawShadows(const Frame& frame);
    bool computes(const Look& look) const;

    Program shadow_, shadowInRegion_;
    FragmentPath fragments_;
    std::optional<ComputePath> compute_;  ///< where the driver has it and the card is none of software
    SceneBuffers buffers_;
    Target shadowMap_;
    PassTimer timer_;
    bool fourSamples_ = false;
    TextureBuffer region_;
    std::string device_;
};

Result<Program> shadowProgram(int region) {
    return Program::make({"clip.glsl", "ride.glsl", "shadow.vert"}, {"region.glsl", "shadow.frag"},
                         fmt::format("#define REGION {}\n", region));
}

Result<std::unique_ptr<Renderer>> GlRenderer::make(Shading shading) {
    if (epoxy_gl_version() < 33)
        return tl::unexpected(Diagnostic{{},
                                         "The graphics driver offers less than OpenGL 3.3.",
                                         "Update the driver, or set LIBGL_ALWAYS_SOFTWARE=1."});
    std::unique_ptr<GlRenderer> made(new GlRenderer);
    std::optional<Diagnostic> failed;
    const auto take = [&](auto& into, auto from) {
        if (from)
            into = std::move(*from);
        else
            failed = from.error();
    };
    take(made->shadow_, shadowProgram(0));
    take(made->shadowInRegion_, shadowProgram(1));
    take(made->fragments_, FragmentPath::make());
    if (failed) return tl::unexpected(*failed);
    const auto* name = reinterpret_cast<const char*>(glGetString(GL_RENDERER));
    made->device_ = name ? name : "";
    const bool wanted = shading == Shading::Compute || (shading == Shading::Chosen && !made->software());
    if (wanted && ComputePath::offered()) take(made->compute_, ComputePath::make());
    if (failed && shading == Shading::Compute) return tl::unexpected(*failed);
    GLint colourSamples = 0, depthSamples = 0;
    glGetIntegerv(GL_MAX_COLOR_TEXTURE_SAMPLES, &colourSamples);
    glGetIntegerv(GL_MAX_DEPTH_TEXTURE_SAMPLES, &depthSamples);
    made->fourSamples_ = std::min(colourSamples, depthSamples) >= 4;
    return std::unique_ptr<Renderer>(std::move(made));
}

bool GlRenderer::software() const {
    for (const char* name : {"llvmpipe", "softpipe", "swrast", "SWR"})
        if (device_.find(name) != std::string::npos) return true;
    return false;
}

void GlRenderer::fillRegion(Frame& frame) {
    std::vector<glm::vec2> corners{{0, 0}};
    if (frame.shown.cutLine.size() > 2) {
        corners.assign(frame.shown.removed.begin(), frame.shown.removed.end());
        frame.regionCorners = static_cast<int>(corners.size());
    }
    region_.fill(corners.data(), corners.size() * sizeof(glm::vec2), GL_RG32F);
    region_.bind(regionUnit);
    buffers_.bindRiders(planeOfRiderUnit, ridePlanesUnit);
}

void GlRenderer::drawShadows(const Frame& frame) {
    const int size = frame.settings.shadowSize;
    shadowMap_.resize(size, size, {}, true, true);
    shadowMap_.bind();
    glClear(GL_DEPTH_BUFFER_BIT);
    glEnable(GL_POLYGON_OFFSET_FILL);
    glPolygonOffset(1.5F, 2.0F);
    Program& program = frame.regionCorners > 0 ? shadowInRegion_ : shadow_;
    program.use();
    program.set("toShadow", frame.toShadow);
    setClipUnits(program);
    buffers_.eachShading(frame.look, frame.shown, [&](const Batch& batch) {
        setClip(program, frame, buffers_, batch);
        setSides(batch);
        batch.mesh.draw();
    });
    resetFaces();
}

/// Several samples a pixel and colours of a thickness are the fragment stage's.
bool GlRenderer::computes(const Look& look) const {
    const bool several = look.quality == Quality::Fine && fourSamples_;
    return compute_ && !several && !look.thickness;
}

void clearRectangle(const glm::dvec3& colour, int x, int y, int width, int height, unsigned frameBuffer) {
    glBindFramebuffer(GL_FRAMEBUFFER, frameBuffer);
    glViewport(x, y, width, height);
    glEnable(GL_SCISSOR_TEST);
    glScissor(x, y, width, height);
    const glm::vec3 c(colour);
    glClearColor(c.x, c.y, c.z, 1);
    glClear(GL_COLOR_BUFFER_BIT);
    glDisable(GL_SCISSOR_TEST);
}

void GlRenderer::draw(const Camera& camera, const Look& look, int x, int y, int width, int height,
                      unsigned frameBuffer) {
    if (width <= 0 || height <= 0) return;
    glDisable(GL_SCISSOR_TEST);
    glDisable(GL_BLEND);
    glDisable(GL_CULL_FACE);
    glDisable(GL_FRAMEBUFFER_SRGB);
    if (!buffers_.model() || buffers_.model()->cells.empty()) {
        glDisable(GL_DEPTH_TEST);
        clearRectangle(themeColours(look.theme).paper, x, y, width, height, frameBuffer);
        return;
    }
    const Shown shown = resolve(*buffers_.model(), look);
    buffers_.prepare(look, shown, camera, width, height, computes(look));
    Frame frame = frameOf(camera, look, shown, buffers_.bounds(look, shown), width, height);
    if (!fourSamples_) frame.settings.samples = 1;
    timer_.start();
    glEnable(GL_DEPTH_TEST);
    glDepthMask(GL_TRUE);
    glDepthFunc(GL_LEQUAL);
    glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
    glEnable(GL_CLIP_DISTANCE0);
    glEnable(GL_CLIP_DISTANCE1);
    fillRegion(frame);
    drawShadows(frame);
    timer_.ended("shadow");
    if (computes(look))
        compute_->draw(frame, buffers_, shadowMap_.depth(), x, y, frameBuffer, timer_);
    else
        fragments_.draw(frame, buffers_, shadowMap_.depth(), x, y, frameBuffer, timer_);
    glDisable(GL_CLIP_DISTANCE0);
    glDisable(GL_CLIP_DISTANCE1);
    glDisable(GL_DEPTH_TEST);
    glBindFramebuffer(GL_FRAMEBUFFER, frameBuffer);
    glViewport(x, y, width, height);
    glBindVertexArray(0);
    glActiveTexture(GL_TEXTURE0);
    glUseProgram(0);
}

}  // namespace

Result<std::unique_ptr<Renderer>> Renderer::create(Shading shading) {
    return GlRenderer::make(shading);
}

}  // namespace underfoot
