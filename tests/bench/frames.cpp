// Frame times of the view, without a window: at rest with everything on, and while the finish is dragged.
//   bench_frames [--quick] [--looks] [NAME]   NAME: one scene, or "20,000 units", "500,000 units"
// --looks: at rest only, whole and cut, as Full (what the window draws), Fine (four samples) and coloured by
// the first layer's thickness, Full and Fine. Prints the median and the 95th percentile in milliseconds: the
// whole frame up to glFinish, and the card's own time where it counts it. A dragged frame is a move of the
// heights (model), the buffers that follow (moveHeights) and the drawing at dragging quality; released is
// what its end takes: settle, a copy of the model, setModel and a whole frame.

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include <epoxy/gl.h>

#include "bench/big_plan.h"
#include "model/rebuild.h"
#include "plan/read_plan.h"
#include "view/picture.h"

namespace underfoot {
namespace {

using Clock = std::chrono::steady_clock;

double between(Clock::time_point start, Clock::time_point end) {
    return std::chrono::duration<double, std::milli>(end - start).count();
}
double since(Clock::time_point start) {
    return between(start, Clock::now());
}

struct Times {
    std::vector<double> values;
    double at(double part) {
        std::sort(values.begin(), values.end());
        const double place = part * static_cast<double>(values.size() - 1);
        return values.empty() ? 0 : values[static_cast<size_t>(std::lround(place))];
    }
};

/// What the window draws the model into: a texture of its size.
class Screen {
  public:
    Screen(int width, int height) {
        glGenFramebuffers(1, &frame_);
        glGenTextures(1, &colour_);
        glBindTexture(GL_TEXTURE_2D, colour_);
        glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, width, height, 0, GL_RGBA, GL_UNSIGNED_BYTE, nullptr);
        glBindTexture(GL_TEXTURE_2D, 0);
        glBindFramebuffer(GL_FRAMEBUFFER, frame_);
        glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, colour_, 0);
    }
    ~Screen() {
        glDeleteFramebuffers(1, &frame_);
        glDeleteTextures(1, &colour_);
    }
    Screen(const Screen&) = delete;
    Screen& operator=(const Screen&) = delete;
    unsigned id() const { return frame_; }

  private:
    GLuint frame_ = 0, colour_ = 0;
};

class Stopwatch {
  public:
    Stopwatch() { glGenQueries(1, &query_); }
    ~Stopwatch() { glDeleteQueries(1, &query_); }
    Stopwatch(const Stopwatch&) = delete;
    Stopwatch& operator=(const Stopwatch&) = delete;

    template <class Draw>
    void time(Draw draw) {
        const auto start = Clock::now();
        glBeginQuery(GL_TIME_ELAPSED, query_);
        draw();
        glEndQuery(GL_TIME_ELAPSED);
        glFinish();
        frame.values.push_back(since(start));
        GLuint64 nanoseconds = 0;
        glGetQueryObjectui64v(query_, GL_QUERY_RESULT, &nanoseconds);
        card.values.push_back(static_cast<double>(nanoseconds) * 1e-6);
    }
    Times frame, card;

  private:
    GLuint query_ = 0;
};

struct Size {
    int width, height;
};

Plan unitsPlan(int count) {
    const double side = std::sqrt(count * 0.203 * 0.103);
    Plan plan = made::plainPlan({0, 0}, {side, side}, 10,
                                {made::shot(-5, -5, 9.9), made::shot(side + 5, -5, 9.95),
                                 made::shot(side + 5, side + 5, 9.9), made::shot(-5, side + 5, 9.85)});
    UnitLayout units;
    units.sizes = {{0.2, 0.1}};
    units.chamfer = 0.003;
    plan.areas[0].units = units;
    return plan;
}

/// What is drawn at rest, and how the row is called.
struct Kind {
    const char* name;
    bool cut;
    Quality quality = Quality::Full;
    bool thickness = false;
};
constexpr Kind atRest[] = {{"whole", false}, {"cut", true}};
constexpr Kind allLooks[] = {{"whole", false},
                             {"cut", true},
                             {"whole, fine", false, Quality::Fine},
                             {"cut, fine", true, Quality::Fine},
                             {"thickness", false, Quality::Full, true},
                             {"thickness, fine", false, Quality::Fine, true}};

Look everythingOn(const Model& model, const Camera& camera, const Kind& kind) {
    Look look;
    look.quality = kind.quality;
    if (kind.thickness) look.thickness = ThicknessLook{0, {}, {}};
    if (kind.cut)
        look.cut = cutAlong(model, model.stationOffset((model.site.low + model.site.high) / 2.0).y, camera);
    return look;
}

void rest(Renderer& renderer, const Model& model, const std::string& name, Size size, int frames,
          const Kind& kind) {
    Screen screen(size.width, size.height);
    Camera camera = threeQuarterView(model);
    const Look look = everythingOn(model, camera, kind);
    camera.fit(shownBounds(model, look), size.width, size.height, {});
    Stopwatch watch;
    std::vector<std::pair<std::string, Times>> passes;
    renderer.timePasses(true);
    for (int i = 0; i < frames + 2; ++i) {
        camera.azimuth += 0.01;  // turned a little, so that nothing is left over from the frame before
        auto draw = [&] { renderer.draw(camera, look, 0, 0, size.width, size.height, screen.id()); };
        if (i < 2)
            draw();
        else
            watch.time(draw);
        size_t pass = 0;
        for (const PassTime& time : renderer.passTimes()) {
            if (passes.size() <= pass) passes.emplace_back(time.name, Times{});
            if (i >= 2) passes[pass].second.values.push_back(time.milliseconds);
            ++pass;
        }
    }
    renderer.timePasses(false);
    std::printf("%-22s %4dx%-4d %-15s frame %7.2f  p95 %7.2f  card %7.2f ", name.c_str(), size.width,
                size.height, kind.name, watch.frame.at(0.5), watch.frame.at(0.95), watch.card.at(0.5));
    for (auto& [pass, times] : passes) std::printf("  %s %.2f", pass.c_str(), times.at(0.5));
    std::puts("");
    std::fflush(stdout);
}

void dragged(Renderer& renderer, Rebuilder& rebuilder, const Catalogue& catalogue, const std::string& name,
             Size size, int frames) {
    Screen screen(size.width, size.height);
    Camera camera = threeQuarterView(rebuilder.model());
    Look look = everythingOn(rebuilder.model(), camera, Kind{"dragged", true});
    look.quality = Quality::Dragging;
    camera.fit(shownBounds(rebuilder.model(), look), size.width, size.height, {});
    const double level = rebuilder.model().plan.finishes[0].planes[0].level;
    Times heights, follow, draw, all;
    double first = 0;
    for (int i = 0; i < frames + 1; ++i) {
        const HeightEdit edit{HeightEdit::Of::FinishLevel, 0, 0, level + 0.001 * (1 + i % 2)};
        const auto start = Clock::now();
        if (!rebuilder.move({&edit, 1})) return;
        const auto moved = Clock::now();
        renderer.moveHeights(rebuilder.stacks(), rebuilder.movedPosts());
        glFinish();
        const auto ready = Clock::now();
        renderer.draw(camera, look, 0, 0, size.width, size.height, screen.id());
        glFinish();
        if (i == 0) {
            first = since(start);
            continue;
        }
        heights.values.push_back(between(start, moved));
        follow.values.push_back(between(moved, ready));
        draw.values.push_back(since(ready));
        all.values.push_back(since(start));
    }
    const auto release = Clock::now();
    if (!rebuilder.settle()) return;
    renderer.setModel(std::make_shared<const Model>(rebuilder.model()), catalogue);
    look.quality = Quality::Full;
    renderer.draw(camera, look, 0, 0, size.width, size.height, screen.id());
    glFinish();
    std::printf(
        "%-22s %4dx%-4d %-9s frame %7.2f  p95 %7.2f  heights %.2f  moveHeights %.2f  draw %.2f  first %.2f  "
        "released %.2f\n",
        name.c_str(), size.width, size.height, "dragged", all.at(0.5), all.at(0.95), heights.at(0.5),
        follow.at(0.5), draw.at(0.5), first, since(release));
    std::fflush(stdout);
}

void measure(Renderer& renderer, const std::string& name, const Plan& plan, bool quick, bool looks) {
    const auto start = Clock::now();
    auto rebuilder = Rebuilder::of(plan);
    const auto catalogue = loadCatalogue(plan);
    if (!rebuilder) {
        std::printf("%s: no model\n", name.c_str());
        return;
    }
    const double built = since(start);
    const auto model = std::make_shared<const Model>(rebuilder->model());
    const auto before = Clock::now();
    renderer.setModel(model, catalogue);
    glFinish();
    std::printf("%-22s %zu cells, %zu units: model %.1f, setModel %.1f\n", name.c_str(), model->cells.size(),
                model->units.size(), built, since(before));
    for (const Size size : {Size{1280, 800}, Size{3840, 2160}}) {
        for (const Kind& kind : looks ? std::span<const Kind>(allLooks) : std::span<const Kind>(atRest))
            rest(renderer, *model, name, size, quick ? 5 : 60, kind);
    }
    if (!looks) dragged(renderer, *rebuilder, catalogue, name, {1280, 800}, quick ? 3 : 30);
}

int run(bool quick, bool looks, const std::string& only) {
    auto context = OffscreenContext::create();
    if (!context) {
        std::puts(context.error().what.c_str());
        return 1;
    }
    auto renderer = Renderer::create();
    if (!renderer) {
        std::puts(renderer.error().what.c_str());
        return 1;
    }
    std::printf("%s\n", (*renderer)->device().c_str());
    for (const char* scene : {"courtyard", "terrace", "seat", "first-plan"}) {
        const auto plan = readPlan(std::filesystem::path("scenes") / (std::string(scene) + ".toml"));
        if (plan && (only.empty() || only == scene)) measure(**renderer, scene, *plan, quick, looks);
    }
    for (const auto& [name, count] : {std::pair{"20,000 units", 20000}, {"500,000 units", 500000}})
        if (only.empty() || only == name) measure(**renderer, name, unitsPlan(count), quick, looks);
    return 0;
}

}  // namespace
}  // namespace underfoot

int main(int count, char** arguments) {
    bool quick = false, looks = false;
    std::string only;
    for (int i = 1; i < count; ++i) {
        const std::string word = arguments[i];
        (word == "--quick" ? quick : looks) |= word == "--quick" || word == "--looks";
        if (word[0] != '-') only = word;
    }
    return underfoot::run(quick, looks, only);
}
