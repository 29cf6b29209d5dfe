#include "share/hatch.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <numbers>
#include <string>
#include <utility>

namespace underfoot {
namespace {

/// Draws into a tile, repeating what leaves it.
class TileMaker {
  public:
    TileMaker(double width, double height) { tile_.width = width, tile_.height = height; }

    TileMaker& stroke(std::vector<glm::dvec2> points, double width = 0.13, bool closed = false,
                      bool filled = false) {
        glm::dvec2 low = points[0], high = points[0];
        for (const glm::dvec2& p : points) {
            low = {std::min(low.x, p.x), std::min(low.y, p.y)};
            high = {std::max(high.x, p.x), std::max(high.y, p.y)};
        }
        forCopies(low, high, [&](glm::dvec2 by) {
            HatchStroke copy{points, closed, filled, width};
            for (glm::dvec2& p : copy.points) p += by;
            tile_.strokes.push_back(copy);
        });
        return *this;
    }
    TileMaker& dot(glm::dvec2 at, double radius) {
        forCopies(at - radius, at + radius, [&](glm::dvec2 by) { tile_.dots.push_back({at + by, radius}); });
        return *this;
    }
    /// An irregular closed outline of `corners` corners.
    TileMaker& piece(glm::dvec2 at, double radius, int corners, double turn, bool filled = false) {
        std::vector<glm::dvec2> points;
        for (int i = 0; i < corners; ++i) {
            const double angle = turn + 2 * std::numbers::pi * i / corners;
            const double r = radius * (i % 2 == 0 ? 1.0 : 0.78);
            points.push_back(at + glm::dvec2{r * std::cos(angle), 0.85 * r * std::sin(angle)});
        }
        return stroke(points, 0.11, true, filled);
    }
    HatchTile take() { return tile_; }

  private:
    template <class Do>
    void forCopies(glm::dvec2 low, glm::dvec2 high, Do draw) {
        for (int dy = -1; dy <= 1; ++dy)
            for (int dx = -1; dx <= 1; ++dx) {
                const glm::dvec2 by{dx * tile_.width, dy * tile_.height};
                if (high.x + by.x < 0 || low.x + by.x > tile_.width || high.y + by.y < 0 ||
                    low.y + by.y > tile_.height)
                    continue;
                draw(by);
            }
    }
    HatchTile tile_;
};

/// Groups of three short strokes, turned a quarter from one group to the next.
HatchTile earth() {
    TileMaker maker(7, 7);
    for (int i = 0; i < 3; ++i) {
        const double s = 0.75 * i;
        maker.stroke({{0.5 + s, 2.9}, {2.1 + s, 1.3}}, 0.16);
        maker.stroke({{4.0, 4.4 + s}, {5.6, 6.0 + s}}, 0.16);
    }
    return maker.take();
}

HatchTile fillHatch() {
    TileMaker maker(6, 5);
    maker.stroke({{0.6, 1.8}, {1.8, 0.6}}).stroke({{3.6, 4.3}, {4.8, 3.1}});
    maker.dot({3.2, 1.0}, 0.12).dot({5.2, 1.7}, 0.12).dot({1.2, 3.6}, 0.12).dot({2.7, 2.8}, 0.12);
    return maker.take();
}

HatchTile sand() {
    TileMaker maker(3, 3);
    const glm::dvec2 places[] = {{0.3, 0.4}, {1.2, 0.2}, {2.2, 0.7}, {0.8, 1.2}, {1.7, 1.5},
                                 {2.7, 1.7}, {0.3, 2.1}, {1.2, 2.5}, {2.1, 2.4}, {2.8, 2.8}};
    for (const glm::dvec2& p : places) maker.dot(p, 0.09);
    return maker.take();
}

HatchTile crushedStone() {
    TileMaker maker(6, 5);
    maker.piece({1.0, 1.1}, 0.85, 3, 0.4).piece({3.1, 0.9}, 0.6, 5, 1.0).piece({4.9, 1.5}, 0.9, 3, 2.2);
    maker.piece({2.1, 2.8}, 0.8, 5, 0.2).piece({4.0, 3.4}, 0.75, 3, 1.2).piece({0.6, 3.9}, 0.75, 5, 2.0);
    maker.dot({2.1, 1.9}, 0.09)
        .dot({5.4, 3.3}, 0.09)
        .dot({3.2, 4.5}, 0.09)
        .dot({5.2, 4.6}, 0.09)
        .dot({0.2, 2.4}, 0.09);
    return maker.take();
}

HatchTile concrete() {
    TileMaker maker(8, 6);
    maker.piece({1.2, 1.4}, 0.5, 3, 0.5)
        .piece({5.4, 1.0}, 0.45, 3, 1.9)
        .piece({3.2, 4.2}, 0.55, 3, 2.6)
        .piece({7.0, 4.4}, 0.5, 3, 0.1);
    const glm::dvec2 places[] = {{2.7, 0.6}, {3.9, 2.0}, {6.9, 2.2}, {0.7, 3.4}, {2.2, 2.7},
                                 {5.0, 3.2}, {1.3, 5.2}, {4.9, 5.3}, {6.1, 5.6}, {7.6, 0.5}};
    for (const glm::dvec2& p : places) maker.dot(p, 0.1);
    return maker.take();
}

HatchTile pebble() {
    TileMaker maker(5, 4);
    const auto round = [&](glm::dvec2 at, double radius) {
        std::vector<glm::dvec2> points;
        for (int i = 0; i < 12; ++i) {
            const double angle = std::numbers::pi * i / 6;
            points.push_back(at + glm::dvec2{radius * std::cos(angle), 0.75 * radius * std::sin(angle)});
        }
        maker.stroke(points, 0.12, true);
    };
    round({1.1, 1.0}, 0.85);
    round({3.3, 0.8}, 0.75);
    round({2.3, 2.6}, 0.9);
    round({4.5, 2.5}, 0.8);
    round({0.4, 3.0}, 0.6);
    return maker.take();
}

/// Level, evenly spaced strokes: a made board.
HatchTile panel() {
    return TileMaker(4, 0.9).stroke({{0, 0.45}, {4, 0.45}}, 0.13).take();
}
/// Strokes at 45 degrees, as for masonry.
HatchTile unit() {
    return TileMaker(1.6, 1.6).stroke({{0, 1.6}, {1.6, 0}}, 0.13).take();
}
/// Short dashes along the sheet.
HatchTile membrane() {
    return TileMaker(2.4, 0.8).stroke({{0.3, 0.4}, {1.7, 0.4}}, 0.22).take();
}

std::map<std::string, HatchTile, std::less<>> makeTiles() {
    return {{"earth", earth()},       {"fill", fillHatch()},
            {"membrane", membrane()}, {"crushed stone", crushedStone()},
            {"sand", sand()},         {"panel", panel()},
            {"unit", unit()},         {"concrete", concrete()},
            {"pebble", pebble()},     {"solid", {}}};
}

}  // namespace

const HatchTile& hatchTile(std::string_view name) {
    static const std::map<std::string, HatchTile, std::less<>> tiles = makeTiles();
    static const HatchTile none;
    const auto found = tiles.find(name);
    return found == tiles.end() ? none : found->second;
}

}  // namespace underfoot
