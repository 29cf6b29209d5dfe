#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <map>
#include <set>

#include <fmt/format.h>
#include <glm/geometric.hpp>
#include <glm/gtc/matrix_transform.hpp>

#include "view/gl.h"
#include "view/scene_buffers.h"
#include "view/scene_view.h"
#include "view/shown.h"

namespace underfoot {

namespace {

constexpr double contactReach = 0.14;  // metres that contact darkening looks round a place
constexpr int paperGrain = 20;
constexpr int planeOfRiderUnit = 4, ridePlanesUnit = 5;  // of textures

struct Settings {
    int samples = 1;
    int shadowSize = 2048;
    int shadowTaps = 9;
    bool contact = true;
};

Settings settingsOf(Quality quality) {
    if (quality == Quality::Dragging) return {1, 1024, 1, false};
    return {quality == Quality::Fine ? 4 : 1, 2048, 9, true};
}

/// What all passes of one frame share.
struct Frame {
    const Camera& camera;
    const Look& look;
    const Shown& shown;
    Settings settings;
    Bounds box;
    int width = 0, height = 0;
    double nearest = 0.1, farthest = 100;
    glm::dmat4 toClip{1};
    glm::dmat4 toShadow{1};
    glm::dvec3 toSun{0, 0, 1};
};

/// Over the viewer's left shoulder, about 45 degrees up: it stays there when the model is turned.
glm::dvec3 sunOver(const Camera& camera) {
    const glm::dvec3 toward{std::cos(camera.azimuth), std::sin(camera.azimuth), 0};
    return glm::normalize(-0.78 * camera.right() + 0.30 * toward + glm::dvec3{0, 0, 0.84});
}

glm::dmat4 shadowMatrix(const Bounds& box, const glm::dvec3& toSun) {
    const glm::dvec3 middle = box.centre();
    const double radius = box.radius() * 1.02 + 0.05;
    const glm::dmat4 look = glm::lookAt(middle + toSun * (2 * radius), middle, glm::dvec3{0, 0, 1});
    const glm::dmat4 clip = glm::ortho(-radius, radius, -radius, radius, 0.5 * radius, 3.5 * radius) * look;
    return glm::translate(glm::dmat4{1}, glm::dvec3{0.5}) * glm::scale(glm::dmat4{1}, glm::dvec3{0.5}) * clip;
}

Frame frameOf(const Camera& camera, const Look& look, const Shown& shown, const Bounds& box, int width,
              int height) {
    Frame frame{camera, look, shown, settingsOf(look.quality), box, width, height, 0.1, 100, {}, {}, {}};
    const double radius = std::max(box.radius(), 0.1);
    const double middle = glm::dot(box.centre() - camera.eye(), camera.forward());
    frame.nearest = std::max({middle - 1.1 * radius, 0.01 * radius, 0.02});
    frame.farthest = std::max(middle, 0.0) + 5 * radius;
    frame.toClip = camera.projection(static_cast<double>(width) / height, frame.nearest, frame.farthest) *
                   camera.viewMatrix();
    frame.toSun = sunOver(camera);
    frame.toShadow = shadowMatrix(box, frame.toSun);
    return frame;
}

/// The paper that the model lies on: a square well past the longest shadow.
Vertices paperSheet(const Bounds& box) {
    const double half = 3 * box.radius(), z = box.low.z - 0.002;
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

/// When each pass ends, by the card's clock.
class PassTimer {
  public:
    PassTimer() = default;
    ~PassTimer() { time(false); }
    PassTimer(const PassTimer&) = delete;
    PassTimer& operator=(const PassTimer&) = delete;

    void time(bool timed) {
        if (!queries_.empty()) glDeleteQueries(static_cast<GLsizei>(queries_.size()), queries_.data());
        queries_.clear();
        names_.clear();
        timed_ = timed;
    }
    void start() {
        names_.clear();
        ended("start");
    }
    void ended(const char* pass) {
        if (!timed_) return;
        if (queries_.size() == names_.size()) glGenQueries(1, &queries_.emplace_back());
        glQueryCounter(queries_[names_.size()], GL_TIMESTAMP);
        names_.push_back(pass);
    }
    std::vector<PassTime> times() const {
        std::vector<PassTime> out;
        GLuint64 before = 0;
        for (size_t i = 0; i < names_.size(); ++i) {
            GLuint64 now = 0;
            glGetQueryObjectui64v(queries_[i], GL_QUERY_RESULT, &now);
            if (i > 0) out.push_back({names_[i], static_cast<double>(now - before) * 1e-6});
            before = now;
        }
        return out;
    }

  private:
    bool timed_ = false;
    std::vector<GLuint> queries_;
    std::vector<const char*> names_;
};

/// Grain, hatch, face of a cut, coloured by thickness, cut by a region, taps of the shadow.
using Kind = std::array<int, 6>;

Result<Program> layerProgram(const Kind& kind) {
    const std::string defines = fmt::format(
        "#define GRAIN {}\n#define HATCH {}\n#define CAP {}\n#define FIELD {}\n#define REGION {}\n"
        "#define SHADOW_TAPS {}\n",
        kind[0], kind[1], kind[2], kind[3], kind[4], kind[5]);
    return Program::make({"clip.glsl", "ride.glsl", "layer.vert"},
                         {"region.glsl", "grain.glsl", "hatch.glsl", "layer.frag"}, defines);
}

class GlRenderer final : public Renderer {
  public:
    static Result<std::unique_ptr<Renderer>> make();
    ~GlRenderer() override { glDeleteVertexArrays(1, &noVertices_); }
    GlRenderer(const GlRenderer&) = delete;
    GlRenderer& operator=(const GlRenderer&) = delete;

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
    void fillRegion(const Shown& shown);
    void clipFor(Program& program, const Frame& frame, const Batch& batch) const;
    void drawShadows(const Frame& frame);
    void drawScene(const Frame& frame);
    Program& screenProgram(std::array<Program, 2>& programs, const char* file, const Frame& frame);
    Program& programFor(const Frame& frame, const Batch& batch, int grain);
    void setScene(Program& program, const Frame& frame);
    void setField(Program& program, const Frame& frame);
    void setBatch(Program& program, const Frame& frame, const Batch& batch);
    void drawPaper(const Frame& frame);
    void drawContact(const Frame& frame);
    void compose(const Frame& frame, int x, int y, unsigned frameBuffer);
    void setDepthReading(Program& program, const Frame& frame) const;

    std::map<Kind, Program> layer_;
    std::set<Kind> readied_;  ///< whose values for the frame are set
    Program shadow_, shadowInRegion_, evenOut_;
    std::array<Program, 2> contact_, compose_;  ///< for 1 and 4 samples of a pixel
    SceneBuffers buffers_;
    Mesh paper_;
    Target scene_, shadowMap_, contactMap_, evenedMap_;
    PassTimer timer_;
    bool fourSamples_ = false;
    GLuint noVertices_ = 0;
    TextureBuffer region_;
    int regionCorners_ = 0;
    std::string device_;
};

Result<std::unique_ptr<Renderer>> GlRenderer::make() {
    if (epoxy_gl_version() < 33)
        return tl::unexpected(Diagnostic{{},
                                         "The graphics driver offers less than OpenGL 3.3.",
                                         "Update the driver, or set LIBGL_ALWAYS_SOFTWARE=1."});
    std::unique_ptr<GlRenderer> made(new GlRenderer);
    constexpr Kind plainKind{0, 0, 0, 0, 0, 9};
    const auto take = [](Program& into, Result<Program> from) -> std::optional<Diagnostic> {
        if (!from) return from.error();
        into = std::move(*from);
        return {};
    };
    for (const auto& failed :
         {take(made->layer_[plainKind], layerProgram(plainKind)),
          take(made->shadow_, Program::make({"clip.glsl", "ride.glsl", "shadow.vert"},
                                            {"region.glsl", "shadow.frag"}, "#define REGION 0\n")),
          take(made->shadowInRegion_, Program::make({"clip.glsl", "ride.glsl", "shadow.vert"},
                                                    {"region.glsl", "shadow.frag"}, "#define REGION 1\n")),
          take(made->evenOut_, Program::make({"screen.vert"}, {"even_out.frag"}))})
        if (failed) return tl::unexpected(*failed);
    GLint colourSamples = 0, depthSamples = 0;
    glGetIntegerv(GL_MAX_COLOR_TEXTURE_SAMPLES, &colourSamples);
    glGetIntegerv(GL_MAX_DEPTH_TEXTURE_SAMPLES, &depthSamples);
    made->fourSamples_ = std::min(colourSamples, depthSamples) >= 4;
    glGenVertexArrays(1, &made->noVertices_);
    const auto* name = reinterpret_cast<const char*>(glGetString(GL_RENDERER));
    made->device_ = name ? name : "";
    return std::unique_ptr<Renderer>(std::move(made));
}

bool GlRenderer::software() const {
    for (const char* name : {"llvmpipe", "softpipe", "swrast", "SWR"})
        if (device_.find(name) != std::string::npos) return true;
    return false;
}

/// A straight cut is clipped exactly by a plane; a bent one by its region.
bool isStraight(const Shown& shown) {
    return shown.cutLine.size() == 2;
}

void GlRenderer::fillRegion(const Shown& shown) {
    regionCorners_ = 0;
    std::vector<glm::vec2> corners{{0, 0}};
    if (shown.cutLine.size() > 2) {
        corners.assign(shown.removed.begin(), shown.removed.end());
        regionCorners_ = static_cast<int>(corners.size());
    }
    region_.fill(corners.data(), corners.size() * sizeof(glm::vec2), GL_RG32F);
    region_.bind(1);
}

void GlRenderer::clipFor(Program& program, const Frame& frame, const Batch& batch) const {
    glm::dvec4 plane{0, 0, 0, 0};
    if (batch.cut && isStraight(frame.shown)) {
        const glm::dvec2 along = glm::normalize(frame.shown.cutLine[1] - frame.shown.cutLine[0]);
        const glm::dvec2 left{-along.y, along.x};
        // Nearest to the model's middle, so that the single precision of the card is spent there.
        const glm::dvec2 on =
            frame.shown.cutLine[0] +
            along * glm::dot(glm::dvec2(frame.box.centre()) - frame.shown.cutLine[0], along);
        plane = {left, glm::dot(on, left), 1};
    }
    program.set("straightCut", plane);
    program.set("regionCorners", batch.cut ? regionCorners_ : 0);
    double limit = 1e30;
    if (batch.peeled && batch.layer >= 0) limit = frame.shown.peelLimit[static_cast<size_t>(batch.layer)];
    if (batch.part == Part::Edging) limit = frame.shown.edgingLimit;
    program.set("peel", glm::dvec3{frame.shown.peelAlong, std::min(limit, 1e30)});
    program.set("rides", buffers_.rides(batch) ? 1 : 0);
    program.set("rise", batch.layer >= 0 ? frame.shown.rise[static_cast<size_t>(batch.layer)] : 0.0);
}

void setRiders(Program& program) {
    program.set("planeOfRider", planeOfRiderUnit);
    program.set("ridePlanes", ridePlanesUnit);
}

void GlRenderer::drawShadows(const Frame& frame) {
    const int size = frame.settings.shadowSize;
    shadowMap_.resize(size, size, {}, true, true);
    shadowMap_.bind();
    buffers_.bindRiders(planeOfRiderUnit, ridePlanesUnit);
    glClear(GL_DEPTH_BUFFER_BIT);
    glEnable(GL_POLYGON_OFFSET_FILL);
    glPolygonOffset(1.5F, 2.0F);
    Program& program = regionCorners_ > 0 ? shadowInRegion_ : shadow_;
    program.use();
    program.set("toShadow", frame.toShadow);
    program.set("region", 1);
    setRiders(program);
    buffers_.eachShading(frame.look, frame.shown, [&](const Batch& batch) {
        clipFor(program, frame, batch);
        batch.mesh.draw();
    });
    glDisable(GL_POLYGON_OFFSET_FILL);
}

void GlRenderer::setField(Program& program, const Frame& frame) {
    if (!frame.look.thickness) return;
    const ThicknessScale scale = thicknessScale(*buffers_.model(), *frame.look.thickness);
    program.set("range", glm::dvec4{scale.least, scale.greatest, scale.wantedLeast.value_or(-1e9),
                                    scale.wantedGreatest.value_or(1e9)});
    program.set("contour", std::max(scale.step, 1e-6));
}

Program& GlRenderer::programFor(const Frame& frame, const Batch& batch, int grain) {
    const bool measured =
        frame.look.thickness && batch.layer >= 0 && batch.layer == frame.look.thickness->layer && !batch.cap;
    const Kind kind{grain,
                    batch.cap ? batch.paint.hatch : 0,
                    batch.cap ? 1 : 0,
                    measured ? 1 : 0,
                    batch.cut && regionCorners_ > 0 ? 1 : 0,
                    frame.settings.shadowTaps};
    const auto found = layer_.find(kind);
    if (found == layer_.end()) {
        Result<Program> made = layerProgram(kind);
        assert(made);  // the same text as the one that create() tried, with other constants
        layer_[kind] = std::move(*made);
    }
    Program& program = layer_[kind];
    program.use();
    if (readied_.insert(kind).second) setScene(program, frame);
    return program;
}

void GlRenderer::setScene(Program& program, const Frame& frame) {
    const ThemeColours theme = themeColours(frame.look.theme);
    program.set("toClip", frame.toClip);
    program.set("toShadow", frame.toShadow);
    program.set("shadowMap", 0);
    program.set("region", 1);
    setRiders(program);
    program.set("grainAmount", frame.look.grain ? 1.0 : 0.0);
    program.set("finest", frame.settings.samples > 1 ? 0.55 : 1.0);
    program.set("paper", toLinear(theme.paper));
    program.set("ink", toLinear(themeColours(Theme::Light).ink));
    program.set("attention", toLinear(theme.attention));
    program.set("toSun", frame.toSun);
    program.set("eyeFrom", frame.camera.eye());
    program.set("shadowTexel", 1.0 / frame.settings.shadowSize);
    glm::dvec4 ring{0, 0, 0, 0};
    if (frame.look.highlightPlace) ring = {*frame.look.highlightPlace, frame.look.highlightRadius, 1};
    program.set("ring", ring);
    setField(program, frame);
}

void GlRenderer::setBatch(Program& program, const Frame& frame, const Batch& batch) {
    clipFor(program, frame, batch);
    program.set("baseColour", batch.paint.colour);
    program.set("object", batch.paint.object);
    const bool stepsBack = frame.look.highlightLayer >= 0 && batch.layer != frame.look.highlightLayer;
    program.set("fade", stepsBack ? 0.62 : 0.0);
    program.set("tinted", buffers_.isMarkedUnit(batch) ? 0.75 : 0.0);
    if (batch.nearer > 0) {
        glEnable(GL_POLYGON_OFFSET_FILL);
        glPolygonOffset(-0.5F * static_cast<float>(batch.nearer), -24.0F * static_cast<float>(batch.nearer));
    } else {
        glDisable(GL_POLYGON_OFFSET_FILL);
    }
}

void GlRenderer::drawPaper(const Frame& frame) {
    if (frame.camera.eye().z <= frame.box.low.z) return;
    paper_.fill(paperSheet(frame.box));
    Batch sheet;
    sheet.cut = sheet.peeled = false;
    Program& program = programFor(frame, sheet, paperGrain);
    setBatch(program, frame, sheet);
    program.set("sheet", glm::dvec3{glm::dvec2(frame.box.centre()), frame.box.radius()});
    paper_.draw();
}

void GlRenderer::drawScene(const Frame& frame) {
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
    bindTexture(0, shadowMap_.depth());
    region_.bind(1);
    buffers_.bindRiders(planeOfRiderUnit, ridePlanesUnit);
    buffers_.eachShown(frame.look, frame.shown, [&](const Batch& batch) {
        setBatch(programFor(frame, batch, batch.paint.grain), frame, batch);
        batch.mesh.draw();
    });
    drawPaper(frame);
    glDisable(GL_POLYGON_OFFSET_FILL);
}

GLenum textureKind(const Frame& frame) {
    return frame.settings.samples > 1 ? GL_TEXTURE_2D_MULTISAMPLE : GL_TEXTURE_2D;
}

void GlRenderer::setDepthReading(Program& program, const Frame& frame) const {
    const double tangent = std::tan(frame.camera.fieldOfView / 2);
    program.set("depthMap", 0);
    program.set("marksMap", 1);
    program.set("unproject", glm::dvec4{tangent * frame.width / frame.height, tangent, frame.camera.shift});
    program.set("nearFar", glm::dvec2{frame.nearest, frame.farthest});
    program.set("frame", glm::dvec2{frame.width, frame.height});
    bindTexture(0, scene_.depth(), textureKind(frame));
    bindTexture(1, scene_.colour(1), textureKind(frame));
}

/// Compiled when first needed: one run of the program seldom needs both kinds.
Program& GlRenderer::screenProgram(std::array<Program, 2>& programs, const char* file, const Frame& frame) {
    Program& program = programs[frame.settings.samples > 1 ? 1 : 0];
    if (program.empty()) {
        Result<Program> made = Program::make({"screen.vert"}, {"view_space.glsl", file},
                                             fmt::format("#define SAMPLES {}\n", frame.settings.samples));
        assert(made);
        program = std::move(*made);
    }
    program.use();
    setDepthReading(program, frame);
    return program;
}

void GlRenderer::drawContact(const Frame& frame) {
    if (!frame.settings.contact) return;
    for (Target* target : {&contactMap_, &evenedMap_})
        target->resize((frame.width + 1) / 2, (frame.height + 1) / 2, {GL_RG16F}, false);
    contactMap_.bind();
    Program& contact = screenProgram(contact_, "occlusion.frag", frame);
    contact.set("toView", glm::dmat3(frame.camera.viewMatrix()));
    contact.set("reach", contactReach);
    glDrawArrays(GL_TRIANGLES, 0, 3);
    evenedMap_.bind();
    evenOut_.use();
    evenOut_.set("occlusionMap", 3);
    bindTexture(3, contactMap_.colour(0));
    glDrawArrays(GL_TRIANGLES, 0, 3);
}

void GlRenderer::compose(const Frame& frame, int x, int y, unsigned frameBuffer) {
    glBindFramebuffer(GL_FRAMEBUFFER, frameBuffer);
    glViewport(x, y, frame.width, frame.height);
    Program& program = screenProgram(compose_, "compose.frag", frame);
    program.set("colourMap", 2);
    program.set("occlusionMap", 3);
    bindTexture(2, scene_.colour(0), textureKind(frame));
    bindTexture(3, frame.settings.contact ? evenedMap_.colour(0) : 0);
    program.set("corner", glm::dvec2{x, y});
    program.set("darken", frame.settings.contact ? 1 : 0);
    program.set("ink", toLinear(themeColours(Theme::Light).ink));
    glDrawArrays(GL_TRIANGLES, 0, 3);
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
    buffers_.prepare(look, shown, camera, height);
    Frame frame = frameOf(camera, look, shown, buffers_.bounds(look, shown), width, height);
    if (!fourSamples_) frame.settings.samples = 1;
    timer_.start();
    glEnable(GL_DEPTH_TEST);
    glDepthMask(GL_TRUE);
    glDepthFunc(GL_LEQUAL);
    glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
    glEnable(GL_CLIP_DISTANCE0);
    glEnable(GL_CLIP_DISTANCE1);
    fillRegion(shown);
    drawShadows(frame);
    timer_.ended("shadow");
    drawScene(frame);
    timer_.ended("scene");
    glDisable(GL_CLIP_DISTANCE0);
    glDisable(GL_CLIP_DISTANCE1);
    glDisable(GL_DEPTH_TEST);
    glBindVertexArray(noVertices_);
    drawContact(frame);
    timer_.ended("contact");
    compose(frame, x, y, frameBuffer);
    timer_.ended("compose");
    glBindVertexArray(0);
    glActiveTexture(GL_TEXTURE0);
    glUseProgram(0);
}

}  // namespace

Result<std::unique_ptr<Renderer>> Renderer::create() {
    return GlRenderer::make();
}

}  // namespace underfoot
