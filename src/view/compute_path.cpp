#include "view/compute_path.h"

#include <cassert>
#include <utility>

#include <fmt/format.h>
#include <glm/mat3x3.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>
#include <tl/expected.hpp>

#include "view/camera.h"
#include "view/paint.h"
#include "view/shown.h"

namespace underfoot {

namespace {

constexpr int thinUnit = 2, depthUnit = 3, occlusionUnit = 6, askUnit = 7;  // of textures
constexpr size_t mostMeshes = 4095;  // 12 bits of a pixel, 0 is the paper
constexpr int group = 8;             // pixels a side, as in thin.glsl

void dispatch(int width, int height) {
    const auto groups = [](int pixels) { return static_cast<GLuint>((pixels + group - 1) / group); };
    glDispatchCompute(groups(width), groups(height), 1);
}

void bindImage(Program& program, GLuint texture, GLenum format) {
    glBindImageTexture(0, texture, 0, GL_FALSE, 0, GL_WRITE_ONLY, format);
    program.set("result", 0);
}

Result<Program> shadeProgram(int taps) {
    return Program::compute({"view_space.glsl", "thin.glsl", "grain.glsl", "hatch.glsl", "surface.glsl",
                             "ink.glsl", "shade.comp"},
                            fmt::format("#define SHADOW_TAPS {}\n", taps));
}

/// The texture that a frame buffer draws into, where a compute stage can write into it as well; else 0.
GLuint textureBehind(unsigned frameBuffer) {
    if (frameBuffer == 0) return 0;
    glBindFramebuffer(GL_FRAMEBUFFER, frameBuffer);
    const auto ask = [](GLenum what) {
        GLint answer = 0;
        glGetFramebufferAttachmentParameteriv(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, what, &answer);
        return answer;
    };
    if (ask(GL_FRAMEBUFFER_ATTACHMENT_OBJECT_TYPE) != GL_TEXTURE) return 0;
    if (ask(GL_FRAMEBUFFER_ATTACHMENT_TEXTURE_LEVEL) != 0) return 0;
    const auto texture = static_cast<GLuint>(ask(GL_FRAMEBUFFER_ATTACHMENT_OBJECT_NAME));
    GLint format = 0;
    bindTexture(askUnit, texture);
    if (glGetError() != GL_NO_ERROR) return 0;  // not a plain texture of two dimensions
    glGetTexLevelParameteriv(GL_TEXTURE_2D, 0, GL_TEXTURE_INTERNAL_FORMAT, &format);
    return format == GL_RGBA8 ? texture : 0;
}

}  // namespace

bool ComputePath::offered() {
    return epoxy_gl_version() >= 43;
}

Result<ComputePath> ComputePath::make() {
    ComputePath made;
    const auto take = [](Program& into, Result<Program> from) -> Result<int> {
        if (!from) return tl::unexpected(from.error());
        into = std::move(*from);
        return 0;
    };
    for (int sod = 0; sod < 2; ++sod)
        for (int region = 0; region < 2; ++region) {
            const auto done =
                take(made.thin_[static_cast<size_t>(sod)][static_cast<size_t>(region)],
                     Program::make({"clip.glsl", "ride.glsl", "thin.vert"}, {"region.glsl", "thin.frag"},
                                   fmt::format("#define SOD {}\n#define REGION {}\n", sod, region)));
            if (!done) return tl::unexpected(done.error());
        }
    for (const auto& done :
         {take(made.contact_,
               Program::compute({"view_space.glsl", "thin.glsl", "contact.glsl", "contact.comp"},
                                "#define SAMPLES 1\n")),
          take(made.layUnits_, Program::compute({"view_space.glsl", "thin.glsl", "lay_units.comp"})),
          take(made.evenOut_, Program::compute({"even_out.glsl", "even_out.comp"})),
          take(made.shade_[0], shadeProgram(1)), take(made.shade_[1], shadeProgram(9))})
        if (!done) return tl::unexpected(done.error());
    return made;
}

int ComputePath::addPaint(const Frame& frame, const SceneBuffers& buffers, const Batch& batch) {
    const double rise = batch.layer >= 0 ? frame.shown.rise[static_cast<size_t>(batch.layer)] : 0;
    const Paint& paint = batch.paint;
    paints_.push_back(
        {glm::vec4(glm::dvec4(paint.colour, rise)),
         {paint.grain, batch.cap ? paint.hatch : 0, batch.cap ? 1 : 0, paint.object},
         {static_cast<float>(fadeOf(batch, frame.look)), static_cast<float>(tintOf(batch, buffers)), 0, 0}});
    return static_cast<int>(paints_.size()) - 1;
}

void ComputePath::drawBatch(const Frame& frame, const SceneBuffers& buffers, const Batch& batch) {
    const size_t sod = batch.paint.grain == 1 ? 1 : 0;
    const size_t region = batch.cut && frame.regionCorners > 0 ? 1 : 0;
    Program& program = thin_[sod][region];
    program.use();
    if (!std::exchange(readied_[sod][region], true)) {
        program.set("toClip", frame.toClip);
        setClipUnits(program);
    }
    setClip(program, frame, buffers, batch);
    setFaces(batch);
    const int mesh = addPaint(frame, buffers, batch);
    program.set("mesh", mesh);
    if (batch.part == Part::Joints && !batch.cap) joints_[batch.layer] = mesh;
    batch.mesh.draw();
}

void ComputePath::drawThin(const Frame& frame, const SceneBuffers& buffers) {
    scene_.resize(frame.width, frame.height, {GL_RG32UI}, true);
    scene_.bind();
    // The thin buffer holds whatever it likes where the depth says that nothing is drawn: clearing it would
    // take a card as long as all else here.
    const GLenum thin = GL_COLOR_ATTACHMENT0;
    glInvalidateFramebuffer(GL_FRAMEBUFFER, 1, &thin);
    const float far = 1;
    glClearBufferfv(GL_DEPTH, 0, &far);
    readied_ = {};
    paints_.assign(1, {});
    joints_.clear();
    buffers.eachShown(frame.look, frame.shown, [&](const Batch& batch) {
        if (paints_.size() <= mostMeshes) drawBatch(frame, buffers, batch);
    });
    resetFaces();
}

void ComputePath::setThin(Program& program, const Frame& frame) const {
    program.use();
    setViewSpace(program, frame);
    program.set("thinMap", thinUnit);
    program.set("depthMap", depthUnit);
    const glm::dvec3 eye = frame.camera.eye();
    program.set("eyeAt", eye);
    program.set("lookRight", frame.camera.right());
    program.set("lookUp", frame.camera.up());
    program.set("lookAhead", frame.camera.forward());
    // Not drawn from below.
    program.set("paperHeight", eye.z > frame.box.low.z ? paperHeight(frame.box) : -1e9);
    program.set("paperSheet", glm::dvec3(glm::dvec2(frame.box.centre()), paperHalf(frame.box)));
}

void ComputePath::layUnits(const Frame& frame, const SceneBuffers& buffers) {
    buffers.eachField(frame.shown, [&](LayerId layer, const SceneBuffers::Field& field) {
        const auto joints = joints_.find(layer);
        if (joints == joints_.end() || paints_.size() > mostMeshes) return;
        Batch units;
        units.paint = field.paint;
        units.layer = layer;
        setThin(layUnits_, frame);
        layUnits_.set("joints", joints->second);
        layUnits_.set("units", addPaint(frame, buffers, units));
        layUnits_.set("low", field.low);
        layUnits_.set("square", field.square);
        layUnits_.set("squares", field.squares);
        field.starts.bind(1);
        field.entries.bind(2);
        field.corners.bind(3);
        bindImage(layUnits_, scene_.colour(0), GL_RG32UI);
        dispatch(frame.width, frame.height);
        glMemoryBarrier(GL_TEXTURE_FETCH_BARRIER_BIT | GL_FRAMEBUFFER_BARRIER_BIT);
    });
}

void ComputePath::contact(const Frame& frame) {
    const int width = (frame.width + 1) / 2, height = (frame.height + 1) / 2;
    for (Target* target : {&contactMap_, &evenedMap_}) target->resize(width, height, {GL_RG16F}, false);
    setThin(contact_, frame);
    contact_.set("toView", glm::dmat3(frame.camera.viewMatrix()));
    contact_.set("reach", contactReach);
    bindImage(contact_, contactMap_.colour(0), GL_RG16F);
    dispatch(width, height);
    glMemoryBarrier(GL_TEXTURE_FETCH_BARRIER_BIT);
    evenOut_.use();
    evenOut_.set("occlusionMap", occlusionUnit);
    bindTexture(occlusionUnit, contactMap_.colour(0));
    bindImage(evenOut_, evenedMap_.colour(0), GL_RG16F);
    dispatch(width, height);
    glMemoryBarrier(GL_TEXTURE_FETCH_BARRIER_BIT);
}

void ComputePath::shade(const Frame& frame, const SceneBuffers& buffers, GLuint shadowMap, int x, int y,
                        unsigned frameBuffer) {
    const GLuint behind = textureBehind(frameBuffer);
    if (!behind) canvas_.resize(frame.width, frame.height, {GL_RGBA8}, false);
    Program& program = shade_[frame.settings.shadowTaps > 1 ? 1 : 0];
    setThin(program, frame);
    setSurface(program, frame, buffers);
    bindTexture(shadowUnit, shadowMap);
    bindTexture(occlusionUnit, frame.settings.contact ? evenedMap_.colour(0) : 0);
    program.set("occlusionMap", occlusionUnit);
    program.set("darken", frame.settings.contact ? 1 : 0);
    program.set("corner", behind ? glm::ivec2(x, y) : glm::ivec2(0, 0));
    paintBuffer_.fill(paints_.data(), paints_.size() * sizeof(Paints));
    paintBuffer_.bind(0);
    bindImage(program, behind ? behind : canvas_.colour(0), GL_RGBA8);
    dispatch(frame.width, frame.height);
    glMemoryBarrier(GL_FRAMEBUFFER_BARRIER_BIT | GL_TEXTURE_FETCH_BARRIER_BIT |
                    GL_TEXTURE_UPDATE_BARRIER_BIT | GL_PIXEL_BUFFER_BARRIER_BIT);
    if (behind) return;
    glBindFramebuffer(GL_READ_FRAMEBUFFER, canvas_.id());
    glBindFramebuffer(GL_DRAW_FRAMEBUFFER, frameBuffer);
    glBlitFramebuffer(0, 0, frame.width, frame.height, x, y, x + frame.width, y + frame.height,
                      GL_COLOR_BUFFER_BIT, GL_NEAREST);
}

void ComputePath::draw(const Frame& frame, const SceneBuffers& buffers, GLuint shadowMap, int x, int y,
                       unsigned frameBuffer, PassTimer& timer) {
    assert(frame.settings.samples == 1);
    drawThin(frame, buffers);
    timer.ended("scene");
    bindTexture(thinUnit, scene_.colour(0));
    bindTexture(depthUnit, scene_.depth());
    layUnits(frame, buffers);
    timer.ended("units");
    if (frame.settings.contact) contact(frame);
    timer.ended("contact");
    shade(frame, buffers, shadowMap, x, y, frameBuffer);
    timer.ended("shade");
}

}  // namespace underfoot
