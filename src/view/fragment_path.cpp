#include "view/fragment_path.h"

#include <cassert>
#include <optional>
#include <string>
#include <utility>

#include <fmt/format.h>
#include <glm/exponential.hpp>
#include <glm/mat3x3.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>
#include <tl/expected.hpp>

#include "view/camera.h"
#include "view/mesh.h"
#include "view/paint.h"
#include "view/scene_view.h"

namespace underfoot {

namespace {

constexpr int paperGrain = 20;

Vertices paperSheet(const Bounds& box) {
    const double half = paperHalf(box), z = paperHeight(box);
    const glm::dvec3 c = box.centre();
    Vertices out;
    for (const auto& [sx, sy] : {std::pair{-1, -1}, {1, -1}, {1, 1}, {-1, -1}, {1, 1}, {-1, 1}}) {
        Vertex v;
        v.x = static_cast<float>(c.x + sx * half);
        v.y = static_cast<float>(c.y + sy * half);
        v.z = static_cast<float>(z);
        v.nz = 127;
        out.push_back(v);
    }
    return out;
}

GLenum textureKind(const Frame& frame) {
    return frame.settings.samples > 1 ? GL_TEXTURE_2D_MULTISAMPLE : GL_TEXTURE_2D;
}

}  // namespace

Result<Program> FragmentPath::layerProgram(const Kind& kind) {
    const std::string defines = fmt::format(
        "#define GRAIN {}\n#define HATCH {}\n#define CAP {}\n#define FIELD {}\n#define REGION {}\n"
        "#define SHADOW_TAPS {}\n",
        kind[0], kind[1], kind[2], kind[3], kind[4], kind[5]);
    return Program::make({"clip.glsl", "ride.glsl", "layer.vert"},
                         {"region.glsl", "grain.glsl", "hatch.glsl", "surface.glsl", "layer.frag"}, defines);
}

Result<FragmentPath> FragmentPath::make() {
    FragmentPath made;
    constexpr Kind plainKind{0, 0, 0, 0, 0, 9};
    Result<Program> plain = layerProgram(plainKind);
    if (!plain) return tl::unexpected(plain.error());
    Result<Program> evenOut = Program::make({"screen.vert"}, {"even_out.glsl", "even_out.frag"});
    if (!evenOut) return tl::unexpected(evenOut.error());
    made.layer_[plainKind] = std::move(*plain);
    made.evenOut_ = std::move(*evenOut);
    return made;
}

Program& FragmentPath::programFor(const Frame& frame, const SceneBuffers& buffers, const Batch& batch,
                                  int grain) {
    const bool measured =
        frame.look.thickness && batch.layer >= 0 && batch.layer == frame.look.thickness->layer && !batch.cap;
    const Kind kind{grain,
                    batch.cap ? batch.paint.hatch : 0,
                    batch.cap ? 1 : 0,
                    measured ? 1 : 0,
                    batch.cut && frame.regionCorners > 0 ? 1 : 0,
                    frame.settings.shadowTaps};
    const auto found = layer_.find(kind);
    if (found == layer_.end()) {
        Result<Program> made = layerProgram(kind);
        assert(made);  // the same text as the one that create() tried, with other constants
        layer_[kind] = std::move(*made);
    }
    Program& program = layer_[kind];
    program.use();
    if (!readied_.insert(kind).second) return program;
    program.set("toClip", frame.toClip);
    setClipUnits(program);
    setSurface(program, frame, buffers);
    return program;
}

namespace {

void setBatch(Program& program, const Frame& frame, const SceneBuffers& buffers, const Batch& batch) {
    setClip(program, frame, buffers, batch);
    program.set("baseColour", batch.paint.colour);
    program.set("object", batch.paint.object);
    program.set("fade", fadeOf(batch, frame.look));
    program.set("tinted", tintOf(batch, buffers));
    setFaces(batch);
}

}  // namespace

void FragmentPath::drawPaper(const Frame& frame, const SceneBuffers& buffers) {
    if (frame.camera.eye().z <= frame.box.low.z) return;
    paper_.fill(paperSheet(frame.box));
    Batch sheet;
    sheet.cut = sheet.peeled = false;
    Program& program = programFor(frame, buffers, sheet, paperGrain);
    setBatch(program, frame, buffers, sheet);
    paper_.draw();
}

void FragmentPath::drawScene(const Frame& frame, const SceneBuffers& buffers, GLuint shadowMap) {
    const int s = frame.settings.samples;
    scene_.resize(frame.width, frame.height, {GL_RGBA8, GL_RGBA8}, true, false, s);
    scene_.bind();
    const glm::vec3 paper = glm::sqrt(toLinear(themeColours(frame.look.theme).paper));
    const float background[] = {paper.x, paper.y, paper.z, 0};
    const float unmarked[] = {0.5F, 0.5F, 0, 0};
    const float far = 1;
    glClearBufferfv(GL_COLOR, 0, background);
    glClearBufferfv(GL_COLOR, 1, unmarked);
    glClearBufferfv(GL_DEPTH, 0, &far);
    readied_.clear();
    bindTexture(shadowUnit, shadowMap);
    buffers.eachShown(frame.look, frame.shown, [&](const Batch& batch) {
        setBatch(programFor(frame, buffers, batch, batch.paint.grain), frame, buffers, batch);
        batch.mesh.draw();
    });
    drawPaper(frame, buffers);
    resetFaces();
}

/// Compiled when first needed: one run of the program seldom needs both kinds.
Program& FragmentPath::screenProgram(std::array<Program, 2>& programs, const std::vector<const char*>& files,
                                     const Frame& frame) {
    Program& program = programs[frame.settings.samples > 1 ? 1 : 0];
    if (program.empty()) {
        Result<Program> made = Program::make({"screen.vert"}, files,
                                             fmt::format("#define SAMPLES {}\n", frame.settings.samples));
        assert(made);
        program = std::move(*made);
    }
    program.use();
    setViewSpace(program, frame);
    program.set("depthMap", 0);
    program.set("marksMap", 1);
    bindTexture(0, scene_.depth(), textureKind(frame));
    bindTexture(1, scene_.colour(1), textureKind(frame));
    return program;
}

void FragmentPath::drawContact(const Frame& frame) {
    if (!frame.settings.contact) return;
    for (Target* target : {&contactMap_, &evenedMap_})
        target->resize((frame.width + 1) / 2, (frame.height + 1) / 2, {GL_RG16F}, false);
    contactMap_.bind();
    Program& contact =
        screenProgram(contact_, {"view_space.glsl", "drawn.glsl", "contact.glsl", "occlusion.frag"}, frame);
    contact.set("toView", glm::dmat3(frame.camera.viewMatrix()));
    contact.set("reach", contactReach);
    glDrawArrays(GL_TRIANGLES, 0, 3);
    evenedMap_.bind();
    evenOut_.use();
    evenOut_.set("occlusionMap", 3);
    bindTexture(3, contactMap_.colour(0));
    glDrawArrays(GL_TRIANGLES, 0, 3);
}

void FragmentPath::compose(const Frame& frame, int x, int y, unsigned frameBuffer) {
    glBindFramebuffer(GL_FRAMEBUFFER, frameBuffer);
    glViewport(x, y, frame.width, frame.height);
    Program& program =
        screenProgram(compose_, {"view_space.glsl", "drawn.glsl", "ink.glsl", "compose.frag"}, frame);
    program.set("colourMap", 2);
    program.set("occlusionMap", 3);
    bindTexture(2, scene_.colour(0), textureKind(frame));
    bindTexture(3, frame.settings.contact ? evenedMap_.colour(0) : 0);
    program.set("corner", glm::dvec2{x, y});
    program.set("darken", frame.settings.contact ? 1 : 0);
    program.set("ink", toLinear(themeColours(Theme::Light).ink));
    glDrawArrays(GL_TRIANGLES, 0, 3);
}

void FragmentPath::draw(const Frame& frame, const SceneBuffers& buffers, GLuint shadowMap, int x, int y,
                        unsigned frameBuffer, PassTimer& timer) {
    drawScene(frame, buffers, shadowMap);
    timer.ended("scene");
    glDisable(GL_CLIP_DISTANCE0);
    glDisable(GL_CLIP_DISTANCE1);
    glDisable(GL_DEPTH_TEST);
    noVertices_.bind();
    drawContact(frame);
    timer.ended("contact");
    compose(frame, x, y, frameBuffer);
    timer.ended("compose");
}

}  // namespace underfoot
