#include "window/interface.h"

#include <optional>
#include <string_view>

#include <glm/common.hpp>
#include <glm/vec3.hpp>

#include "model/model.h"
#include "view/camera.h"
#include "view/scene_view.h"
#include "window/marks.h"
#include "window/page_layout.h"
#include "window/palette.h"
#include "window/parts.h"
#include "window/pen.h"

namespace underfoot {

namespace {
constexpr double restSeconds = 0.12;  // the eye has come to rest
}

struct Interface::Inside {
    ImGuiContext* context = nullptr;
    Fonts fonts;
    double scale = 0;        // window pixels per unit
    double bufferScale = 1;  // frame buffer pixels per window pixel
    PageLayout pages;
    MarkShapes marks;
    bool restless = false;
    bool pointedAnew = false;
    std::vector<Words> words;

    // What the labels were made for.
    std::shared_ptr<const Model> model;
    Look look;
    Camera camera;
    WindowFrame frame;
    Annotations annotations;
    bool labelled = false;
    double changed = 0;  // when picture or eye last changed

    // The box of all that is shown, and what it was found for.
    Bounds bounds;
    Look boundsLook;
    const Model* boundsModel = nullptr;

    const Bounds& boundsOf(const WindowState& state, const Look& now);
    Box modelBox(const WindowState& state, double now);
    void annotateAgain(const WindowState& state, const Look& now, const Camera& eye, double time);
    void parts(WindowState& state, double now);
};

Interface::Interface() : inside_(std::make_unique<Inside>()) {
    inside_->context = ImGui::CreateContext();
    ImGui::SetCurrentContext(inside_->context);
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.LogFilename = nullptr;
    io.ConfigFlags |= ImGuiConfigFlags_NoMouseCursorChange;
    io.ConfigFlags &= ~ImGuiConfigFlags_NavEnableKeyboard;
    // Long drawings have more corners than 16 bits count; every back end used here can start a list anew.
    io.BackendFlags |= ImGuiBackendFlags_RendererHasVtxOffset;
    ImGuiStyle& style = ImGui::GetStyle();
    style.WindowPadding = {0, 0};
    style.WindowBorderSize = 0;
    style.CircleTessellationMaxError = 0.12F;
}

Interface::~Interface() {
    ImGui::DestroyContext(inside_->context);
}

bool Interface::prepare(double scale, double bufferScale) {
    ImGui::SetCurrentContext(inside_->context);
    if (inside_->scale == scale && inside_->bufferScale == bufferScale) return false;
    inside_->scale = scale;
    inside_->bufferScale = bufferScale;
    inside_->fonts = addFonts(*ImGui::GetIO().Fonts, scale * bufferScale);
    return true;
}

void Interface::feed(const PointerEvents& events, double width, double height, double seconds) {
    ImGui::SetCurrentContext(inside_->context);
    ImGuiIO& io = ImGui::GetIO();
    io.DisplaySize = {static_cast<float>(width), static_cast<float>(height)};
    io.DeltaTime = static_cast<float>(seconds);
    io.MousePos = {static_cast<float>(events.at.x), static_cast<float>(events.at.y)};
    io.MouseDown[0] = events.left;
    io.MouseDown[1] = events.right;
    io.MouseDown[2] = events.middle;
    io.MouseWheel = static_cast<float>(events.wheel);
    io.KeyShift = events.shift;
}

bool Interface::restless() const {
    return inside_->restless;
}
const std::vector<Interface::Words>& Interface::words() const {
    return inside_->words;
}

/// Labels cost some tens of milliseconds: they are set once the eye rests, and are away until then.
void Interface::Inside::annotateAgain(const WindowState& state, const Look& now, const Camera& eye,
                                      double time) {
    const WindowFrame& f = state.frame;
    const bool same = model == state.model && frame.width == f.width && frame.height == f.height &&
                      frame.scale == f.scale && frame.scene.left == f.scene.left &&
                      frame.scene.right == f.scene.right && sameLook(look, now) && sameCamera(camera, eye);
    if (!same) {
        model = state.model;
        look = now;
        camera = eye;
        frame = f;
        changed = time;
        labelled = false;
    }
    if (labelled || (state.motion && time - changed < restSeconds)) return;
    annotations = annotate(*model, eye, now, f.width, f.height, f.scene, f.units(state.clientView ? 48 : 38));
    labelled = true;
}

const Bounds& Interface::Inside::boundsOf(const WindowState& state, const Look& now) {
    if (boundsModel != state.model.get() || !sameLook(boundsLook, now)) {
        bounds = shownBounds(*state.model, now);
        boundsLook = now;
        boundsModel = state.model.get();
    }
    return bounds;
}

/// The box on the window that holds the picture of all that is shown.
Box Interface::Inside::modelBox(const WindowState& state, double now) {
    if (!state.model) return {};
    Look atRest = lookOf(state, now);
    atRest.quality = Quality::Full;
    boundsOf(state, atRest);
    const Camera eye = cameraAt(state, now);
    Box box{{1e9, 1e9}, {-1e9, -1e9}};
    for (int i = 0; i < 8; ++i) {
        const glm::dvec3 corner{i & 1 ? bounds.high.x : bounds.low.x, i & 2 ? bounds.high.y : bounds.low.y,
                                i & 4 ? bounds.high.z : bounds.low.z};
        const auto pixel = eye.project(corner, state.frame.width, state.frame.height);
        if (!pixel) return {{0, 0}, {state.frame.width, state.frame.height}};
        box.low = glm::min(box.low, *pixel);
        box.high = glm::max(box.high, *pixel);
    }
    return box;
}

void Interface::Inside::parts(WindowState& state, double now) {
    const ImGuiIO& io = ImGui::GetIO();
    const double fontScale = 1 / bufferScale;
    const auto noteInto = [this](bool over) {
        return [this, over](const Box& box, std::string_view text, bool clipped) {
            words.push_back({box, std::string(text), clipped, over});
        };
    };
    Pen pen(*ImGui::GetWindowDrawList(), fonts, scale, fontScale, noteInto(false));
    Pen under(*ImGui::GetBackgroundDrawList(), fonts, scale, fontScale, noteInto(false));
    Pen over(*ImGui::GetForegroundDrawList(), fonts, scale, fontScale, noteInto(true));
    Desk desk{pen,    under, over,  paletteOf(state.theme),
              now,    pages, marks, {},
              {0, 0}, 0,     false, {},
              {},     -1,    {},    false,
              {},     {},    {}};
    desk.pointer = {static_cast<double>(io.MousePos.x), static_cast<double>(io.MousePos.y)};
    desk.wheel = static_cast<double>(io.MouseWheel);
    desk.shift = io.KeyShift;
    desk.model = modelBox(state, now);
    state.dragging = state.grasp.has_value();
    // Of parts that lie over each other the one that asks first gets the pointer.
    drawHelp(desk, state);
    drawSheet(desk, state);
    drawControls(desk, state);
    drawTitle(desk, state);
    if (!state.clientView) {
        drawColumn(desk, state);
        ImGui::PushID("questions");
        drawQuestions(desk, state);
        drawPage(desk, state);
        ImGui::PopID();
        drawSlips(desk, state);
        drawFoot(desk, state);
    }
    drawThicknessScale(desk, state);
    if (!state.clientView) drawShotPanel(desk, state);
    if (state.model && !state.dragging && !moving(state, now)) {
        annotateAgain(state, lookOf(state, now), cameraAt(state, now), now);
        if (labelled) desk.annotations = annotations;
    }
    drawScene(desk, state);
    pointedAnew = state.pointed != desk.pointed || state.pointedShot != desk.pointedShot ||
                  state.pointedLayer != desk.pointedLayer || state.answer.pointed != desk.pointedSpot ||
                  desk.again;
    state.answer.pointed = desk.pointedSpot;
    state.pointed = desk.pointed;
    state.pointedShot = desk.pointedShot;
    state.pointedLayer = desk.pointedLayer;
    drawHint(desk, state);
}

namespace {

/// True in a frame in which a button went down or up or the wheel turned: parts drawn before the one that
/// acted on it show what was.
bool handActed() {
    const ImGuiIO& io = ImGui::GetIO();
    bool any = io.MouseWheel != 0;
    for (const int button : {0, 1, 2}) any = any || io.MouseClicked[button] || io.MouseReleased[button];
    return any;
}

}  // namespace

void Interface::frame(WindowState& state, double now) {
    ImGui::SetCurrentContext(inside_->context);
    const ImGuiIO& io = ImGui::GetIO();
    layOut(state, static_cast<double>(io.DisplaySize.x), static_cast<double>(io.DisplaySize.y),
           inside_->scale);
    ImGui::NewFrame();
    inside_->words.clear();
    ImGui::SetNextWindowPos({0, 0});
    ImGui::SetNextWindowSize(io.DisplaySize);
    constexpr ImGuiWindowFlags bare = ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoBackground |
                                      ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings |
                                      ImGuiWindowFlags_NoBringToFrontOnFocus |
                                      ImGuiWindowFlags_NoScrollWithMouse | ImGuiWindowFlags_NoNav;
    const bool wasDragging = state.dragging;
    ImGui::Begin("frame", nullptr, bare);
    inside_->parts(state, now);
    ImGui::End();
    const bool acted = handActed();
    ImGui::Render();
    inside_->restless = moving(state, now) || acted || wasDragging != state.dragging ||
                        inside_->pointedAnew || (state.model && !inside_->labelled);
}

}  // namespace underfoot
