#include "view/frame.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <glm/geometric.hpp>
#include <glm/gtc/matrix_transform.hpp>
#include <glm/vec2.hpp>
#include <glm/vec4.hpp>

#include "view/paint.h"

namespace underfoot {

namespace {

Settings settingsOf(Quality quality) {
    if (quality == Quality::Dragging) return {1, 1024, 1, false};
    return {quality == Quality::Fine ? 4 : 1, 2048, 9, true};
}

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

}  // namespace

Frame frameOf(const Camera& camera, const Look& look, const Shown& shown, const Bounds& box, int width,
              int height) {
    Frame frame{camera, look, shown, settingsOf(look.quality), box, width, height, 0.1, 100, {}, {}, {}, 0};
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

double paperHeight(const Bounds& box) {
    return box.low.z - 0.002;
}
/// Well past the longest shadow.
double paperHalf(const Bounds& box) {
    return 3 * box.radius();
}

bool isStraight(const Shown& shown) {
    return shown.cutLine.size() == 2;
}

Clipping clippingOf(const Frame& frame, const Drawn& mesh) {
    Clipping clip;
    const Shown& shown = frame.shown;
    if (mesh.cut && isStraight(shown)) {
        const glm::dvec2 along = glm::normalize(shown.cutLine[1] - shown.cutLine[0]);
        const glm::dvec2 left{-along.y, along.x};
        clip.straight = {left, glm::dot(shown.cutLine[0], left)};
    }
    if (mesh.cut && shown.cutLine.size() > 2) clip.region = &shown.removed;
    double limit = 1e30;
    if (mesh.peeled && mesh.layer >= 0) limit = shown.peelLimit[static_cast<size_t>(mesh.layer)];
    if (mesh.part == Part::Edging) limit = shown.edgingLimit;
    clip.peel = {shown.peelAlong, std::min(limit, 1e30)};
    return clip;
}

void setClip(Program& program, const Frame& frame, const SceneBuffers& buffers, const Batch& batch) {
    const Clipping clip = clippingOf(frame, batch);
    program.set("straightCut", glm::dvec4{clip.straight, batch.cut && isStraight(frame.shown) ? 1 : 0});
    program.set("regionCorners", clip.region ? frame.regionCorners : 0);
    program.set("peel", clip.peel);
    program.set("rides", buffers.rides(batch) ? 1 : 0);
    program.set("rise", batch.layer >= 0 ? frame.shown.rise[static_cast<size_t>(batch.layer)] : 0.0);
}

void setClipUnits(Program& program) {
    program.set("region", regionUnit);
    program.set("planeOfRider", planeOfRiderUnit);
    program.set("ridePlanes", ridePlanesUnit);
}

namespace {

void setField(Program& program, const Frame& frame, const SceneBuffers& buffers) {
    if (!frame.look.thickness) return;
    const ThicknessScale scale = thicknessScale(*buffers.model(), *frame.look.thickness);
    program.set("range", glm::dvec4{scale.least, scale.greatest, scale.wantedLeast.value_or(-1e9),
                                    scale.wantedGreatest.value_or(1e9)});
    program.set("contour", std::max(scale.step, 1e-6));
}

}  // namespace

void setSurface(Program& program, const Frame& frame, const SceneBuffers& buffers) {
    const ThemeColours theme = themeColours(frame.look.theme);
    program.set("toShadow", frame.toShadow);
    program.set("shadowMap", shadowUnit);
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
    program.set("sheet", glm::dvec3{glm::dvec2(frame.box.centre()), frame.box.radius()});
    setField(program, frame, buffers);
}

void setViewSpace(Program& program, const Frame& frame) {
    const double tangent = std::tan(frame.camera.fieldOfView / 2);
    program.set("unproject", glm::dvec4{tangent * frame.width / frame.height, tangent, frame.camera.shift});
    program.set("nearFar", glm::dvec2{frame.nearest, frame.farthest});
    program.set("frame", glm::dvec2{frame.width, frame.height});
}

double fadeOf(const Batch& batch, const Look& look) {
    return look.highlightLayer >= 0 && batch.layer != look.highlightLayer ? 0.62 : 0.0;
}
double tintOf(const Batch& batch, const SceneBuffers& buffers) {
    return buffers.isMarkedUnit(batch) ? 0.75 : 0.0;
}

void setSides(const Batch& batch) {
    const bool closed = batch.layer >= 0 && !batch.cap;
    if (closed)
        glEnable(GL_CULL_FACE);
    else
        glDisable(GL_CULL_FACE);
}

void setFaces(const Batch& batch) {
    setSides(batch);
    if (batch.nearer > 0) {
        glEnable(GL_POLYGON_OFFSET_FILL);
        glPolygonOffset(-0.5F * static_cast<float>(batch.nearer), -24.0F * static_cast<float>(batch.nearer));
    } else {
        glDisable(GL_POLYGON_OFFSET_FILL);
    }
}

void resetFaces() {
    glDisable(GL_CULL_FACE);
    glDisable(GL_POLYGON_OFFSET_FILL);
}

}  // namespace underfoot
