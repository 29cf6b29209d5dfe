#pragma once
// Small pictures as PNG bytes.

#include <cstdint>
#include <string>
#include <vector>

namespace underfoot {

/// A picture of one byte a pixel (grey) or three (red, green, blue), rows from the top, no padding.
struct Pixels {
    int width = 0;
    int height = 0;
    int channels = 1;
    std::vector<uint8_t> bytes;
};

/// The picture as a PNG file: quickly, not as small as can be. Same picture, same bytes.
std::string encodePng(const Pixels& pixels);

}  // namespace underfoot
