#include "share/texture.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstdint>
#include <string>

namespace underfoot {
namespace {

constexpr int side = 128;

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

int wrap(int i, int period) {
    return ((i % period) + period) % period;
}

/// Smooth noise with `period` lattice steps to the tile.
double noise(double u, double v, int period, uint32_t seed) {
    const double x = u * period, y = v * period;
    const int ix = static_cast<int>(std::floor(x)), iy = static_cast<int>(std::floor(y));
    double fx = x - ix, fy = y - iy;
    fx = fx * fx * (3 - 2 * fx);
    fy = fy * fy * (3 - 2 * fy);
    const auto at = [&](int dx, int dy) {
        return lattice(wrap(ix + dx, period), wrap(iy + dy, period), seed);
    };
    const double low = at(0, 0) + (at(1, 0) - at(0, 0)) * fx;
    const double high = at(0, 1) + (at(1, 1) - at(0, 1)) * fx;
    return low + (high - low) * fy;
}

/// Noise of `octaves` steps, each of double the fineness and half the strength; mean about 0.5.
double cloud(double u, double v, int period, int octaves, uint32_t seed) {
    double sum = 0, weight = 0, part = 1;
    for (int i = 0; i < octaves; ++i, period *= 2, part *= 0.5) {
        sum += part * noise(u, v, period, seed + static_cast<uint32_t>(i));
        weight += part;
    }
    return sum / weight;
}

/// Scattered pieces: the distance to the nearest and second nearest centre, and a number of its own for the
/// piece.
struct Piece {
    double first = 9, second = 9, own = 0;
};
Piece pieces(double u, double v, int period, uint32_t seed) {
    const double x = u * period, y = v * period;
    const int ix = static_cast<int>(std::floor(x)), iy = static_cast<int>(std::floor(y));
    Piece out;
    for (int dy = -1; dy <= 1; ++dy)
        for (int dx = -1; dx <= 1; ++dx) {
            const int cx = wrap(ix + dx, period), cy = wrap(iy + dy, period);
            const double px = ix + dx + lattice(cx, cy, seed) - x,
                         py = iy + dy + lattice(cx, cy, seed + 7) - y;
            const double d = std::sqrt(px * px + py * py);
            if (d < out.first) {
                out.second = out.first;
                out.first = d;
                out.own = lattice(cx, cy, seed + 13);
            } else if (d < out.second) {
                out.second = d;
            }
        }
    return out;
}

/// Pieces with dark gaps between them, from angular (narrow gaps) to rounded.
double stones(double u, double v, int period, double gap, uint32_t seed) {
    const Piece piece = pieces(u, v, period, seed);
    const double edge = std::clamp((piece.second - piece.first) / gap, 0.0, 1.0);
    return (0.45 + 0.55 * edge) * (0.78 + 0.22 * piece.own);
}

double fabric(double u, double v) {
    const int n = 16;
    const int x = static_cast<int>(u * n * 4), y = static_cast<int>(v * n * 4);
    const bool over = ((x / 4) + (y / 4)) % 2 == 0;
    const int along = over ? y % 4 : x % 4;
    return (over ? 0.96 : 0.84) - (along == 0 ? 0.16 : 0.0) + 0.04 * cloud(u, v, 32, 2, 5);
}

using Shade = double (*)(double u, double v);
struct Kind {
    std::string_view name;
    double tile;  ///< metres
    Shade shade;  ///< 0 black to 1 the material's own colour, in sRGB
};

double soil(double u, double v) {
    return 0.62 + 0.42 * cloud(u, v, 6, 4, 11) - 0.12 * (pieces(u, v, 9, 3).first < 0.22 ? 1 : 0);
}
double fill(double u, double v) {
    return 0.68 + 0.36 * cloud(u, v, 16, 4, 21);
}
double stone(double u, double v) {
    return stones(u, v, 14, 0.16, 31) * (0.9 + 0.1 * noise(u, v, 48, 32));
}
double sand(double u, double v) {
    return 0.78 + 0.14 * noise(u, v, 64, 41) + 0.08 * cloud(u, v, 8, 3, 42);
}
double panel(double u, double v) {
    return 0.92 + 0.08 * cloud(u, v, 8, 3, 51);
}
double unit(double u, double v) {
    const double pore = pieces(u, v, 40, 61).first < 0.13 ? 0.16 : 0;
    return 0.66 + 0.30 * cloud(u, v, 3, 2, 62) + 0.10 * noise(u, v, 64, 63) - pore;
}
double concrete(double u, double v) {
    const double speck =
        lattice(static_cast<int>(u * side), static_cast<int>(v * side), 71) > 0.985 ? 0.14 : 0;
    return 0.76 + 0.24 * cloud(u, v, 4, 5, 72) - speck;
}
double pebble(double u, double v) {
    const Piece piece = pieces(u, v, 12, 81);
    const double edge = std::clamp((piece.second - piece.first) / 0.34, 0.0, 1.0);
    return (0.42 + 0.58 * std::sqrt(edge)) * (0.74 + 0.26 * piece.own);
}
double edging(double u, double v) {
    return 0.92 + 0.08 * cloud(u, v, 16, 2, 91);
}

constexpr Kind kinds[] = {
    {"unit", 1.2, unit},     {"soil", 1.0, soil},     {"fill", 0.8, fill},   {"fabric", 0.12, fabric},
    {"stone", 0.4, stone},   {"sand", 0.3, sand},     {"panel", 1.0, panel}, {"concrete", 1.0, concrete},
    {"pebble", 0.5, pebble}, {"edging", 0.5, edging},
};

std::array<double, 3> mix(const std::array<double, 3>& a, const std::array<double, 3>& b, double t) {
    std::array<double, 3> out{};
    for (size_t i = 0; i < 3; ++i) out[i] = a[i] + (b[i] - a[i]) * t;
    return out;
}

uint8_t toByte(double part) {
    return static_cast<uint8_t>(std::lround(std::clamp(part, 0.0, 1.0) * 255));
}

}  // namespace

Grain grainOf(std::string_view kind) {
    const Kind* found =
        std::find_if(std::begin(kinds), std::end(kinds), [&](const Kind& k) { return k.name == kind; });
    if (found == std::end(kinds)) found = kinds;
    Grain grain;
    grain.tile = found->tile;
    grain.pixels = {side, side, 1, {}};
    grain.pixels.bytes.reserve(side * side);
    double sum = 0;
    for (int y = 0; y < side; ++y)
        for (int x = 0; x < side; ++x) {
            const double shade = found->shade((x + 0.5) / side, (y + 0.5) / side);
            // Steps of 8 are not seen in a grain and halve the size of the file.
            const int byte = std::clamp(static_cast<int>(std::lround(shade * 255 / 8)) * 8, 0, 255);
            grain.pixels.bytes.push_back(static_cast<uint8_t>(byte));
            sum += toLinear(byte / 255.0);
        }
    grain.meanLinear = sum / (side * side);
    return grain;
}

std::array<double, 3> webColour(std::string_view text) {
    assert(text.size() == 7 && text[0] == '#');
    const auto part = [&](size_t at) {
        return static_cast<double>(std::stoul(std::string(text.substr(at, 2)), nullptr, 16)) / 255.0;
    };
    return {part(1), part(3), part(5)};
}

double toLinear(double srgb) {
    return srgb <= 0.04045 ? srgb / 12.92 : std::pow((srgb + 0.055) / 1.055, 2.4);
}
double fromLinear(double linear) {
    return linear <= 0.0031308 ? linear * 12.92 : 1.055 * std::pow(linear, 1 / 2.4) - 0.055;
}

ThicknessColours thicknessColours() {
    return {webColour("#5B2A86"), webColour("#EFEAE0"), webColour("#0E7C6B")};
}

std::array<double, 3> thicknessColour(double thickness, const ThicknessRange& range) {
    constexpr double step = 0.4;  // so that the bound of the wanted range shows as a line
    const ThicknessColours colours = thicknessColours();
    const auto part = [](double from, double to, double at) {
        return std::abs(to - from) > 1e-12 ? std::clamp((at - from) / (to - from), 0.0, 1.0) : 1.0;
    };
    if (!range.hasWanted) return mix(colours.wanted, colours.thick, part(range.low, range.high, thickness));
    if (thickness < range.wantedLeast)
        return mix(colours.wanted, colours.thin,
                   step + (1 - step) * part(range.wantedLeast, range.low, thickness));
    if (thickness > range.wantedGreatest)
        return mix(colours.wanted, colours.thick,
                   step + (1 - step) * part(range.wantedGreatest, range.high, thickness));
    return colours.wanted;
}

Pixels thicknessStrip(const ThicknessRange& range) {
    Pixels out{256, 4, 3, {}};
    for (int y = 0; y < out.height; ++y)
        for (int x = 0; x < out.width; ++x)
            for (double part :
                 thicknessColour(range.low + (x + 0.5) / out.width * (range.high - range.low), range))
                out.bytes.push_back(toByte(part));
    return out;
}

}  // namespace underfoot
