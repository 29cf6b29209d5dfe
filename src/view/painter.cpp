#include "view/painter.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cassert>
#include <cmath>
#include <cstdint>
#include <optional>
#include <thread>
#include <utility>
#include <vector>

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>
#include <glm/vec4.hpp>

#include "view/drawn_meshes.h"
#include "view/eye.h"
#include "view/frame.h"
#include "view/grain.h"
#include "view/mesh.h"
#include "view/paint.h"
#include "view/raster.h"
#include "view/shown.h"
#include "view/sunlight.h"

namespace underfoot {

namespace {

using glm::vec2;
using glm::vec3;
using glm::vec4;

constexpr int shadowSide = 2048;

/// Calls `each(first, last)` for runs of rows, on all processors.
template <class Each>
void inRows(int rows, Each each) {
    constexpr int run = 16;
    std::atomic<int> next{0};
    const auto work = [&] {
        for (int first = next.fetch_add(run); first < rows; first = next.fetch_add(run))
            each(first, std::min(first + run, rows));
    };
    std::vector<std::thread> others;
    const int workers =
        std::min<int>(static_cast<int>(std::thread::hardware_concurrency()), (rows + run - 1) / run);
    for (int i = 1; i < workers; ++i) others.emplace_back(work);
    work();
    for (std::thread& one : others) one.join();
}

/// exp(x) for x of 0 and less, to a part in a few thousand.
float fading(float x) {
    if (x < -20) return 0;
    const float y = 1 + x / 256;
    float p = std::max(y, 0.0F);
    for (int i = 0; i < 8; ++i) p *= p;
    return p;
}

/// Linear to the screen's 8 bits.
class ScreenTable {
  public:
    ScreenTable() {
        for (size_t i = 0; i < table_.size(); ++i) {
            const double c = static_cast<double>(i) / static_cast<double>(table_.size() - 1);
            const double s = c <= 0.0031308 ? c * 12.92 : 1.055 * std::pow(c, 1 / 2.4) - 0.055;
            table_[i] = static_cast<uint8_t>(std::lround(255 * s));
        }
    }
    uint8_t at(float c) const {
        // Never negative, so that what is cut off leaves the nearest place; rounding proper takes longer.
        const float place = between01(c) * static_cast<float>(table_.size() - 1) + 0.5F;
        return table_[static_cast<size_t>(place)];
    }

  private:
    std::array<uint8_t, 16384> table_{};
};

class Painter {
  public:
    Painter(const Model& model, const Frame& frame, std::vector<DrawnMesh> meshes)
        : frame_(frame),
          eye_(frame),
          meshes_(std::move(meshes)),
          samples_(frame.width, frame.height),
          surfaces_(frame, model, Sunlight(shadows())) {
        uint32_t next = 1;
        for (const DrawnMesh& mesh : meshes_) {
            first_.push_back(next);
            if (mesh.seen) drawSeen(samples_, mesh, next, frame_);
            next += static_cast<uint32_t>(mesh.count());
            coats_.push_back(coatOf(mesh));
        }
        joinMarks();
        placePaper();
    }

    Image image() {
        findContact();
        Image image{frame_.width, frame_.height, {}};
        image.rgba.resize(4 * static_cast<size_t>(frame_.width) * static_cast<size_t>(frame_.height));
        inRows(frame_.height, [&](int from, int to) {
            Facet facet;
            for (int y = from; y < to; ++y) {
                uint8_t* out = &image.rgba[4 * static_cast<size_t>(frame_.height - 1 - y) *
                                           static_cast<size_t>(frame_.width)];
                for (int x = 0; x < frame_.width; ++x, out += 4) paintPixel(x, y, out, facet);
            }
        });
        return image;
    }

    std::optional<SeenPlace> at(glm::dvec2 pixel) const {
        const int x = static_cast<int>(std::floor(pixel.x)),
                  y = frame_.height - 1 - static_cast<int>(std::floor(pixel.y));
        if (x < 0 || y < 0 || x >= frame_.width || y >= frame_.height) return {};
        const uint32_t number = samples_.triangle[0][samples_.at(x, y)];
        if (number == 0) return {};
        const float deep = 1 / samples_.nearness[0][samples_.at(x, y)];
        return SeenPlace{seen(number).mesh->layer, vec2(eye_.at + eye_.ray(vec2(x, y) + sampleAt[0]) * deep)};
    }

  private:
    ShadowPlane shadows() const {
        ShadowPlane plane(shadowSide);
        for (const DrawnMesh& mesh : meshes_)
            if (mesh.shades) drawShade(plane, mesh, frame_);
        return plane;
    }

    Coat coatOf(const DrawnMesh& mesh) const {
        Coat coat;
        coat.base = mesh.paint.colour;
        coat.grain = mesh.paint.grain;
        coat.hatch = mesh.cap ? mesh.paint.hatch : 0;
        coat.object = mesh.paint.object;
        coat.cap = mesh.cap;
        coat.field = mesh.measured;
        const LayerId told = frame_.look.highlightLayer;
        coat.fade = told >= 0 && mesh.layer != told ? 0.62F : 0.0F;
        coat.tinted = static_cast<float>(mesh.tinted);
        coat.rise =
            mesh.layer >= 0 ? static_cast<float>(frame_.shown.rise[static_cast<size_t>(mesh.layer)]) : 0.0F;
        return coat;
    }

    // ------------------------------------------------------------ paper

    /// The paper is flat: nearness to it is, over the frame.
    void placePaper() {
        paperSeen_ = frame_.camera.eye().z > frame_.box.low.z;
        paperAt_ = static_cast<float>(paperHeight(frame_.box));
        paperMiddle_ = vec2(frame_.box.centre());
        paperHalf_ = static_cast<float>(paperHalf(frame_.box));
    }
    /// One over the metres to the paper; 0 past its rim.
    float paperNearness(const vec3& ray) const {
        if (!paperSeen_ || ray.z >= 0) return 0;
        const float deep = (paperAt_ - eye_.at.z) / ray.z;
        const vec2 off = glm::abs(vec2(eye_.at) + deep * vec2(ray) - paperMiddle_);
        return std::max(off.x, off.y) < paperHalf_ ? 1 / deep : 0.0F;
    }
    float nearnessAt(int x, int y, size_t s) const {
        x = std::clamp(x, 0, frame_.width - 1);
        y = std::clamp(y, 0, frame_.height - 1);
        const float near = samples_.nearness[s][samples_.at(x, y)];
        return near > 0 ? near : paperNearness(eye_.ray(vec2(x, y) + sampleAt[s]));
    }

    // ------------------------------------------------------------ what a sample shows

    struct Seen {
        const DrawnMesh* mesh = nullptr;
        const Coat* coat = nullptr;
        size_t triangle = 0;
    };
    Seen seen(uint32_t number) const {
        size_t m = first_.size() - 1;
        while (first_[m] > number) --m;
        return {&meshes_[m], &coats_[m], number - first_[m]};
    }
    /// The corner that tells of a triangle.
    const Vertex& told(uint32_t number) const {
        const Seen here = seen(number);
        return here.mesh->corner(here.triangle, 2);
    }
    static vec3 normalOf(const Vertex& v) { return glm::normalize(vec3(v.nx, v.ny, v.nz)); }

    // ------------------------------------------------------------ contact darkening

    struct Sky {
        float open = 1, deep = 0;
    };
    void findContact() {
        skyWide_ = (frame_.width + 1) / 2;
        skyHigh_ = (frame_.height + 1) / 2;
        noteStanding();
        std::vector<Sky> found(static_cast<size_t>(skyWide_) * static_cast<size_t>(skyHigh_));
        makeTaps();
        inRows(skyHigh_, [&](int from, int to) {
            for (int y = from; y < to; ++y)
                for (int x = 0; x < skyWide_; ++x)
                    found[static_cast<size_t>(y) * static_cast<size_t>(skyWide_) + static_cast<size_t>(x)] =
                        contactAt(x, y);
        });
        sky_.resize(found.size());
        inRows(skyHigh_, [&](int from, int to) {
            for (int y = from; y < to; ++y)
                for (int x = 0; x < skyWide_; ++x)
                    sky_[static_cast<size_t>(y) * static_cast<size_t>(skyWide_) + static_cast<size_t>(x)] =
                        evened(found, x, y);
        });
    }

    static constexpr int square = 16;  // pixels
    /// Squares of pixels that something stands in, or near enough to darken the paper there.
    void noteStanding() {
        squaresWide_ = (frame_.width + square - 1) / square;
        const int high = (frame_.height + square - 1) / square;
        std::vector<uint8_t> in(static_cast<size_t>(squaresWide_ * high), 0);
        float nearest = 0;
        for (int y = 0; y < frame_.height; ++y)
            for (int x = 0; x < frame_.width; ++x)
                if (const float near = samples_.nearness[0][samples_.at(x, y)]; near > 0) {
                    in[static_cast<size_t>(y / square * squaresWide_ + x / square)] = 1;
                    nearest = std::max(nearest, near);
                }
        const float pixels = static_cast<float>(contactReach) * nearest * eye_.height / (2 * eye_.tangent);
        const int round = static_cast<int>(pixels * 1.1F) / square + 1;
        standing_.assign(in.size(), 0);
        for (int y = 0; y < high; ++y)
            for (int x = 0; x < squaresWide_; ++x) {
                if (!in[static_cast<size_t>(y * squaresWide_ + x)]) continue;
                for (int ny = std::max(y - round, 0); ny <= std::min(y + round, high - 1); ++ny)
                    for (int nx = std::max(x - round, 0); nx <= std::min(x + round, squaresWide_ - 1); ++nx)
                        standing_[static_cast<size_t>(ny * squaresWide_ + nx)] = 1;
            }
    }

    static constexpr size_t taps = 14;
    /// A turn for each place of a 4 x 4 square, evened out afterwards.
    void makeTaps() {
        for (size_t place = 0; place < 16; ++place)
            for (size_t i = 0; i < taps; ++i) {
                const float out = (static_cast<float>(i) + 0.5F) / static_cast<float>(taps);
                const float turn = 6.2831853F * part(static_cast<float>(place) * 0.61803399F);
                const float angle = turn + static_cast<float>(i) * 2.39996F;
                const float far = static_cast<float>(contactReach) * out * (0.35F + 0.65F * out);
                tap_[place][i] = vec2(std::cos(angle), std::sin(angle)) * far;
            }
    }

    Sky contactAt(int bx, int by) const {
        const int x = std::min(bx * 2, frame_.width - 1), y = std::min(by * 2, frame_.height - 1);
        const float near = nearnessAt(x, y, 0);
        const auto far = static_cast<float>(frame_.farthest);
        const float deep = near > 0 ? std::min(1 / near, far) : far;
        if (deep > 0.9999F * far || !standing_[static_cast<size_t>(y / square * squaresWide_ + x / square)])
            return {1, deep};
        const vec2 slant = eye_.slant(vec2(x, y) + sampleAt[0]);
        const vec3 p{slant * deep, -deep};
        const uint32_t number = samples_.triangle[0][samples_.at(x, y)];
        vec3 n{0, 0, 1};
        if (number > 0) n = normalOf(told(number));
        n = eye_.turned(n);
        if (glm::dot(n, p) > 0) n = -n;
        const float across = eye_.height / (2 * eye_.tangent);  // pixels for one of slant
        constexpr auto reach = static_cast<float>(contactReach);
        float covered = 0;
        for (const vec2& tap : tap_[static_cast<size_t>(bx % 4 * 4 + by % 4)]) {
            const float tx = ((p.x + tap.x) / deep) * across + (1 + eye_.shift.x) * 0.5F * eye_.width;
            const float ty = ((p.y + tap.y) / deep) * across + (1 + eye_.shift.y) * 0.5F * eye_.height;
            if (tx < 0 || ty < 0 || tx >= eye_.width || ty >= eye_.height) continue;
            const int qx = static_cast<int>(tx), qy = static_cast<int>(ty);
            const float qNear = nearnessAt(qx, qy, 0);
            const float qDeep = qNear > 0 ? std::min(1 / qNear, far) : far;
            const vec2 qSlant = eye_.slant(vec2(qx, qy) + sampleAt[0]);
            const vec3 q = vec3(qSlant * qDeep, -qDeep) - p;
            const float rise = glm::dot(q, n);
            if (rise <= 0) continue;
            const float away = glm::length(q);
            const float above = rise / std::max(away, 1e-5F) - 0.04F;
            if (above <= 0) continue;
            covered += above * (1 - smoothly(0.6F * reach, 1.6F * reach, away));
        }
        return {between01(1 - 1.7F * covered / static_cast<float>(taps)), deep};
    }

    /// Takes the 4 x 4 pattern out, not across edges in depth.
    Sky evened(const std::vector<Sky>& found, int x, int y) const {
        const auto at = [&](int px, int py) -> const Sky& {
            px = std::clamp(px, 0, skyWide_ - 1);
            py = std::clamp(py, 0, skyHigh_ - 1);
            return found[static_cast<size_t>(py) * static_cast<size_t>(skyWide_) + static_cast<size_t>(px)];
        };
        const float deep = at(x, y).deep;
        float least = 1;
        for (int dy = -2; dy < 2; ++dy)
            for (int dx = -2; dx < 2; ++dx) least = std::min(least, at(x + dx, y + dy).open);
        if (least >= 1) return {1, deep};
        const float steep = -40 / std::max(deep, 0.01F);
        float sum = 0, weight = 0;
        for (int dy = -2; dy < 2; ++dy)
            for (int dx = -2; dx < 2; ++dx) {
                const Sky& other = at(x + dx, y + dy);
                const float w = fading(steep * std::abs(other.deep - deep)) + 1e-4F;
                sum += w * other.open;
                weight += w;
            }
        return {sum / weight, deep};
    }

    float openSky(int x, int y, float deep) const {
        const float ax = (static_cast<float>(x) + 0.5F) * 0.5F - 0.25F,
                    ay = (static_cast<float>(y) + 0.5F) * 0.5F - 0.25F;
        const int bx = static_cast<int>(whole(ax)), by = static_cast<int>(whole(ay));
        const float px = ax - static_cast<float>(bx), py = ay - static_cast<float>(by);
        const Sky* four[4];
        bool open = true;
        for (int i = 0; i < 4; ++i) {
            const int sx = std::clamp(bx + i % 2, 0, skyWide_ - 1),
                      sy = std::clamp(by + i / 2, 0, skyHigh_ - 1);
            four[i] =
                &sky_[static_cast<size_t>(sy) * static_cast<size_t>(skyWide_) + static_cast<size_t>(sx)];
            open = open && four[i]->open >= 1;
        }
        if (open) return 1;
        const float steep = -40 / std::max(deep, 0.01F);
        float sum = 0, weight = 0;
        for (int i = 0; i < 4; ++i) {
            const float share = (i % 2 == 1 ? px : 1 - px) * (i / 2 == 1 ? py : 1 - py);
            const float w = (share + 0.01F) * (fading(steep * std::abs(four[i]->deep - deep)) + 1e-4F);
            sum += w * four[i]->open;
            weight += w;
        }
        return sum / weight;
    }

    // ------------------------------------------------------------ ink

    /// The marks of a pixel's samples, the first lowest.
    uint64_t marksAt(int x, int y) const {
        x = std::clamp(x, 0, frame_.width - 1);
        y = std::clamp(y, 0, frame_.height - 1);
        return marks_[samples_.at(x, y)];
    }
    static unsigned markOf(uint64_t marks, size_t s) {
        return static_cast<unsigned>(marks >> 16 * s & 0xffffU);
    }
    void joinMarks() {
        marks_ = Plane<uint64_t>(samples_.stride * samples_.rows);
        assert(marks_.get());
        for (size_t i = 0; i < samples_.stride * samples_.rows; ++i)
            if (const uint64_t m0 = samples_.mark[0][i], m1 = samples_.mark[1][i], m2 = samples_.mark[2][i],
                m3 = samples_.mark[3][i];
                m0 | m1 | m2 | m3)
                marks_[i] = m0 | m1 << 16 | m2 << 32 | m3 << 48;
        for (Plane<uint16_t>& mark : samples_.mark) mark = {};
    }
    static float between(unsigned a, unsigned b) {
        if (a == b) return 0;
        const unsigned objectA = a >> 8, objectB = b >> 8;
        const bool capA = a & 128U, capB = b & 128U;
        if (objectA != objectB) {
            if (objectA == 0 || objectB == 0) return 0.75F;
            return capA && capB ? 0.78F : (capA || capB ? 0.62F : 0.42F);
        }
        const bool otherCourse = (a & 63U) != (b & 63U);
        if (capA != capB) return 0.55F;
        if (capA && capB) return otherCourse ? 0.34F : 0.0F;
        if ((a & 64U) != (b & 64U)) return objectA < 128 ? 0.22F : 0.0F;
        // Between units: their joints are often narrower than a pixel.
        return objectA >= 128 && objectA < 200 && otherCourse ? 0.13F : 0.0F;
    }
    /// One thing before itself.
    static bool mayStandBefore(unsigned a) { return a >> 8 != 0 && !(a & 128U); }
    /// Of nearnesses: more than 0.05 m and 2 % of the nearer one apart.
    static bool apart(float a, float b) { return std::abs(a - b) > 0.02F * std::min(a, b) + 0.05F * a * b; }
    static float inDepth(unsigned a, unsigned b, float nearA, float nearB) {
        const bool one = a >> 8 == b >> 8 && !(b & 128U) && ((a & 64U) == (b & 64U) || a >> 8 >= 200);
        return one && mayStandBefore(a) && apart(nearA, nearB) ? 0.3F : 0.0F;
    }

    /// Each sample is held against the five nearest ones, about half a pixel off: a line is a pixel wide, and
    /// smooth.
    struct Near {
        uint8_t from, x, y, to;  ///< sample; one more than the pixel's offset; sample
        bool deep;               ///< held against in depth too
    };
    static constexpr std::array<Near, 20> nears{{
        {0, 1, 1, 1, true}, {0, 1, 1, 2, true}, {0, 0, 1, 1, true},  {0, 1, 0, 3, true},  {0, 1, 0, 2, false},
        {1, 1, 1, 0, true}, {1, 1, 1, 3, true}, {1, 1, 0, 3, false}, {1, 2, 1, 0, false}, {1, 2, 1, 2, true},
        {2, 1, 1, 0, true}, {2, 1, 1, 3, true}, {2, 1, 2, 0, true},  {2, 0, 1, 1, true},  {2, 0, 1, 3, false},
        {3, 1, 1, 1, true}, {3, 1, 1, 2, true}, {3, 2, 1, 2, true},  {3, 1, 2, 0, true},  {3, 1, 2, 1, false},
    }};

    /// True when something is inked.
    bool inkOf(int x, int y, std::array<float, 4>& inked) const {
        const uint64_t mine = marksAt(x, y);
        const unsigned m0 = markOf(mine, 0);
        const bool same = mine == m0 * 0x0001000100010001U && marksAt(x - 1, y) == mine &&
                          marksAt(x + 1, y) == mine && marksAt(x, y - 1) == mine && marksAt(x, y + 1) == mine;
        if (same && !mayStandBefore(m0)) return false;
        const float d0 = nearnessAt(x, y, 0);
        const bool steps = apart(d0, nearnessAt(x - 1, y, 0)) || apart(d0, nearnessAt(x + 1, y, 0)) ||
                           apart(d0, nearnessAt(x, y - 1, 0)) || apart(d0, nearnessAt(x, y + 1, 0));
        if (same && !steps) return false;
        inked.fill(0);
        bool any = false;
        for (const Near& near : nears) {
            const unsigned a = markOf(mine, near.from),
                           b = markOf(marksAt(x + near.x - 1, y + near.y - 1), near.to);
            float ink = between(a, b);
            if (steps && near.deep && mayStandBefore(a))
                ink = std::max(ink, inDepth(a, b, nearnessAt(x, y, near.from),
                                            nearnessAt(x + near.x - 1, y + near.y - 1, near.to)));
            inked[near.from] = std::max(inked[near.from], ink);
            any = any || ink > 0;
        }
        return any;
    }

    // ------------------------------------------------------------ colour

    /// Samples of a pixel that show one surface, and how many.
    struct Group {
        uint32_t number = 0;
        unsigned samples = 0;  ///< bits
        vec2 middle{0, 0};     ///< sum of where they lie
        float count = 0;
        vec3 normal{0, 0, 0};  ///< sum of all, where they are of several triangles
        bool single = true;
    };

    /// Neighbouring triangles of one surface are one: of what is finer than a pixel, the mean.
    static bool alike(const Seen& a, const Seen& b) {
        if (a.mesh != b.mesh) return false;
        const Vertex &u = a.mesh->corner(a.triangle, 2), &v = b.mesh->corner(b.triangle, 2);
        return u.kind == v.kind && u.sod == v.sod && u.variation == v.variation && u.course == v.course;
    }

    size_t groups(int x, int y, std::array<Group, 4>& out) const {
        const size_t at = samples_.at(x, y);
        const uint32_t only = samples_.triangle[0][at];
        if (only == samples_.triangle[1][at] && only == samples_.triangle[2][at] &&
            only == samples_.triangle[3][at]) {
            out[0] = {only, 15, {2, 2}, 4};
            return 1;
        }
        size_t count = 0;
        for (size_t s = 0; s < 4; ++s) {
            const uint32_t number = samples_.triangle[s][at];
            size_t g = 0;
            while (g < count && out[g].number != number) ++g;
            if (number > 0 && g == count)
                for (g = 0; g < count && !(out[g].number > 0 && alike(seen(out[g].number), seen(number)));)
                    ++g;
            if (g == count) {
                out[count] = {};
                out[count++].number = number;
            }
            out[g].single = out[g].single && out[g].number == number;
            out[g].samples |= 1U << s;
            out[g].middle += sampleAt[s];
            out[g].count += 1;
            if (number > 0) out[g].normal += normalOf(told(number));
        }
        return count;
    }

    /// A triangle, worked out once for the pixels that show it one after the other.
    struct Facet {
        uint32_t number = 0;
        const Coat* coat = nullptr;
        vec3 corner{0, 0, 0};                         ///< the first
        vec3 flat{0, 0, 1};                           ///< square to it
        float offset = 0;                             ///< from the eye along `flat`
        vec3 normal{0, 0, 1};                         ///< as told
        float below = 0, thickness = 0;               ///< at the corner
        vec3 belowBy{0, 0, 0}, thicknessBy{0, 0, 0};  ///< for a metre
        Spot told;
    };
    void turnTo(Facet& facet, uint32_t number) const {
        const Seen here = seen(number);
        const Vertex &v0 = here.mesh->corner(here.triangle, 0), &v1 = here.mesh->corner(here.triangle, 1),
                     &v2 = here.mesh->corner(here.triangle, 2);
        facet.number = number;
        facet.coat = here.coat;
        facet.corner = {v0.x, v0.y, v0.z};
        const vec3 e1 = vec3(v1.x, v1.y, v1.z) - facet.corner, e2 = vec3(v2.x, v2.y, v2.z) - facet.corner;
        facet.flat = glm::cross(e1, e2);
        facet.offset = glm::dot(facet.flat, facet.corner + vec3(0, 0, here.coat->rise) - eye_.at);
        facet.normal = normalOf(v2);
        // Both change evenly over the triangle.
        const float per = 1 / std::max(glm::dot(facet.flat, facet.flat), 1e-30F);
        const vec3 towardU = glm::cross(e2, facet.flat) * per, towardV = glm::cross(facet.flat, e1) * per;
        facet.below = v0.depth;
        facet.belowBy = towardU * (v1.depth - v0.depth) + towardV * (v2.depth - v0.depth);
        facet.thickness = v0.thickness;
        facet.thicknessBy = towardU * (v1.thickness - v0.thickness) + towardV * (v2.thickness - v0.thickness);
        facet.told.kind = v2.kind;
        facet.told.sod = v2.sod;
        facet.told.variation = v2.variation;
    }

    vec4 meshColour(const Group& group, int x, int y, Facet& facet) const {
        if (facet.number != group.number) turnTo(facet, group.number);
        const Coat& coat = *facet.coat;
        const vec3 ray = eye_.ray(vec2(x, y) + group.middle / group.count);
        float deep = facet.offset / glm::dot(facet.flat, ray);
        const float near = samples_.nearness[lowest(group.samples)][samples_.at(x, y)];
        // Seen along its plane, or the middle of several triangles: no farther off than a sample tells.
        if (!(std::abs(deep * near - 1) < 0.05F)) deep = 1 / near;
        const vec3 place = eye_.at + ray * deep;
        Spot spot = facet.told;
        spot.local = place - vec3(0, 0, coat.rise);
        spot.facing = group.single ? facet.normal : glm::normalize(group.normal + vec3(0, 0, 1e-6F));
        const vec3 n = glm::dot(spot.facing, ray) > 0 ? -spot.facing : spot.facing;
        const Axes axes(n);
        // How far the pixel reaches on the face, to the right and up: as the neighbours' rays meet it.
        const float across = glm::dot(ray, n), off = deep * across, least = 1e-4F * std::abs(across) + 1e-9F;
        const vec3 nextRight = ray + eye_.stepRight, nextUp = ray + eye_.stepUp;
        const vec3 right = nextRight * (off / std::min(glm::dot(nextRight, n), -least)) - ray * deep;
        const vec3 up = nextUp * (off / std::min(glm::dot(nextUp, n), -least)) - ray * deep;
        const vec2 faceRight = axes.onFace(right), faceUp = axes.onFace(up);
        const float reach = std::sqrt(std::max(glm::dot(faceRight, faceRight), glm::dot(faceUp, faceUp)));
        const vec3 d = spot.local - facet.corner;
        spot.below = facet.below + glm::dot(facet.belowBy, d);
        if (coat.field) {
            spot.thickness = facet.thickness + glm::dot(facet.thicknessBy, d);
            spot.steep =
                std::abs(glm::dot(facet.thicknessBy, right)) + std::abs(glm::dot(facet.thicknessBy, up));
        }
        spot.inShadow = surfaces_.inShadow(place);
        return surfaces_.coated(spot, coat, n, axes, reach);
    }
    static size_t lowest(unsigned bits) {
        size_t s = 0;
        while (!(bits >> s & 1U)) ++s;
        return s;
    }

    vec4 paperColour(const Group& group, int x, int y) const {
        const vec3 ray = eye_.ray(vec2(x, y) + group.middle / group.count);
        const float near = paperNearness(ray);
        if (near <= 0) return {surfaces_.paper(), 0};
        const vec3 place = eye_.at + ray / near;
        return surfaces_.paperAt(vec2(place), surfaces_.inShadow(place));
    }

    void paintPixel(int x, int y, uint8_t* out, Facet& facet) const {
        if (!standing_[static_cast<size_t>(y / square * squaresWide_ + x / square)]) {
            put(vec3(paperColour({0, 15, {2, 2}, 4}, x, y)), out);
            return;
        }
        std::array<Group, 4> group;
        const size_t count = groups(x, y, group);
        std::array<float, 4> inked;
        const bool inks = inkOf(x, y, inked);
        vec3 sum{0, 0, 0};
        float sky = -1;
        for (size_t g = 0; g < count; ++g) {
            const vec4 c =
                group[g].number > 0 ? meshColour(group[g], x, y, facet) : paperColour(group[g], x, y);
            if (sky < 0 && c.w > 0) {
                const float near = nearnessAt(x, y, 0);
                sky = openSky(x, y,
                              near > 0 ? std::min(1 / near, static_cast<float>(frame_.farthest))
                                       : static_cast<float>(frame_.farthest));
            }
            const vec3 lit = vec3(c) * mixed(1, std::max(sky, 0.0F), c.w);
            if (!inks) {
                sum += lit * group[g].count;
                continue;
            }
            for (size_t s = 0; s < 4; ++s)
                if (group[g].samples >> s & 1U) sum += mixed(lit, surfaces_.ink(), inked[s]);
        }
        put(sum * 0.25F, out);
    }
    void put(const vec3& linear, uint8_t* out) const {
        for (int i = 0; i < 3; ++i) out[i] = screen_.at(linear[i]);
        out[3] = 255;
    }

    const Frame& frame_;
    Eye eye_;
    std::vector<DrawnMesh> meshes_;
    std::vector<Coat> coats_;
    std::vector<uint32_t> first_;  ///< number of each mesh's first triangle
    Samples samples_;
    SurfacePainter surfaces_;
    ScreenTable screen_;
    bool paperSeen_ = true;
    float paperAt_ = 0, paperHalf_ = 1;
    vec2 paperMiddle_{0, 0};
    Plane<uint64_t> marks_;
    std::vector<uint8_t> standing_;
    int squaresWide_ = 0;
    std::array<std::array<vec2, taps>, 16> tap_{};
    int skyWide_ = 0, skyHigh_ = 0;
    std::vector<Sky> sky_;
};

/// As SceneBuffers::bounds: of what is drawn, cut or not.
Bounds boundsOf(const std::vector<DrawnMesh>& meshes, const Shown& shown) {
    Bounds box;
    for (const DrawnMesh& mesh : meshes) {
        if (mesh.cap || mesh.triangles.vertices.empty()) continue;
        const double rise = mesh.layer >= 0 ? shown.rise[static_cast<size_t>(mesh.layer)] : 0.0;
        vec3 low(mesh.triangles.vertices[0].x, mesh.triangles.vertices[0].y, mesh.triangles.vertices[0].z);
        vec3 high = low;
        for (const Vertex& v : mesh.triangles.vertices) {
            low = glm::min(low, vec3(v.x, v.y, v.z));
            high = glm::max(high, vec3(v.x, v.y, v.z));
        }
        box.add(glm::dvec3(low) + glm::dvec3{0, 0, rise});
        box.add(glm::dvec3(high) + glm::dvec3{0, 0, rise});
    }
    if (box.empty()) box.add({0, 0, 0});
    return box;
}

/// Keeps what the painter borrows.
class ModelPainting final : public Painting {
  public:
    ModelPainting(const Model& model, const Catalogue& catalogue, const Camera& camera, const Look& look,
                  int width, int height)
        : camera_(camera), look_(fine(look)), shown_(resolve(model, look)) {
        std::vector<DrawnMesh> meshes = drawnMeshes(model, catalogue, look_, shown_, camera_, height);
        const Bounds box = boundsOf(meshes, shown_);
        frame_.emplace(frameOf(camera_, look_, shown_, box, width, height));
        painter_.emplace(model, *frame_, std::move(meshes));
    }
    Image image() override { return painter_->image(); }
    std::optional<SeenPlace> at(glm::dvec2 pixel) const override { return painter_->at(pixel); }

  private:
    static Look fine(Look look) {
        look.quality = Quality::Fine;
        return look;
    }
    Camera camera_;
    Look look_;
    Shown shown_;
    std::optional<Frame> frame_;
    std::optional<Painter> painter_;
};

class EmptySheet final : public Painting {
  public:
    EmptySheet(const Look& look, int width, int height)
        : paper_(themeColours(look.theme).paper), width_(width), height_(height) {}
    Image image() override {
        Image image{width_, height_, {}};
        image.rgba.assign(4 * static_cast<size_t>(width_) * static_cast<size_t>(height_), 255);
        for (size_t i = 0; i < image.rgba.size(); ++i)
            if (i % 4 < 3)
                image.rgba[i] = static_cast<uint8_t>(std::lround(paper_[static_cast<int>(i % 4)] * 255.0F));
        return image;
    }
    std::optional<SeenPlace> at(glm::dvec2) const override { return {}; }

  private:
    vec3 paper_;
    int width_, height_;
};

}  // namespace

std::unique_ptr<Painting> Painting::of(const Model& model, const Catalogue& catalogue, const Camera& camera,
                                       const Look& look, int width, int height) {
    if (model.cells.empty()) return std::make_unique<EmptySheet>(look, width, height);
    return std::make_unique<ModelPainting>(model, catalogue, camera, look, width, height);
}

}  // namespace underfoot
