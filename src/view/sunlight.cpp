#include "view/sunlight.h"

#include <algorithm>
#include <cstring>
#include <optional>
#include <utility>

#include <glm/common.hpp>

#include "view/camera.h"
#include "view/grain.h"
#include "view/paint.h"
#include "view/scene_view.h"

namespace underfoot {

namespace {

using glm::vec2;
using glm::vec3;
using glm::vec4;

constexpr int square = 16;       // texels: farther than a question reaches out
constexpr float step = 1.8F;     // texels from tap to tap
constexpr float finest = 0.55F;  // of a pixel, what grain and hatch may still show

vec3 screen(float r, float g, float b) {
    return vec3(toLinear({r, g, b}));
}
const vec3& sod() {
    static const vec3 linear = screen(0.565F, 0.592F, 0.431F);
    return linear;
}

/// Sod: a green skin over dark topsoil.
void sodFromTheSide(vec2 p, float below, float pixel, vec3& base, GrainShade& grain) {
    const float ragged =
        0.028F + 0.020F * smoothNoise({p.x / 0.018F, 0}) + 0.008F * smoothNoise({p.x / 0.11F, 4});
    const float roots = smoothNoise({p.x / 0.006F, p.y / 0.06F}) * (1 - smoothly(0.04F, 0.20F, below));
    const float dark = 1 - smoothly(0.10F, 0.26F, below + 0.05F * clouds(p / 0.1F));
    grain.tint *= mixed(1, 0.66F, dark) * (1 + 0.35F * smoothly(0.62F, 0.8F, roots));
    base = mixed(base, sod() * 0.82F, 1 - smoothly(ragged, ragged + 0.004F + pixel, below));
}

}  // namespace

Sunlight::Sunlight(ShadowPlane plane)
    : plane_(std::move(plane)), squares_((plane_.side + square - 1) / square) {
    const auto count = static_cast<size_t>(squares_ * squares_);
    std::vector<float> low(count, 2), high(count, -1);
    for (int y = 0; y < plane_.side; ++y)
        for (int x = 0; x < squares_; ++x) {
            const float* from =
                &plane_.nearness[static_cast<size_t>(y) * plane_.stride + static_cast<size_t>(x * square)];
            const size_t at = static_cast<size_t>(y / square * squares_ + x);
            for (int i = 0; i < std::min(square, plane_.side - x * square); ++i) {
                low[at] = std::min(low[at], from[i]);
                high[at] = std::max(high[at], from[i]);
            }
        }
    least_ = low;
    most_ = high;
    // With what lies round each: a question at a square's rim asks its neighbours too.
    for (int y = 0; y < squares_; ++y)
        for (int x = 0; x < squares_; ++x)
            for (int dy = -1; dy <= 1; ++dy)
                for (int dx = -1; dx <= 1; ++dx) {
                    const int nx = x + dx, ny = y + dy;
                    if (nx < 0 || ny < 0 || nx >= squares_ || ny >= squares_) continue;
                    const auto mine = static_cast<size_t>(y * squares_ + x);
                    const auto other = static_cast<size_t>(ny * squares_ + nx);
                    least_[mine] = std::min(least_[mine], low[other]);
                    most_[mine] = std::max(most_[mine], high[other]);
                }
}

/// Over 2 x 2 texels, as a card does it. Past the rim nothing stands.
float Sunlight::tap(float x, float y, float nearness) const {
    const float fx = x - 0.5F, fy = y - 0.5F, wx = whole(fx), wy = whole(fy);
    const int x0 = static_cast<int>(wx), y0 = static_cast<int>(wy);
    if (static_cast<unsigned>(x0) >= static_cast<unsigned>(plane_.side - 1) ||
        static_cast<unsigned>(y0) >= static_cast<unsigned>(plane_.side - 1))
        return 1;
    const float* at =
        plane_.nearness.get() + static_cast<size_t>(y0) * plane_.stride + static_cast<size_t>(x0);
    const float* above = at + plane_.stride;
    const bool a = nearness >= at[0], b = nearness >= at[1], c = nearness >= above[0],
               d = nearness >= above[1];
    if (a == b && a == c && a == d) return a ? 1 : 0;
    const float px = fx - wx, py = fy - wy;
    const auto lit = [](bool yes) { return yes ? 1.0F : 0.0F; };
    return mixed(mixed(lit(a), lit(b), px), mixed(lit(c), lit(d), px), py);
}

/// All texels that at() asks.
Sunlight::Window Sunlight::around(float x, float y, float nearness) const {
    const int x0 = static_cast<int>(whole(x - 0.5F - step)), y0 = static_cast<int>(whole(y - 0.5F - step));
    if (x0 < 0 || y0 < 0 || x0 + 8 > plane_.side || y0 + 6 > plane_.side) return Window::Mixed;
    using Four = float __attribute__((vector_size(16)));
    using FourWhole = int __attribute__((vector_size(16)));
    constexpr FourWhole firstTwo{-1, -1, 0, 0};
    FourWhole lit{-1, -1, -1, -1}, any{0, 0, 0, 0};
    for (int row = 0; row < 6; ++row) {
        const float* at =
            plane_.nearness.get() + static_cast<size_t>(y0 + row) * plane_.stride + static_cast<size_t>(x0);
        Four left, right;
        std::memcpy(&left, at, sizeof(left));
        std::memcpy(&right, at + 4, sizeof(right));
        const FourWhole a = left <= nearness, b = right <= nearness;
        lit &= a & (b | ~firstTwo);
        any |= a | (b & firstTwo);
    }
    if (lit[0] & lit[1] & lit[2] & lit[3]) return Window::Lit;
    return any[0] | any[1] | any[2] | any[3] ? Window::Mixed : Window::Dark;
}

float Sunlight::at(const vec3& p) const {
    constexpr float bias = 0.0009F;
    const float side = static_cast<float>(plane_.side), x = p.x * side, y = p.y * side;
    const float nearness = std::max(1 - (p.z - bias), 0.0F);
    if (!(x > 0 && y > 0 && x < side && y < side)) return 1;
    const int own = static_cast<int>(y) / square * squares_ + static_cast<int>(x) / square;
    if (nearness >= most_[static_cast<size_t>(own)]) return 1;
    if (nearness < least_[static_cast<size_t>(own)]) return 0;
    if (const Window window = around(x, y, nearness); window != Window::Mixed)
        return window == Window::Lit ? 1 : 0;
    const auto sun = [&](float dx, float dy) { return tap(x + dx * step, y + dy * step, nearness); };
    const float middle = sun(0, 0);
    float sum = middle + sun(-1, -1) + sun(1, -1) + sun(-1, 1) + sun(1, 1);
    if (sum == 0 || sum == 5) return middle;
    sum += sun(0, -1) + sun(-1, 0) + sun(1, 0) + sun(0, 1);
    return sum / 9;
}

SurfacePainter::SurfacePainter(const Frame& frame, const Model& model, Sunlight sun)
    : sun_(std::move(sun)),
      toShadow_(frame.toShadow),
      grainAmount_(frame.look.grain ? 1.0F : 0.0F),
      paper_(toLinear(themeColours(frame.look.theme).paper)),
      ink_(toLinear(themeColours(Theme::Light).ink)),
      attention_(toLinear(themeColours(frame.look.theme).attention)),
      toSun_(frame.toSun),
      sheet_(frame.box.centre().x, frame.box.centre().y, frame.box.radius()) {
    if (frame.look.highlightPlace)
        ring_ = {vec2(*frame.look.highlightPlace), static_cast<float>(frame.look.highlightRadius), 1};
    if (!frame.look.thickness) return;
    const ThicknessScale scale = thicknessScale(model, *frame.look.thickness);
    range_ = glm::dvec4{scale.least, scale.greatest, scale.wantedLeast.value_or(-1e9),
                        scale.wantedGreatest.value_or(1e9)};
    contour_ = static_cast<float>(std::max(scale.step, 1e-6));
}

vec3 SurfacePainter::fieldColour(float t) const {
    const vec3 shortSide{0.357F, 0.165F, 0.525F}, pale{0.937F, 0.918F, 0.878F}, over{0.055F, 0.486F, 0.420F};
    vec3 c = pale;
    if (t < range_.z)
        c = mixed(pale, shortSide,
                  0.28F + 0.72F * between01((range_.z - t) / std::max(range_.z - range_.x, 1e-6F)));
    else if (t > range_.w)
        c = mixed(pale, over,
                  0.28F + 0.72F * between01((t - range_.w) / std::max(range_.y - range_.w, 1e-6F)));
    return screen(c.x, c.y, c.z);
}

vec3 SurfacePainter::thicknessField(vec2 p, const Spot& s, float pixel) const {
    vec3 c = fieldColour(s.thickness);
    const float slope = std::max(s.steep, 1e-7F);
    float line =
        1 - smoothly(0.4F, 1.1F, std::abs(part(s.thickness / contour_ + 0.5F) - 0.5F) * contour_ / slope);
    if (contour_ < 4 * slope) line = 0;
    c = mixed(c, ink_, 0.45F * line);
    if (s.thickness < range_.z)
        c = mixed(c, ink_, 0.38F * ruled(p.x + p.y, 0.11F, std::max(0.004F, 0.6F * pixel), 1.4F * pixel));
    return c;
}

vec4 SurfacePainter::coated(const Spot& s, const Coat& coat, const vec3& n, const Axes& axes,
                            float pixel) const {
    const vec2 p = axes.onFace(s.local);
    const float detail = finest * pixel;
    const bool top = s.kind == 0, field = coat.field && top;
    const bool sodHere = coat.grain == 1 && s.sod == 1;
    vec3 base = coat.base;
    GrainShade grain;
    if (grainAmount_ > 0 || sodHere) {
        if (sodHere && top) {
            base = sod();
            grain = grassGrain(p, detail);
        } else {
            grain = grainOf(coat.grain, p, detail, static_cast<float>(s.variation) / 255);
            if (sodHere) sodFromTheSide(p, s.below, pixel, base, grain);
        }
    }
    const float amount = grainAmount_ * (coat.cap ? 0.6F : 1.0F);
    vec3 albedo = base * mixed(vec3(1), grain.tint, amount);
    if (coat.cap && s.variation == 255 && coat.object == 230) albedo = coat.base * 0.25F;
    if (field) albedo = thicknessField(p, s, pixel);
    vec3 bumped = n;
    if (!field && grain.tilt != vec2(0))
        bumped = glm::normalize(n + (axes.along * grain.tilt.x + axes.upward * grain.tilt.y) *
                                        (amount * (coat.cap ? 0.25F : 0.9F)));

    const float facesSun = glm::dot(n, toSun_);
    const float slant = std::max(glm::dot(bumped, toSun_), 0.0F);
    const float lit = facesSun > 0 && slant > 0 ? slant * sun_.at(s.inShadow) : 0.0F;
    const vec3 sky = mixed(vec3(0.30F, 0.29F, 0.28F), vec3(0.43F, 0.445F, 0.47F), 0.5F + 0.5F * bumped.z);
    vec3 light = sky + lit * vec3(0.90F, 0.865F, 0.80F);
    if (field) light = mixed(light, vec3(1), 0.6F);
    if (coat.cap) light = mixed(light, vec3(1.10F), 0.78F);
    if (s.kind == 2 && coat.object > 0 && s.sod == 1)
        light = mixed(light, vec3(facesSun > 0 ? 1.12F : 0.86F), 0.6F);
    vec3 c = albedo * light;

    if (coat.cap && coat.hatch > 0 && grainAmount_ > 0) {
        const bool dark = glm::dot(base, vec3(0.2126F, 0.7152F, 0.0722F)) < 0.07F;
        const vec3 pen = dark ? mixed(base, vec3(1), 0.30F) : ink_;
        if (const float shows = hatchShows(detail); shows > 0)
            c = mixed(c, pen, (dark ? 0.36F : 0.42F) * hatchInk(coat.hatch, p, pixel) * shows);
    }
    if (coat.tinted > 0) c = mixed(c, attention_ * (0.6F + 0.5F * lit), coat.tinted);
    c = mixed(c, paper_, coat.fade);
    if (ring_.w > 0.5F) {
        const float d = std::abs(glm::length(vec2(s.local) - vec2(ring_)) - ring_.z);
        c = mixed(c, attention_, stroke(d, std::max(0.012F, 1.1F * pixel), pixel));
    }
    return {glm::clamp(c, 0.0F, 1.0F), coat.cap ? 0.45F : 1.0F};
}

vec4 SurfacePainter::paperAt(vec2 plan, const vec3& inShadow) const {
    const float near = 1 - smoothly(1.3F, 2.2F, glm::length(plan - vec2(sheet_)) / sheet_.z);
    const float shade = near > 0 ? 1 - sun_.at(inShadow) : 0.0F;
    return {paper_ * (1 - 0.26F * near * shade), 0.5F * near};
}

}  // namespace underfoot
