#include "share/grain/draw_grain.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>  // IWYU pragma: keep
#include <cstdint>
#include <vector>

#include "share/colour.h"

namespace underfoot {
namespace {

constexpr int side = 128;
constexpr size_t pixels = static_cast<size_t>(side) * side;

/// Mixes two lattice indices and a seed to a number from 0 to 1 (an integer hash: the same on every machine).
double lattice(int x, int y, uint32_t seed) {
    uint32_t h =
        static_cast<uint32_t>(x) * 0x9E3779B1U ^ static_cast<uint32_t>(y) * 0x85EBCA77U ^ seed * 0xC2B2AE3DU;
    h ^= h >> 15;
    h *= 0x2C1B3C6DU;
    h ^= h >> 12;
    h *= 0x297A2D39U;
    h ^= h >> 15;
    return static_cast<double>(h >> 8) / 16777215.0;
}

/// A number for every pixel, row after row.
using Field = std::vector<double>;

template <class Value>
Field eachPixel(Value value) {
    Field out;
    out.reserve(pixels);
    for (int y = 0; y < side; ++y)
        for (int x = 0; x < side; ++x) out.push_back(value(x, y, out.size()));
    return out;
}

/// The numbers of all lattice places of a tile.
Field latticeOf(int period, uint32_t seed) {
    Field out;
    out.reserve(static_cast<size_t>(period) * static_cast<size_t>(period));
    for (int y = 0; y < period; ++y)
        for (int x = 0; x < period; ++x) out.push_back(lattice(x, y, seed));
    return out;
}

/// Where the middle of a pixel lies between lattice places, on either axis.
struct Step {
    int low, high;  ///< lattice places before and after, the tile going round
    double past;    ///< how far past the first
};
std::array<Step, side> stepsOf(int period) {
    std::array<Step, side> out{};
    for (int i = 0; i < side; ++i) {
        const double at = (i + 0.5) / side * period;
        const int low = static_cast<int>(at);
        out[static_cast<size_t>(i)] = {low, (low + 1) % period, at - low};
    }
    return out;
}

/// Adds smooth noise with `period` lattice steps to the tile.
void addNoise(Field& sum, double strength, int period, uint32_t seed) {
    const Field values = latticeOf(period, seed);
    std::array<Step, side> steps = stepsOf(period);
    for (Step& step : steps) step.past = step.past * step.past * (3 - 2 * step.past);
    const auto row = [&](int y) { return values.data() + static_cast<ptrdiff_t>(y) * period; };
    double* out = sum.data();
    for (const Step& y : steps) {
        const double *lower = row(y.low), *upper = row(y.high);
        for (const Step& x : steps) {
            const double low = lower[x.low] + (lower[x.high] - lower[x.low]) * x.past;
            const double high = upper[x.low] + (upper[x.high] - upper[x.low]) * x.past;
            *out++ += strength * (low + (high - low) * y.past);
        }
    }
}

Field noise(int period, uint32_t seed) {
    Field out(pixels, 0.0);
    addNoise(out, 1, period, seed);
    return out;
}

/// Noise of `octaves` steps, each of double the fineness and half the strength; mean about 0.5.
Field cloud(int period, int octaves, uint32_t seed) {
    Field out(pixels, 0.0);
    double weight = 0, part = 1;
    for (int i = 0; i < octaves; ++i, period *= 2, part *= 0.5) {
        addNoise(out, part, period, seed + static_cast<uint32_t>(i));
        weight += part;
    }
    for (double& value : out) value /= weight;
    return out;
}

/// Scattered pieces: the distance to the nearest and second nearest centre, and a number of its own for the
/// piece.
struct Piece {
    double first = 9, second = 9, own = 0;
};
std::vector<Piece> pieces(int period, uint32_t seed) {
    const Field across = latticeOf(period, seed), along = latticeOf(period, seed + 7),
                own = latticeOf(period, seed + 13);
    const std::array<Step, side> steps = stepsOf(period);
    const auto around = [period](int i) { return i < 0 ? i + period : i < period ? i : i - period; };
    std::vector<Piece> out;
    out.reserve(pixels);
    for (const Step& y : steps)
        for (const Step& x : steps) {
            Piece piece{81, 81, 0};  // squares until the end
            for (int dy = -1; dy <= 1; ++dy)
                for (int dx = -1; dx <= 1; ++dx) {
                    const auto place = static_cast<size_t>(around(y.low + dy) * period + around(x.low + dx));
                    const double px = dx + across[place] - x.past, py = dy + along[place] - y.past;
                    const double d = px * px + py * py;
                    piece.second = std::min(piece.second, std::max(piece.first, d));
                    piece.own = d < piece.first ? own[place] : piece.own;
                    piece.first = std::min(piece.first, d);
                }
            out.push_back({std::sqrt(piece.first), std::sqrt(piece.second), piece.own});
        }
    return out;
}

/// 0 in the dark gap between a piece and the next, 1 well inside it.
double pieceEdge(const Piece& piece, double gap) {
    return std::clamp((piece.second - piece.first) / gap, 0.0, 1.0);
}

using Shade = Field (*)();
struct Kind {
    std::string_view name;
    double tile;  ///< metres
    Shade shade;  ///< 0 black to 1 the material's own colour, in sRGB
};

Field fabric() {
    return eachPixel([fine = cloud(32, 2, 5)](int x, int y, size_t i) {
        const int across = x / 2, along = y / 2;  // 16 threads of 4 steps to the tile
        const bool over = (across / 4 + along / 4) % 2 == 0;
        const int place = over ? along % 4 : across % 4;
        return (over ? 0.96 : 0.84) - (place == 0 ? 0.16 : 0.0) + 0.04 * fine[i];
    });
}
Field soil() {
    return eachPixel([rough = cloud(6, 4, 11), crumbs = pieces(9, 3)](int, int, size_t i) {
        return 0.62 + 0.42 * rough[i] - 0.12 * (crumbs[i].first < 0.22 ? 1 : 0);
    });
}
Field fill() {
    return eachPixel([rough = cloud(16, 4, 21)](int, int, size_t i) { return 0.68 + 0.36 * rough[i]; });
}
Field stone() {
    return eachPixel([stones = pieces(14, 31), fine = noise(48, 32)](int, int, size_t i) {
        return (0.45 + 0.55 * pieceEdge(stones[i], 0.16)) * (0.78 + 0.22 * stones[i].own) *
               (0.9 + 0.1 * fine[i]);
    });
}
Field sand() {
    return eachPixel([fine = noise(64, 41), rough = cloud(8, 3, 42)](int, int, size_t i) {
        return 0.78 + 0.14 * fine[i] + 0.08 * rough[i];
    });
}
Field panel() {
    return eachPixel([rough = cloud(8, 3, 51)](int, int, size_t i) { return 0.92 + 0.08 * rough[i]; });
}
Field unit() {
    return eachPixel(
        [pores = pieces(40, 61), rough = cloud(3, 2, 62), fine = noise(64, 63)](int, int, size_t i) {
            const double pore = pores[i].first < 0.13 ? 0.16 : 0;
            return 0.66 + 0.30 * rough[i] + 0.10 * fine[i] - pore;
        });
}
Field concrete() {
    return eachPixel([rough = cloud(4, 5, 72)](int x, int y, size_t i) {
        const double speck = lattice(x, y, 71) > 0.985 ? 0.14 : 0;
        return 0.76 + 0.24 * rough[i] - speck;
    });
}
Field pebble() {
    return eachPixel([pebbles = pieces(12, 81)](int, int, size_t i) {
        return (0.42 + 0.58 * std::sqrt(pieceEdge(pebbles[i], 0.34))) * (0.74 + 0.26 * pebbles[i].own);
    });
}
Field edging() {
    return eachPixel([rough = cloud(16, 2, 91)](int, int, size_t i) { return 0.92 + 0.08 * rough[i]; });
}

constexpr Kind kinds[] = {
    {"unit", 1.2, unit},     {"soil", 1.0, soil},     {"fill", 0.8, fill},   {"fabric", 0.12, fabric},
    {"stone", 0.4, stone},   {"sand", 0.3, sand},     {"panel", 1.0, panel}, {"concrete", 1.0, concrete},
    {"pebble", 0.5, pebble}, {"edging", 0.5, edging},
};

DrawnGrain drawn(const Kind& kind) {
    DrawnGrain grain{kind.name, {side, side, 1, {}}, kind.tile, 1};
    grain.pixels.bytes.reserve(pixels);
    std::array<double, 33> linear{};
    for (int i = 0; i <= 32; ++i) linear[static_cast<size_t>(i)] = toLinear(std::min(i * 8, 255) / 255.0);
    double sum = 0;
    for (const double shade : kind.shade()) {
        // Steps of 8 are not seen in a grain and halve the size of the file.
        const int step = std::clamp(static_cast<int>(std::lround(shade * 255 / 8)), 0, 32);
        grain.pixels.bytes.push_back(static_cast<uint8_t>(std::min(step * 8, 255)));
        sum += linear[static_cast<size_t>(step)];
    }
    grain.meanLinear = sum / pixels;
    return grain;
}

}  // namespace

std::vector<DrawnGrain> drawGrains() {
    std::vector<DrawnGrain> out;
    for (const Kind& kind : kinds) out.push_back(drawn(kind));
    return out;
}

}  // namespace underfoot
