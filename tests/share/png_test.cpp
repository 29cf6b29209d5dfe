// PNG files against the published format and against stb_image (inside tinygltf), a decoder nobody here
// wrote.

#include "share/png.h"

#include <gtest/gtest.h>

#include <utility>

#define TINYGLTF_NO_STB_IMAGE
#define TINYGLTF_NO_STB_IMAGE_WRITE
#define TINYGLTF_NO_EXTERNAL_IMAGE
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wconversion"
#pragma GCC diagnostic ignored "-Wsign-conversion"
#pragma GCC diagnostic ignored "-Wshadow"
#include <tiny_gltf.h>
#pragma GCC diagnostic pop

#include "share/colour.h"
#include "share/grain/draw_grain.h"

namespace tinygltf {
// The library has it; its header shows it only beside stb_image's own.
bool LoadImageData(Image* image, const int image_idx, std::string* err, std::string* warn, int req_width,
                   int req_height, const unsigned char* bytes, int size, void* user_data);
}  // namespace tinygltf

namespace underfoot {
namespace {

/// The pixels that stb_image finds, four bytes each.
std::vector<unsigned char> decoded(const std::string& png, int width, int height) {
    tinygltf::Image image;
    std::string errors, warnings;
    EXPECT_TRUE(tinygltf::LoadImageData(&image, 0, &errors, &warnings, width, height,
                                        reinterpret_cast<const unsigned char*>(png.data()),
                                        static_cast<int>(png.size()), nullptr))
        << errors;
    EXPECT_EQ(image.component, 4);
    return image.image;
}

std::vector<unsigned char> fourBytesEach(const Pixels& pixels) {
    std::vector<unsigned char> out;
    const auto step = static_cast<size_t>(pixels.channels);
    for (size_t at = 0; at < pixels.bytes.size(); at += step) {
        for (size_t i = 0; i < 3; ++i) out.push_back(pixels.bytes[at + (step == 3 ? i : 0)]);
        out.push_back(255);
    }
    return out;
}

void expectReadBack(const Pixels& pixels) {
    EXPECT_EQ(decoded(encodePng(pixels), pixels.width, pixels.height), fourBytesEach(pixels));
}

TEST(Png, EveryGrainReadsBackToThePixel) {
    for (const DrawnGrain& grain : drawGrains()) expectReadBack(grain.pixels);
}

TEST(Png, ColoursReadBackToThePixel) {
    expectReadBack(thicknessStrip({0.02, 0.08, 0.03, 0.05, true}));
    expectReadBack({1, 2, 3, {1, 2, 3, 255, 0, 128}});
}

TEST(Png, ASinglePixelAndAllBytesReadBack) {
    expectReadBack({1, 1, 1, {77}});
    Pixels all{256, 2, 1, {}};
    for (int i = 0; i < 512; ++i) all.bytes.push_back(static_cast<uint8_t>(i * i % 251 + i / 256));
    expectReadBack(all);
}

TEST(Png, RareBytesDoNotMakeCodesLongerThanTheFormatAllows) {
    // The mark at the row's start and the end of the data occur once, the steps 2, 3, 5, 8, ... times: codes
    // get one bit longer with each, and the rarest of 18 would have 17 bits. RFC 1951 allows 15.
    Pixels row{0, 1, 1, {}};
    int value = 0;
    for (int step = 2, often = 2, next = 3; step < 18; ++step) {
        for (int i = 0; i < often; ++i) row.bytes.push_back(static_cast<uint8_t>(value += step));
        next += std::exchange(often, next);
    }
    row.width = static_cast<int>(row.bytes.size());
    ASSERT_EQ(row.width, 6762);  // F(3) + ... + F(18) = F(20) - 1 - 2
    expectReadBack(row);
}

TEST(Png, ChecksumsAreThoseOfTheFormat) {
    const std::string png = encodePng({1, 1, 1, {0}});
    // The empty last chunk is the same in every PNG file; its checksum is AE 42 60 82 (PNG, annex).
    EXPECT_EQ(png.substr(png.size() - 12), std::string("\0\0\0\0IEND\xAE\x42\x60\x82", 12));
    // Adler-32 of the row 01 00 (RFC 1950): a = 1 + 1 + 0 = 2, b = 2 + 2 = 4; before the chunk's checksum.
    EXPECT_EQ(png.substr(png.size() - 20, 4), std::string("\0\4\0\2", 4));
}

}  // namespace
}  // namespace underfoot
