#include "share/colour.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

namespace underfoot {
namespace {

std::array<double, 3> mix(const std::array<double, 3>& a, const std::array<double, 3>& b, double t) {
    std::array<double, 3> out{};
    for (size_t i = 0; i < 3; ++i) out[i] = a[i] + (b[i] - a[i]) * t;
    return out;
}

uint8_t toByte(double part) {
    return static_cast<uint8_t>(std::lround(std::clamp(part, 0.0, 1.0) * 255));
}

}  // namespace

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
