#include "view/raster.h"

#include <algorithm>
#include <cassert>
#include <utility>
#include <vector>

#include <sys/mman.h>
#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/mat4x4.hpp>
#include <glm/vec3.hpp>
#include <glm/vec4.hpp>

#include "view/mesh.h"
#include "view/paint.h"
#include "view/shown.h"

namespace underfoot {

namespace {

constexpr int perPixel = 256;  // steps that places in the frame are rounded to
constexpr int block = 8;       // pixels
constexpr double guard = 1e5;  // pixels; what reaches out farther is cut off first

size_t roundedUp(int pixels) {
    return (static_cast<size_t>(pixels) + block - 1) / block * block;
}

int64_t rounded(double x) {
    return static_cast<int64_t>(x + (x < 0 ? -0.5 : 0.5));
}

/// A corner on its way to the frame: in pixels times `w`, and what it is cut by.
struct Corner {
    double x = 0, y = 0, w = 1, z = 0;
    glm::dvec2 plan{0, 0};
};
Corner between(const Corner& a, const Corner& b, double t) {
    const auto mix = [t](double p, double q) { return p + (q - p) * t; };
    return {mix(a.x, b.x), mix(a.y, b.y), mix(a.w, b.w), mix(a.z, b.z), glm::mix(a.plan, b.plan, t)};
}

/// Triangle, cut back to a polygon of a few corners more.
struct Polygon {
    std::array<Corner, 12> corner;
    size_t count = 0;

    template <class Distance>
    void keep(Distance inside) {
        std::array<double, 12> d{};
        bool all = true;
        for (size_t i = 0; i < count; ++i) {
            d[i] = inside(corner[i]);
            all = all && d[i] >= 0;
        }
        if (all) return;
        std::array<Corner, 12> kept;
        size_t n = 0;
        for (size_t i = 0; i < count && n + 2 <= kept.size(); ++i) {
            const size_t next = (i + 1) % count;
            if (d[i] >= 0) kept[n++] = corner[i];
            if ((d[i] >= 0) != (d[next] >= 0))
                kept[n++] = between(corner[i], corner[next], d[i] / (d[i] - d[next]));
        }
        corner = kept;
        count = n < 3 ? 0 : n;
    }
};

/// Whether a sample's place can lie between two places along one side of the frame.
template <size_t Count>
bool meetsSamples(int64_t low, int64_t high) {
    // Of four each has a row and a column of its own.
    constexpr int64_t apart = Count == 1 ? perPixel : perPixel / 4;
    const auto below = [](int64_t at) { return (at + apart / 2) & ~(apart - 1); };
    return below(low - 1) != below(high);
}

/// A value that is flat over the frame.
struct Slope {
    double base = 0, a = 0, b = 0;
    double at(double x, double y) const { return base + a * x + b * y; }
};

/// Where, of a triangle that a region's edge crosses, the region takes samples away.
struct RegionTest {
    const std::vector<glm::dvec2>* region = nullptr;
    Slope planX, planY, one;  ///< over w
    bool removed(double x, double y) const {
        const double w = 1 / one.at(x, y);
        const glm::dvec2 p{planX.at(x, y) * w, planY.at(x, y) * w};
        bool inside = false;
        const auto& r = *region;
        for (size_t i = 0, j = r.size() - 1; i < r.size(); j = i++)
            if ((r[i].y > p.y) != (r[j].y > p.y) &&
                p.x < (r[j].x - r[i].x) * (p.y - r[i].y) / (r[j].y - r[i].y) + r[i].x)
                inside = !inside;
        return inside;
    }
};

/// A triangle in the frame, turning left.
struct Flat {
    int64_t x[3], y[3];
    Slope nearness;
    float least = 0, most = 0;
    uint32_t triangle = 0;
    uint16_t mark = 0;
    const RegionTest* region = nullptr;
};

/// What is drawn into, of `Count` samples a pixel.
template <size_t Count>
struct Sheet {
    float* nearness[Count];
    uint32_t* triangle[Count];
    uint16_t* mark[Count];
    size_t stride;
    int width, height;
    /// Where a sample lies in its pixel, in steps.
    static constexpr int64_t offX(size_t s) { return Count == 1 ? 128 : std::array{96, 224, 32, 160}[s]; }
    static constexpr int64_t offY(size_t s) { return Count == 1 ? 128 : std::array{32, 96, 160, 224}[s]; }
};

/// Twice the area to the left of each side, and how it changes.
struct Sides {
    int64_t dx[3], dy[3], base[3];
    explicit Sides(const Flat& f) {
        for (size_t i = 0; i < 3; ++i) {
            const size_t j = (i + 1) % 3;
            dx[i] = f.x[j] - f.x[i];
            dy[i] = f.y[j] - f.y[i];
            base[i] = -dx[i] * f.y[i] + dy[i] * f.x[i];
            // A sample on a side that two triangles share is in one of them.
            if (!(dy[i] < 0 || (dy[i] == 0 && dx[i] > 0))) --base[i];
        }
    }
    int64_t at(size_t i, int64_t x, int64_t y) const { return base[i] + dx[i] * y - dy[i] * x; }
};

template <size_t Count>
void fillTested(const Sheet<Count>& sheet, const Flat& f, const Sides& sides, int x0, int x1, int y0,
                int y1) {
    for (int y = y0; y <= y1; ++y)
        for (size_t s = 0; s < Count; ++s) {
            const int64_t py = static_cast<int64_t>(y) * perPixel + sheet.offY(s);
            const int64_t px = static_cast<int64_t>(x0) * perPixel + sheet.offX(s);
            int64_t e0 = sides.at(0, px, py), e1 = sides.at(1, px, py), e2 = sides.at(2, px, py);
            const int64_t d0 = sides.dy[0] * perPixel, d1 = sides.dy[1] * perPixel,
                          d2 = sides.dy[2] * perPixel;
            const size_t row = static_cast<size_t>(y) * sheet.stride;
            for (int x = x0; x <= x1; ++x, e0 -= d0, e1 -= d1, e2 -= d2) {
                if ((e0 | e1 | e2) < 0) continue;
                const double sx = x + static_cast<double>(sheet.offX(s)) / perPixel;
                const double sy = static_cast<double>(py) / perPixel;
                const float near = std::clamp(static_cast<float>(f.nearness.at(sx, sy)), f.least, f.most);
                const size_t at = row + static_cast<size_t>(x);
                if (near < sheet.nearness[s][at]) continue;
                if (f.region && f.region->removed(sx, sy)) continue;
                sheet.nearness[s][at] = near;
                if constexpr (Count > 1) {
                    sheet.triangle[s][at] = f.triangle;
                    sheet.mark[s][at] = f.mark;
                }
            }
        }
}

/// All of a block lies in the triangle.
template <size_t Count>
void fillWhole(const Sheet<Count>& sheet, const Flat& f, int x0, int y0) {
    const auto a = static_cast<float>(f.nearness.a);
    for (int y = y0; y < y0 + block; ++y)
        for (size_t s = 0; s < Count; ++s) {
            const double sx = x0 + static_cast<double>(sheet.offX(s)) / perPixel;
            const double sy = y + static_cast<double>(sheet.offY(s)) / perPixel;
            const auto first = static_cast<float>(f.nearness.at(sx, sy));
            const size_t at = static_cast<size_t>(y) * sheet.stride + static_cast<size_t>(x0);
            float* const nearness = sheet.nearness[s] + at;
            if constexpr (Count > 1) {
                uint32_t* const triangle = sheet.triangle[s] + at;
                uint16_t* const mark = sheet.mark[s] + at;
                for (int x = 0; x < block; ++x) {
                    const float near = first + a * static_cast<float>(x);
                    const bool wins = near >= nearness[x];
                    nearness[x] = wins ? near : nearness[x];
                    triangle[x] = wins ? f.triangle : triangle[x];
                    mark[x] = wins ? f.mark : mark[x];
                }
            } else {
                for (int x = 0; x < block; ++x)
                    nearness[x] = std::max(nearness[x], first + a * static_cast<float>(x));
            }
        }
}

template <size_t Count>
void fill(const Sheet<Count>& sheet, const Flat& f) {
    const auto [lowX, highX] = std::minmax({f.x[0], f.x[1], f.x[2]});
    const auto [lowY, highY] = std::minmax({f.y[0], f.y[1], f.y[2]});
    const auto pixel = [](int64_t at, int last) {
        return static_cast<int>(std::clamp<int64_t>(at >> 8, -1, last + 1));
    };
    const int x0 = std::max(pixel(lowX, sheet.width - 1), 0),
              x1 = std::min(pixel(highX, sheet.width - 1), sheet.width - 1);
    const int y0 = std::max(pixel(lowY, sheet.height - 1), 0),
              y1 = std::min(pixel(highY, sheet.height - 1), sheet.height - 1);
    if (x0 > x1 || y0 > y1) return;
    const Sides sides(f);
    if (f.region || (x1 - x0 < block && y1 - y0 < block)) {
        fillTested(sheet, f, sides, x0, x1, y0, y1);
        return;
    }
    constexpr int64_t reach = int64_t{block} * perPixel;
    for (int by = y0 / block * block; by <= y1; by += block)
        for (int bx = x0 / block * block; bx <= x1; bx += block) {
            bool none = false, all = true;
            for (size_t i = 0; i < 3; ++i) {
                const int64_t e =
                    sides.at(i, static_cast<int64_t>(bx) * perPixel, static_cast<int64_t>(by) * perPixel);
                const int64_t alongX = -sides.dy[i] * reach, alongY = sides.dx[i] * reach;
                none = none || e + std::max<int64_t>(alongX, 0) + std::max<int64_t>(alongY, 0) < 0;
                all = all && e + std::min<int64_t>(alongX, 0) + std::min<int64_t>(alongY, 0) >= 0;
            }
            if (none) continue;
            if (all)
                fillWhole(sheet, f, bx, by);
            else
                fillTested(sheet, f, sides, std::max(bx, x0), std::min(bx + block - 1, x1), std::max(by, y0),
                           std::min(by + block - 1, y1));
        }
}

Slope slopeOf(const Flat& f, double v0, double v1, double v2) {
    constexpr double step = 1.0 / perPixel;
    const double x0 = static_cast<double>(f.x[0]) * step, y0 = static_cast<double>(f.y[0]) * step;
    const double dx1 = static_cast<double>(f.x[1] - f.x[0]) * step,
                 dy1 = static_cast<double>(f.y[1] - f.y[0]) * step;
    const double dx2 = static_cast<double>(f.x[2] - f.x[0]) * step,
                 dy2 = static_cast<double>(f.y[2] - f.y[0]) * step;
    const double per = 1 / (dx1 * dy2 - dx2 * dy1);
    const double a = ((v1 - v0) * dy2 - (v2 - v0) * dy1) * per, b = ((v2 - v0) * dx1 - (v1 - v0) * dx2) * per;
    return {v0 - a * x0 - b * y0, a, b};
}

/// Whether some edge of the region comes into the triangle's box; if none does, all of it is in or out.
bool regionCrosses(const std::vector<glm::dvec2>& region, glm::dvec2 low, glm::dvec2 high) {
    for (size_t i = 0, j = region.size() - 1; i < region.size(); j = i++) {
        const glm::dvec2 least = glm::min(region[i], region[j]), most = glm::max(region[i], region[j]);
        if (least.x <= high.x && most.x >= low.x && least.y <= high.y && most.y >= low.y) return true;
    }
    return false;
}

/// A mesh through its clipping into a sheet. `Count` 1: a sun's, which has no eye and no near end.
template <size_t Count>
class Drawing {
  public:
    Drawing(const Sheet<Count>& sheet, const DrawnMesh& mesh, const Frame& frame)
        : sheet_(sheet),
          mesh_(mesh),
          clip_(clippingOf(frame, mesh)),
          nearest_(Count > 1 ? frame.nearest : 0.5) {
        rise_ = mesh.layer >= 0 ? frame.shown.rise[static_cast<size_t>(mesh.layer)] : 0.0;
        const glm::dmat4& m = Count > 1 ? frame.toClip : frame.toShadow;
        for (int i = 0; i < 4; ++i) {
            const double w = m[i][3];
            // Clip space goes from -1 to 1, the shadow's from 0 to 1.
            rowX_[i] = sheet.width * (Count > 1 ? 0.5 * (m[i][0] + w) : m[i][0]);
            rowY_[i] = sheet.height * (Count > 1 ? 0.5 * (m[i][1] + w) : m[i][1]);
            rowZ_[i] = m[i][2];
            rowW_[i] = w;
        }
        clips_ = clip_.straight.z < 1e29 || clip_.peel.z < 1e29;
    }

    void drawAll(uint32_t first) {
        const size_t count = mesh_.count();
        for (size_t t = 0; t < count; ++t) {
            const Vertex& a = mesh_.corner(t, 0);
            const Vertex& b = mesh_.corner(t, 1);
            const Vertex& c = mesh_.corner(t, 2);
            triangle_ = first + static_cast<uint32_t>(t);
            const unsigned bits = (mesh_.cap ? 128U : 0U) |
                                  (c.kind == static_cast<uint8_t>(FaceKind::Side) ? 64U : 0U) |
                                  (c.course & 63U);
            mark_ = static_cast<uint16_t>(static_cast<unsigned>(mesh_.paint.object) << 8 | bits);
            draw(place(a), place(b), place(c));
        }
    }

  private:
    Corner place(const Vertex& v) const {
        const glm::dvec4 p{v.x, v.y, v.z + rise_, 1};
        return {glm::dot(rowX_, p),
                glm::dot(rowY_, p),
                Count > 1 ? glm::dot(rowW_, p) : 1.0,
                Count > 1 ? 0.0 : 1 - glm::dot(rowZ_, p),
                {v.x, v.y}};
    }
    bool inside(const Corner& c) const {
        return (Count == 1 || c.w >= nearest_) && std::abs(c.x) < guard * c.w &&
               std::abs(c.y) < guard * c.w && (!clips_ || (straight(c) >= 0 && peel(c) >= 0));
    }
    double straight(const Corner& c) const {
        return clip_.straight.z - c.plan.x * clip_.straight.x - c.plan.y * clip_.straight.y;
    }
    double peel(const Corner& c) const {
        return clip_.peel.z - c.plan.x * clip_.peel.x - c.plan.y * clip_.peel.y;
    }

    void draw(const Corner& a, const Corner& b, const Corner& c) {
        if (inside(a) && inside(b) && inside(c)) {
            fillOne(a, b, c);
            return;
        }
        Polygon polygon;
        polygon.corner[0] = a;
        polygon.corner[1] = b;
        polygon.corner[2] = c;
        polygon.count = 3;
        if (Count > 1) polygon.keep([&](const Corner& p) { return p.w - nearest_; });
        polygon.keep([&](const Corner& p) { return straight(p); });
        polygon.keep([&](const Corner& p) { return peel(p); });
        polygon.keep([&](const Corner& p) { return guard * p.w - p.x; });
        polygon.keep([&](const Corner& p) { return guard * p.w + p.x; });
        polygon.keep([&](const Corner& p) { return guard * p.w - p.y; });
        polygon.keep([&](const Corner& p) { return guard * p.w + p.y; });
        for (size_t i = 2; i < polygon.count; ++i)
            fillOne(polygon.corner[0], polygon.corner[i - 1], polygon.corner[i]);
    }

    void fillOne(const Corner& c0, const Corner& c1, const Corner& c2) {
        const Corner* corner[] = {&c0, &c1, &c2};
        double nearness[3];
        Flat f;
        for (size_t i = 0; i < 3; ++i) {
            const double per = 1 / corner[i]->w;
            f.x[i] = rounded(corner[i]->x * per * perPixel);
            f.y[i] = rounded(corner[i]->y * per * perPixel);
            nearness[i] = Count > 1 ? per : corner[i]->z;
        }
        const int64_t twice = (f.x[1] - f.x[0]) * (f.y[2] - f.y[0]) - (f.x[2] - f.x[0]) * (f.y[1] - f.y[0]);
        if (twice == 0 || (twice < 0 && mesh_.closed())) return;
        const auto [lowX, highX] = std::minmax({f.x[0], f.x[1], f.x[2]});
        const auto [lowY, highY] = std::minmax({f.y[0], f.y[1], f.y[2]});
        if (!meetsSamples<Count>(lowX, highX) || !meetsSamples<Count>(lowY, highY)) return;
        if (twice < 0) {
            std::swap(f.x[1], f.x[2]);
            std::swap(f.y[1], f.y[2]);
            std::swap(nearness[1], nearness[2]);
            std::swap(corner[1], corner[2]);
        }
        f.nearness = slopeOf(f, nearness[0], nearness[1], nearness[2]);
        const double bias = nearerBy(f, nearness[0]);
        f.nearness.base += bias;
        f.least = static_cast<float>(std::min({nearness[0], nearness[1], nearness[2]}) + bias);
        f.most = static_cast<float>(std::max({nearness[0], nearness[1], nearness[2]}) + bias);
        f.triangle = triangle_;
        f.mark = mark_;
        RegionTest test;
        if (clip_.region) {
            const glm::dvec2 low = glm::min(glm::min(c0.plan, c1.plan), c2.plan);
            const glm::dvec2 high = glm::max(glm::max(c0.plan, c1.plan), c2.plan);
            test.region = clip_.region;
            const auto over = [&](auto value) {
                return slopeOf(f, value(*corner[0]) / corner[0]->w, value(*corner[1]) / corner[1]->w,
                               value(*corner[2]) / corner[2]->w);
            };
            test.planX = over([](const Corner& c) { return c.plan.x; });
            test.planY = over([](const Corner& c) { return c.plan.y; });
            test.one = over([](const Corner&) { return 1.0; });
            if (regionCrosses(*clip_.region, low, high))
                f.region = &test;
            else if (test.removed(static_cast<double>(f.x[0]) / perPixel,
                                  static_cast<double>(f.y[0]) / perPixel))
                return;
        }
        fill(sheet_, f);
    }

    /// Of meshes in one plane which lies before the others; in the sun's sheet all lie a little farther, so
    /// that nothing shades itself.
    double nearerBy(const Flat& f, double nearness) const {
        const double slope = std::max(std::abs(f.nearness.a), std::abs(f.nearness.b));
        if (Count == 1) return -1.5 * slope - 1.2e-7;
        return mesh_.nearer * (0.5 * slope + 2e-6 * nearness);
    }

    const Sheet<Count>& sheet_;
    const DrawnMesh& mesh_;
    Clipping clip_;
    double nearest_, rise_ = 0;
    glm::dvec4 rowX_{0}, rowY_{0}, rowZ_{0}, rowW_{0};
    bool clips_ = false;
    uint32_t triangle_ = 0;
    uint16_t mark_ = 0;
};

}  // namespace

void* zeroedMemory(size_t bytes) {
    void* data = std::calloc(bytes, 1);
    assert(data);
#ifdef MADV_HUGEPAGE
    constexpr uintptr_t page = 4096;
    const uintptr_t first = (reinterpret_cast<uintptr_t>(data) + page - 1) / page * page;
    const uintptr_t last = (reinterpret_cast<uintptr_t>(data) + bytes) / page * page;
    if (first < last) madvise(reinterpret_cast<void*>(first), last - first, MADV_HUGEPAGE);
#endif
    return data;
}

Samples::Samples(int wide, int high)
    : width(wide), height(high), stride(roundedUp(wide)), rows(roundedUp(high)) {
    for (size_t s = 0; s < 4; ++s) {
        nearness[s] = Plane<float>(stride * rows);
        triangle[s] = Plane<uint32_t>(stride * rows);
        mark[s] = Plane<uint16_t>(stride * rows);
    }
}

ShadowPlane::ShadowPlane(int wide) : side(wide), stride(roundedUp(wide)), nearness(stride * stride) {}

void drawSeen(Samples& into, const DrawnMesh& mesh, uint32_t first, const Frame& frame) {
    Sheet<4> sheet{};
    for (size_t s = 0; s < 4; ++s) {
        sheet.nearness[s] = into.nearness[s].get();
        sheet.triangle[s] = into.triangle[s].get();
        sheet.mark[s] = into.mark[s].get();
    }
    sheet.stride = into.stride;
    sheet.width = into.width;
    sheet.height = into.height;
    Drawing<4>(sheet, mesh, frame).drawAll(first);
}

void drawShade(ShadowPlane& into, const DrawnMesh& mesh, const Frame& frame) {
    Sheet<1> sheet{};
    sheet.nearness[0] = into.nearness.get();
    sheet.stride = into.stride;
    sheet.width = sheet.height = into.side;
    Drawing<1>(sheet, mesh, frame).drawAll(0);
}

}  // namespace underfoot
