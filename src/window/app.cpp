// The window itself: GLFW, OpenGL, and the loop that draws when there is something to draw.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <epoxy/gl.h>

#include <GLFW/glfw3.h>
#include <backends/imgui_impl_glfw.h>
#include <backends/imgui_impl_opengl3.h>
#include <fmt/format.h>
#include <imgui.h>
#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "model/rebuild.h"
#include "plan/plan.h"
#include "share/write_file.h"
#include "view/camera.h"
#include "view/picture.h"
#include "view/scene_view.h"
#include "window/heights.h"
#include "window/interface.h"
#include "window/plan_worker.h"
#include "window/questions.h"
#include "window/shots.h"
#include "window/window.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

constexpr double idleSeconds = 2;  // longest sleep; readings and input wake the window before
constexpr double pictureSeconds = 0.02;
constexpr int settlingFrames = 3;          // after an event: what it set off is drawn
constexpr double fastestDragPixels = 9e5;  // a software picture is kept below this while something moves

/// A picture that is drawn into and shown again without being drawn anew.
class Backing {
  public:
    ~Backing() { release(); }
    void size(int width, int height) {
        if (width == width_ && height == height_) return;
        release();
        width_ = width;
        height_ = height;
        glGenTextures(1, &texture_);
        glBindTexture(GL_TEXTURE_2D, texture_);
        glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, width, height, 0, GL_RGBA, GL_UNSIGNED_BYTE, nullptr);
        glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_LINEAR);
        glBindTexture(GL_TEXTURE_2D, 0);
        glGenFramebuffers(1, &buffer_);
        glBindFramebuffer(GL_FRAMEBUFFER, buffer_);
        glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, texture_, 0);
    }
    void showOn(GLuint target, int width, int height) const {
        glBindFramebuffer(GL_READ_FRAMEBUFFER, buffer_);
        glBindFramebuffer(GL_DRAW_FRAMEBUFFER, target);
        const bool same = width == width_ && height == height_;
        glBlitFramebuffer(0, 0, width_, height_, 0, 0, width, height, GL_COLOR_BUFFER_BIT,
                          same ? GL_NEAREST : GL_LINEAR);
        glBindFramebuffer(GL_FRAMEBUFFER, target);
    }
    Image read() const {
        Image image;
        image.width = width_;
        image.height = height_;
        const size_t row = 4 * static_cast<size_t>(width_);
        std::vector<uint8_t> up(row * static_cast<size_t>(height_));
        glBindFramebuffer(GL_READ_FRAMEBUFFER, buffer_);
        glPixelStorei(GL_PACK_ALIGNMENT, 1);
        glReadPixels(0, 0, width_, height_, GL_RGBA, GL_UNSIGNED_BYTE, up.data());
        for (size_t y = static_cast<size_t>(height_); y-- > 0;)
            image.rgba.insert(image.rgba.end(), up.begin() + static_cast<std::ptrdiff_t>(y * row),
                              up.begin() + static_cast<std::ptrdiff_t>((y + 1) * row));
        for (size_t i = 3; i < image.rgba.size(); i += 4) image.rgba[i] = 255;
        return image;
    }
    GLuint buffer() const { return buffer_; }
    int width() const { return width_; }
    int height() const { return height_; }

  private:
    void release() {
        if (buffer_ != 0) glDeleteFramebuffers(1, &buffer_);
        if (texture_ != 0) glDeleteTextures(1, &texture_);
        buffer_ = texture_ = 0;
    }
    GLuint buffer_ = 0, texture_ = 0;
    int width_ = 0, height_ = 0;
};

/// GLFW for as long as the window is open.
class Glfw {
  public:
    Glfw() : good_(glfwInit() == GLFW_TRUE) {}
    ~Glfw() {
        if (good_) glfwTerminate();
    }
    bool good() const { return good_; }

  private:
    bool good_;
};

struct WindowCloser {
    void operator()(GLFWwindow* window) const { glfwDestroyWindow(window); }
};
using WindowHandle = std::unique_ptr<GLFWwindow, WindowCloser>;

WindowHandle makeWindow(const WindowOptions& options, const std::string& title) {
    glfwWindowHint(GLFW_OPENGL_PROFILE, GLFW_OPENGL_CORE_PROFILE);
    glfwWindowHint(GLFW_OPENGL_FORWARD_COMPAT, GLFW_TRUE);
    glfwWindowHint(GLFW_SCALE_TO_MONITOR, options.scale > 0 ? GLFW_FALSE : GLFW_TRUE);
    const double scale = options.scale > 0 ? options.scale : 1;
    // 4.3 has compute stages, with which the renderer is faster; some drivers give no more than is asked for.
    for (const auto& [major, minor] : {std::pair{4, 5}, {4, 3}, {3, 3}}) {
        glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, major);
        glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, minor);
        if (GLFWwindow* made =
                glfwCreateWindow(static_cast<int>(options.width * scale),
                                 static_cast<int>(options.height * scale), title.c_str(), nullptr, nullptr))
            return WindowHandle(made);
    }
    return nullptr;
}

/// The letter that is on the key, wherever it lies; empty for others.
std::string letterOf(int key, int scancode) {
    const char* name = glfwGetKeyName(key, scancode);
    return name == nullptr ? "" : name;
}

std::optional<Key> keyOf(int key, int scancode) {
    switch (key) {
        case GLFW_KEY_ESCAPE:
            return Key::Escape;
        case GLFW_KEY_LEFT:
            return Key::Left;
        case GLFW_KEY_RIGHT:
            return Key::Right;
        case GLFW_KEY_PAGE_UP:
            return Key::PageUp;
        case GLFW_KEY_PAGE_DOWN:
            return Key::PageDown;
        case GLFW_KEY_UP:
            return Key::Up;
        case GLFW_KEY_DOWN:
            return Key::Down;
        case GLFW_KEY_HOME:
            return Key::Home;
        case GLFW_KEY_F1:
            return Key::Help;
        case GLFW_KEY_ENTER:
        case GLFW_KEY_KP_ENTER:
            return Key::Enter;
        case GLFW_KEY_BACKSPACE:
            return Key::Backspace;
        default:
            break;
    }
    const std::string letter = letterOf(key, scancode);
    if (letter.size() == 1 && letter[0] >= '1' && letter[0] <= '8')
        return static_cast<Key>(static_cast<int>(Key::One) + (letter[0] - '1'));
    if (letter == "c") return Key::C;
    if (letter == "d") return Key::D;
    if (letter == "f") return Key::F;
    if (letter == "g") return Key::G;
    if (letter == "h") return Key::H;
    if (letter == "l") return Key::L;
    if (letter == "p") return Key::P;
    if (letter == "s") return Key::S;
    if (letter == "t") return Key::T;
    if (letter == "x") return Key::X;
    if (letter == "q") return Key::Q;
    return {};
}

/// Together with the control key.
std::optional<Key> controlKeyOf(int key, int scancode, bool shift) {
    const std::string letter = letterOf(key, scancode);
    if (letter == "c") return Key::Copy;
    if (letter == "z") return shift ? Key::Redo : Key::Undo;
    if (letter == "y") return Key::Redo;
    return {};
}

class App {
  public:
    App(GLFWwindow* window, std::unique_ptr<Renderer> renderer, const std::filesystem::path& planFile,
        const WindowOptions& options)
        : window_(window),
          renderer_(std::move(renderer)),
          options_(options),
          planFile_(planFile),
          worker_(planFile, [] { glfwPostEmptyEvent(); }) {
        state_.theme = options.theme;
        state_.motion = options.motion && options.screenshotFile.empty();
        state_.clientView = options.clientView;
        state_.quickCard = !renderer_->software();
        glfwSetWindowUserPointer(window_, this);
        glfwSetKeyCallback(window_, [](GLFWwindow* w, int key, int scancode, int action, int mods) {
            if (action != GLFW_RELEASE)
                static_cast<App*>(glfwGetWindowUserPointer(w))->key(key, scancode, mods);
        });
        glfwSetCharCallback(window_, [](GLFWwindow* w, unsigned letter) {
            static_cast<App*>(glfwGetWindowUserPointer(w))->letter(letter);
        });
        glfwSetWindowRefreshCallback(
            window_, [](GLFWwindow* w) { static_cast<App*>(glfwGetWindowUserPointer(w))->step(); });
        prepareType();
        ImGui_ImplGlfw_InitForOpenGL(window_, true);
        ImGui_ImplOpenGL3_Init("#version 330 core");
    }

    ~App() {
        ImGui_ImplOpenGL3_Shutdown();
        ImGui_ImplGlfw_Shutdown();
    }

    int run() {
        while (!glfwWindowShouldClose(window_)) {
            const bool picture = !options_.screenshotFile.empty();
            if (unsettled_ > 0) {
                glfwPollEvents();
            } else {
                glfwWaitEventsTimeout(picture ? pictureSeconds : idleSeconds);
            }
            const bool sleeping = unsettled_ == 0 && !picture && !eventsSince();
            takeReading();
            takeMove();
            takeAnswer();
            if (sleeping && !anew_) continue;
            step();
            if (!picture || !settled()) continue;
            if (++frames_ >= options_.frames) return screenshot();
        }
        return static_cast<int>(WindowExit::Fine);
    }

  private:
    /// True when the wait ended for an event rather than for its time.
    bool eventsSince() {
        const double now = glfwGetTime();
        const bool early = now - lastStep_ < idleSeconds * 0.98;
        lastStep_ = now;
        return early;
    }

    void key(int key, int scancode, int mods) {
        const bool shift = (mods & GLFW_MOD_SHIFT) != 0;
        const std::optional<Key> known =
            (mods & GLFW_MOD_CONTROL) != 0 ? controlKeyOf(key, scancode, shift) : keyOf(key, scancode);
        if (known)
            pressKey(state_, *known, shift, glfwGetTime());
        else if (shift && key == GLFW_KEY_SLASH)
            pressKey(state_, Key::Help, false, glfwGetTime());
        unsettled_ = settlingFrames;
    }

    void letter(unsigned typed) {
        typeInto(state_, typed);
        unsettled_ = settlingFrames;
    }

    void takeReading() {
        const Stage stage = worker_.stage();
        if (stage != state_.stage) anew_ = true;
        state_.stage = stage;
        std::optional<Loaded> loaded = worker_.take();
        if (!loaded) return;
        anew_ = true;
        const bool first = !state_.model && loaded->model;
        const bool good = loaded->model != nullptr;
        receive(state_, std::move(*loaded), glfwGetTime());
        read_ = true;
        if (good) {
            glfwSetWindowTitle(window_, (state_.model->plan.title + " \u2013 Underfoot").c_str());
        }
        if (first) showFirst();
    }

    /// Heights that were moved beside the window.
    void takeMove() {
        std::optional<Moved> moved = worker_.takeMoved();
        if (!moved) return;
        anew_ = true;
        sameCells_ = sameCells_ && moved->sameCells;
        posts_.insert(posts_.end(), moved->posts.begin(), moved->posts.end());
        receiveMoved(state_, std::move(*moved));
    }

    void takeAnswer() {
        std::optional<Told> told = worker_.takeTold();
        if (!told) return;
        anew_ = true;
        receiveTold(state_, std::move(*told));
        for (; rowToChoose_ > 0 && state_.answer.told; --rowToChoose_) stepRow(state_, 1);
    }

    /// The model that is shown goes to the renderer.
    void handModelOver() {
        if (!state_.model || state_.model == handed_) return;
        if (handed_ && sameCells_ && !posts_.empty())
            renderer_->moveHeights(*state_.model, posts_);
        else
            renderer_->setModel(state_.model, state_.catalogue);
        handed_ = state_.model;
        sameCells_ = true;
        posts_.clear();
        drawn_ = false;
    }

    /// What the frame's events want done elsewhere.
    void seeToWishes() {
        if (state_.moveWanted) {
            worker_.move(std::move(state_.moveWanted->edits), state_.moveWanted->number,
                         state_.moveWanted->settle);
            state_.moveWanted.reset();
        }
        if (std::exchange(state_.answer.wanted, false)) worker_.ask(askOf(state_));
        if (std::exchange(state_.answer.copyWanted, false) && state_.answer.told) {
            glfwSetClipboardString(window_, state_.answer.told->csv.c_str());
            state_.answer.copied = true;
            anew_ = true;
        }
        if (!state_.saveWanted) return;
        state_.saveWanted = false;
        if (!anythingRaised(state_)) return;
        const Raise& raise = *state_.raise;
        const auto written = writeRaise(planFile_, raise.planned->plan, raise.all);
        if (!written) state_.notice = written.error().what + ' ' + written.error().remedy;
        anew_ = true;
    }

    /// What the options ask to see at first.
    void showFirst() {
        const double now = glfwGetTime();
        const Model& model = *state_.model;
        if (options_.station) {
            const bool removeLeft = state_.cut.removeLeft;
            cutAtStationOf(state_, *options_.station);
            state_.cut.removeLeft = removeLeft;
            cutAlongLine(state_, state_.cut.line, "");
        }
        if (options_.peel > 0) setPeel(state_, options_.peel, now);
        if (options_.liftApart > 0) setLift(state_, options_.liftApart, now);
        if (options_.place) attend(state_, model.toLocal(*options_.place));
        const LayerId layer = options_.thicknessLayer.empty() ? -1 : model.findLayer(options_.thicknessLayer);
        if (layer >= 0) toggleThickness(state_, layer, now);
        if (options_.question > 0 && static_cast<size_t>(options_.question) <= questions.size())
            openQuestion(state_, questions[static_cast<size_t>(options_.question) - 1], now);
        if (options_.row > 0) rowToChoose_ = options_.row;
        if (const auto place = columnPlace(state_); place && options_.raise != 0 && !options_.shots)
            if (const auto finish = finishAt(model, *place)) raiseFinish(state_, *finish, options_.raise);
        if (options_.shots) showFirstShot();
        if (options_.finding >= 0) chooseFinding(state_, options_.finding, now);
    }

    /// The shots, and the nearest to the place asked for, raised in the finish's stead.
    void showFirstShot() {
        showShots(state_, true);
        const auto shot =
            options_.place ? shotAt(state_, state_.model->toLocal(*options_.place)) : std::nullopt;
        chooseShot(state_, shot);
        if (shot) raiseBy(state_, *shot, options_.raise);
    }

    bool settled() const {
        return read_ && state_.stage == Stage::Waiting && unsettled_ == 0 && !state_.moveWanted &&
               !(state_.raise && state_.raise->waiting) &&
               !(state_.answer.open != Question::None && state_.answer.old);
    }

    /// Window pixels per unit and frame buffer pixels per window pixel, for the screen the window is on.
    void prepareType() {
        int width = 1, height = 1;
        glfwGetWindowSize(window_, &width, &height);
        glfwGetFramebufferSize(window_, &bufferWidth_, &bufferHeight_);
        const double buffer = width > 0 ? static_cast<double>(bufferWidth_) / width : 1;
        float x = 1, y = 1;
        glfwGetWindowContentScale(window_, &x, &y);
        const double content = options_.scale > 0 ? options_.scale : static_cast<double>(x);
        if (interface_.prepare(content / buffer, buffer) && typed_) {
            ImGui_ImplOpenGL3_DestroyFontsTexture();
            ImGui_ImplOpenGL3_CreateFontsTexture();
        }
        typed_ = true;
    }

    void step() {
        prepareType();
        if (bufferWidth_ <= 0 || bufferHeight_ <= 0) return;
        ImGui_ImplOpenGL3_NewFrame();
        ImGui_ImplGlfw_NewFrame();
        const double now = glfwGetTime();
        interface_.frame(state_, now);
        handModelOver();
        seeToWishes();
        drawScene(now);
        GLuint target = 0;
        if (!options_.screenshotFile.empty()) {
            whole_.size(bufferWidth_, bufferHeight_);
            target = whole_.buffer();
        }
        scene_.showOn(target, bufferWidth_, bufferHeight_);
        glViewport(0, 0, bufferWidth_, bufferHeight_);
        ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
        if (target != 0) whole_.showOn(0, bufferWidth_, bufferHeight_);
        glfwSwapBuffers(window_);
        unsettled_ = interface_.restless() || anew_ ? settlingFrames : std::max(0, unsettled_ - 1);
        anew_ = false;
        lastStep_ = glfwGetTime();
    }

    /// Draws the model anew only when its picture would change.
    void drawScene(double now) {
        const Look look = lookOf(state_, now);
        const Camera camera = cameraAt(state_, now);
        const double all = static_cast<double>(bufferWidth_) * bufferHeight_;
        const bool coarse =
            renderer_->software() && look.quality == Quality::Dragging && all > fastestDragPixels;
        const double part = coarse ? std::sqrt(fastestDragPixels / all) : 1;
        const int width = static_cast<int>(bufferWidth_ * part),
                  height = static_cast<int>(bufferHeight_ * part);
        const bool same = scene_.width() == width && scene_.height() == height &&
                          sameLook(look, drawnLook_) && sameCamera(camera, drawnCamera_) && drawn_;
        if (same) return;
        scene_.size(width, height);
        renderer_->draw(camera, look, 0, 0, width, height, scene_.buffer());
        drawnLook_ = look;
        drawnCamera_ = camera;
        drawn_ = true;
    }

    int screenshot() {
        const Result<Written> written = writeFile(options_.screenshotFile, encodePng(whole_.read()));
        if (!written) {
            std::fputs((formatDiagnostic(written.error()) + "\n").c_str(), stderr);
            return static_cast<int>(WindowExit::CannotWrite);
        }
        return static_cast<int>(state_.faults.empty() ? WindowExit::Fine : WindowExit::PlanWrong);
    }

    GLFWwindow* window_;
    std::unique_ptr<Renderer> renderer_;
    WindowOptions options_;
    std::filesystem::path planFile_;
    Interface interface_;
    WindowState state_;
    Backing scene_;
    Backing whole_;
    int bufferWidth_ = 0, bufferHeight_ = 0;
    bool typed_ = false;
    bool anew_ = true;
    bool read_ = false;
    int unsettled_ = settlingFrames;
    int frames_ = 0;
    int rowToChoose_ = 0;
    double lastStep_ = 0;

    std::shared_ptr<const Model> handed_;  // to the renderer
    bool sameCells_ = true;                // of all models made since then
    std::vector<int> posts_;               // whose heights changed since then
    Look drawnLook_;
    Camera drawnCamera_;
    bool drawn_ = false;

    PlanWorker worker_;  // last: it stops before what it wakes
};

int noGraphics(const std::string& why) {
    std::fputs((why + "\n").c_str(), stderr);
    return static_cast<int>(WindowExit::NoGraphics);
}

std::string glfwSays() {
    const char* words = nullptr;
    glfwGetError(&words);
    return words == nullptr ? "" : fmt::format(" ({})", words);
}

}  // namespace

int openWindow(const std::filesystem::path& planFile, const WindowOptions& options) {
    const Glfw glfw;
    if (!glfw.good())
        return noGraphics("No display to open a window on" + glfwSays() +
                          ". Make pictures without a window with: underfoot picture");
    const WindowHandle window = makeWindow(options, planFile.filename().string() + " \u2013 Underfoot");
    if (!window)
        return noGraphics("This display offers no OpenGL 3.3" + glfwSays() +
                          ". A newer graphics driver, or Mesa's software drawing, has it.");
    glfwMakeContextCurrent(window.get());
    glfwSwapInterval(1);
    Result<std::unique_ptr<Renderer>> renderer = Renderer::create();
    if (!renderer) return noGraphics(formatDiagnostic(renderer.error()));
    App app(window.get(), std::move(*renderer), planFile, options);
    return app.run();
}

}  // namespace underfoot
